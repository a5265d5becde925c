/* What can be wrong on the mains side. */
#include <string.h>

#include "mutants/mutants.h"

/* The inlet; NULL: there is none, or not both conductors of it. */
static const char *inlet_of(const struct subject *subject)
{
    xmlNode **mains = subject_nodes(subject, "/facts/mains[@part]");
    const char *inlet = mains[0] != NULL ? said(mains[0], "part") : NULL;

    if (inlet == NULL || net_of(subject, inlet, "live", 0) == NULL || net_of(subject, inlet, "neutral", 0) == NULL)
        return NULL;
    return inlet;
}

/* Mains fuses in the live. */
static xmlNode **mains_fuses(const struct subject *subject)
{
    return subject_nodes(subject, "/facts/fuse[@placement='mains']");
}

/* ---- fuses and switches ---- */

static void unfuse_live(struct corpus *corpus, const struct subject *subject)
{
    const char *inlet = inlet_of(subject);
    const char *loads[] = {"10k", "470R", "2k2"};

    for (xmlNode **fuse = mains_fuses(subject); inlet != NULL && *fuse != NULL; fuse++) {
        struct drawing *drawing = mutant_start(corpus, subject);

        bridge_over(drawing, said(*fuse, "ref"));
        try_mutant(corpus, subject, drawing, "live-unfused", inlet,
                   mutant_text(corpus, "%s taken out", said(*fuse, "ref")));
        drawing = mutant_start(corpus, subject);
        bridge_over(drawing, said(*fuse, "ref"));
        piece_set_field(put_in_series(drawing, drawing_piece(drawing, inlet), pin_of(subject, inlet, "neutral", 0), "F",
                                      "Fuse", NULL),
                        "rating", said(*fuse, "marking"));
        try_mutant(corpus, subject, drawing, "live-unfused", inlet,
                   mutant_text(corpus, "%s moved to neutral", said(*fuse, "ref")));
        for (size_t i = 0; i < 3; i++) {
            drawing = mutant_start(corpus, subject);
            piece_set_field(drawing_add(drawing, "R", NULL, loads[i],
                                        mutant_text(corpus, "%s %s", net_of(subject, inlet, "live", 0),
                                                    net_of(subject, inlet, "neutral", 0))),
                            "power", "150W");
            try_mutant(corpus, subject, drawing, "live-unfused", inlet,
                       mutant_text(corpus, "load of %s ahead of the fuse", loads[i]));
        }
    }
}

static void fuse_both(struct corpus *corpus, const struct subject *subject)
{
    static const char *const markings[] = {"T2AH250V", "T3.15AH250V", "T4AH250V"};
    const char *inlet = inlet_of(subject);

    for (size_t i = 0; inlet != NULL && i < 3; i++) {
        struct drawing *drawing = mutant_start(corpus, subject);

        piece_set_field(put_in_series(drawing, drawing_piece(drawing, inlet), pin_of(subject, inlet, "neutral", 0), "F",
                                      "Fuse", NULL),
                        "rating", markings[i]);
        try_mutant(corpus, subject, drawing, "fuse-in-both-conductors", inlet,
                   mutant_text(corpus, "%s put into the neutral", markings[i]));
    }
}

static void break_earth(struct corpus *corpus, const struct subject *subject)
{
    static const char *const markings[] = {"T1AH250V", "F3.15AL250V", "T10AH250V"};
    const char *inlet = inlet_of(subject), *earth = inlet != NULL ? pin_of(subject, inlet, "earth", 0) : NULL;

    for (size_t i = 0; earth != NULL && i < 3; i++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *fuse = put_in_series(drawing, drawing_piece(drawing, inlet), earth, "F", "Fuse", NULL);

        piece_set_field(fuse, "rating", markings[i]);
        try_mutant(corpus, subject, drawing, "fuse-in-protective-earth", fuse->ref,
                   mutant_text(corpus, "%s put into the earth", markings[i]));
    }
    for (size_t i = 0; earth != NULL && i < 2; i++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *toggle = put_in_series(drawing, drawing_piece(drawing, inlet), earth, "S", "SW_SPST", "lift");

        piece_set_field(toggle, "state", i == 0 ? "closed" : "open");
        try_mutant(corpus, subject, drawing, "switch-in-protective-earth", inlet,
                   mutant_text(corpus, "switch put into the earth, %s", piece_field(toggle, "state")));
    }
}

static void lift_case(struct corpus *corpus, const struct subject *subject)
{
    static const char *const resistances[] = {"10R", "47R", "470R", "100k"};
    const char *inlet = inlet_of(subject), *earth = inlet != NULL ? pin_of(subject, inlet, "earth", 0) : NULL;
    struct drawing *drawing;

    for (size_t i = 0; earth != NULL && i < 4; i++) {
        drawing = mutant_start(corpus, subject);
        put_in_series(drawing, drawing_piece(drawing, inlet), earth, "R", NULL, resistances[i]);
        try_mutant(corpus, subject, drawing, "chassis-not-earthed", inlet,
                   mutant_text(corpus, "%s in the earth", resistances[i]));
    }
    if (earth == NULL)
        return;
    drawing = mutant_start(corpus, subject);
    put_in_series(drawing, drawing_piece(drawing, inlet), earth, "C", NULL, "100n");
    try_mutant(corpus, subject, drawing, "chassis-not-earthed", inlet, "capacitor in the earth");
    drawing = mutant_start(corpus, subject);
    put_in_series(drawing, drawing_piece(drawing, inlet), earth, "D", NULL, "1N4007");
    try_mutant(corpus, subject, drawing, "chassis-not-earthed", inlet, "diode in the earth");
    drawing = mutant_start(corpus, subject);
    drawing_cut(drawing, drawing_piece(drawing, inlet), earth);
    try_mutant(corpus, subject, drawing, "chassis-not-earthed", inlet, "earth pin on a net of its own");
}

static void take_earth_pin(struct corpus *corpus, const struct subject *subject)
{
    const char *inlet = inlet_of(subject), *earth = inlet != NULL ? pin_of(subject, inlet, "earth", 0) : NULL;
    static const char *const sheets[] = {"C8", "C18"};

    for (size_t i = 0; earth != NULL && i < 2; i++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *piece = drawing_piece(drawing, inlet);
        struct piece_pin *pin = piece_pin(piece, earth);

        piece->symbol = mutant_text(corpus, "Inlet_%s", sheets[i]);
        piece->value = sheets[i];
        *pin = piece->pins[--piece->pin_count];
        try_mutant(corpus, subject, drawing, "inlet-without-earth", inlet, mutant_text(corpus, "inlet %s", sheets[i]));
    }
}

/* The mains switch with a pole in the net; its pins in that pole by the number of the unit. */
static xmlNode **mains_switches(const struct subject *subject)
{
    return subject_nodes(subject, "/facts/part[@kind='switch' and pin/@net=/facts/net[@role='live']/@name and "
                                  "pin/@net=/facts/net[@role='neutral']/@name]");
}

static void bridge_pole(struct corpus *corpus, const struct subject *subject)
{
    const char *inlet = inlet_of(subject);

    for (xmlNode **toggle = mains_switches(subject); inlet != NULL && *toggle != NULL; toggle++)
        for (unsigned poles = 1; poles <= 3; poles++) {
            struct drawing *drawing = mutant_start(corpus, subject);
            const char *ref = said(*toggle, "ref");

            for (unsigned unit = 0; unit < 2; unit++)
                if (poles & (1u << unit))
                    drawing_join(drawing, net_of(subject, ref, "pole", unit), net_of(subject, ref, "throw", unit));
            try_mutant(corpus, subject, drawing, "switch-single-pole", inlet,
                       mutant_text(corpus, "%s: %s bridged", ref,
                                   poles == 3   ? "both poles"
                                   : poles == 1 ? "first pole"
                                                : "second pole"));
        }
}

static void swap_switch_and_fuse(struct corpus *corpus, const struct subject *subject)
{
    const char *inlet = inlet_of(subject);

    for (xmlNode **toggle = mains_switches(subject); inlet != NULL && *toggle != NULL; toggle++)
        for (xmlNode **fuse = mains_fuses(subject); *fuse != NULL; fuse++) {
            struct drawing *drawing = mutant_start(corpus, subject);
            const char *ref = said(*toggle, "ref"), *from = net_of(subject, ref, "pole", 0), *live;
            struct piece *link = drawing_piece(drawing, said(*fuse, "ref")), *pole = drawing_piece(drawing, ref);

            if (!piece_is_on(link, from))
                continue;
            live = piece_other(link, from);
            piece_pin(pole, pin_of(subject, ref, "pole", 0))->net = live;
            for (size_t i = 0; i < 2; i++)
                link->pins[i].net = i == 0 ? from : net_of(subject, ref, "throw", 0);
            piece_pin(pole, pin_of(subject, ref, "throw", 0))->net = from;
            try_mutant(corpus, subject, drawing, "fuse-behind-switch", inlet,
                       mutant_text(corpus, "%s ahead of %s", ref, link->ref));
        }
}

static void outgrow_inlet(struct corpus *corpus, const struct subject *subject)
{
    static const char *const larger[] = {"T12.5AH250V", "T16AH250V", "T20AH250V"}, *const untold[] = {"T3.15AH250V",
                                                                                                      "T5AH250V"};
    const char *inlet = inlet_of(subject);

    for (xmlNode **fuse = mains_fuses(subject); inlet != NULL && *fuse != NULL; fuse++) {
        for (size_t i = 0; i < 3; i++) {
            struct drawing *drawing = mutant_start(corpus, subject);

            mark(drawing_piece(drawing, said(*fuse, "ref")), larger[i]);
            try_mutant(corpus, subject, drawing, "fuse-above-inlet", inlet,
                       mutant_text(corpus, "%s: %s", said(*fuse, "ref"), larger[i]));
        }
        for (size_t i = 0; i < 2; i++) {
            struct drawing *drawing = mutant_start(corpus, subject);

            mark(drawing_piece(drawing, said(*fuse, "ref")), untold[i]);
            drawing_piece(drawing, inlet)->value = "mains";
            drawing_piece(drawing, inlet)->symbol = "Mains_Inlet";
            try_untold(corpus, subject, drawing, "fuse-above-inlet", inlet,
                       mutant_text(corpus, "sheet of the inlet not told, %s: %s", said(*fuse, "ref"), untold[i]));
        }
    }
}

static void lose_mains(struct corpus *corpus, const struct subject *subject)
{
    const char *inlet = inlet_of(subject);
    struct drawing *drawing;
    struct mutant mutant = {.rule = "no-mains-section", .unverified = true, .bare = true};

    if (inlet == NULL)
        return;
    mutant.drawing = drawing = mutant_start(corpus, subject);
    drawing_remove(drawing, inlet);
    mutant.change = "inlet taken away";
    mutant_try(corpus, subject, &mutant);
    mutant.drawing = drawing = mutant_start(corpus, subject);
    drawing_remove(drawing, inlet);
    for (xmlNode **fuse = mains_fuses(subject); *fuse != NULL; fuse++)
        drawing_remove(drawing, said(*fuse, "ref"));
    for (xmlNode **toggle = mains_switches(subject); *toggle != NULL; toggle++)
        drawing_remove(drawing, said(*toggle, "ref"));
    mutant.change = "inlet, mains fuse and switch taken away";
    mutant_try(corpus, subject, &mutant);
}

/* ---- capacitors ---- */

static void put_across(struct corpus *corpus, const struct subject *subject, const char *live, const char *neutral)
{
    struct drawing *drawing = mutant_start(corpus, subject);
    struct piece *part = drawing_add(drawing, "C", NULL, "100n", mutant_text(corpus, "%s %s", live, neutral));

    piece_set_field(part, "voltage", "630V");
    try_mutant(corpus, subject, drawing, "capacitor-across-line-not-x", part->ref,
               mutant_text(corpus, "ordinary capacitor from %s to %s", live, neutral));
    drawing = mutant_start(corpus, subject);
    part = drawing_add(drawing, "C", NULL, "47n", mutant_text(corpus, "%s %s", live, neutral));
    try_untold(corpus, subject, drawing, "capacitor-across-line-not-x", part->ref,
               mutant_text(corpus, "capacitor without a class from %s to %s", live, neutral));
}

static void cross_line(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **live = subject_nodes(subject, "/facts/net[@role='live']"); *live != NULL; live++)
        for (xmlNode **neutral = subject_nodes(subject, "/facts/net[@role='neutral']"); *neutral != NULL; neutral++)
            if (inlet_of(subject) != NULL)
                put_across(corpus, subject, said(*live, "name"), said(*neutral, "name"));
}

static void reach_case(struct corpus *corpus, const struct subject *subject)
{
    const char *inlet = inlet_of(subject), *earth = inlet != NULL ? net_of(subject, inlet, "earth", 0) : NULL;
    xmlNode **line = subject_nodes(subject, "/facts/net[@role='live' or @role='neutral']");

    for (; earth != NULL && *line != NULL; line++)
        for (unsigned told = 0; told < 2; told++) {
            struct drawing *drawing = mutant_start(corpus, subject);
            struct piece *part =
                drawing_add(drawing, "C", NULL, "4n7", mutant_text(corpus, "%s %s", said(*line, "name"), earth));

            piece_set_field(part, "class", told ? "X2" : NULL);
            (told ? try_mutant
                  : try_untold)(corpus, subject, drawing, "capacitor-line-to-chassis", part->ref,
                                mutant_text(corpus, "%s from %s to the case",
                                            told ? "class X2" : "capacitor without a class", said(*line, "name")));
        }
}

/* Ahead of the switch nothing discharges the capacitor; behind it the primary does. */
static void hold_charge(struct corpus *corpus, const struct subject *subject)
{
    static const char *const sizes[] = {"220n", "470n", "1u"};
    const char *inlet = inlet_of(subject), *live;

    for (size_t i = 0; inlet != NULL && i < 6; i++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        xmlNode **toggle = mains_switches(subject);
        const char *neutral = net_of(subject, inlet, "neutral", 0);
        struct piece *part;

        live = net_of(subject, inlet, "live", 0);
        if (i % 2 == 1 && *toggle != NULL)
            live = net_of(subject, said(*toggle, "ref"), "pole", 0);
        part = drawing_add(drawing, "C", NULL, sizes[i / 2], mutant_text(corpus, "%s %s", live, neutral));
        piece_set_field(part, "class", "X2");
        if (i >= 4)
            drawing_add(drawing, "R", NULL, "10MEG", mutant_text(corpus, "%s %s", live, neutral));
        try_mutant(
            corpus, subject, drawing, "capacitor-x-undischarged", part->ref,
            mutant_text(corpus, "%s from %s to %s%s", sizes[i / 2], live, neutral, i >= 4 ? " with 10 Mohm" : ""));
    }
}

const struct hazard mains_hazards[] = {
    {"live-unfused", unfuse_live},
    {"fuse-in-both-conductors", fuse_both},
    {"fuse-in-protective-earth", break_earth},
    {"chassis-not-earthed", lift_case},
    {"inlet-without-earth", take_earth_pin},
    {"switch-single-pole", bridge_pole},
    {"fuse-behind-switch", swap_switch_and_fuse},
    {"fuse-above-inlet", outgrow_inlet},
    {"no-mains-section", lose_mains},
    {"capacitor-across-line-not-x", cross_line},
    {"capacitor-line-to-chassis", reach_case},
    {"capacitor-x-undischarged", hold_charge},
    {NULL, NULL},
};
