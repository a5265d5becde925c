#include "solve/grids.h"

#include <math.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/solve.h"

/* Two grids agree whatever the share when no RMS value differs by more than this, V or A. */
#define GRID_VOLTS 1e-3
#define GRID_AMPS 5e-6
#define PEAK_SHARE 0.01
#define LEAST_PEAK_AMPS 1e-3
/* A capacitor or resistor that carries less than the first share of what flows beside it at either end need agree only to the
 * second share of that, unless its watts differ by more than a hundredth of the smallest rating of a resistor, 1/8 W. */
#define LITTLE_SHARE 0.05
#define NEGLIGIBLE_SHARE 1e-3
#define NEGLIGIBLE_WATTS 1e-3

static bool agree(const struct wave *a, const struct wave *b, double share, double least)
{
    return fabs(a->rms - b->rms) <= share * fmax(a->rms, b->rms) + least;
}

/* By node: the largest RMS current of a branch there. */
static double *largest_amps(struct arena *work, const struct network *network,
                            const struct solution *solution)
{
    double *most = arena_array(work, network->node_count, sizeof *most);

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        most[branch->from] = fmax(most[branch->from], solution->branches[i].rms);
        most[branch->to] = fmax(most[branch->to], solution->branches[i].rms);
    }
    return most;
}

/* Whether the currents A and B that two grids gave BRANCH, a damper, a snubber or a stray path, differ by nothing that matters.
 * MOST: by node. When a diode stops conducting, the leakage inductance rings with what lies across it, far above what any
 * grid resolves, but with next to no energy. */
static bool is_negligible(const struct branch *branch, const struct wave *a,
                          const struct wave *b, const double *most)
{
    const struct element *element = branch->element;
    double watts = fabs(a->rms * a->rms - b->rms * b->rms) * element->figures[0];
    double beside;

    if (branch->kind == BRANCH_FUSE ||
        (element->device != &device_capacitor && element->device != &device_resistor) ||
        (element->device == &device_resistor && watts > NEGLIGIBLE_WATTS))
        return false;
    beside = fmin(most[branch->from], most[branch->to]);
    return fmax(a->rms, b->rms) <= LITTLE_SHARE * beside &&
           fabs(a->rms - b->rms) <= NEGLIGIBLE_SHARE * beside;
}

bool grids_agree(struct arena *work, const struct network *network,
                 const struct solution *coarse, const struct solution *fine, double share,
                 const char **blame)
{
    const double *most = largest_amps(work, network, fine);

    for (size_t i = 0; i < network->node_count; i++)
        if (!agree(&coarse->nodes[i], &fine->nodes[i], share, GRID_VOLTS)) {
            *blame = network->nodes[i].name;
            return false;
        }
    for (size_t i = 0; i < network->branch_count; i++)
        if (!agree(&coarse->branches[i], &fine->branches[i], share, GRID_AMPS) &&
            !is_negligible(&network->branches[i], &coarse->branches[i], &fine->branches[i], most)) {
            *blame = network->branches[i].part->ref;
            return false;
        }
    return true;
}

bool grids_peaks_agree(const struct network *network, const struct solution *coarse,
                       const struct solution *fine)
{
    for (size_t i = 0; i < network->branch_count; i++) {
        const struct device *device = network->branches[i].element->device;
        double a = coarse->branches[i].high, b = fine->branches[i].high;

        if ((device == &device_diode || device == &device_valve_diode) &&
            fabs(a - b) > PEAK_SHARE * fmax(fabs(a), fabs(b)) + LEAST_PEAK_AMPS)
            return false;
    }
    return true;
}
