/* What the core of a transformer draws beyond its magnetising current after switch-on at a zero crossing: one half-wave of current
 * a period, in at node 0 and out at node 1. figures[0]: its peak, A; [1]: the source's frequency, Hz; [2]: its phase, rad.
 * The flux is then 1 - cos(wt + phase) instead of -cos(wt + phase), and the core saturates around its crest, half a period after
 * the crossing: i = peak max(0, -cos(wt + phase)). That the pulse is half a cosine wide is common practice, no source. */
#include "device/device.h"

#include <math.h>

#include "device/network.h"

#define TWO_PI 6.283185307179586

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static double amps_at(const struct element *element, const struct stamp *stamp)
{
    const double *figures = element->figures;

    if (!(stamp->step > 0))
        return 0;
    return stamp->source_scale * figures[0] *
           fmax(0, -cos(TWO_PI * figures[1] * stamp->time + figures[2]));
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    stamp_current(stamp, rows->nodes[0], rows->nodes[1], amps_at(element, stamp));
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    (void)rows;
    amps[0] = amps_at(element, stamp);
}

const struct device device_core_inrush = {
    .name = "core inrush",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .linear = true,
};
