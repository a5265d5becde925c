#include "whatif/heaters_out.h"

#include <stdbool.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "whatif/sweep.h"

/* A heater with less than this share of its current leaves the cathode too cold to emit what the circuit asks. Common practice, no
 * source. */
static const double heating_share = 0.5;

static bool is_valve(const struct part_info *info)
{
    return info->kind == PART_TRIODE || info->kind == PART_PENTODE || info->kind == PART_RECTIFIER_VALVE;
}

static bool is_heater(const struct branch *branch, const struct parts *parts)
{
    return branch->kind == BRANCH_RESISTANCE && branch->part != NULL && is_valve(&parts->items[branch->part->index]);
}

/* By part: a valve each of whose heaters is out; NULL: there is none. */
static const bool *find_cold(const struct sweep *sweep)
{
    const struct parts *parts = sweep->network->parts;
    bool *cold, *warm, any = false;

    if (parts == NULL)
        return NULL;
    cold = arena_array(sweep->scratch, parts->count + 1, sizeof *cold);
    warm = arena_array(sweep->scratch, parts->count + 1, sizeof *warm);
    for (size_t i = 0; i < sweep->excerpt.own_branches; i++) {
        const struct branch *branch = &sweep->excerpt.network->branches[i];

        if (!is_heater(branch, parts))
            continue;
        if (sweep->solution->branches[i].rms < heating_share * sweep_healthy_amps(sweep, i))
            cold[branch->part->index] = true;
        else
            warm[branch->part->index] = true;
    }
    for (size_t i = 0; i < parts->count; i++) {
        cold[i] = cold[i] && !warm[i];
        any = any || cold[i];
    }
    return any ? cold : NULL;
}

void heaters_out_follow(struct sweep *sweep, const struct fault *fault)
{
    const bool *cold = find_cold(sweep);

    if (cold == NULL)
        return;
    sweep_prepare(sweep, fault, cold);
    sweep->solution = sweep_solve(sweep, NULL);
}
