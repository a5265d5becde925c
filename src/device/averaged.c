/* An output valve under drive, as its supply sees it: mean currents that follow the mean volts
 * of its electrodes. Nodes: anode, cathode, screen, cathode, grid; branch 0 runs from node 0 to
 * node 1, branch 1, if there is one, from node 2 to node 3. An element that stands for the
 * screen alone has anode and screen changed about. figures[0]: A; [1], [2], [3]: S, by the volts
 * of nodes 0, 2 and 4 against node 1; figures[4] to [7]: the same of branch 1. i = max(0, f0 +
 * f1 v0 + f2 v2 + f3 v4) v / sqrt(v^2 + V0^2), v across the branch: the tangent of the mean over
 * a cycle of the signal, which ends at 0 V. In a simulator: a B source of this very line. */
#include "device/device.h"

#include <math.h>

#include "device/junction.h"
#include "device/network.h"

/* V0, V: within 1e-4 of the tangent above 150 V. */
#define KNEE_VOLTS 2.0
/* A: rounds the corner where the tangent meets 0. */
#define CORNER_AMPS 1e-5

enum { BRANCH_FIGURES = 4, DRIVERS = 3 };
/* Places among the nodes of those whose volts drive both currents. */
static const size_t drivers[DRIVERS] = {0, 2, 4};

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

/* A current, A, and its slope by the volts of the drivers and of the branch's own, S. */
struct mean_current {
    double amps, by[DRIVERS], by_own;
};

static double volts_of(const struct element_rows *rows, const struct stamp *stamp, size_t node)
{
    return stamp_volts(stamp, rows->nodes[node]) - stamp_volts(stamp, rows->nodes[1]);
}

static struct mean_current current_of(const struct element *element,
                                      const struct element_rows *rows,
                                      const struct stamp *stamp, size_t slot)
{
    const double *figures = element->figures + BRANCH_FIGURES * slot;
    double own = volts_of(rows, stamp, 2 * slot), reach = sqrt(own * own + KNEE_VOLTS * KNEE_VOLTS);
    double amps = figures[0];
    struct mean_current current;
    struct tangent ramp;

    for (size_t i = 0; i < DRIVERS; i++)
        amps += figures[1 + i] * volts_of(rows, stamp, drivers[i]);
    ramp = ramp_tangent(1, CORNER_AMPS, amps);
    current.amps = ramp.amps * own / reach;
    current.by_own = ramp.amps * KNEE_VOLTS * KNEE_VOLTS / (reach * reach * reach);
    for (size_t i = 0; i < DRIVERS; i++)
        current.by[i] = ramp.siemens * figures[1 + i] * own / reach;
    return current;
}

static void add_slope(struct stamp *stamp, const struct element_rows *rows, int from, size_t node,
                      double siemens)
{
    int cathode = rows->nodes[1], column = rows->nodes[node];

    stamp_add(stamp, from, column, siemens);
    stamp_add(stamp, from, cathode, -siemens);
    stamp_add(stamp, cathode, column, -siemens);
    stamp_add(stamp, cathode, cathode, siemens);
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    for (size_t slot = 0; slot < element->branch_count; slot++) {
        struct mean_current current = current_of(element, rows, stamp, slot);
        int from = rows->nodes[2 * slot];
        double rest = current.amps - current.by_own * volts_of(rows, stamp, 2 * slot);

        for (size_t i = 0; i < DRIVERS; i++) {
            rest -= current.by[i] * volts_of(rows, stamp, drivers[i]);
            add_slope(stamp, rows, from, drivers[i], current.by[i]);
        }
        add_slope(stamp, rows, from, 2 * slot, current.by_own + stamp->gmin);
        stamp_current(stamp, from, rows->nodes[1], rest);
    }
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    for (size_t slot = 0; slot < element->branch_count; slot++)
        amps[slot] = current_of(element, rows, stamp, slot).amps +
                     stamp->gmin * volts_of(rows, stamp, 2 * slot);
}

const struct device device_averaged = {
    .name = "averaged",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
};
