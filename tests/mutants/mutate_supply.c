/* What can be wrong between winding and rail. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "mutants/mutants.h"

/* Fuses of rails: what is neither on the mains side nor a feed. */
static xmlNode **own_fuses(const struct subject *subject)
{
    return subject_nodes(subject, "/facts/fuse[@known='yes' and @placement!='mains']");
}

/* The net of a rail that SHORTED stands for in findings: the last one that the fuse protects. */
static const char *protected_net(const struct subject *subject, const char *fuse)
{
    xmlNode **nets = subject_nodes(subject,
                                   "/facts/fuse[@ref='%s']/protects[@coverage='full' and not(@upstream='yes') and "
                                   "@net=/facts/rail/node/@net]",
                                   fuse);

    return nets[0] != NULL ? said(nets[0], "net") : NULL;
}

/* ---- protection ---- */

/* Without its own and the mains fuse a rail has none at all; without its own alone, the mains fuse has to see the
 * short: where that carries less than its least opening current (2.1 times its rating), a finding is due. */
static void unprotect(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **fuse = own_fuses(subject); *fuse != NULL; fuse++) {
        const char *ref = said(*fuse, "ref"), *net = protected_net(subject, ref);
        xmlNode **mains = subject_nodes(subject, "/facts/fuse[@placement='mains']");
        const char *object;
        struct drawing *drawing;

        if (net == NULL || mains[0] == NULL)
            continue;
        /* Of coupled inductors the rail may begin at the winding's own resistance. */
        object = subject_number(subject, "count(/facts/part[@kind='transformer'])") > 0 ? net : NULL;
        drawing = mutant_start(corpus, subject);
        bridge_over(drawing, ref);
        for (xmlNode **link = mains; *link != NULL; link++)
            bridge_over(drawing, said(*link, "ref"));
        if (subject_number(subject, "count(/facts/fuse[@ref!='%s' and protects[@net='%s']])", ref, net) <= 1)
            try_mutant(corpus, subject, drawing, "rail-unprotected", object,
                       mutant_text(corpus, "%s and the mains fuse taken out", ref));
        if (subject_number(subject,
                           "sum(/facts/fault[@kind='short' and through[@fuse='%s']]/through[@fuse='%s']/@amps)", ref,
                           said(mains[0], "ref")) <= 0 ||
            subject_number(subject,
                           "count(/facts/fault[@kind='short' and through[@fuse='%s'] and through[@fuse='%s' and "
                           "@amps >= 2.1 * %g]])",
                           ref, said(mains[0], "ref"), said_number(mains[0], "rated-amps")) > 0)
            continue;
        drawing = mutant_start(corpus, subject);
        bridge_over(drawing, ref);
        if (subject_number(subject, "count(/facts/fuse[@ref!='%s' and protects[@net='%s']])", ref, net) <= 1)
            try_mutant(corpus, subject, drawing, "rail-unprotected", object, mutant_text(corpus, "%s taken out", ref));
    }
}

/* The fuse of a full-wave rail into one leg of its centre-tapped winding. */
static void protect_half(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **rectifier = subject_nodes(
             subject, "/facts/rectifier[contains(@topology,'centre') or contains(@topology,'full-wave')]");
         *rectifier != NULL; rectifier++) {
        /* The pins of the winding that its diodes begin at. */
        xmlNode **anodes =
            subject_nodes(subject,
                          "/facts/part[@kind='transformer']/pin[@net!='0' and @net=/facts/part[contains(concat(' "
                          "','%s',' '),concat(' ',@ref,' '))]/pin[@role='anode']/@net]",
                          said(*rectifier, "parts"));

        for (xmlNode **anode = anodes; *anode != NULL; anode++)
            for (xmlNode **fuse = own_fuses(subject); *fuse != NULL; fuse++) {
                const char *ref = said(*fuse, "ref"), *net = protected_net(subject, ref);
                struct drawing *drawing;

                if (net == NULL ||
                    subject_number(subject, "count(/facts/rail[@rectifier='%s' or @id='%s'][node/@net='%s'])",
                                   said(*rectifier, "id"), said(*rectifier, "rail"), net) == 0)
                    continue;
                drawing = mutant_start(corpus, subject);
                bridge_over(drawing, ref);
                mark(put_in_series(drawing, drawing_piece(drawing, said((*anode)->parent, "ref")),
                                   said(*anode, "number"), "F", "Fuse", NULL),
                     said(*fuse, "marking"));
                try_mutant(corpus, subject, drawing, "rail-partly-protected", net,
                           mutant_text(corpus, "%s moved into the leg at pin %s.%s", ref, said((*anode)->parent, "ref"),
                                       said(*anode, "number")));
            }
    }
}

/* ---- rectifiers ---- */

static bool has_word(const char *words, const char *word)
{
    size_t length = strlen(word);

    for (const char *at = words; at != NULL && (at = strstr(at, word)) != NULL; at += length)
        if ((at == words || at[-1] == ' ') && (at[length] == ' ' || at[length] == '\0'))
            return true;
    return false;
}

/* Types by their reverse volts: makers' sheets of the 1N4000 series. */
static const struct {
    const char *type;
    double volts;
} diodes[] = {{"1N4001", 50}, {"1N4002", 100}, {"1N4003", 200}, {"1N4004", 400}, {"1N4005", 600}};

static void weaken_diodes(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **rectifier = subject_nodes(subject, "/facts/rectifier[@high-reverse-volts]"); *rectifier != NULL;
         rectifier++)
        for (xmlNode **part = subject_nodes(subject, "/facts/part[@kind='diode']"); *part != NULL; part++) {
            const char *ref = said(*part, "ref");
            bool strung =
                subject_number(subject, "count(/facts/diode-string[contains(concat(' ',@parts,' '),' %s ')])", ref) > 0;

            if (!has_word(said(*rectifier, "parts"), ref) || strung)
                continue;
            for (size_t i = 0; i < sizeof diodes / sizeof *diodes; i++) {
                struct drawing *drawing = mutant_start(corpus, subject);

                if (said_number(*rectifier, "high-reverse-volts") < 1.1 * diodes[i].volts)
                    continue;
                drawing_piece(drawing, ref)->value = drawing_piece(drawing, ref)->symbol = diodes[i].type;
                try_mutant(corpus, subject, drawing, "rectifier-over-rating", ref,
                           mutant_text(corpus, "%s: %s", ref, diodes[i].type));
            }
        }
}

/* Two diodes of half the volts in the place of one, nothing across them. */
static void string_diodes(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **rectifier = subject_nodes(subject, "/facts/rectifier[@high-reverse-volts]"); *rectifier != NULL;
         rectifier++)
        for (xmlNode **part = subject_nodes(subject, "/facts/part[@kind='diode']"); *part != NULL; part++)
            for (unsigned told = 0; told < 2; told++) {
                const char *ref = said(*part, "ref"), *type = NULL;
                double volts = said_number(*rectifier, "high-reverse-volts");
                struct drawing *drawing = mutant_start(corpus, subject);
                struct piece *piece = drawing_piece(drawing, ref);

                if (!has_word(said(*rectifier, "parts"), ref) ||
                    subject_number(subject, "count(/facts/diode-string[contains(concat(' ',@parts,' '),' %s ')])",
                                   ref) > 0)
                    continue;
                for (size_t i = 0; i < sizeof diodes / sizeof *diodes; i++)
                    if (1.1 * diodes[i].volts < volts && volts < 1.9 * diodes[i].volts)
                        type = diodes[i].type;
                if (told ? type == NULL : volts < 200)
                    continue;
                if (!told)
                    type = "D";
                piece->value = piece->symbol = type;
                put_in_series(drawing, piece, pin_of(subject, ref, "cathode", 0), "D", type, type);
                /* The new one goes the same way. */
                if (strcmp(pin_of(subject, ref, "cathode", 0), "1") == 0) {
                    struct piece *added = drawing->pieces[drawing->count - 1];
                    struct piece_pin first = added->pins[0];

                    added->pins[0].net = added->pins[1].net;
                    added->pins[1].net = first.net;
                }
                (told ? try_mutant : try_untold)(
                    corpus, subject, drawing, "diode-series-without-sharing", ref,
                    mutant_text(corpus, "two %s in the place of %s", told ? type : "diodes of no type", ref));
            }
}

/* Windings that several diodes rectify. */
static void turn_diodes(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **rectifier = subject_nodes(subject, "/facts/rectifier"); *rectifier != NULL; rectifier++)
        for (xmlNode **part = subject_nodes(subject, "/facts/part[@kind='diode']"); *part != NULL; part++) {
            const char *ref = said(*part, "ref"), *parts = said(*rectifier, "parts"),
                       *source = said(*rectifier, "source");
            struct drawing *drawing = mutant_start(corpus, subject);
            struct piece *piece = drawing_piece(drawing, ref);
            const char *net = piece->pins[0].net;

            /* Of two in series the other still blocks. */
            if (!has_word(parts, ref) || strchr(parts, ' ') == NULL || source == NULL ||
                strstr(said(*rectifier, "topology"), "doubler") != NULL ||
                strcmp(said(*rectifier, "topology"), "cascade") == 0 ||
                subject_number(subject, "count(/facts/diode-string[contains(concat(' ',@parts,' '),' %s ')])", ref) > 0)
                continue;
            piece->pins[0].net = piece->pins[1].net;
            piece->pins[1].net = net;
            try_mutant(corpus, subject, drawing, "winding-shorted-by-diodes", source,
                       mutant_text(corpus, "%s turned round", ref));
        }
}

/* One leg of a tapped winding: a diode, or an anode of a valve. */
static void lose_half(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **anode =
             subject_nodes(subject, "/facts/part[@kind='diode' or @kind='rectifier-valve']/pin[@role='anode' and "
                                    "@net=/facts/part[@kind='transformer']/pin/@net]");
         *anode != NULL; anode++) {
        const char *ref = said((*anode)->parent, "ref"), *net = said(*anode, "net");
        bool diode = said((*anode)->parent, "kind")[0] == 'd';
        struct drawing *drawing = mutant_start(corpus, subject);

        /* Nothing else at that end, and another anode at the other. */
        if (drawing_pins_on(drawing, net) != 2 || strcmp(net, "0") == 0 ||
            subject_number(
                subject,
                "count(/facts/rectifier[contains(concat(' ',@parts,' '),' %s ') and contains(@topology,'full-wave')])",
                ref) +
                    subject_number(subject,
                                   "count(/facts/rectifier[contains(concat(' ',@parts,' '),' %s ') and "
                                   "contains(@topology,'centre')])",
                                   ref) ==
                0 ||
            subject_number(subject, "count(/facts/diode-string[contains(concat(' ',@parts,' '),' %s ')])", ref) > 0)
            continue;
        if (diode)
            drawing_remove(drawing, ref);
        else
            drawing_cut(drawing, drawing_piece(drawing, ref), said(*anode, "number"));
        try_mutant(corpus, subject, drawing, "winding-half-unused", net, mutant_text(corpus, "%s off %s", ref, net));
    }
}

/* A tap for half of the mains, and a switch that chooses. */
static void select_volts(struct corpus *corpus, const struct subject *subject)
{
    static const char *const grounds[] = {"115", "120"};

    for (xmlNode **part =
             subject_nodes(subject, "/facts/part[@kind='transformer' and pin/@net=/facts/net[@role='live']/@name]");
         *part != NULL; part++)
        for (size_t i = 0; i < 2; i++) {
            const char *ref = said(*part, "ref"), *field, *at, *tapped, *toggled;
            struct drawing *drawing = mutant_start(corpus, subject);
            struct piece *piece = drawing_piece(drawing, ref), *toggle;
            const char *names[] = {"230", grounds[i]};

            field = piece_field(piece, "windings");
            at = field != NULL ? strstr(field, "primary 1-2 230V") : NULL;
            if (at == NULL)
                continue;
            at += strcspn(at, ";");
            tapped = mutant_text(corpus, "primary 1-%zu-2 %s-0-%dV 10+10R 600mA%s", piece->pin_count + 1, names[1],
                                 230 - atoi(names[1]), at);
            piece_set_field(piece, "windings", tapped);
            toggled = piece_pin(piece, "2")->net;
            piece_pin(piece, "2")->net = "TAP_230";
            piece->pins[piece->pin_count] =
                (struct piece_pin){mutant_text(corpus, "%zu", piece->pin_count + 1), "PT", "TAP_LOW"};
            piece->pin_count++;
            toggle = drawing_add(drawing, "S", "SW_SPDT", "voltage",
                                 mutant_text(corpus, "C:%s A:TAP_230 B:TAP_LOW", toggled));
            try_untold(corpus, subject, drawing, "mains-selector-one-position", toggle->ref,
                       mutant_text(corpus, "selector of 230 and %s V", names[1]));
        }
}

/* Where nothing but diodes is at the winding, nothing is left of the rail. */
static void lose_rectifiers(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **rectifier = subject_nodes(subject, "/facts/rectifier[@source]"); *rectifier != NULL; rectifier++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        char *parts = strdup(said(*rectifier, "parts")), *rest = NULL;

        bool bypassed = false;

        for (char *ref = strtok_r(parts, " ", &rest); ref != NULL; ref = strtok_r(NULL, " ", &rest)) {
            bypassed = bypassed ||
                       subject_number(subject,
                                      "count(/facts/part[@kind='resistor' and "
                                      "pin[@net!='0']/@net=/facts/part[@ref='%s']/pin[@role='anode' or @role='ac' or "
                                      "(@role='cathode' and not(@net=/facts/rail/@output))]/@net])",
                                      ref) > 0;
            drawing_remove(drawing, ref);
        }
        /* Where the winding is a part with pins of its own: coupled inductors go on in the drawing. */
        if (subject_number(subject, "count(/facts/part[@kind='transformer'])") > 0 &&
            subject_number(subject, "count(/facts/rectifier[@source='%s'])", said(*rectifier, "source")) <= 2 &&
            !bypassed && subject_number(subject, "count(/facts/diode-string[@shared='yes'])") == 0 &&
            subject_number(subject, "count(/facts/source[@id='%s' and @kind='winding'])", said(*rectifier, "source")) ==
                1)
            try_untold(corpus, subject, drawing, "rail-not-found",
                       subject_number(subject, "count(/facts/rail[@source!='%s'])", said(*rectifier, "source")) > 0
                           ? said(*rectifier, "source")
                           : NULL,
                       mutant_text(corpus, "%s taken away", said(*rectifier, "parts")));
        free(parts);
    }
}

static void overload_valves(struct corpus *corpus, const struct subject *subject)
{
    static const char *const sizes[] = {"150u", "220u", "470u"};

    for (xmlNode **valve = subject_nodes(subject, "/facts/rectifier/valve"); *valve != NULL; valve++) {
        const char *ref = said(*valve, "part"), *cathode = net_of(subject, ref, "cathode", 0);
        struct drawing *drawing;

        for (xmlNode **part = subject_nodes(subject, "/facts/part[@kind='capacitor' and pin/@net='%s']", cathode);
             *part != NULL; part++)
            for (size_t i = 0; i < 3; i++) {
                drawing = mutant_start(corpus, subject);
                drawing_piece(drawing, said(*part, "ref"))->value = sizes[i];
                try_mutant(corpus, subject, drawing, "rectifier-valve-overloaded", ref,
                           mutant_text(corpus, "%s: %s", said(*part, "ref"), sizes[i]));
            }
        drawing = mutant_start(corpus, subject);
        forget_type(drawing_piece(drawing, ref), subject);
        try_untold(corpus, subject, drawing, "rectifier-valve-overloaded", ref,
                   mutant_text(corpus, "type of %s not told", ref));
    }
}

/* ---- reservoirs ---- */

static xmlNode **reservoirs(const struct subject *subject)
{
    return subject_nodes(subject, "/facts/part[@kind='capacitor' and figure[@name='farads' and @value>=0.00001] and "
                                  "stress[@what='working-volts' and @use='idle' and @value>60]]");
}

static void string_capacitors(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **part = reservoirs(subject); *part != NULL; part++)
        for (unsigned told = 0; told < 2; told++) {
            const char *ref = said(*part, "ref");
            double volts = subject_number(
                subject, "number(/facts/part[@ref='%s']/stress[@what='working-volts' and @use='idle']/@value)", ref);
            struct drawing *drawing = mutant_start(corpus, subject);
            struct piece *piece = drawing_piece(drawing, ref), *added;

            if (subject_number(subject, "count(/facts/capacitor-string[contains(concat(' ',@parts,' '),' %s ')])",
                               ref) > 0)
                continue;
            piece_set_field(piece, "voltage", told ? mutant_text(corpus, "%.0fV", 0.7 * volts) : NULL);
            added = put_in_series(drawing, piece, piece->pins[1].number, "C", NULL, piece->value);
            piece_set_field(added, "voltage", piece_field(piece, "voltage"));
            (told ? try_mutant
                  : try_untold)(corpus, subject, drawing, "capacitor-series-without-sharing", ref,
                                mutant_text(corpus, "two in series for %s%s", ref, told ? "" : ", no rating"));
        }
    for (xmlNode **string = subject_nodes(subject, "/facts/capacitor-string[@shared='yes']"); *string != NULL;
         string++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        char *parts = strdup(said(*string, "parts"));
        const char *first;

        parts[strcspn(parts, " ")] = '\0';
        first = mutant_text(corpus, "%s", parts);
        free(parts);
        for (size_t i = 0; i < drawing->count; i++) {
            struct piece *piece = drawing->pieces[i], *like = drawing_piece(drawing, first);

            if (piece->letter == 'R' && piece_is_on(piece, like->pins[0].net) &&
                piece_is_on(piece, like->pins[1].net)) {
                drawing_remove(drawing, piece->ref);
                break;
            }
        }
        piece_set_field(drawing_piece(drawing, first), "voltage", "160V");
        try_mutant(corpus, subject, drawing, "capacitor-series-without-sharing", first,
                   mutant_text(corpus, "no resistor across %s, 160V", first));
    }
}

/* Resistors that alone discharge a rail: both ends on nodes of the supply, and no others do. */
static void stop_bleeding(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **rail =
             subject_nodes(subject, "/facts/rail[@rectifier and node[@farads and (@volts>60 or @volts<-60)]]");
         *rail != NULL; rail++) {
        xmlNode **bleeds = subject_nodes(subject,
                                         "/facts/part[@kind='resistor' and pin/@net='%s' and "
                                         "pin/@net=/facts/rail[@id='%s']/node/@net]",
                                         said(*rail, "return"), said(*rail, "id"));
        struct drawing *drawing = mutant_start(corpus, subject);
        const char *first = bleeds[0] != NULL ? said(bleeds[0], "ref") : NULL;

        for (xmlNode **bleed = bleeds; *bleed != NULL; bleed++)
            drawing_remove(drawing, said(*bleed, "ref"));
        /* Resistors across diodes lead to the winding, and discharge it too. */
        if (subject_number(subject, "count(/facts/diode-string[@shared='yes'])") > 0)
            continue;
        if (first != NULL &&
            subject_number(subject, "count(/facts/rail[@id='%s']/node[@discharges='no'])", said(*rail, "id")) == 0)
            try_mutant(corpus, subject, drawing, "rail-without-bleed", said(*rail, "name"),
                       mutant_text(corpus, "%s taken away", first));
        if (first == NULL)
            continue;
        drawing = mutant_start(corpus, subject);
        for (xmlNode **bleed = bleeds; *bleed != NULL; bleed++)
            drawing_cut(drawing, drawing_piece(drawing, said(*bleed, "ref")), "1");
        try_mutant(corpus, subject, drawing, "rail-without-bleed", said(*rail, "name"),
                   mutant_text(corpus, "%s joined to nothing", first));
    }
}

/* ---- bias, heaters, standby ---- */

static void fuse_bias(struct corpus *corpus, const struct subject *subject)
{
    xmlNode **rails = subject_nodes(subject, "/facts/rail[@id=/facts/section[@output-valve='yes']/@bias-rail]");

    for (; *rails != NULL; rails++) {
        /* What lies in series: a diode, or a resistor that has neither end on the return. */
        xmlNode **parts =
            subject_nodes(subject,
                          "/facts/part[(@kind='diode' or @kind='resistor') and pin/@net='%s' and not(pin/@net='%s')] | "
                          "/facts/part[@kind='resistor' and pin/@net=/facts/part[@kind='diode' and "
                          "pin/@net=/facts/rail[@id='%s']/node/@net]/pin/@net and "
                          "pin/@net=/facts/part[@kind='transformer']/pin/@net]",
                          said(*rails, "output"), said(*rails, "return"), said(*rails, "id"));

        for (; *parts != NULL; parts++)
            for (unsigned pin = 1; pin <= 2; pin++) {
                struct drawing *drawing = mutant_start(corpus, subject);
                struct piece *piece = drawing_piece(drawing, said(*parts, "ref"));
                struct piece *fuse;

                /* Grid leaks are behind the bias supply. */
                if (said(*parts, "kind")[0] == 'r' &&
                    (piece_is_on(piece, said(*rails, "return")) ||
                     subject_number(subject,
                                    "count(/facts/part[@ref='%s']/pin[@net=/facts/part[@kind='transformer']/pin/@net])",
                                    piece->ref) == 0))
                    continue;
                fuse = put_in_series(drawing, piece, pin == 1 ? "1" : "2", "F", "Fuse", NULL);
                mark(fuse, "T100mAH250V");
                try_mutant(corpus, subject, drawing, "bias-fused", fuse->ref,
                           mutant_text(corpus, "fuse at pin %u of %s", pin, piece->ref));
            }
    }
}

static void float_heaters(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **rail = subject_nodes(subject, "/facts/rail[@heats-valves='yes' and @source-kind='winding']");
         *rail != NULL; rail++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        size_t taken = 0;

        for (xmlNode **part = subject_nodes(
                 subject,
                 "/facts/part[@kind='resistor' and pin/@net='0' and pin/@net=/facts/part/pin[@role='heater']/@net]");
             *part != NULL; part++, taken++)
            drawing_remove(drawing, said(*part, "ref"));
        if (taken > 0)
            try_mutant(corpus, subject, drawing, "heater-unreferenced", said(*rail, "name"),
                       "resistors of the heaters taken away");
        drawing = mutant_start(corpus, subject);
        for (xmlNode **part = subject_nodes(
                 subject,
                 "/facts/part[@kind='resistor' and pin/@net='0' and pin/@net=/facts/part/pin[@role='heater']/@net]");
             *part != NULL; part++) {
            struct piece *piece = drawing_piece(drawing, said(*part, "ref"));

            put_in_series(drawing, piece, strcmp(piece->pins[0].net, "0") == 0 ? "1" : "2", "C", NULL, "100n");
        }
        if (taken > 0)
            try_mutant(corpus, subject, drawing, "heater-unreferenced", said(*rail, "name"),
                       "capacitors in series with the resistors of the heaters");
    }
}

/* Between rectifier and reservoir, or in the return of the winding. */
static void switch_hot(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **part = subject_nodes(subject, "/facts/part[@kind='diode' or @kind='rectifier-valve']");
         *part != NULL; part++) {
        const char *ref = said(*part, "ref"), *cathode = pin_of(subject, ref, "cathode", 0),
                   *net = net_of(subject, ref, "cathode", 0);
        struct drawing *drawing;
        struct piece *toggle;
        const char *made;

        /* The net that all cathodes are on, and that a reservoir above 60 V follows on. */
        if (cathode == NULL || net == NULL || strcmp(net, "0") == 0 ||
            subject_number(
                subject,
                "count(/facts/rail[@rectifier and node[@farads and @volts>60] and (@output='%s' or node/@net='%s')])",
                net, net) == 0 ||
            subject_number(subject, "count(/facts/part[@kind='diode']/pin[@role='anode' and @net='%s'])", net) > 0 ||
            subject_number(subject, "count(/facts/diode-string[contains(concat(' ',@parts,' '),' %s ')])", ref) > 0)
            continue;
        drawing = mutant_start(corpus, subject);
        made = drawing_net(drawing);
        for (xmlNode **like = subject_nodes(
                 subject,
                 "/facts/part[(@kind='diode' or @kind='rectifier-valve') and pin[@role='cathode' and @net='%s']]", net);
             *like != NULL; like++)
            piece_pin(drawing_piece(drawing, said(*like, "ref")), pin_of(subject, said(*like, "ref"), "cathode", 0))
                ->net = made;
        toggle = drawing_add(drawing, "S", "SW_SPST", "standby", mutant_text(corpus, "%s %s", made, net));
        piece_set_field(toggle, "state", "closed");
        try_mutant(corpus, subject, drawing, "standby-hot-switches", toggle->ref,
                   mutant_text(corpus, "standby switch at the cathode of %s", ref));
    }
    for (xmlNode **fuse = own_fuses(subject); *fuse != NULL; fuse++) {
        const char *from = said(*fuse, "from"), *to = said(*fuse, "to");

        for (unsigned end = 0; end < 2; end++) {
            struct drawing *drawing = mutant_start(corpus, subject);
            struct piece *toggle;

            /* A fuse that goes from the rectifier, or from the winding's tap, to where the reservoir is. */
            if (subject_number(subject,
                               "count(/facts/part[@kind='capacitor' and figure[@name='farads' and @value>=0.00001] and "
                               "stress[@what='working-volts' and @use='idle' and @value>60] and (pin/@net='%s' or "
                               "pin/@net='%s')])",
                               from, to) == 0 ||
                subject_number(
                    subject,
                    "count(/facts/part[(@kind='diode' and pin[@role='cathode' and (@net='%s' or @net='%s')])])", from,
                    to) == 0)
                continue;
            toggle = put_in_series(drawing, drawing_piece(drawing, said(*fuse, "ref")), end == 0 ? "1" : "2", "S",
                                   "SW_SPST", "standby");
            piece_set_field(toggle, "state", "closed");
            try_mutant(corpus, subject, drawing, "standby-hot-switches", toggle->ref,
                       mutant_text(corpus, "standby switch at pin %u of %s", end + 1, said(*fuse, "ref")));
        }
    }
}

/* ---- windings ---- */

/* FIELD with the last word of winding NAME, if it is in amperes, replaced; NULL: that is not there. */
static const char *with_amps(struct corpus *corpus, const char *field, const char *name, double amps)
{
    const char *at = strstr(field, name), *end, *word;

    if (at == NULL)
        return NULL;
    end = at + strcspn(at, ";");
    word = end;
    while (word > at && word[-1] != ' ')
        word--;
    if (word == end || end[-1] != 'A')
        return NULL;
    return mutant_text(corpus, "%.*s%.0fmA%s", (int)(word - field), field, amps * 1000, end);
}

static void underrate_windings(struct corpus *corpus, const struct subject *subject)
{
    static const double shares[] = {0.9, 0.7, 0.5};

    for (xmlNode **stress = subject_nodes(
             subject, "/facts/part[@kind='transformer']/stress[@what='winding-amps' and @use='idle' and @value>0.005]");
         *stress != NULL; stress++)
        for (size_t i = 0; i < 3; i++) {
            const char *ref = said(*stress, "part"), *object = said(*stress, "object");
            struct drawing *drawing = mutant_start(corpus, subject);
            const char *field = piece_field(drawing_piece(drawing, ref), "windings"), *now;

            now = field != NULL && strchr(object, '.') != NULL
                      ? with_amps(corpus, field, strchr(object, '.') + 1, shares[i] * said_number(*stress, "value"))
                      : NULL;
            if (now == NULL)
                continue;
            piece_set_field(drawing_piece(drawing, ref), "windings", now);
            try_mutant(corpus, subject, drawing, "winding-over-rating", object,
                       mutant_text(corpus, "%s rated at %g of what it carries", object, shares[i]));
        }
    for (xmlNode **choke =
             subject_nodes(subject, "/facts/part[@kind='choke']/stress[@what='choke-amps' and @use='idle']");
         *choke != NULL; choke++)
        for (size_t i = 0; i < 3; i++) {
            struct drawing *drawing = mutant_start(corpus, subject);

            piece_set_field(drawing_piece(drawing, said(*choke, "part")), "current",
                            mutant_text(corpus, "%.0fmA", 1000 * shares[i] * said_number(*choke, "value")));
            try_mutant(corpus, subject, drawing, "winding-over-rating", said(*choke, "part"),
                       mutant_text(corpus, "%s rated at %g of what it carries", said(*choke, "part"), shares[i]));
        }
}

/* The windings field with its volts gone, winding by winding. */
static void forget_volts(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **source =
             subject_nodes(subject, "/facts/source[@kind='winding' and @part=/facts/part[@kind='transformer']/@ref and "
                                    "@id=/facts/rail/@source]");
         *source != NULL; source++) {
        const char *ref = said(*source, "part"), *name = strchr(said(*source, "id"), '.');
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *piece = drawing_piece(drawing, ref);
        const char *field = piece_field(piece, "windings"),
                   *at = field != NULL && name != NULL ? strstr(field, name + 1) : NULL;
        const char *volts, *end;

        if (at == NULL)
            continue;
        volts = at + strcspn(at, " ");
        volts += strspn(volts, " ");
        volts += strcspn(volts, " ;");
        end = volts + strspn(volts, " ");
        end += strcspn(end, " ;");
        piece_set_field(piece, "windings", mutant_text(corpus, "%.*s%s", (int)(volts - field), field, end));
        try_untold(corpus, subject, drawing, "value-missing", ref,
                   mutant_text(corpus, "volts of %s not told", said(*source, "id")));
    }
    for (xmlNode **part = subject_nodes(subject, "/facts/part[@kind='transformer']"); *part != NULL; part++) {
        struct drawing *drawing = mutant_start(corpus, subject);

        piece_set_field(drawing_piece(drawing, said(*part, "ref")), "windings", NULL);
        drawing_piece(drawing, said(*part, "ref"))->value = "mains";
        try_untold(corpus, subject, drawing, "value-missing", said(*part, "ref"),
                   mutant_text(corpus, "windings of %s not told", said(*part, "ref")));
    }
}

/* ---- time ---- */

/* A time-lag link that a short exceeds 2.15 to 2.7 times: it need not open for half an hour (IEC 60127-2 sheet 3 and
 * 5), and a winding at five times its rating or more is destroyed long before. */
static void slow_down(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **fuse = own_fuses(subject); *fuse != NULL; fuse++) {
        const char *ref = said(*fuse, "ref");
        double amps = NAN, rating, winding = said_number(*fuse, "winding-amps");

        for (xmlNode **through =
                 subject_nodes(subject, "/facts/fault[@site='rail' and carrier]/through[@fuse='%s']", ref);
             *through != NULL; through++)
            if (said_number(*through, "amps") > 4 * winding)
                amps = fmin(amps, said_number(*through, "amps"));
        rating = preferred(amps / 2.15, true);
        if (isnan(amps) || isnan(winding) || amps / rating > 2.7 ||
            said_number(*fuse, "least-fault-amps") < 5 * winding)
            continue;
        {
            struct drawing *drawing = mutant_start(corpus, subject);
            const char *text = marking(corpus, "T", rating, "H250V");

            mark(drawing_piece(drawing, ref), text);
            try_mutant(corpus, subject, drawing, "part-cooked-before-fuse", said(*fuse, "winding"),
                       mutant_text(corpus, "%s: %s", ref, text));
        }
    }
    /* Droppers too small for the short behind them: forty times their rating for as long as the fuse may take. */
    for (xmlNode **stress = subject_nodes(subject, "/facts/fault[@kind='short' and @opens-by > 0.05 and "
                                                   "@bare='no']/stress[@what='dissipation' and @value > 10]");
         *stress != NULL; stress++) {
        const char *ref = said(*stress, "part");
        double watts = said_number(*stress, "value");
        struct drawing *drawing = mutant_start(corpus, subject);

        if (said_number((*stress)->parent, "opens-by") * watts < 20 || ref == NULL)
            continue;
        piece_set_field(drawing_piece(drawing, ref), "power", "0.25W");
        try_mutant(corpus, subject, drawing, "part-cooked-before-fuse", ref,
                   mutant_text(corpus, "%s of 0.25 W, short at %s", ref, said((*stress)->parent, "net")));
    }
}

const struct hazard supply_hazards[] = {
    {"rail-unprotected", unprotect},
    {"rail-partly-protected", protect_half},
    {"rectifier-over-rating", weaken_diodes},
    {"diode-series-without-sharing", string_diodes},
    {"winding-shorted-by-diodes", turn_diodes},
    {"winding-half-unused", lose_half},
    {"mains-selector-one-position", select_volts},
    {"rail-not-found", lose_rectifiers},
    {"rectifier-valve-overloaded", overload_valves},
    {"capacitor-series-without-sharing", string_capacitors},
    {"rail-without-bleed", stop_bleeding},
    {"bias-fused", fuse_bias},
    {"heater-unreferenced", float_heaters},
    {"standby-hot-switches", switch_hot},
    {"winding-over-rating", underrate_windings},
    {"value-missing", forget_volts},
    {"part-cooked-before-fuse", slow_down},
    {NULL, NULL},
};
