/* Hazards that show once something has failed: a fuse that opens and makes things worse, a short that nothing ends. */
#include "mutants/mutants.h"

#include <math.h>
#include <string.h>

/* Links of time-lag type to choose from, A (IEC 60127-2 sheet 5 and the R10 and R20 ratings of sheet 3). */
static const double ratings[] = {0.1, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10};

static double not_below(double amps)
{
    for (size_t i = 0; i < sizeof ratings / sizeof *ratings; i++)
        if (ratings[i] >= amps)
            return ratings[i];
    return NAN;
}

/* A shorted diode that one fuse ends: with a link there that need not open, the winding goes on with more than twice what it is
 * made for. */
static void enlarge_link(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **fault = subject_nodes(subject, "/facts/fault[@site='diode' and @outcome='cleared' and @stages=1 and "
                                                  "count(through)>0]");
         *fault != NULL; fault++) {
        const char *opener = said(*fault, "opened-by"), *part = said(*fault, "parts");
        double rated = subject_number(subject,
                                      "number(/facts/source[@id=/facts/rectifier[contains(concat(' ',@parts,' '),' %s ')]/@source]"
                                      "/@rated-amps)",
                                      part);
        double amps = subject_number(subject, "number(/facts/fault[@id='%s']/through[@fuse='%s']/@amps)", said(*fault, "id"), opener);
        double rating = not_below(amps / 1.9), short_amps = said_number(*fault, "amps");
        struct drawing *drawing;
        struct piece *link;

        /* The short's own current is the winding's; 2.5 times what it is made for leaves room for what the other links see. */
        if (isnan(rated) || isnan(rating) || !(short_amps > 2.5 * rated) ||
            subject_number(subject, "count(/facts/fault[@id='%s']/through[@opens-by])", said(*fault, "id")) > 1)
            continue;
        drawing = mutant_start(corpus, subject);
        link = drawing_piece(drawing, opener);
        if (link == NULL)
            continue;
        piece_set_field(link, "rating", mutant_text(corpus, rating < 1 ? "T%.0fmAH250V" : "T%.3gAH250V", rating < 1 ? 1000 * rating : rating));
        try_mutant(corpus, subject, drawing, "fault-uncleared", said(*fault, "id"),
                   mutant_text(corpus, "%s: %g A", opener, rating));
    }
}

/* The reservoir behind the link goes before it; its bleed stays behind. */
static void strand(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **fuse = subject_nodes(subject, "/facts/fuse[@known='yes' and @from=/facts/rail[@rectifier and "
                                                 "@negative='no' and @volts>60]/@output and not(@from=/facts/rail/node[@farads]/@net)]");
         *fuse != NULL; fuse++) {
        const char *from = said(*fuse, "from"), *to = said(*fuse, "to");

        for (xmlNode **part = subject_nodes(subject, "/facts/part[@kind='capacitor' and pin/@net='%s' and pin/@net=/facts/rail"
                                                     "[@output='%s' and node[@net='%s' and number(@farads)>=1e-5]]/@return]",
                                            to, from, to);
             *part != NULL; part++) {
            struct drawing *drawing = mutant_start(corpus, subject);
            struct piece *piece = drawing_piece(drawing, said(*part, "ref"));

            for (size_t i = 0; piece != NULL && i < piece->pin_count; i++)
                if (piece->pins[i].net != NULL && strcmp(piece->pins[i].net, to) == 0)
                    piece->pins[i].net = from;
            if (piece == NULL || subject_number(subject, "count(/facts/part[@kind='resistor' and pin/@net='%s'])", from) > 0)
                continue;
            try_mutant(corpus, subject, drawing, "capacitor-stranded-by-fuse", mutant_text(corpus, "open-%s", said(*fuse, "ref")),
                       mutant_text(corpus, "%s before %s", piece->ref, said(*fuse, "ref")));
        }
    }
}

/* A fuse in the bias supply of valves at fixed bias, whose HT does not go through it. */
static void fuse_bias(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **rail = subject_nodes(subject, "/facts/rail[@id=/facts/section[@output-valve='yes']/@bias-rail]");
         *rail != NULL; rail++)
        for (xmlNode **part = subject_nodes(subject,
                                            "/facts/part[@kind='diode' and pin/@net=/facts/rail[@id='%s']/node/@net and "
                                            "not(pin/@net='%s')]",
                                            said(*rail, "id"), said(*rail, "return"));
             *part != NULL; part++)
            for (int pin = 0; pin < 2; pin++) {
                struct drawing *drawing = mutant_start(corpus, subject);
                struct piece *diode = drawing_piece(drawing, said(*part, "ref")), *fuse;
                const char *net, *cut;

                if (diode == NULL || diode->pin_count != 2)
                    continue;
                net = diode->pins[pin].net;
                cut = drawing_cut(drawing, diode, diode->pins[pin].number);
                fuse = drawing_add(drawing, "F", "Fuse", NULL, mutant_text(corpus, "%s %s", net, cut));
                piece_set_field(fuse, "rating", "T100mAH250V");
                try_mutant(corpus, subject, drawing, "bias-lost-with-ht", mutant_text(corpus, "open-%s", fuse->ref),
                           mutant_text(corpus, "fuse before %s, pin %d", diode->ref, pin + 1));
            }
}

/* Where one fuse feeds every heater, none of them a rectifier's, and the rail rises without a load: a reservoir made for less than that. */
static void lower_volts(struct corpus *corpus, const struct subject *subject)
{
    xmlNode **fuse = subject_nodes(subject, "/facts/fuse[@known='yes' and protects[@coverage='full' and not(@upstream='yes') and "
                                            "@net=/facts/net[@role='heater']/@name]]");

    if (fuse[0] == NULL || fuse[1] != NULL || subject_number(subject, "count(/facts/rectifier/valve)") > 0 || subject_number(subject, "count(/facts/fault[@id='open-%s'])", said(fuse[0], "ref")) == 0)
        return;
    for (xmlNode **rail = subject_nodes(subject, "/facts/rail[@rectifier and @negative='no' and @no-load-high-volts and "
                                                 "number(@volts)>60]");
         *rail != NULL; rail++) {
        double idle = said_number(*rail, "volts"), free = said_number(*rail, "no-load-high-volts") / 1.1;

        if (!(free > 1.05 * idle))
            continue;
        for (xmlNode **part = subject_nodes(subject, "/facts/part[@kind='capacitor' and pin/@net='%s' and pin/@net='%s']",
                                            said(*rail, "name"), said(*rail, "return"));
             *part != NULL; part++) {
            struct drawing *drawing = mutant_start(corpus, subject);

            piece_set_field(drawing_piece(drawing, said(*part, "ref")), "voltage", mutant_text(corpus, "%.4gV", sqrt(idle * free)));
            try_mutant(corpus, subject, drawing, "heaters-lost-volts-rise", mutant_text(corpus, "open-%s", said(fuse[0], "ref")),
                       mutant_text(corpus, "%s for %.4g V", said(*part, "ref"), sqrt(idle * free)));
        }
    }
}

const struct hazard failure_hazards[] = {
    {"fault-uncleared", enlarge_link},
    {"capacitor-stranded-by-fuse", strand},
    {"bias-lost-with-ht", fuse_bias},
    {"heaters-lost-volts-rise", lower_volts},
    {NULL, NULL},
};
