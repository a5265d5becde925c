/* What draws a stated current while it has volts: a valve, a transistor, a regulator. Nodes: plus, minus.
 * figures[0]: the current I0, A; figures[1]: the knee V0, V.
 * i = I0 (1 - exp(-(v/V0)^2)) for v > 0, else 0: within 2 % of I0 above 2 V0, passive, smooth, no reverse current. */
#include "device/device.h"

#include <math.h>

#include "device/junction.h"
#include "device/network.h"

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
    rest = exp(-x * x);
    return (struct tangent){element->figures[0] * (1 - rest),
                            element->figures[0] * 2 * x * rest / element->figures[1]};
}

/* The curve is flat on both sides of its knee; a step that jumps over the knee could jump back for ever. So it
 * climbs to at most 3 times + 1 knee, and falls to no less than a third. */
static double limited_volts(const struct element *element, const struct element_rows *rows,
                            struct stamp *stamp)
{
    double volts = two_terminal_volts(rows, stamp), knee = element->figures[1];
    double before = stamp->limits[rows->limit], bound;

    if (stamp->first)
        return volts;
    bound = 3 * fmax(before, 0) + knee;
    if (volts > bound) {
        stamp->limited = bound < 4 * knee;
        return bound < 4 * knee ? bound : volts;
    }
    bound = before > knee ? before / 3 : before - knee;
    if (volts < bound && bound < 4 * knee && before > 0) {
        stamp->limited = true;
        return bound;
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

const struct device device_load = {
    .name = "load",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
};
