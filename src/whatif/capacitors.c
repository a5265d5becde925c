#include "whatif/capacitors.h"

#include <math.h>
#include <stdbool.h>

#include "base/arena.h"
#include "base/forest.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "whatif/sweep.h"

/* V: below, a charge counts as harmless (class ES1, IEC 62368-1 table 4). */
static const double safe_volts = 60;
/* F: less couples signals. Common practice, no source. */
static const double least_farads = 1e-6;

/* What direct current passes both ways without a supply. */
static bool discharges(enum branch_kind kind)
{
    return kind == BRANCH_RESISTANCE || kind == BRANCH_INDUCTANCE || kind == BRANCH_WINDING || kind == BRANCH_FUSE ||
           kind == BRANCH_CONTACT;
}

static size_t *pieces(struct arena *arena, const struct network *network)
{
    size_t *parents = forest_new(arena, network->node_count);

    for (size_t i = 0; i < network->branch_count; i++)
        if (discharges(network->branches[i].kind))
            forest_join(parents, network->branches[i].from, network->branches[i].to);
    return parents;
}

static bool joined(size_t *parents, const struct branch *branch)
{
    return forest_joined(parents, branch->from, branch->to);
}

static double volts_of(const struct solution *solution, const struct branch *branch)
{
    return fabs(solution->nodes[branch->from].mean - solution->nodes[branch->to].mean);
}

void capacitors_look(struct sweep *sweep, struct fault *fault)
{
    size_t *sound = pieces(sweep->scratch, sweep->excerpt.network);
    size_t *faulted = pieces(sweep->scratch, sweep->faulted);

    for (size_t i = 0; i < sweep->excerpt.own_branches; i++) {
        const struct branch *branch = &sweep->excerpt.network->branches[i];
        const struct branch *whole = &sweep->network->branches[sweep->excerpt.branches[i]];
        double before, after, rated, farads;

        if (branch->kind != BRANCH_CAPACITANCE || sweep->network->parts == NULL)
            continue;
        rated = part_figure_value(&sweep->network->parts->items[branch->part->index], FIGURE_RATED_VOLTS, NAN);
        farads = branch->element->figures[0];
        before = volts_of(sweep->healthy, whole);
        after = volts_of(sweep->solution, branch);
        if (sweep->cold != NULL && before <= rated && after > rated)
            sweep_add_worse(sweep, fault, (struct fault_worse){WORSE_CAPACITOR, branch->part, before, after, rated, NAN});
        if (farads >= least_farads && after >= safe_volts && joined(sound, branch) && !joined(faulted, branch))
            sweep_add_worse(sweep, fault,
                            (struct fault_worse){WORSE_STORED, branch->part, before, after, safe_volts,
                                                 farads * after * after / 2});
    }
}
