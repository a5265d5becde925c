/* What a valve's current follows: the mean volts of its grid; and, where its own volts lead to no steady state, a transistor's: those
 * from base to emitter or gate to source (why: device/average.c). Nodes: grid, mean, or base, mean, emitter; the mean, against the
 * reference, is the volts of the first, less those of the third if there is one, through a low-pass filter. figures[0]: its time
 * constant, s. One branch, which carries nothing; nothing flows into the first node.
 *
 * A supply hums, and an amplifier amplifies the hum as far as its volume controls stand: a drawing does not tell. With every
 * control open several stages on one rail even oscillate through it (motorboating), and then there is no steady state to
 * find. What valves draw on the whole depends on the mean alone, so hum is not amplified here, and none of its loops can
 * oscillate. The cathode is not filtered: what a stage feeds back to itself stays. At an operating point the filter
 * passes everything. */
#include "device/device.h"

#include "base/text.h"
#include "device/network.h"
#include "device/spelling.h"

static size_t one(const struct element *element)
{
    (void)element;
    return 1;
}

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

/* The mean's row stands for an equation of its own, not for a sum of currents. */
static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    double share = stamp->step > 0 ? stamp->step / (stamp->step + element->figures[0]) : 1;
    int mean = rows->nodes[1];

    stamp_add(stamp, mean, mean, 1);
    stamp_add(stamp, mean, rows->nodes[0], -share);
    if (element->node_count > 2)
        stamp_add(stamp, mean, rows->nodes[2], share);
    stamp_rhs(stamp, mean, (1 - share) * stamp->history[rows->state]);
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    (void)element;
    (void)rows;
    (void)stamp;
    amps[0] = 0;
}

static void store(const struct element *element, const struct element_rows *rows,
                  const double *unknowns, double *states)
{
    (void)element;
    states[rows->state] = unknowns[rows->nodes[1]];
}

/* 1 Mohm and a capacitor behind a source that follows the grid. */
static void spell(const struct element *element, const struct spelling *spelling)
{
    const char *name = spelling->name, *mean = spelling->nodes[1];

    text_print(spelling->out, "E%s %s__grid 0 %s %s 1\n", name, name, spelling->nodes[0],
               element->node_count > 2 ? spelling->nodes[2] : "0");
    text_print(spelling->out, "R%s %s__grid %s 1MEG\n", name, name, mean);
    text_print(spelling->out, "C%s %s 0 " SPELL_FIGURE " IC=" SPELL_FIGURE "\n", name, mean,
               element->figures[0] / 1e6, spelling->start[0]);
}

const struct device device_mean_filter = {
    .name = "mean filter",
    .unknowns = none,
    .states = one,
    .stamp = stamp_it,
    .amps = find_amps,
    .store = store,
    .spell = spell,
    .linear = true,
};
