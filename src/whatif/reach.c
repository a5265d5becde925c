/* What a rail feeds through little resistance, by relaxation from the rails' nodes. */
#include "whatif/reach.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "device/network.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

double reach_dropper_ohms(const struct network *network, const struct rail *rail, size_t node)
{
    double ohms = 0;

    for (size_t hops = 0; node != SIZE_MAX && hops <= rail->node_count; hops++) {
        const struct rail_node *here = &rail->nodes[node];

        for (size_t i = 0; i < here->path_count; i++) {
            const struct branch *branch = &network->branches[here->path[i]];

            if (branch->kind == BRANCH_RESISTANCE)
                ohms += branch->element->figures[0];
        }
        node = here->upstream;
    }
    return ohms;
}

const struct part *reach_dropper(const struct network *network, const struct rail *rail, size_t node)
{
    const struct part *found = NULL;
    double most = 0;

    for (size_t hops = 0; node != SIZE_MAX && hops <= rail->node_count; hops++) {
        const struct rail_node *here = &rail->nodes[node];

        for (size_t i = 0; i < here->path_count; i++) {
            const struct branch *branch = &network->branches[here->path[i]];

            if (branch->kind == BRANCH_RESISTANCE && branch->element->figures[0] > most) {
                most = branch->element->figures[0];
                found = branch->part;
            }
        }
        node = here->upstream;
    }
    return found;
}

static void index_branches(struct reach *reach, struct arena *arena)
{
    const struct network *network = reach->network;
    size_t *next = arena_array(arena, network->node_count + 1, sizeof *next);

    reach->first = arena_array(arena, network->node_count + 1, sizeof *reach->first);
    reach->links = arena_array(arena, 2 * network->branch_count + 1, sizeof *reach->links);
    for (size_t i = 0; i < network->branch_count; i++) {
        reach->first[network->branches[i].from + 1]++;
        reach->first[network->branches[i].to + 1]++;
    }
    for (size_t i = 0; i < network->node_count; i++)
        reach->first[i + 1] += reach->first[i];
    for (size_t i = 0; i < network->node_count; i++)
        next[i] = reach->first[i];
    for (size_t i = 0; i < network->branch_count; i++) {
        reach->links[next[network->branches[i].from]++] = i;
        reach->links[next[network->branches[i].to]++] = i;
    }
}

/* Ohms of what direct current passes both ways; NAN: it does not. */
static double way_ohms(const struct branch *branch)
{
    switch (branch->kind) {
    case BRANCH_RESISTANCE: return branch->element->figures[0];
    case BRANCH_INDUCTANCE: return branch->element->figures[1];
    case BRANCH_FUSE:
    case BRANCH_CONTACT: return 0;
    default: return NAN;
    }
}

/* Nodes whose ohms became less and that are still to be gone on from. */
struct pending {
    struct arena *arena;
    size_t *nodes;
    size_t count, capacity;
};

static void take(struct reach *reach, struct pending *pending, size_t node, double ohms, size_t rail)
{
    if (!(ohms < reach->ohms[node]) || ohms >= WHATIF_DROPPER_OHMS)
        return;
    reach->ohms[node] = ohms;
    reach->rail[node] = rail;
    pending->nodes = arena_grow(pending->arena, pending->nodes, &pending->capacity, pending->count,
                                sizeof *pending->nodes);
    pending->nodes[pending->count++] = node;
}

static bool is_direct(const struct trace *trace, const struct rail *rail)
{
    return rail->rectifier != SIZE_MAX || trace->sources[rail->source].kind == SOURCE_BATTERY ||
           trace->sources[rail->source].kind == SOURCE_SUPPLY ||
           trace->sources[rail->source].kind == SOURCE_FEED;
}

static void start(struct reach *reach, const struct trace *trace, struct pending *pending)
{
    for (size_t r = 0; r < trace->rail_count; r++) {
        const struct rail *rail = &trace->rails[r];

        for (size_t i = 0; is_direct(trace, rail) && i < rail->node_count; i++) {
            reach->is_rail_node[rail->nodes[i].node] = true;
            take(reach, pending, rail->nodes[i].node,
                 reach_dropper_ohms(reach->network, rail, i), r);
        }
        if (is_direct(trace, rail))
            reach->is_rail_node[rail->back] = true;
    }
    reach->is_rail_node[reach->network->ground] = true;
}

static bool is_end(const struct trace *trace, const struct reach *reach, size_t node)
{
    return node == reach->network->ground ||
           (reach->rail[node] != SIZE_MAX && trace->rails[reach->rail[node]].back == node);
}

struct reach reach_find(struct arena *arena, const struct network *network, const struct trace *trace)
{
    struct reach reach = {.network = network};
    struct pending pending = {.arena = arena};

    reach.ohms = arena_array(arena, network->node_count + 1, sizeof *reach.ohms);
    reach.rail = arena_array(arena, network->node_count + 1, sizeof *reach.rail);
    reach.is_rail_node = arena_array(arena, network->node_count + 1, sizeof *reach.is_rail_node);
    for (size_t i = 0; i < network->node_count; i++) {
        reach.ohms[i] = INFINITY;
        reach.rail[i] = SIZE_MAX;
    }
    index_branches(&reach, arena);
    start(&reach, trace, &pending);
    for (size_t k = 0; k < pending.count; k++) {
        size_t node = pending.nodes[k];

        for (size_t i = reach.first[node]; !is_end(trace, &reach, node) && i < reach.first[node + 1]; i++) {
            const struct branch *branch = &network->branches[reach.links[i]];

            take(&reach, &pending, branch->from == node ? branch->to : branch->from,
                 reach.ohms[node] + way_ohms(branch), reach.rail[node]);
        }
    }
    return reach;
}
