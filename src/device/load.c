/* What draws a stated current while it has volts: a valve, a transistor, a regulator. Nodes: plus, minus.
 * figures[0]: the current I0, A; figures[1]: the knee V0, V.
 * i = I0 (1 - exp(-v/V0)) for v > 0, else 0: within 2 % of I0 above 4 V0, passive, no reverse current. */
#include "device/device.h"

#include <math.h>

#include "base/text.h"
#include "device/junction.h"
#include "device/network.h"
#include "device/spelling.h"

/* So many knees up exp(-x) is lost beside 1. */
#define FLAT_KNEES 40

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static struct tangent curve(const struct element *element, double volts)
{
    double x = volts / element->figures[1], rest;

    if (x <= 0)
        return (struct tangent){0, 0};
    if (x > FLAT_KNEES)
        return (struct tangent){element->figures[0], 0};
    rest = exp(-x);
    return (struct tangent){element->figures[0] * (1 - rest),
                            element->figures[0] * rest / element->figures[1]};
}

/* The curve is flat on both sides of its knee, with a corner at 0: a step that jumps over them could jump back
 * for ever. So the volts climb to at most 3 times + 1 knee, fall to no less than a part, and cross 0 from near it. */
static double limited_volts(const struct element *element, const struct element_rows *rows,
                            struct stamp *stamp)
{
    double volts = two_terminal_volts(rows, stamp), knee = element->figures[1];
    double before = stamp->limits[rows->limit];
    double most = 3 * fmax(before, 0) + knee;
    double least = before > knee ? before / 3 : before / 30;

    if (stamp->first || stamp->unlimited)
        return volts;
    if (volts > most && most < 4 * knee) {
        stamp->limited = true;
        return most;
    }
    if (volts < least && least < 4 * knee && before > 1e-6 * knee) {
        stamp->limited = true;
        return least;
    }
    return volts;
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    double volts = limited_volts(element, rows, stamp);

    stamp->limits[rows->limit] = volts;
    two_terminal_stamp(rows, stamp, curve(element, volts), volts);
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    double volts = two_terminal_volts(rows, stamp);

    amps[0] = curve(element, volts).amps + stamp->gmin * volts;
}

static void spell(const struct element *element, const struct spelling *spelling)
{
    const char *plus = spelling->nodes[0], *minus = spelling->nodes[1];
    struct text *out = spelling->out;

    text_print(out, "B%s %s %s I=" SPELL_FIGURE "*(1-exp(-max(", spelling->name, plus, minus,
               element->figures[0]);
    spell_volts(out, plus, minus);
    text_print(out, ",0)/" SPELL_FIGURE "))\n", element->figures[1]);
    spell_gmin(spelling, "gmin", plus, minus);
}

const struct device device_load = {
    .name = "load",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
};
