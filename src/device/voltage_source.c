/* Voltage source. Nodes: plus, minus. figures[0]: DC, V; [1]: peak of the sine, V; [2]: its frequency, Hz;
 * [3]: its phase at time 0, rad; [4]: series resistance, ohm. Unknown: current from plus to minus inside, A (a
 * source that delivers has a negative one). The sine is zero at an operating point. */
#include "device/device.h"

#include <math.h>

#include "base/text.h"
#include "device/network.h"
#include "device/spelling.h"

#define TWO_PI 6.283185307179586

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static size_t one(const struct element *element)
{
    (void)element;
    return 1;
}

static double volts_at(const struct element *element, const struct stamp *stamp)
{
    const double *figures = element->figures;
    double volts = figures[0];

    if (stamp->step > 0 && figures[1] != 0)
        volts += figures[1] * sin(TWO_PI * figures[2] * stamp->time + figures[3]);
    return stamp->source_scale * volts;
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    int i = rows->current;

    stamp_add(stamp, rows->nodes[0], i, 1);
    stamp_add(stamp, rows->nodes[1], i, -1);
    stamp_add(stamp, i, rows->nodes[0], 1);
    stamp_add(stamp, i, rows->nodes[1], -1);
    stamp_add(stamp, i, i, -element->figures[4]);
    stamp_rhs(stamp, i, volts_at(element, stamp));
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    (void)element;
    amps[0] = stamp->guess[rows->current];
}

/* SIN(offset peak hertz delay damping phase): the phase in degrees. */
static void spell(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;
    const char *name = spelling->name, *minus = spelling->nodes[1];
    struct text *out = spelling->out;

    if (figures[4] > 0)
        text_print(out, "R%s %s__emf %s " SPELL_FIGURE "\n", name, name, minus, figures[4]);
    text_print(out, "V%s %s ", name, spelling->nodes[0]);
    text_print(out, figures[4] > 0 ? "%s__emf " : "%s ", figures[4] > 0 ? name : minus);
    if (figures[1] != 0)
        text_print(out,
                   "SIN(" SPELL_FIGURE " " SPELL_FIGURE " " SPELL_FIGURE " 0 0 " SPELL_FIGURE ")\n",
                   figures[0], figures[1], figures[2], figures[3] * 360 / TWO_PI);
    else
        text_print(out, SPELL_FIGURE "\n", figures[0]);
}

const struct device device_source = {
    .name = "voltage source",
    .unknowns = one,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
    .linear = true,
};
