/* The way between BACK and the source is fixed first (the shortest), then one search from the source's other terminal
 * that keeps off it reaches all nodes at once. A node missed although a way exists that only crosses that first one is
 * tried again with other ways, up to a budget: two disjoint directed ways are hard to find in general, but supplies are
 * small. */
#include "trace/loops.h"

#include <math.h>
#include <stdint.h>

#include "device/network.h"

enum { EXACT_STEPS = 2000, EXACT_WAYS = 64, EXACT_TOTAL = 512 };

struct loops {
    struct conduction *conduction;
    const struct loop_query *query;
    size_t inside;    /* block that is walked, where the query tells of blocks */
    size_t near, far; /* source terminals: NEAR leads to the node, FAR to BACK */
    double *ohms;
    bool *fuses;
    size_t tried; /* ways tried in exact searches, all nodes together */
};

static bool is_fuse(const struct conduction *conduction, size_t branch)
{
    return conduction->network->branches[branch].kind == BRANCH_FUSE;
}

static void note_fuse(struct loops *loops, size_t branch)
{
    if (loops->fuses != NULL && is_fuse(loops->conduction, branch))
        loops->fuses[branch] = true;
}

/* The way between FAR and BACK that keeps off NEAR (and off whatever is barred). */
static double find_return(struct loops *loops)
{
    struct conduction *conduction = loops->conduction;
    double ohms;

    conduction->barred[loops->near] = true;
    ohms = graph_search_run(conduction->second,
                            &(struct graph_query){.start = loops->far,
                                                  .target = loops->query->back,
                                                  .skip = conduction->skip,
                                                  .block = loops->query->block,
                                                  .inside = loops->inside,
                                                  .barred = conduction->barred,
                                                  .backwards = !loops->query->negative});
    conduction->barred[loops->near] = false;
    return ohms;
}

/* Bars (or frees) the nodes of the way last found, and notes its fuses. */
static void bar_return(struct loops *loops, bool barred)
{
    struct conduction *conduction = loops->conduction;
    size_t node = loops->query->back, edge;

    conduction->barred[node] = barred;
    while ((edge = conduction->second->arrival[node]) != SIZE_MAX) {
        note_fuse(loops, edge);
        node = conduction_other(conduction, edge, node);
        conduction->barred[node] = barred;
    }
}

static void reach_nodes(struct loops *loops, size_t target)
{
    struct conduction *conduction = loops->conduction;

    graph_search_run(conduction->search,
                     &(struct graph_query){.start = loops->near,
                                           .target = target,
                                           .skip = conduction->skip,
                                           .block = loops->query->block,
                                           .inside = loops->inside,
                                           .barred = conduction->barred,
                                           .backwards = loops->query->negative});
}

static void note_reached_fuses(struct loops *loops)
{
    const struct graph_search *search = loops->conduction->search;

    for (size_t i = 0; i < search->reached_count; i++)
        if (search->arrival[search->reached[i]] != SIZE_MAX)
            note_fuse(loops, search->arrival[search->reached[i]]);
}

/* Fills in the nodes reached; returns how many were missed. */
static size_t read_ohms(struct loops *loops, double others)
{
    const struct loop_query *query = loops->query;
    size_t missed = 0;

    for (size_t i = 0; i < query->count; i++) {
        double ohms = loops->conduction->search->distance[query->nodes[i]];

        loops->ohms[i] = others + ohms;
        missed += isinf(ohms);
    }
    return missed;
}

/* A depth-first walk over the ways from FAR to BACK; its stack. */
struct ways {
    struct way_step {
        size_t node, next, edge;
    } *stack;
    size_t depth, steps, found;
    double ohms;
};

/* Takes the next edge from the top of the stack; true if it led to a new node. */
static bool step_on(struct loops *loops, struct ways *ways, size_t node_barred)
{
    struct conduction *conduction = loops->conduction;
    const struct graph *graph = conduction->graph;
    struct way_step *top = &ways->stack[ways->depth - 1];

    while (top->next < graph->first[top->node + 1]) {
        size_t edge = graph->links[top->next++], other = graph_other(graph, edge, top->node);

        ways->steps++;
        if (conduction->skip[edge] || conduction->barred[other] || other == loops->near ||
            other == node_barred ||
            !graph_passes(graph, edge, top->node, !loops->query->negative))
            continue;
        conduction->barred[other] = true;
        ways->ohms += conduction->edges[edge].length;
        ways->stack[ways->depth++] =
            (struct way_step){other, graph->first[other], edge};
        return true;
    }
    return false;
}

static void step_back(struct loops *loops, struct ways *ways)
{
    struct way_step *top = &ways->stack[--ways->depth];

    loops->conduction->barred[top->node] = false;
    if (ways->depth > 0)
        ways->ohms -= loops->conduction->edges[top->edge].length;
}

static void try_way(struct loops *loops, struct ways *ways, size_t i, double section)
{
    double ohms;

    ways->found++;
    reach_nodes(loops, loops->query->nodes[i]);
    ohms = section + ways->ohms + loops->conduction->search->distance[loops->query->nodes[i]];
    if (ohms < loops->ohms[i]) {
        loops->ohms[i] = ohms;
        note_reached_fuses(loops);
        for (size_t k = 1; k < ways->depth; k++)
            note_fuse(loops, ways->stack[k].edge);
    }
}

/* Every way from FAR to BACK in turn; false if the budget ran out before a loop was found. */
static bool search_exactly(struct loops *loops, size_t i, double section)
{
    struct conduction *conduction = loops->conduction;
    struct way_step stack[EXACT_STEPS + 2];
    struct ways ways = {.stack = stack};
    size_t far = loops->far;
    bool decided;

    conduction->barred[far] = true;
    ways.stack[ways.depth++] = (struct way_step){far, conduction->graph->first[far], SIZE_MAX};
    while (ways.depth > 0 && ways.steps < EXACT_STEPS && ways.found < EXACT_WAYS &&
           loops->tried + ways.found < EXACT_TOTAL && isinf(loops->ohms[i])) {
        if (ways.stack[ways.depth - 1].node == loops->query->back) {
            try_way(loops, &ways, i, section);
            step_back(loops, &ways);
        } else if (!step_on(loops, &ways, loops->query->nodes[i])) {
            step_back(loops, &ways);
        }
    }
    decided = ways.depth == 0 || !isinf(loops->ohms[i]);
    loops->tried += ways.found;
    while (ways.depth > 0)
        step_back(loops, &ways);
    return decided;
}

/* Nodes that were missed but have a way if only BACK and FAR are kept off. True if one could not be decided. */
static bool retry_missed(struct loops *loops, double section)
{
    struct conduction *conduction = loops->conduction;
    const struct loop_query *query = loops->query;
    double *least = conduction->least;
    bool given_up = false;

    conduction->barred[query->back] = conduction->barred[loops->far] = true;
    reach_nodes(loops, SIZE_MAX);
    conduction->barred[query->back] = conduction->barred[loops->far] = false;
    for (size_t i = 0; i < query->count; i++)
        least[i] = conduction->search->distance[query->nodes[i]];
    for (size_t i = 0; i < query->count; i++) {
        if (!isinf(loops->ohms[i]) || isinf(least[i]) || query->nodes[i] == loops->far ||
            given_up)
            continue;
        if (!search_exactly(loops, i, section)) {
            loops->ohms[i] = section + least[i];
            given_up = true;
        }
    }
    return given_up;
}

bool loops_measure(struct conduction *conduction, const struct loop_query *query, double *ohms,
                   bool *fuses)
{
    struct loops loops = {.conduction = conduction, .query = query, .ohms = ohms, .fuses = fuses,
                          .inside = query->block != NULL ? query->block[query->half.section] : SIZE_MAX,
                          .near = query->negative ? query->half.in : query->half.out,
                          .far = query->negative ? query->half.out : query->half.in};
    double section = conduction->edges[query->half.section].length, others;
    bool skipped = conduction->skip[query->half.section], given_up = false;

    for (size_t i = 0; i < query->count; i++)
        ohms[i] = INFINITY;
    if (loops.near == query->back || loops.near == loops.far || skipped)
        return false;
    conduction->skip[query->half.section] = true;
    others = find_return(&loops);
    if (!isinf(others)) {
        bool one = query->count == 1 && fuses == NULL; /* nothing else is asked */

        bar_return(&loops, true);
        reach_nodes(&loops, one ? query->nodes[0] : SIZE_MAX);
        bar_return(&loops, false);
        note_reached_fuses(&loops);
        if (read_ohms(&loops, section + others) > 0)
            given_up = retry_missed(&loops, section);
    }
    conduction->skip[query->half.section] = skipped;
    return given_up;
}
