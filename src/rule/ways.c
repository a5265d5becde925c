#include "rule/ways.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "circuit/graph.h"
#include "device/device.h"
#include "device/direct_path.h"
#include "device/network.h"
#include "parts/parts.h"

/* Edges: one a branch, then one for each firm node to the vertex that stands for them all. */
struct ways {
    const struct network *network;
    struct graph *graph;
    struct graph_search *search;
    bool *firm;              /* by node */
    bool *skip[WAY_ALL + 1]; /* by edge, for each choice of what is a way */
    bool *barred;            /* by vertex: the reference, while it must not be gone through */
    size_t *joined;          /* union of nodes; see direct_path.h */
    size_t firm_vertex, firm_node;
};

double ways_branch_ohms(const struct network *network, size_t index)
{
    const struct branch *branch = &network->branches[index];
    const struct element *element = branch->element;

    switch (branch->kind) {
    case BRANCH_RESISTANCE:
    case BRANCH_FUSE:
        return element->device == &device_resistor ? fmax(element->figures[0], 0) : NAN;
    case BRANCH_CONTACT:
        return 0;
    case BRANCH_INDUCTANCE:
        return fmax(element->figures[1], 0);
    case BRANCH_WINDING:
        return element->ohms != NULL ? fmax(element->ohms[branch->slot], 0) : 0;
    default:
        return NAN;
    }
}

static bool is_valve(const struct network *network, const struct branch *branch)
{
    enum part_kind kind = network->parts != NULL && branch->part->index < network->parts->count
                              ? network->parts->items[branch->part->index].kind
                              : PART_UNKNOWN;

    return kind == PART_TRIODE || kind == PART_PENTODE;
}

static bool joins(const struct network *network, size_t index)
{
    const struct branch *branch = &network->branches[index];

    if (!isnan(ways_branch_ohms(network, index)))
        return true;
    return branch->kind == BRANCH_RECTIFIER || branch->kind == BRANCH_SOURCE ||
           (branch->kind == BRANCH_LOAD && !is_valve(network, branch));
}

static bool holds_volts(const struct branch *branch)
{
    return branch->kind == BRANCH_CAPACITANCE && branch->element->figures[0] >= WAYS_FIRM_FARADS;
}

/* Two reservoirs in series: MIDDLE, which is firm, has nothing but large capacitors, resistances, and in a doubler
 * a winding. */
static bool is_string(const struct network *network, size_t middle)
{
    size_t capacitors = 0;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->from != middle && branch->to != middle)
            continue;
        if (holds_volts(branch))
            capacitors++;
        else if (branch->kind != BRANCH_RESISTANCE && branch->kind != BRANCH_WINDING)
            return false;
    }
    return capacitors == 2;
}

/* What a string of capacitors holds up. */
static void find_strings(struct ways *ways)
{
    const struct network *network = ways->network;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        size_t middle = ways->firm[branch->from] ? branch->from : branch->to;

        if (holds_volts(branch) && ways->firm[branch->from] != ways->firm[branch->to] && middle != network->ground &&
            is_string(network, middle))
            ways->firm[branch->from] = ways->firm[branch->to] = true;
    }
}

static void find_firm(struct ways *ways)
{
    const struct network *network = ways->network;

    ways->firm[network->ground] = true;
    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->kind == BRANCH_SOURCE ||
            (holds_volts(branch) && (branch->from == network->ground || branch->to == network->ground)))
            ways->firm[branch->from] = ways->firm[branch->to] = true;
    }
    find_strings(ways);
}

/* The edges, in ohm, and what is left out of them for each choice. */
static void find_edges(struct arena *arena, struct ways *ways)
{
    const struct network *network = ways->network;
    size_t count = network->branch_count, most = count + network->node_count;
    struct graph_edge *edges = arena_array(arena, most, sizeof *edges);

    for (unsigned also = 0; also <= WAY_ALL; also++)
        ways->skip[also] = arena_array(arena, most, sizeof **ways->skip);
    for (size_t i = 0; i < count; i++) {
        const struct branch *branch = &network->branches[i];
        double ohms = ways_branch_ohms(network, i);

        edges[i] = (struct graph_edge){branch->from, branch->to, false, isnan(ohms) ? 0 : ohms};
        for (unsigned also = 0; also <= WAY_ALL; also++)
            ways->skip[also][i] = isnan(ohms) ||
                                  (branch->kind == BRANCH_CONTACT && !(also & WAY_CONTACT)) ||
                                  (branch->kind == BRANCH_WINDING && !(also & WAY_WINDING));
    }
    for (size_t i = 0; i < network->node_count; i++)
        if (ways->firm[i])
            edges[count++] = (struct graph_edge){i, ways->firm_vertex, true, 0};
    ways->graph = graph_new(arena, network->node_count + 1, edges, count);
}

struct ways *ways_new(struct arena *arena, const struct network *network)
{
    struct ways *ways = arena_alloc(arena, sizeof *ways);

    ways->network = network;
    ways->firm = arena_array(arena, network->node_count + 1, sizeof *ways->firm);
    ways->barred = arena_array(arena, network->node_count + 1, sizeof *ways->barred);
    ways->joined = arena_array(arena, network->node_count, sizeof *ways->joined);
    ways->firm_vertex = network->node_count;
    ways->firm_node = SIZE_MAX;
    find_firm(ways);
    find_edges(arena, ways);
    ways->search = graph_search_new(arena, ways->graph);
    for (size_t i = 0; i < network->node_count; i++)
        ways->joined[i] = i;
    for (size_t i = 0; i < network->branch_count; i++)
        if (joins(network, i))
            direct_path_join(ways->joined, network->branches[i].from, network->branches[i].to);
    return ways;
}

static double run(struct ways *ways, size_t from, size_t to, unsigned also)
{
    size_t ground = ways->network->ground;
    double ohms;

    ways->barred[ground] = from != ground && to != ground && to != ways->firm_vertex;
    ohms = graph_search_run(ways->search, &(struct graph_query){.start = from,
                                                                .target = to,
                                                                .skip = ways->skip[also & WAY_ALL],
                                                                .barred = ways->barred});
    ways->barred[ground] = false;
    return ohms;
}

const double *ways_from(struct ways *ways, size_t from, unsigned also, double limit)
{
    size_t ground = ways->network->ground;

    ways->barred[ground] = from != ground;
    ways->barred[ways->firm_vertex] = true;
    graph_search_run(ways->search, &(struct graph_query){.start = from,
                                                         .target = SIZE_MAX,
                                                         .skip = ways->skip[also & WAY_ALL],
                                                         .barred = ways->barred,
                                                         .limit = limit});
    ways->barred[ground] = ways->barred[ways->firm_vertex] = false;
    return ways->search->distance;
}

double ways_ohms(struct ways *ways, size_t from, size_t to, unsigned also)
{
    return from == to ? 0 : run(ways, from, to, also);
}

double ways_firm_ohms(struct ways *ways, size_t from, unsigned also)
{
    double ohms = run(ways, from, ways->firm_vertex, also);

    ways->firm_node = isfinite(ohms) ? graph_other(ways->graph, ways->search->arrival[ways->firm_vertex],
                                                   ways->firm_vertex)
                                     : SIZE_MAX;
    return ohms;
}

size_t ways_firm_node(const struct ways *ways)
{
    return ways->firm_node;
}

bool ways_is_firm(const struct ways *ways, size_t node)
{
    return ways->firm[node];
}

bool ways_joined(const struct ways *ways, size_t a, size_t b)
{
    return direct_path_exists(ways->joined, a, b);
}

const size_t *ways_branches(const struct ways *ways, size_t node, size_t *count)
{
    size_t first = ways->graph->first[node], last = ways->graph->first[node + 1];

    while (last > first && ways->graph->links[last - 1] >= ways->network->branch_count)
        last--;
    *count = last - first;
    return &ways->graph->links[first];
}
