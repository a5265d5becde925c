/* One fault of the sweep: the part of the network that it concerns, and its solution. */
#include "whatif/sweep.h"

#include <stdint.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "whatif/held_rails.h"

/* A branch in which a valve that is COLD, by part, conducts no more. */
static bool goes_cold(const struct branch *branch, const bool *cold)
{
    return branch->part != NULL && cold[branch->part->index] &&
           (branch->kind == BRANCH_LOAD || branch->kind == BRANCH_RECTIFIER);
}

static void wish_island(struct excerpt_wish *wish, size_t *islands, bool *wished, size_t island)
{
    if (island == SIZE_MAX || wished[island])
        return;
    wished[island] = true;
    islands[wish->island_count++] = island;
    wish->islands = islands;
}

/* The islands of the fault's nodes: a short may join two; of the fuse that is open; of the valves gone COLD. */
static struct excerpt cut_out(const struct sweep *sweep, const struct fault *fault, const bool *cold)
{
    const struct network *network = sweep->network;
    size_t ends[2] = {fault->node, fault->back};
    size_t *islands = arena_array(sweep->scratch, sweep->islands.count + 1, sizeof *islands);
    bool *wished = arena_array(sweep->scratch, sweep->islands.count + 1, sizeof *wished);
    struct excerpt_wish wish = {.nodes = ends, .node_count = 2};

    wish_island(&wish, islands, wished, sweep->islands.of_node[ends[0]]);
    wish_island(&wish, islands, wished, sweep->islands.of_node[ends[1]]);
    if (fault->branch != SIZE_MAX)
        wish_island(&wish, islands, wished,
                    sweep->islands.of_element[network->branches[fault->branch].element->index]);
    for (size_t i = 0; cold != NULL && i < network->branch_count; i++)
        if (goes_cold(&network->branches[i], cold))
            wish_island(&wish, islands, wished, sweep->islands.of_element[network->branches[i].element->index]);
    return excerpt_new(sweep->scratch, &sweep->islands, &wish);
}

/* Valves whose equation is asked for: that of the shorted coupling capacitor, every one once a fuse is open or bias is short. */
static bool is_asked(const struct fault *fault, size_t valve)
{
    return fault->kind == FAULT_OPEN || fault->on_bias || fault->valve == valve;
}

static struct network *copy(struct arena *arena, const struct network *network)
{
    struct network *made = network_change(arena, network, NULL, 0);

    made->node_capacity = made->node_count; /* so that adding a node moves the nodes, which are the original's */
    return made;
}

static size_t local_branch(const struct excerpt *excerpt, size_t count, size_t branch)
{
    for (size_t i = 0; i < count; i++)
        if (excerpt->branches[i] == branch)
            return i;
    return SIZE_MAX;
}

/* The excerpt with the equations of told valves where they are asked for. */
static const struct network *sound_network(struct sweep *sweep, const struct fault *fault, const bool *cold)
{
    const struct excerpt *excerpt = &sweep->excerpt;
    size_t count = excerpt->network->branch_count;
    struct network *made = NULL;

    for (size_t i = 0; i < excerpt->own_branches; i++) {
        size_t index = sweep->valves.of_branch[excerpt->branches[i]];
        const struct power_valve *valve = index != SIZE_MAX ? &sweep->valves.items[index] : NULL;
        size_t grid;

        if (valve == NULL || valve->model == NULL || !is_asked(fault, index) ||
            (cold != NULL && cold[valve->info->part->index]))
            continue;
        grid = excerpt_node(excerpt, &sweep->islands, valve->grid);
        if (grid == SIZE_MAX)
            continue;
        if (made == NULL)
            made = copy(sweep->scratch, excerpt->network);
        power_valve_put(made, valve, i,
                        valve->screen_branch != SIZE_MAX ? local_branch(excerpt, count, valve->screen_branch)
                                                         : SIZE_MAX,
                        grid);
    }
    return made != NULL ? made : excerpt->network;
}

static struct change change_of(const struct fault *fault)
{
    if (fault->kind == FAULT_OPEN)
        return (struct change){.kind = CHANGE_OPEN, .a = fault->branch};
    return (struct change){.kind = CHANGE_BRIDGE, .a = fault->node, .b = fault->back};
}

static bool is_followed(const struct fault *fault, size_t branch)
{
    for (size_t i = 0; i < fault->follow_count; i++)
        if (fault->follows[i] == branch)
            return true;
    return false;
}

struct network *whatif_network(struct arena *arena, const struct whatif *whatif, const struct fault *fault,
                               const struct network *network)
{
    struct network *made = copy(arena, network);
    struct change *changes = arena_array(arena, fault->follow_count + 1, sizeof *changes);

    for (size_t i = 0; i < whatif->valve_count; i++)
        if (whatif->valves[i].model != NULL && is_asked(fault, i) &&
            !is_followed(fault, whatif->valves[i].anode_branch))
            power_valve_put(made, &whatif->valves[i], whatif->valves[i].anode_branch,
                            whatif->valves[i].screen_branch, whatif->valves[i].grid);
    changes[0] = change_of(fault);
    for (size_t i = 0; i < fault->follow_count; i++)
        changes[i + 1] = (struct change){.kind = CHANGE_OPEN, .a = fault->follows[i]};
    return network_change(arena, made, changes, fault->follow_count + 1);
}

static void start_changes(struct sweep *sweep, const struct fault *fault)
{
    const struct excerpt *excerpt = &sweep->excerpt;
    struct change change = change_of(fault);

    if (fault->kind == FAULT_OPEN) {
        change.a = local_branch(excerpt, excerpt->network->branch_count, fault->branch);
    } else {
        change.a = excerpt_node(excerpt, &sweep->islands, change.a);
        change.b = excerpt_node(excerpt, &sweep->islands, change.b);
    }
    sweep->change_capacity = excerpt->network->branch_count + 1; /* the fault, and every branch opened */
    sweep->changes = arena_array(sweep->scratch, sweep->change_capacity, sizeof *sweep->changes);
    sweep->changes[0] = change;
    sweep->change_count = 1;
}

void sweep_prepare(struct sweep *sweep, const struct fault *fault, const bool *cold)
{
    sweep->cold = cold;
    sweep->excerpt = cut_out(sweep, fault, cold);
    start_changes(sweep, fault);
    sweep->sound = sound_network(sweep, fault, cold);
    for (size_t i = 0; cold != NULL && i < sweep->excerpt.own_branches; i++)
        if (goes_cold(&sweep->excerpt.network->branches[i], cold))
            sweep_open(sweep, i);
}

size_t sweep_fuse(const struct sweep *sweep, size_t local)
{
    if (local >= sweep->excerpt.network->branch_count)
        return SIZE_MAX;
    return sweep->fuse_of_branch[sweep->excerpt.branches[local]];
}

bool sweep_is_open(const struct sweep *sweep, size_t branch)
{
    for (size_t i = 0; i < sweep->change_count; i++)
        if (sweep->changes[i].kind == CHANGE_OPEN && sweep->excerpt.branches[sweep->changes[i].a] == branch)
            return true;
    return false;
}

void sweep_tell_follows(struct sweep *sweep, struct fault *fault)
{
    fault->follows = arena_array(sweep->arena, sweep->change_count, sizeof *fault->follows);
    for (size_t i = 1; i < sweep->change_count; i++)
        fault->follows[fault->follow_count++] = sweep->excerpt.branches[sweep->changes[i].a];
}

double sweep_healthy_amps(const struct sweep *sweep, size_t local)
{
    return sweep->healthy->branches[sweep->excerpt.branches[local]].rms;
}

bool sweep_open(struct sweep *sweep, size_t local)
{
    if (sweep->change_count == sweep->change_capacity)
        return false;
    sweep->changes[sweep->change_count++] = (struct change){.kind = CHANGE_OPEN, .a = local};
    return true;
}

/* Hundreds of faults are tried: those that are found at all are found with far less than this share. */
static const double effort = 0.4;

static bool opens_fuse(const struct sweep *sweep)
{
    for (size_t i = 0; i < sweep->change_count; i++)
        if (sweep->changes[i].kind == CHANGE_OPEN && sweep_fuse(sweep, sweep->changes[i].a) != SIZE_MAX)
            return true;
    return false;
}

const struct solution *sweep_solve(struct sweep *sweep, const struct solution *start)
{
    struct solve_options options = {.start = start, .effort = effort};
    const struct solution *solution;

    if (start == NULL)
        options.start = excerpt_start(sweep->scratch, &sweep->excerpt, sweep->healthy);
    sweep->faulted = network_change(sweep->scratch, sweep->sound, sweep->changes, sweep->change_count);
    solution = solve_steady(sweep->scratch, sweep->faulted, &options);
    sweep->direct = false;
    if (solution->status != SOLVE_OK && !solution->averaged) { /* transistors on the average start from rest in any case */
        options.start = NULL; /* what was may lie too far from what is */
        solution = solve_steady(sweep->scratch, sweep->faulted, &options);
    }
    if (solution->status == SOLVE_OK || !opens_fuse(sweep))
        return solution;
    sweep->direct = true;
    return held_rails_solve(sweep);
}
