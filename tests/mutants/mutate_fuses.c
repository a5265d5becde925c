/* What can be wrong with a fuse and its marking. */
#include <math.h>
#include <string.h>

#include "fuselink/fuselink.h"
#include "mutants/mutants.h"

static xmlNode **fuses(const struct subject *subject)
{
    return subject_nodes(subject, "/facts/fuse[@known='yes']");
}

static bool is_placed(const xmlNode *fuse, const char *placement)
{
    return said(fuse, "placement") != NULL && strcmp(said(fuse, "placement"), placement) == 0;
}

/* A mutant with another marking in that fuse. */
static void remark(struct corpus *corpus, const struct subject *subject, const xmlNode *fuse, const char *rule,
                   const char *text)
{
    struct drawing *drawing = mutant_start(corpus, subject);
    const char *ref = said(fuse, "ref"), *now = mutant_text(corpus, "%s", text);

    mark(drawing_piece(drawing, ref), now);
    try_mutant(corpus, subject, drawing, rule, ref, mutant_text(corpus, "%s: %s", ref, now));
}

static void remark_untold(struct corpus *corpus, const struct subject *subject, const xmlNode *fuse, const char *rule,
                          const char *text)
{
    struct drawing *drawing = mutant_start(corpus, subject);
    const char *ref = said(fuse, "ref");

    mark(drawing_piece(drawing, ref), text);
    try_untold(corpus, subject, drawing, rule, ref, mutant_text(corpus, "%s: \"%s\"", ref, text));
}

static const char *speed_of(const xmlNode *fuse)
{
    const char *speed = said(fuse, "characteristic");

    return speed != NULL && strstr(speed, "quick") != NULL ? "F" : "T";
}

/* ---- bypassed, unmarked ---- */

static void bypass(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++) {
        const char *ref = said(*fuse, "ref"),
                   *ends = mutant_text(corpus, "%s %s", said(*fuse, "from"), said(*fuse, "to"));
        struct drawing *drawing = mutant_start(corpus, subject);
        struct mutant mutant = {.rule = "fuse-bypassed", .object = ref, .drawing = drawing, .bare = true};
        struct piece *piece = drawing_piece(drawing, ref);

        ends = mutant_text(corpus, "%s %s", said(*fuse, "from"), said(*fuse, "to"));
        if (strcmp(piece->pins[0].net, "0") == 0)
            drawing_join(drawing, piece->pins[0].net, piece->pins[1].net);
        else
            drawing_join(drawing, piece->pins[1].net, piece->pins[0].net);
        mutant.change = mutant_text(corpus, "wire across %s", ref);
        mutant_try(corpus, subject, &mutant);
        mutant.bare = false;
        for (unsigned with = 0; with < 3; with++) {
            mutant.drawing = drawing = mutant_start(corpus, subject);
            ends = mutant_text(corpus, "%s %s", said(*fuse, "from"), said(*fuse, "to"));
            if (with == 0)
                piece_set_field(drawing_add(drawing, "S", "SW_SPST", "service", ends), "state", "closed");
            else if (with == 1)
                drawing_add(drawing, "R", NULL, "0R01", ends);
            else
                mark(drawing_add(drawing, "F", "Fuse", NULL, ends), said(*fuse, "marking"));
            mutant.change = mutant_text(corpus, "%s across %s",
                                        with == 0   ? "closed switch"
                                        : with == 1 ? "resistor of 0.01 ohm"
                                                    : "second fuse",
                                        ref);
            mutant_try(corpus, subject, &mutant);
        }
    }
}

static void unmark(struct corpus *corpus, const struct subject *subject)
{
    static const char *const unclear[] = {"250V", "blue", "see sheet", "T?A"};

    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *piece = drawing_piece(drawing, said(*fuse, "ref"));

        piece_set_field(piece, "rating", NULL);
        piece->value = NULL;
        try_untold(corpus, subject, drawing, "fuse-marking-unknown", said(*fuse, "ref"),
                   mutant_text(corpus, "%s without marking", said(*fuse, "ref")));
        for (size_t i = 0; i < sizeof unclear / sizeof *unclear; i++)
            remark_untold(corpus, subject, *fuse, "fuse-marking-unknown", unclear[i]);
    }
}

/* ---- ratings ---- */

/* The largest current through the fuse in any short in the sound circuit, A RMS; NAN: none computed. */
static double largest_short(const struct subject *subject, const char *ref)
{
    double largest = NAN;

    for (xmlNode **through = subject_nodes(subject, "/facts/fault[@kind='short']/through[@fuse='%s']", ref);
         *through != NULL; through++)
        largest = fmax(largest, said_number(*through, "amps"));
    /* The link's own resistance limits that; a short ahead of it is not limited so. */
    largest = fmax(
        largest, subject_number(
                     subject, "number(/facts/rail[@id=/facts/fuse[@ref='%s']/protects/@rail]/@bare-short-amps)", ref));
    return largest;
}

/* A rating, where a rail is behind it, the least opening current of which (2.1 times it, IEC 60127-2) is above all that
 * any short drives. */
static void oversize(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++) {
        double most = largest_short(subject, said(*fuse, "ref")), rating = preferred(1.2 * most / 2.1, false);

        /* Larger links than 20 A of this standard are not made. */
        for (int i = 0; !isnan(most) && !is_placed(*fuse, "mains") && i < 3 && rating <= 20;
             i++, rating = preferred(rating * 1.2, false))
            remark(corpus, subject, *fuse, "fuse-oversized", marking(corpus, "T", rating, "H250V"));
    }
}

static void undersize(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++) {
        double idle = said_number(*fuse, "idle-amps"), rating = preferred(idle * 0.8, true);

        for (int i = 0; idle * 0.8 >= 0.032 && i < 3 && rating >= 0.032; i++, rating = preferred(rating * 0.85, true)) {
            remark(corpus, subject, *fuse, "fuse-undersized", marking(corpus, speed_of(*fuse), rating, "H250V"));
            if (rating <= 0.032)
                break;
        }
    }
}

static void mismark(struct corpus *corpus, const struct subject *subject)
{
    static const double odd[] = {0.17, 0.33, 0.55, 0.92, 1.1, 1.9, 2.7, 5.5, 7.2};

    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++)
        for (size_t i = 0; i < sizeof odd / sizeof *odd; i++)
            if (fabs(log(odd[i] / said_number(*fuse, "rated-amps"))) < 0.6)
                remark(corpus, subject, *fuse, "fuse-rating-not-preferred",
                       marking(corpus, speed_of(*fuse), odd[i], "H250V"));
}

/* ---- speed ---- */

/* Ahead of a reservoir of 10 uF and more with nothing between, or of heaters. */
static bool meets_surge(const struct subject *subject, const xmlNode *fuse)
{
    if (is_placed(fuse, "mains") || is_placed(fuse, "winding"))
        return true;
    return subject_number(subject,
                          "count(/facts/part[@kind='capacitor' and figure[@name='farads' and @value>=0.00001] and "
                          "(pin/@net='%s' or pin/@net='%s')])",
                          said(fuse, "from"), said(fuse, "to")) > 0 &&
           subject_number(subject,
                          "count(/facts/part[(@kind='diode' or @kind='bridge' or @kind='rectifier-valve') and "
                          "(pin/@net='%s' or pin/@net='%s')])",
                          said(fuse, "from"), said(fuse, "to")) > 0 &&
           subject_number(
               subject,
               "count(/facts/part[@kind='capacitor' and figure[@name='farads' and @value>=0.00001] and "
               "pin/@net=/facts/part[@kind='diode' or @kind='bridge' or @kind='rectifier-valve']/pin/@net and "
               "(pin/@net='%s' or pin/@net='%s')])",
               said(fuse, "from"), said(fuse, "to")) == 0;
}

static void quicken(struct corpus *corpus, const struct subject *subject)
{
    static const char *const speeds[] = {"F", "FF"};

    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++)
        for (size_t i = 0; meets_surge(subject, *fuse) && i < 2; i++)
            remark(corpus, subject, *fuse, "fuse-not-time-lag",
                   marking(corpus, speeds[i], said_number(*fuse, "rated-amps"), "H250V"));
}

/* A link that carries the normal current, and of which makers print that less than a third of the pulse melts it. */
static void pulse(struct corpus *corpus, const struct subject *subject)
{
    size_t count;
    const double *list = rating_list(RATING_R10, &count);

    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++)
        for (size_t i = 0; i < count; i++) {
            const char *text = marking(corpus, "F", list[i], "L250V");
            struct marking link;
            double low, high, least = fmax(said_number(*fuse, "idle-amps"), said_number(*fuse, "full-amps"));

            if (list[i] > 1.5 * least && marking_parse(text, &link) && marking_melting_i2t(&link, &low, &high) &&
                said_number(*fuse, "switch-on-i2t") > 3 * high)
                remark(corpus, subject, *fuse, "fuse-nuisance-at-switch-on", text);
        }
}

/* ---- volts, breaking capacity ---- */

static void lower_volts(struct corpus *corpus, const struct subject *subject)
{
    static const double rated[] = {32, 63, 125, 250};

    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++) {
        double breaks = said_number(*fuse, "breaks-volts");

        for (size_t i = 0; i < 4; i++)
            if (breaks > rated[i])
                remark(corpus, subject, *fuse, "fuse-volts-below-circuit",
                       marking(corpus, speed_of(*fuse), said_number(*fuse, "rated-amps"),
                               mutant_text(corpus, "H%gV", rated[i])));
        if (breaks > 32)
            remark_untold(corpus, subject, *fuse, "fuse-volts-below-circuit", "1/2 A slo-blo");
    }
}

/* Direct volts above half of what the link is rated for with alternating current, and not above it. */
static void lean_on_alternating(struct corpus *corpus, const struct subject *subject)
{
    static const double rated[] = {32, 63, 125, 250, 500};

    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++)
        for (size_t i = 0; i < sizeof rated / sizeof *rated; i++) {
            double breaks = said_number(*fuse, "breaks-volts");

            if (said(*fuse, "breaks-current") != NULL && strcmp(said(*fuse, "breaks-current"), "direct") == 0 &&
                breaks > 0.55 * rated[i] && breaks < 0.95 * rated[i])
                remark(corpus, subject, *fuse, "fuse-ac-rating-on-dc",
                       marking(corpus, speed_of(*fuse), said_number(*fuse, "rated-amps"),
                               mutant_text(corpus, "H%gV", rated[i])));
        }
}

/* L: 35 A or ten times the rating, whichever is more (IEC 60127-2 sheets 2 and 3). */
static void lower_breaking(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++) {
        double amps = said_number(*fuse, "rated-amps"), breaks = fmax(35, 10 * amps);
        const char *low = marking(corpus, "F", amps, "L250V");

        if (is_placed(*fuse, "mains") || said_number(*fuse, "prospective-amps") > breaks)
            remark(corpus, subject, *fuse, "fuse-breaking-capacity-low", low);
        else if (isnan(said_number(*fuse, "prospective-amps")))
            remark_untold(corpus, subject, *fuse, "fuse-breaking-capacity-low", mutant_text(corpus, "%s", low));
    }
}

/* ---- what is in the holder ---- */

static void fit(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **fuse = fuses(subject); *fuse != NULL; fuse++) {
        double amps = said_number(*fuse, "rated-amps");
        const char *ref = said(*fuse, "ref");

        for (unsigned i = 0; i < 6; i++) {
            struct drawing *drawing = mutant_start(corpus, subject);
            const char *fitted = i == 0   ? marking(corpus, speed_of(*fuse), preferred(2 * amps, false), "H250V")
                                 : i == 1 ? marking(corpus, speed_of(*fuse), preferred(6 * amps, false), "H250V")
                                 : i == 2 ? marking(corpus, speed_of(*fuse), preferred(0.5 * amps, true), "H250V")
                                 : i == 3 ? marking(corpus, speed_of(*fuse)[0] == 'T' ? "F" : "T", amps, "H250V")
                                 : i == 4 ? marking(corpus, speed_of(*fuse), amps, "L250V")
                                          : marking(corpus, speed_of(*fuse), amps, "H125V");
            /* That is what is drawn already. */
            bool same = i == 4 && said_number(*fuse, "breaking-amps") <= fmax(35, 10 * amps);
            struct mutant mutant = {.rule = "fuse-fitted-differs", .object = ref, .drawing = drawing};

            mutant.bench = mutant_text(corpus, "fitted part=%s marking=%s\n", ref, fitted);
            mutant.change = mutant_text(corpus, "%s fitted as %s", fitted, ref);
            if (!same)
                mutant_try(corpus, subject, &mutant);
        }
    }
}

const struct hazard fuse_hazards[] = {
    {"fuse-bypassed", bypass},
    {"fuse-marking-unknown", unmark},
    {"fuse-oversized", oversize},
    {"fuse-undersized", undersize},
    {"fuse-rating-not-preferred", mismark},
    {"fuse-not-time-lag", quicken},
    {"fuse-nuisance-at-switch-on", pulse},
    {"fuse-volts-below-circuit", lower_volts},
    {"fuse-ac-rating-on-dc", lean_on_alternating},
    {"fuse-breaking-capacity-low", lower_breaking},
    {"fuse-fitted-differs", fit},
    {NULL, NULL},
};
