/* What can be wrong with the parts behind the supply: capacitors, resistors, valves, transistors, jacks. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "mutants/mutants.h"

/* The largest of LIST (rising, COUNT of them) at or below LIMIT; 0: none. */
static double at_most(const double *list, size_t count, double limit)
{
    double found = 0;

    for (size_t i = 0; i < count; i++)
        if (list[i] <= limit)
            found = list[i];
    return found;
}

/* ---- capacitors, resistors ---- */

static const double volts_made[] = {6.3, 10, 16, 25, 35, 50, 63, 100, 160, 200, 250, 315, 350, 400, 450};
enum { VOLTS_MADE = sizeof volts_made / sizeof *volts_made };

static void overstrain_capacitors(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **stress = subject_nodes(
             subject, "/facts/part[@kind='capacitor']/stress[@what='working-volts' and @use='idle' and @value>8]");
         *stress != NULL; stress++) {
        const char *ref = said(*stress, "part");
        double stands = said_number(*stress, "value");

        for (int i = 0; i < 2; i++) {
            double rated = at_most(volts_made, VOLTS_MADE, (i == 0 ? 0.85 : 0.45) * stands);
            struct drawing *drawing = mutant_start(corpus, subject);

            if (rated == 0)
                continue;
            piece_set_field(drawing_piece(drawing, ref), "voltage", mutant_text(corpus, "%gV", rated));
            try_mutant(corpus, subject, drawing, "capacitor-over-volts", ref,
                       mutant_text(corpus, "%s of %g V", ref, rated));
        }
    }
}

static void forget_volts_of_capacitors(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **stress =
             subject_nodes(subject, "/facts/part[@kind='capacitor']/stress[@what='working-volts' and @use='high-mains' "
                                    "and @value>60 and @limit and not(../pin/@net=/facts/net[@role='live']/@name)]");
         *stress != NULL; stress++) {
        const char *ref = said(*stress, "part");
        struct drawing *drawing = mutant_start(corpus, subject);

        piece_set_field(drawing_piece(drawing, ref), "voltage", NULL);
        try_untold(corpus, subject, drawing, "capacitor-over-volts", ref,
                   mutant_text(corpus, "volts of %s not told", ref));
    }
}

static void turn_capacitors(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **part = subject_nodes(subject, "/facts/part[@kind='capacitor' and pin[@name='+'] and "
                                                 "stress[@what='working-volts' and @use='idle' and @value>5]]");
         *part != NULL; part++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *piece = drawing_piece(drawing, said(*part, "ref"));
        const char *net = piece->pins[0].net;

        piece->pins[0].net = piece->pins[1].net;
        piece->pins[1].net = net;
        try_mutant(corpus, subject, drawing, "capacitor-reversed", piece->ref,
                   mutant_text(corpus, "%s turned round", piece->ref));
    }
}

static void overheat_resistors(struct corpus *corpus, const struct subject *subject)
{
    static const double made[] = {0.063, 0.125, 0.25, 0.5, 1, 2, 3, 5};

    for (xmlNode **stress = subject_nodes(
             subject, "/facts/part[@kind='resistor']/stress[@what='dissipation' and @use='idle' and @value>0.08]");
         *stress != NULL; stress++) {
        const char *ref = said(*stress, "part");
        double watts = said_number(*stress, "value");
        struct drawing *drawing;

        for (int i = 0; i < 2; i++) {
            double rated = at_most(made, sizeof made / sizeof *made, (i == 0 ? 0.85 : 0.4) * watts);

            drawing = mutant_start(corpus, subject);
            piece_set_field(drawing_piece(drawing, ref), "power", mutant_text(corpus, "%gW", rated));
            if (rated > 0)
                try_mutant(corpus, subject, drawing, "resistor-over-rating", ref,
                           mutant_text(corpus, "%s of %g W", ref, rated));
        }
        drawing = mutant_start(corpus, subject);
        piece_set_field(drawing_piece(drawing, ref), "power", NULL);
        if (watts > 0.6)
            try_untold(corpus, subject, drawing, "resistor-over-rating", ref,
                       mutant_text(corpus, "watts of %s not told", ref));
    }
}

static void forget_values(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **part = subject_nodes(subject, "/facts/part[(@kind='resistor' or @kind='capacitor') and @amps>0.0005 "
                                                 "and pin/@net=/facts/rail/node/@net]");
         *part != NULL; part++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *piece = drawing_piece(drawing, said(*part, "ref"));

        piece->value = NULL;
        try_untold(corpus, subject, drawing, "value-missing", piece->ref,
                   mutant_text(corpus, "value of %s not told", piece->ref));
    }
}

/* ---- what is not known ---- */

static void add_boxes(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **node = subject_nodes(subject, "/facts/rail/node"); *node != NULL; node++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct mutant mutant = {.rule = "part-not-recognised", .unverified = true, .bare = true, .drawing = drawing};
        struct piece *piece = drawing_add(drawing, "ZZ", "BOX", "box",
                                          mutant_text(corpus, "%s %s 0", said(*node, "net"), drawing_net(drawing)));

        mutant.object = piece->ref;
        mutant.change = mutant_text(corpus, "a box at %s", said(*node, "net"));
        mutant_try(corpus, subject, &mutant);
    }
}

static void misspell(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **pin = subject_nodes(subject, "/facts/part[count(pin)=2]/pin[@net=/facts/rail/node/@net]");
         *pin != NULL; pin++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *piece = drawing_piece(drawing, said((*pin)->parent, "ref"));

        piece_pin(piece, said(*pin, "number"))->net = mutant_text(corpus, "%sX", said(*pin, "net"));
        if (subject_number(subject, "count(/facts/net[@name='%sX'])", said(*pin, "net")) == 0)
            try_mutant(corpus, subject, drawing, "net-single-pin", piece->ref,
                       mutant_text(corpus, "%s pin %s on %sX", piece->ref, said(*pin, "number"), said(*pin, "net")));
    }
}

static void fight(struct corpus *corpus, const struct subject *subject)
{
    xmlNode **node = subject_nodes(subject, "/facts/rail/node");

    for (int i = 0; *node != NULL && i < 4; node++, i++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct mutant mutant = {
            .rule = "circuit-not-solved", .unverified = true, .deck_only = true, .drawing = drawing};

        drawing_add(drawing, "V", NULL, "5", mutant_text(corpus, "%s 0", said(*node, "net")));
        drawing_add(drawing, "V", NULL, "9", mutant_text(corpus, "%s 0", said(*node, "net")));
        mutant.change = mutant_text(corpus, "ideal sources of 5 V and 9 V at %s", said(*node, "net"));
        mutant_try(corpus, subject, &mutant);
    }
}

/* ---- valves ---- */

static xmlNode **sections(const struct subject *subject)
{
    return subject_nodes(subject, "/facts/section");
}

static unsigned unit_of(const xmlNode *section)
{
    return (unsigned)said_number(section, "unit") - 1; /* sections count from 1, pins from 0 */
}

/* Screens of output valves that a resistor of their own feeds. */
static void feed_screens_straight(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **section = subject_nodes(subject, "/facts/section[@output-valve='yes' and @screen-volts]");
         *section != NULL; section++) {
        const char *ref = said(*section, "part"), *screen = net_of(subject, ref, "screen", unit_of(*section));
        struct drawing *drawing = mutant_start(corpus, subject);

        for (size_t i = 0; i < drawing->count; i++)
            if (screen != NULL && drawing->pieces[i]->letter == 'R' && piece_is_on(drawing->pieces[i], screen)) {
                const char *resistor = drawing->pieces[i]->ref;

                bridge_over(drawing, resistor);
                try_mutant(corpus, subject, drawing, "screen-without-resistor", ref,
                           mutant_text(corpus, "%s bridged", resistor));
                break;
            }
    }
}

/* Every resistor and potentiometer off the grid: capacitors alone are left. */
static void open_grids(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **section = sections(subject); *section != NULL; section++)
        for (unsigned how = 0; how < 2; how++) {
            const char *ref = said(*section, "part"), *grid = net_of(subject, ref, "grid", unit_of(*section)),
                       *last = NULL;
            struct drawing *drawing = mutant_start(corpus, subject);
            size_t others = 0;

            for (size_t i = 0; grid != NULL && i < drawing->count; i++) {
                struct piece *piece = drawing->pieces[i];

                if (!piece_is_on(piece, grid) || strcmp(piece->ref, ref) == 0)
                    continue;
                if (piece->letter == 'R') {
                    last = piece->ref;
                    drawing_cut(drawing, piece, strcmp(piece->pins[0].net, grid) == 0 ? "1" : "2");
                } else if (piece->letter != 'C') {
                    others++;
                }
            }
            if (last == NULL || others > 0)
                continue;
            if (how == 0) {
                try_mutant(corpus, subject, drawing, "valve-grid-open", ref,
                           mutant_text(corpus, "%s off the grid at %s", last, grid));
            } else {
                drawing_add(drawing, "ZZ", "BOX", "box", mutant_text(corpus, "%s %s 0", grid, drawing_net(drawing)));
                try_untold(corpus, subject, drawing, "valve-grid-open", ref,
                           mutant_text(corpus, "a box in the place of %s at %s", last, grid));
            }
        }
}

static double value_of(const struct subject *subject, const char *ref)
{
    return subject_number(subject, "number(/facts/part[@ref='%s']/figure[@name='ohms']/@value)", ref);
}

/* The resistor that is half of the grid's way and more, at the grid or behind a stopper. */
static void raise_grid_leaks(struct corpus *corpus, const struct subject *subject)
{
    static const char *const values[] = {"2.2MEG", "4.7MEG", "10MEG"};

    for (xmlNode **section =
             subject_nodes(subject, "/facts/section[@output-valve='yes' and @grid-ohms and @largest-grid-ohms]");
         *section != NULL; section++) {
        const char *ref = said(*section, "part"), *grid = net_of(subject, ref, "grid", unit_of(*section));
        double whole = said_number(*section, "grid-ohms");

        for (xmlNode **part = subject_nodes(subject,
                                            "/facts/part[@kind='resistor' and (pin/@net='%s' or "
                                            "pin/@net=/facts/part[@kind='resistor' and pin/@net='%s']/pin[@net!='0' and "
                                            "not(@net=/facts/rail/node/@net)]/@net)]",
                                            grid, grid);
             *part != NULL; part++)
            for (size_t i = 0; i < 3; i++) {
                struct drawing *drawing = mutant_start(corpus, subject);
                double ohms = value_of(subject, said(*part, "ref"));

                if (!(ohms > 0.5 * whole && ohms <= whole) ||
                    strtod(values[i], NULL) * 1e6 < 1.2 * said_number(*section, "largest-grid-ohms"))
                    continue;
                drawing_piece(drawing, said(*part, "ref"))->value = values[i];
                try_mutant(corpus, subject, drawing, "grid-leak-too-large", ref,
                           mutant_text(corpus, "%s: %s", said(*part, "ref"), values[i]));
            }
    }
}

/* The reference of the heaters onto a rail. */
static void lift_heaters(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **node = subject_nodes(subject, "/facts/rail/node[@volts>240]"); *node != NULL; node++)
        for (xmlNode **part = subject_nodes(subject, "/facts/part[(@kind='pentode' or @kind='triode') and "
                                                     "figure[@name='heater-cathode-volts' and @value<=200]]");
             *part != NULL; part++) {
            struct drawing *drawing = mutant_start(corpus, subject);
            size_t moved = 0;

            for (xmlNode **resistor = subject_nodes(subject, "/facts/part[@kind='resistor' and pin/@net='0' and "
                                                             "pin/@net=/facts/part/pin[@role='heater']/@net]");
                 *resistor != NULL; resistor++, moved++) {
                struct piece *piece = drawing_piece(drawing, said(*resistor, "ref"));

                piece->pins[strcmp(piece->pins[0].net, "0") == 0 ? 0 : 1].net = said(*node, "net");
            }
            if (moved > 0)
                try_mutant(corpus, subject, drawing, "heater-cathode-volts", said(*part, "ref"),
                           mutant_text(corpus, "heaters referred to %s, %s", said(*node, "net"), said(*part, "ref")));
        }
}

static const char *with_volts(struct corpus *corpus, const char *field, const char *name, double times)
{
    const char *at = strstr(field, name), *volts, *end;
    char *more;
    double first, second;

    if (at == NULL)
        return NULL;
    volts = at + strcspn(at, " ");
    volts += strspn(volts, " ");
    volts += strcspn(volts, " ;");
    volts += strspn(volts, " ");
    first = strtod(volts, &more);
    end = volts + strcspn(volts, " ;");
    if (strncmp(more, "-0-", 3) == 0) {
        second = strtod(more + 3, NULL);
        return mutant_text(corpus, "%.*s%.0f-0-%.0fV%s", (int)(volts - field), field, first * times, second * times,
                           end);
    }
    return mutant_text(corpus, "%.*s%.1fV%s", (int)(volts - field), field, first * times, end);
}

/* The winding of a rail for more volts. */
static void raise_ht(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **section = subject_nodes(subject, "/facts/section[@anode-volts and @largest-anode-volts]");
         *section != NULL; section++)
        for (int i = 0; i < 2; i++) {
            double times = (i == 0 ? 1.25 : 1.6) * said_number(*section, "largest-anode-volts") /
                           said_number(*section, "anode-volts");
            xmlNode **source =
                subject_nodes(subject, "/facts/source[@kind='winding' and @id=/facts/rail[node/@volts>100]/@source]");
            const char *ref = source[0] != NULL ? said(source[0], "part") : NULL,
                       *name = ref != NULL ? strchr(said(source[0], "id"), '.') : NULL;
            struct drawing *drawing = mutant_start(corpus, subject);
            const char *field = name != NULL ? piece_field(drawing_piece(drawing, ref), "windings") : NULL;

            /* Anodes behind resistors do not rise with the rail: only those fed through a winding do. */
            if (field == NULL ||
                strcmp(said(*section, "output-valve") != NULL ? said(*section, "output-valve") : "no", "yes") != 0 ||
                times < 1.1)
                continue;
            field = with_volts(corpus, field, name + 1, times);
            if (field == NULL)
                continue;
            piece_set_field(drawing_piece(drawing, ref), "windings", field);
            try_mutant(corpus, subject, drawing, "valve-over-volts", said(*section, "part"),
                       mutant_text(corpus, "%s for %.2f times its volts", said(source[0], "id"), times));
        }
    for (xmlNode **part = subject_nodes(
             subject, "/facts/part[(@kind='pentode' or @kind='triode') and @ref=/facts/section[@anode-volts]/@part]");
         *part != NULL; part++) {
        struct drawing *drawing = mutant_start(corpus, subject);

        forget_type(drawing_piece(drawing, said(*part, "ref")), subject);
        try_untold(corpus, subject, drawing, "valve-over-volts", said(*part, "ref"),
                   mutant_text(corpus, "type of %s not told", said(*part, "ref")));
    }
}

/* The cathode resistor for a fifth, a stated current for three times, the bias winding for a third: where the valve
 * would dissipate above its limit with twice its current, more than that flows. */
static void overrun_valves(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **stress =
             subject_nodes(subject, "/facts/part/stress[@what='anode-watts' and @use='idle' and @limit]");
         *stress != NULL; stress++) {
        const char *ref = said(*stress, "part"), *cathode = net_of(subject, ref, "cathode", 0);
        double watts = said_number(*stress, "value"), limit = said_number(*stress, "limit");
        struct drawing *drawing;

        if (cathode == NULL || 2 * watts < 1.2 * limit ||
            subject_number(subject, "count(/facts/section[@part='%s'])", ref) > 1)
            continue;
        drawing = mutant_start(corpus, subject);
        if (piece_field(drawing_piece(drawing, ref), "idle_current") != NULL) {
            for (double times = 2; times <= 3; times += 0.5) {
                drawing = mutant_start(corpus, subject);
                piece_set_field(
                    drawing_piece(drawing, ref), "idle_current",
                    mutant_text(corpus, "%.0fmA",
                                times * 1000 *
                                    subject_number(subject,
                                                   "number(/facts/part[@ref='%s']/figure[@name='idle-amps']/@value)",
                                                   ref)));
                try_mutant(corpus, subject, drawing, "valve-over-dissipation", ref,
                           mutant_text(corpus, "%s draws %g times its current", ref, times));
            }
            continue;
        }
        for (xmlNode **part = subject_nodes(
                 subject, "/facts/part[@kind='resistor' and pin/@net='%s' and figure[@name='ohms' and @value>50]]",
                 cathode);
             *part != NULL; part++) {
            drawing = mutant_start(corpus, subject);
            drawing_piece(drawing, said(*part, "ref"))->value =
                mutant_text(corpus, "%.0f", value_of(subject, said(*part, "ref")) / 5);
            try_mutant(corpus, subject, drawing, "valve-over-dissipation", ref,
                       mutant_text(corpus, "%s a fifth", said(*part, "ref")));
        }
        for (xmlNode **rail = subject_nodes(subject, "/facts/rail[@id=/facts/section[@part='%s']/@bias-rail]", ref);
             *rail != NULL; rail++) {
            xmlNode **source = subject_nodes(subject, "/facts/source[@id='%s']", said(*rail, "source"));
            const char *field, *name = source[0] != NULL ? strchr(said(source[0], "id"), '.') : NULL;

            drawing = mutant_start(corpus, subject);
            field = name != NULL ? piece_field(drawing_piece(drawing, said(source[0], "part")), "windings") : NULL;
            field = field != NULL ? with_volts(corpus, field, name + 1, 0.33) : NULL;
            if (field == NULL)
                continue;
            piece_set_field(drawing_piece(drawing, said(source[0], "part")), "windings", field);
            try_mutant(corpus, subject, drawing, "valve-over-dissipation", ref,
                       mutant_text(corpus, "%s for a third of its volts", said(source[0], "id")));
        }
    }
}

/* ---- transistors, regulators ---- */

static void weaken_transistors(struct corpus *corpus, const struct subject *subject)
{
    /* Collector to emitter: makers' sheets. */
    static const struct {
        const char *npn, *pnp;
        double volts;
    } types[] = {{"BC548", "BC558", 30}, {"BC547", "BC557", 45}, {"BD135", "BD136", 45}, {"BD137", "BD138", 60}};

    for (xmlNode **transistor = subject_nodes(subject, "/facts/transistor[@rated-volts]"); *transistor != NULL;
         transistor++) {
        const char *ref = said(*transistor, "part");
        double most = fmax(said_number(*transistor, "volts"), said_number(*transistor, "signal-volts"));
        bool pnp = subject_number(subject, "number(/facts/part[@ref='%s']/figure[@name='polarity']/@value)", ref) < 0;
        struct drawing *drawing;

        for (size_t i = 0; i < sizeof types / sizeof *types; i++) {
            if (most < 1.1 * types[i].volts)
                continue;
            drawing = mutant_start(corpus, subject);
            drawing_piece(drawing, ref)->value = pnp ? types[i].pnp : types[i].npn;
            try_mutant(corpus, subject, drawing, "transistor-over-volts", ref,
                       mutant_text(corpus, "%s: %s", ref, drawing_piece(drawing, ref)->value));
        }
        if (most < 25)
            continue;
        drawing = mutant_start(corpus, subject);
        piece_set_field(drawing_piece(drawing, ref), "voltage", mutant_text(corpus, "%.0fV", 0.7 * most));
        try_mutant(corpus, subject, drawing, "transistor-over-volts", ref,
                   mutant_text(corpus, "%s made for %.0f V", ref, 0.7 * most));
        drawing = mutant_start(corpus, subject);
        drawing_piece(drawing, ref)->value = pnp ? "TRANSISTOR_P" : "TRANSISTOR_N";
        try_untold(corpus, subject, drawing, "transistor-over-volts", ref,
                   mutant_text(corpus, "type of %s not told", ref));
    }
}

static void upset_regulators(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **regulator = subject_nodes(subject, "/facts/regulator[@input-volts]"); *regulator != NULL;
         regulator++) {
        const char *ref = said(*regulator, "part"),
                   *type = subject_number(subject, "count(/facts/part[@ref='%s' and contains(@type,'79')])", ref) > 0
                               ? "79"
                               : "78";
        struct drawing *drawing = mutant_start(corpus, subject);
        double volts = said_number(*regulator, "input-volts");
        struct piece *piece = drawing_piece(drawing, ref);

        piece->value = mutant_text(corpus, "%s24", type);
        if (volts < 24.5)
            try_mutant(corpus, subject, drawing, "regulator-dropped-out", ref,
                       mutant_text(corpus, "%s: %s", ref, piece->value));
        for (int i = 0; i < 2; i++) {
            /* The winding for more volts: 35 V is the most at the input of these (makers' sheets). */
            double times = (i == 0 ? 1.35 : 1.8) * 35 / volts;
            xmlNode **source = subject_nodes(subject, "/facts/source[@kind='winding' and @id=/facts/rail/@source]");

            for (; *source != NULL; source++) {
                const char *field, *name = strchr(said(*source, "id"), '.');

                drawing = mutant_start(corpus, subject);
                field = name != NULL ? piece_field(drawing_piece(drawing, said(*source, "part")), "windings") : NULL;
                field = field != NULL ? with_volts(corpus, field, name + 1, times) : NULL;
                if (field == NULL || subject_number(subject, "count(/facts/source)") > 3)
                    continue;
                piece_set_field(drawing_piece(drawing, said(*source, "part")), "windings", field);
                try_mutant(corpus, subject, drawing, "regulator-over-input", ref,
                           mutant_text(corpus, "%s for %.2f times its volts", said(*source, "id"), times));
                break;
            }
        }
        drawing = mutant_start(corpus, subject);
        drawing_piece(drawing, ref)->value = "regulator";
        piece_set_field(drawing_piece(drawing, ref), "output_voltage", "12V");
        piece_set_field(drawing_piece(drawing, ref), "kind", "regulator");
        try_untold(corpus, subject, drawing, "regulator-over-input", ref,
                   mutant_text(corpus, "type of %s not told", ref));
    }
}

/* ---- jacks, loudspeaker ---- */

static void wire_jacks(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **node = subject_nodes(subject, "/facts/rail/node[@volts>70 or @volts<-70]"); *node != NULL; node++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *jack =
            drawing_add(drawing, "J", "Jack_Insert", "insert", mutant_text(corpus, "T:%s S:0", said(*node, "net")));

        try_mutant(corpus, subject, drawing, "jack-live", jack->ref,
                   mutant_text(corpus, "tip of a jack on %s", said(*node, "net")));
        drawing = mutant_start(corpus, subject);
        jack = drawing_add(drawing, "J", "Jack_Insert", "insert", mutant_text(corpus, "T:TAKEN S:0"));
        drawing_add(drawing, "R", NULL, "1k", mutant_text(corpus, "TAKEN %s", said(*node, "net")));
        try_mutant(corpus, subject, drawing, "jack-live", jack->ref,
                   mutant_text(corpus, "tip of a jack behind 1 kohm on %s", said(*node, "net")));
    }
}

/* Anodes and rails through a capacitor to a jack that nothing drains. */
static void couple_jacks(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **net = subject_nodes(
             subject,
             "/facts/net[@volts>70 and (@name=/facts/part/pin[@role='anode']/@net or @name=/facts/rail/node/@net)]");
         *net != NULL; net++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *jack = drawing_add(drawing, "J", "Jack_Line", "line", "T:TAKEN S:0");

        piece_set_field(drawing_add(drawing, "C", NULL, "100n", mutant_text(corpus, "%s TAKEN", said(*net, "name"))),
                        "voltage", "630V");
        try_mutant(corpus, subject, drawing, "jack-behind-one-capacitor", jack->ref,
                   mutant_text(corpus, "a jack behind a capacitor on %s", said(*net, "name")));
    }
}

/* A supply that gives more than 0.1 A on the ring. */
static void feed_rings(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **node = subject_nodes(
             subject,
             "/facts/rail[not(@heats-valves)]/node[(@volts>3 or @volts<-3) and (@farads or @net=/facts/rail/@output)]");
         *node != NULL; node++) {
        struct drawing *drawing = mutant_start(corpus, subject);
        struct piece *jack =
            drawing_add(drawing, "J", "Jack_TRS", "pedal", mutant_text(corpus, "T:LOOSE R:%s S:0", said(*node, "net")));

        drawing_add(drawing, "R", NULL, "10k", "LOOSE 0");
        if (subject_number(subject, "count(/facts/fault[@kind='short' and @net='%s' and @amps>0.2])",
                           said(*node, "net")) > 0)
            try_mutant(corpus, subject, drawing, "jack-mono-plug-shorts-supply", jack->ref,
                       mutant_text(corpus, "%s on the ring of a jack", said(*node, "net")));
    }
}

static void float_sleeves(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **jack = subject_nodes(subject, "/facts/part[@kind='jack' and pin[@role='sleeve']]"); *jack != NULL;
         jack++)
        for (unsigned how = 0; how < 2; how++) {
            const char *ref = said(*jack, "ref"), *sleeve = pin_of(subject, ref, "sleeve", 0);
            struct drawing *drawing = mutant_start(corpus, subject);

            if (how == 0)
                drawing_cut(drawing, drawing_piece(drawing, ref), sleeve);
            else
                put_in_series(drawing, drawing_piece(drawing, ref), sleeve, "C", NULL, "10n");
            try_mutant(
                corpus, subject, drawing, "jack-sleeve-floating", ref,
                mutant_text(corpus, "sleeve of %s %s", ref, how == 0 ? "joined to nothing" : "behind a capacitor"));
        }
}

/* Jacks with a contact that grounds their tip. */
static void open_inputs(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **jack = subject_nodes(subject, "/facts/part[@kind='jack' and pin[@role='tip-normal' and @net='0']]");
         *jack != NULL; jack++)
        for (unsigned how = 0; how < 2; how++) {
            const char *ref = said(*jack, "ref"), *normal = pin_of(subject, ref, "tip-normal", 0);
            struct drawing *drawing = mutant_start(corpus, subject);
            struct piece *piece = drawing_piece(drawing, ref);
            struct piece_pin *pin = piece_pin(piece, normal);

            if (how == 0) {
                pin->net = drawing_net(drawing);
            } else {
                *pin = piece->pins[piece->pin_count - 1];
                piece->pin_count--;
                piece->symbol = "Jack_Plain";
            }
            try_mutant(corpus, subject, drawing, "jack-input-open", ref,
                       mutant_text(corpus, "contact of %s %s", ref, how == 0 ? "joined to nothing" : "taken away"));
        }
}

static void unload_speakers(struct corpus *corpus, const struct subject *subject)
{
    for (xmlNode **side = subject_nodes(subject, "/facts/loudspeaker-side[@jack='yes' and @shorting-contact='no']");
         *side != NULL; side++)
        for (unsigned how = 0; how < 2; how++) {
            const char *ref = said(*side, "part");
            struct drawing *drawing = mutant_start(corpus, subject);
            xmlNode **loads = subject_nodes(subject,
                                            "/facts/part[@kind='resistor' and pin/@net='0' and "
                                            "pin[@net!='0']/@net=/facts/part[@ref='%s']/pin/@net]",
                                            ref);

            for (xmlNode **load = loads; *load != NULL; load++)
                if (how == 0)
                    drawing_remove(drawing, said(*load, "ref"));
                else
                    drawing_piece(drawing, said(*load, "ref"))->value = "10k";
            if (loads[0] != NULL)
                try_mutant(corpus, subject, drawing, "speaker-unloaded", ref,
                           mutant_text(corpus, "%s %s", said(loads[0], "ref"), how == 0 ? "taken away" : "of 10 kohm"));
        }
}

const struct hazard part_hazards[] = {
    {"capacitor-over-volts", overstrain_capacitors},
    {"capacitor-over-volts", forget_volts_of_capacitors},
    {"capacitor-reversed", turn_capacitors},
    {"resistor-over-rating", overheat_resistors},
    {"value-missing", forget_values},
    {"part-not-recognised", add_boxes},
    {"net-single-pin", misspell},
    {"circuit-not-solved", fight},
    {"screen-without-resistor", feed_screens_straight},
    {"valve-grid-open", open_grids},
    {"grid-leak-too-large", raise_grid_leaks},
    {"heater-cathode-volts", lift_heaters},
    {"valve-over-volts", raise_ht},
    {"valve-over-dissipation", overrun_valves},
    {"transistor-over-volts", weaken_transistors},
    {"regulator-over-input", upset_regulators},
    {"jack-live", wire_jacks},
    {"jack-behind-one-capacitor", couple_jacks},
    {"jack-mono-plug-shorts-supply", feed_rings},
    {"jack-sleeve-floating", float_sleeves},
    {"jack-input-open", open_inputs},
    {"speaker-unloaded", unload_speakers},
    {NULL, NULL},
};
