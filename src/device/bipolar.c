/* Bipolar transistor, in the transport form of Ebers and Moll's equations (J. J. Ebers, J. L. Moll, Proc. IRE 42 (1954),
 * 1761-1772; the form and the Early factor as level 1 of the SPICE3 manual). Nodes: collector, emitter, base, emitter: branch by
 * branch the ends of an NPN; a PNP's branches run the other way. figures[0]: saturation current IS, A; [1]: forward current gain
 * BF; [2]: reverse current gain BR; [3]: Early voltage VAF, V, 0 for none; [4]: +1 NPN, -1 PNP; [5]: emission coefficient N of both
 * junctions (2 for a Darlington pair, whose volts from base to emitter are two junctions' in series).
 *   If = IS (exp(vbe / (N Vt)) - 1)    Ir = IS (exp(vbc / (N Vt)) - 1)
 *   Ic = (If - Ir) (1 - vbc / VAF) - Ir / BR    Ib = If / BF + Ir / BR
 * all volts and currents of a PNP with the other sign. A fifth node, if there is one, has the volts that stand for vbe (average.c). At 27 degrees C; no bulk resistances, no charge storage. */
#include "device/device.h"

#include <math.h>

#include "base/text.h"
#include "device/junction.h"
#include "device/network.h"
#include "device/spelling.h"

/* The Early factor is not let below this, wherever a guess may lead. */
#define LEAST_EARLY 0.1

/* Junction volts, of a PNP turned over. */
struct biases {
    double emitter, collector;
};

/* Current into an electrode of an NPN, A, and its slopes by both junctions' volts, S. */
struct response {
    double amps, by_emitter, by_collector;
};

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static double scale_volts(const struct element *element)
{
    return element->figures[5] * THERMAL_VOLTS;
}

static bool is_averaged(const struct element *element)
{
    return element->node_count > 4;
}

static struct biases guessed(const struct element *element, const struct element_rows *rows,
                             const struct stamp *stamp)
{
    double base = stamp_volts(stamp, rows->nodes[2]), sign = element->figures[4];
    double emitter = is_averaged(element) ? stamp_volts(stamp, rows->nodes[4])
                                          : base - stamp_volts(stamp, rows->nodes[1]);

    return (struct biases){sign * emitter,
                           sign * (base - stamp_volts(stamp, rows->nodes[0]))};
}

static struct biases limited(const struct element *element, const struct element_rows *rows,
                             struct stamp *stamp)
{
    struct biases biases = guessed(element, rows, stamp);
    double *limits = stamp->limits + rows->limit;
    double saturation = element->figures[0], vt = scale_volts(element);

    biases.emitter = junction_limit(stamp, saturation, vt, limits[0], biases.emitter);
    biases.collector = junction_limit(stamp, saturation, vt, limits[1], biases.collector);
    limits[0] = biases.emitter;
    limits[1] = biases.collector;
    return biases;
}

/* 1 - vbc / VAF; its slope into SLOPE. */
static double early_factor(const struct element *element, double collector, double *slope)
{
    double factor;

    *slope = 0;
    if (element->figures[3] <= 0)
        return 1;
    factor = 1 - collector / element->figures[3];
    if (factor <= LEAST_EARLY)
        return LEAST_EARLY;
    *slope = -1 / element->figures[3];
    return factor;
}

static void respond(const struct element *element, struct biases biases,
                    struct response *collector, struct response *base)
{
    const double *figures = element->figures;
    double vt = scale_volts(element), slope;
    double early = early_factor(element, biases.collector, &slope);
    struct tangent forward = junction_tangent(figures[0], vt, 0, biases.emitter);
    struct tangent reverse = junction_tangent(figures[0], vt, 0, biases.collector);

    *collector = (struct response){
        .amps = (forward.amps - reverse.amps) * early - reverse.amps / figures[2],
        .by_emitter = forward.siemens * early,
        .by_collector = -reverse.siemens * (early + 1 / figures[2]) +
                        (forward.amps - reverse.amps) * slope};
    *base = (struct response){.amps = forward.amps / figures[1] + reverse.amps / figures[2],
                              .by_emitter = forward.siemens / figures[1],
                              .by_collector = reverse.siemens / figures[2]};
}

/* Current from the node of ROW to the emitter. The sign turns volts and amps over, so that slopes stay. */
static void stamp_response(struct stamp *stamp, const struct element *element,
                           const struct element_rows *rows, int row,
                           const struct response *response, struct biases biases)
{
    int collector = rows->nodes[0], emitter = rows->nodes[1], base = rows->nodes[2];
    bool averaged = is_averaged(element);

    stamp_transfer(stamp, row, emitter, averaged ? rows->nodes[4] : base,
                   averaged ? STAMP_GROUND : emitter, response->by_emitter);
    stamp_transfer(stamp, row, emitter, base, collector, response->by_collector);
    stamp_current(stamp, row, emitter,
                  element->figures[4] * (response->amps - response->by_emitter * biases.emitter -
                                         response->by_collector * biases.collector));
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    struct biases biases = limited(element, rows, stamp);
    struct response collector, base;

    respond(element, biases, &collector, &base);
    stamp_response(stamp, element, rows, rows->nodes[0], &collector, biases);
    stamp_response(stamp, element, rows, rows->nodes[2], &base, biases);
    stamp_conductance(stamp, rows->nodes[2], rows->nodes[1], stamp->gmin);
    stamp_conductance(stamp, rows->nodes[0], rows->nodes[1], stamp->gmin);
}

/* The branches of a PNP run from the emitter, so that both currents are positive in use. */
static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    struct biases biases = guessed(element, rows, stamp);
    double leak = element->figures[4] * stamp->gmin, emitter = stamp_volts(stamp, rows->nodes[1]);
    struct response collector, base;

    respond(element, biases, &collector, &base);
    amps[0] = collector.amps + leak * (stamp_volts(stamp, rows->nodes[0]) - emitter);
    amps[1] = base.amps + leak * (stamp_volts(stamp, rows->nodes[2]) - emitter);
}

/* SPICE's own transistor, with nothing in its model but what is solved here. */
static void spell(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;
    const char *name = spelling->name, *emitter = spelling->nodes[1], *base = spelling->nodes[2];
    struct text *out = spelling->out;

    text_print(out, "Q%s %s %s %s Q%s__model\n", name, spelling->nodes[0], base, emitter, name);
    text_print(out, ".model Q%s__model %s(IS=" SPELL_FIGURE " BF=" SPELL_FIGURE " BR=" SPELL_FIGURE, name,
               figures[4] > 0 ? "NPN" : "PNP", figures[0], figures[1], figures[2]);
    if (figures[3] > 0)
        text_print(out, " VAF=" SPELL_FIGURE, figures[3]);
    text_print(out, " NF=" SPELL_FIGURE " NR=" SPELL_FIGURE " CJE=%g CJC=%g)\n", figures[5], figures[5],
               SPELL_STRAY_FARADS, SPELL_STRAY_FARADS);
    spell_gmin(spelling, "gmin_base", base, emitter);
    spell_gmin(spelling, "gmin_collector", spelling->nodes[0], emitter);
}

const struct device device_bipolar = {
    .name = "bipolar transistor",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
    .amplifies = true,
};
