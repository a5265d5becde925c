#include "whatif/audio_path.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "circuit/graph.h"
#include "device/device.h"
#include "device/network.h"
#include "trace/trace.h"

/* Windings of an output transformer are resistances too, but what flows in them is not told by their ohms. */
static bool is_way(const struct branch *branch, double coupling)
{
    switch (branch->kind) {
    case BRANCH_CAPACITANCE:
        return coupling > 0 && branch->element->figures[0] >= coupling;
    case BRANCH_RESISTANCE:
        return branch->section == NULL;
    case BRANCH_FUSE:
    case BRANCH_CONTACT:
    case BRANCH_INDUCTANCE:
        return true;
    default:
        return false;
    }
}

/* A choke counts with the resistance of its winding. */
static double ohms_of(const struct branch *branch)
{
    const struct element *element = branch->element;
    double ohms = branch->kind == BRANCH_INDUCTANCE ? element->figures[1] : element->figures[0];

    return ohms > 0 && branch->kind != BRANCH_CAPACITANCE ? ohms : 0;
}

static void mark_still(struct audio_net *net, const struct trace *trace)
{
    const struct network *network = net->network;

    net->still[network->ground] = true;
    for (size_t i = 0; trace != NULL && i < trace->rail_count; i++)
        net->still[trace->rails[i].back] = true;
    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        bool smooths = branch->kind == BRANCH_CAPACITANCE &&
                       branch->element->figures[0] >= AUDIO_STILL_FARADS;

        if (smooths || branch->kind == BRANCH_SOURCE)
            net->still[branch->from] = net->still[branch->to] = true;
    }
}

struct audio_net audio_net_new(struct arena *arena, const struct network *network,
                               const struct trace *trace, double coupling)
{
    struct audio_net net = {.network = network};
    struct graph_edge *edges = arena_array(arena, network->branch_count, sizeof *edges);
    size_t *branch_of = arena_array(arena, network->branch_count, sizeof *branch_of), count = 0;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (!is_way(branch, coupling))
            continue;
        branch_of[count] = i;
        edges[count++] = (struct graph_edge){.from = branch->from, .to = branch->to,
                                             .length = ohms_of(branch)};
    }
    net.branch_of = branch_of;
    net.graph = graph_new(arena, network->node_count, edges, count);
    net.search = graph_search_new(arena, net.graph);
    net.still = arena_array(arena, network->node_count, sizeof *net.still);
    mark_still(&net, trace);
    return net;
}

static void list_branches(struct arena *arena, const struct audio_net *net,
                          struct audio_path *path, size_t start)
{
    const struct graph_search *search = net->search;
    size_t capacity = 0;

    for (size_t node = path->end; node != start;) {
        size_t edge = search->arrival[node];

        path->branches =
            arena_grow(arena, path->branches, &capacity, path->count, sizeof *path->branches);
        path->branches[path->count++] = net->branch_of[edge];
        node = graph_other(net->graph, edge, node);
    }
}

struct audio_path audio_path_find(struct arena *arena, const struct audio_net *net, size_t start,
                                  const bool *stops, double limit)
{
    struct graph_query query = {.start = start, .target = SIZE_MAX, .limit = limit};
    struct audio_path path = {.end = start};

    graph_search_run(net->search, &query);
    for (size_t i = 0; i < net->search->reached_count && !path.found; i++) {
        path.end = net->search->reached[i];
        path.found = stops[path.end];
    }
    if (!path.found)
        return path;
    path.ohms = net->search->distance[path.end];
    list_branches(arena, net, &path, start);
    return path;
}

struct audio_path audio_path_between(struct arena *arena, const struct audio_net *net,
                                     size_t start, size_t end, const bool *barred, double limit)
{
    struct graph_query query = {.start = start, .target = end, .barred = barred, .limit = limit};
    struct audio_path path = {.end = end};

    path.ohms = graph_search_run(net->search, &query);
    path.found = isfinite(path.ohms);
    if (path.found)
        list_branches(arena, net, &path, start);
    return path;
}
