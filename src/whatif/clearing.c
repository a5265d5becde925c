/* Clearing in stages: the first fuse that is guaranteed to open does, and the question is put again. */
#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/forest.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "whatif/sweep.h"

/* More stages than fuses in series with one source. */
enum { MOST_STAGES = 5 };

/* Next to nothing flows through the short: this share of the first current. */
static const double nothing_share = 0.01;
/* A fuse carries no more than in health: within this multiple, and this share of the fault's first current. */
static const double healthy_multiple = 1.1, healthy_share = 0.01;

/* ---- whether anything can flow at all ---- */

static bool is_source(const struct element *element)
{
    return element->device == &device_source && (element->figures[0] != 0 || element->figures[1] != 0);
}

static void join_all(size_t *parents, const struct element *element)
{
    for (size_t i = 1; i < element->node_count; i++)
        forest_join(parents, element->nodes[0], element->nodes[i]);
}

/* No source lies on a loop, so that nothing flows anywhere. */
static bool is_dead(struct arena *arena, const struct network *network)
{
    size_t *parents = forest_new(arena, network->node_count);

    for (size_t i = 0; i < network->element_count; i++)
        if (network->elements[i]->device != &device_open && !is_source(network->elements[i]))
            join_all(parents, network->elements[i]);
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        if (!is_source(element))
            continue;
        if (forest_joined(parents, element->nodes[0], element->nodes[1]))
            return false;
        forest_join(parents, element->nodes[0], element->nodes[1]);
    }
    return true;
}

/* ---- stages ---- */

/* The branch of the fuse that opens first, and by when; SIZE_MAX: none must. */
static size_t first_to_open(const struct sweep *sweep, const struct solution *solution, double *seconds)
{
    size_t found = SIZE_MAX;

    *seconds = INFINITY;
    for (size_t i = 0; i < sweep->excerpt.network->branch_count; i++) {
        size_t index = sweep_fuse(sweep, i);
        const struct fuse_state *fuse = index != SIZE_MAX ? &sweep->whatif->fuses[index] : NULL;
        double by;

        if (fuse == NULL || !fuse->known || sweep_is_open(sweep, sweep->excerpt.branches[i]))
            continue;
        by = gates_opens_by(fuse->gates, fuse->marking.amps, solution->branches[i].rms);
        if (by < *seconds) {
            *seconds = by;
            found = i;
        }
    }
    return found;
}

static bool all_fuses_healthy(const struct sweep *sweep, const struct solution *solution, double first)
{
    for (size_t i = 0; i < sweep->excerpt.network->branch_count; i++)
        if (sweep_fuse(sweep, i) != SIZE_MAX &&
            solution->branches[i].rms >
                healthy_multiple * sweep_healthy_amps(sweep, i) + healthy_share * first)
            return false;
    return true;
}

static void add_stage(struct sweep *sweep, struct fault *fault, size_t local, const struct solution *solution,
                      double seconds)
{
    double before = fault->stage_count > 0 ? fault->stages[fault->stage_count - 1].opens_by : 0;

    if (fault->stages == NULL)
        fault->stages = arena_array(sweep->arena, MOST_STAGES, sizeof *fault->stages);
    fault->stages[fault->stage_count++] =
        (struct fault_stage){.fuse = sweep_fuse(sweep, local), .amps = solution->branches[local].rms,
                             .opens_by = before + seconds};
}

static bool has_ended(struct sweep *sweep, struct fault *fault, const struct solution *solution)
{
    fault->left_amps = solution->branches[sweep->sound->branch_count].rms;
    return fault->left_amps < nothing_share * fault->amps &&
           all_fuses_healthy(sweep, solution, fault->amps);
}

/* What stays on too long is too much for some winding. */
static void find_overload(const struct sweep *sweep, struct fault *fault, const struct solution *solution)
{
    double most = 1;

    for (size_t i = 0; i < sweep->excerpt.own_branches; i++) {
        const struct branch *branch = &sweep->excerpt.network->branches[i];
        double rated = branch->kind == BRANCH_WINDING && branch->section != NULL
                           ? part_section_amps(&sweep->network->parts->items[branch->part->index], branch->section)
                           : NAN;

        if (!(rated > 0) || solution->branches[i].rms <= most * rated)
            continue;
        most = solution->branches[i].rms / rated;
        fault->overloaded = sweep->excerpt.branches[i];
        fault->overload_amps = solution->branches[i].rms;
    }
}

void clearing_follow(struct sweep *sweep, struct fault *fault)
{
    const struct solution *solution = sweep->solution;

    fault->left_amps = fault->amps;
    fault->outcome = OUTCOME_FED_ON;
    while (fault->stage_count < MOST_STAGES) {
        double seconds;
        size_t local = first_to_open(sweep, solution, &seconds);

        if (local == SIZE_MAX || !sweep_open(sweep, local)) {
            sweep->solution = solution;
            find_overload(sweep, fault, solution);
            return;
        }
        add_stage(sweep, fault, local, solution, seconds);
        if (is_dead(sweep->scratch, network_change(sweep->scratch, sweep->sound, sweep->changes,
                                                   sweep->change_count))) {
            fault->left_amps = 0;
            fault->outcome = OUTCOME_CLEARED;
            break;
        }
        solution = sweep_solve(sweep, solution);
        if (solution->status != SOLVE_OK) {
            fault->left_amps = NAN;
            fault->outcome = OUTCOME_UNKNOWN;
            return;
        }
        if (has_ended(sweep, fault, solution)) {
            fault->outcome = OUTCOME_CLEARED;
            break;
        }
        if (sweep->direct && first_to_open(sweep, solution, &seconds) != SIZE_MAX) { /* that is at the most: it need not */
            fault->left_amps = NAN;
            fault->outcome = OUTCOME_UNKNOWN;
            return;
        }
    }
    if (fault->outcome == OUTCOME_CLEARED)
        fault->cleared_by = fault->stages[fault->stage_count - 1].opens_by;
}
