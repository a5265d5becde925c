/* What a transistor's current follows where its own volts lead to no steady state: their mean. Nodes: mean, base or gate, emitter or
 * source; the mean, against the reference, is the volts between the others through a low-pass filter. figures[0]: its time constant, s.
 * One branch, which carries nothing. At an operating point the filter passes everything. Why: device/average.c. */
#include "device/device.h"

#include "device/network.h"

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
    int mean = rows->nodes[0];

    stamp_add(stamp, mean, mean, 1);
    stamp_add(stamp, mean, rows->nodes[1], -share);
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
    states[rows->state] = unknowns[rows->nodes[0]];
}

const struct device device_control_mean = {
    .name = "control mean",
    .unknowns = none,
    .states = one,
    .stamp = stamp_it,
    .amps = find_amps,
    .store = store,
    .linear = true,
};
