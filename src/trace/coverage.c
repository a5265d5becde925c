/* Which fuse covers which node: the fault loops of a shorted node are measured with every fuse in, then with each fuse
 * on them taken out. Loops that are gone are covered. */
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "trace/loops.h"
#include "trace/tracing.h"

/* Loops of COUNT nodes in both half-cycles, by [phase * count + node]: the least of all sections'. */
struct coverage_work {
    struct tracing *tracing;
    struct half_cycles cycles;
    size_t rail;
    const size_t *nodes;
    size_t count;
    double *all, *left;  /* ohms of loops with every fuse in, and with one out */
    double *once;        /* by node: the loops of one section in one half-cycle */
    double *floor;       /* by node: ohms of its way for DC, 0 where that is not asked */
    bool *lost;          /* loops some single fuse takes away */
    bool *fuses;         /* by branch: fuses on loops */
};

/* Lets the capacitors at the AC side and at the outputs of a source conduct (or not any more). */
static void admit_capacitors(struct tracing *tracing, size_t source, bool admitted)
{
    struct conduction *conduction = tracing->conduction;
    const struct graph *graph = conduction->graph;
    const struct source_extra *extra = &tracing->source_extras[source];

    for (size_t i = 0; i < extra->around_count; i++)
        for (size_t k = graph->first[extra->around[i]]; k < graph->first[extra->around[i] + 1]; k++)
            if (conduction_is_capacitor(conduction, graph->links[k]))
                conduction->skip[graph->links[k]] = !admitted;
    for (size_t r = 0; r < tracing->trace.rail_count; r++) {
        const struct rail *rail = &tracing->trace.rails[r];

        for (size_t i = 0; rail->source == source && i < rail->node_count; i++)
            for (size_t k = 0; k < rail->nodes[i].capacitor_count; k++)
                conduction->skip[rail->nodes[i].capacitors[k]] = !admitted;
    }
}

/* A capacitor passes no mean current: what a doubler or cascade delivers must also have a way for DC from the return,
 * through its rectifiers, to the output. The ohms of that way; INFINITY: none. */
static double dc_way(struct coverage_work *work)
{
    struct conduction *conduction = work->tracing->conduction;
    const struct rail *rail = &work->tracing->trace.rails[work->rail];
    double ohms;

    for (size_t i = 0; i < rail->load_count; i++)
        conduction->skip[rail->loads[i]] = true;
    ohms = graph_search_run(conduction->search, &(struct graph_query){
                                                    .start = rail->output,
                                                    .target = rail->back,
                                                    .skip = conduction->skip,
                                                    .backwards = !rail->negative,
                                                });
    for (size_t i = 0; i < rail->load_count; i++)
        conduction->skip[rail->loads[i]] = false;
    return ohms;
}

static void doubt_search(struct coverage_work *work)
{
    struct tracing *tracing = work->tracing;
    const struct rail *rail = &tracing->trace.rails[work->rail];
    const struct trace_source *source = &tracing->trace.sources[rail->source];

    tracing_doubt(tracing, source->part->ref,
                  arena_print(tracing->conduction->arena,
                              "%s: the fault loops of %s are too entangled to decide which fuse covers "
                              "it; taken as not covered",
                              source->id, rail->name));
}

/* The same to every node: that of the output and what lies between. FLOOR gets one figure per node. */
static void find_floors(struct coverage_work *work)
{
    struct conduction *conduction = work->tracing->conduction;
    const struct rail *rail = &work->tracing->trace.rails[work->rail];
    const struct rail_extra *extra = &work->tracing->rail_extras[work->rail];
    double way = dc_way(work);

    conduction->barred[rail->back] = true;
    graph_search_run(conduction->search, &(struct graph_query){.start = rail->output,
                                                               .target = SIZE_MAX,
                                                               .skip = conduction->skip,
                                                               .barred = conduction->barred,
                                                               .backwards = rail->negative});
    conduction->barred[rail->back] = false;
    for (size_t i = 0; i < work->count; i++) {
        bool ahead = false;

        for (size_t k = 0; k < extra->ahead_count; k++)
            ahead = ahead || extra->ahead[k] == work->nodes[i];
        work->floor[i] = ahead ? way : way + conduction->search->distance[work->nodes[i]];
    }
}

/* Fills OHMS with the loops as the network now stands. True if something was not decided. */
static bool measure(struct coverage_work *work, double *ohms, bool *fuses)
{
    struct tracing *tracing = work->tracing;
    const struct rail *rail = &tracing->trace.rails[work->rail];
    bool capacitive = tracing->rail_extras[work->rail].capacitive, given_up = false;

    if (capacitive) {
        find_floors(work);
        admit_capacitors(tracing, rail->source, true);
    }
    for (size_t i = 0; i < PHASES * work->count; i++)
        ohms[i] = INFINITY;
    for (size_t h = 0; h < work->cycles.count; h++) {
        struct loop_query query = {.half = work->cycles.items[h], .back = rail->back,
                                   .negative = rail->negative, .nodes = work->nodes,
                                   .count = work->count};

        given_up |= loops_measure(tracing->conduction, &query, work->once, fuses);
        for (size_t i = 0; i < work->count; i++) {
            double *known = &ohms[query.half.phase * work->count + i];

            *known = fmin(*known, fmax(work->once[i], work->floor[i]));
        }
    }
    if (capacitive)
        admit_capacitors(tracing, rail->source, false);
    return given_up;
}

static bool measure_without(struct coverage_work *work, size_t fuse)
{
    bool *skip = work->tracing->conduction->skip, before = skip[fuse], given_up;

    skip[fuse] = true;
    given_up = measure(work, work->left, NULL);
    skip[fuse] = before;
    return given_up;
}

static bool has_loop(const struct coverage_work *work, size_t i)
{
    return !isinf(loops_least(&work->all[i], PHASES, work->count));
}

static enum coverage compare(struct coverage_work *work, size_t i)
{
    return loops_compare(&work->all[i], &work->left[i], &work->lost[i], PHASES, work->count);
}

static void add_cover(struct tracing *tracing, struct cover cover)
{
    struct trace *trace = &tracing->trace;

    trace->covers = arena_grow(tracing->conduction->arena, trace->covers, &tracing->cover_capacity,
                               trace->cover_count, sizeof *trace->covers);
    trace->covers[trace->cover_count++] = cover;
}

static void start_work(struct coverage_work *work, struct tracing *tracing, size_t rail,
                       const size_t *nodes, size_t count)
{
    struct arena *arena = tracing->conduction->arena;
    size_t cells;

    *work = (struct coverage_work){.tracing = tracing, .rail = rail, .nodes = nodes,
                                   .count = count};
    work->cycles = half_cycles_list(tracing, tracing->trace.rails[rail].source);
    cells = PHASES * count + 1;
    work->all = arena_array(arena, cells, sizeof(double));
    work->left = arena_array(arena, cells, sizeof(double));
    work->lost = arena_array(arena, cells, sizeof(bool));
    work->once = arena_array(arena, count + 1, sizeof(double));
    work->floor = arena_array(arena, count + 1, sizeof(double));
    work->fuses = tracing->on_loop;
}

/* What a node's own fuses make of it: every loop covered by some fuse, some, or none. */
static enum protection own_protection(const struct coverage_work *work, size_t i)
{
    double limit = loops_limit(loops_least(&work->all[i], PHASES, work->count),
                               LOOPS_COUNTED);
    size_t counted = 0, lost = 0;

    for (size_t h = 0; h < PHASES; h++) {
        counted += work->all[h * work->count + i] <= limit;
        lost += work->lost[h * work->count + i];
    }
    if (lost == 0)
        return PROTECTION_NONE;
    return lost >= counted ? PROTECTION_OWN : PROTECTION_PARTIAL;
}

/* A node of a rail that no current of its source can reach would pass as safe: say so. */
static void doubt_output(struct coverage_work *work)
{
    struct tracing *tracing = work->tracing;
    const struct rail *rail = &tracing->trace.rails[work->rail];
    const struct trace_source *source = &tracing->trace.sources[rail->source];

    for (size_t i = 0; i < work->count; i++)
        if (work->nodes[i] == rail->output && !has_loop(work, i))
            tracing_doubt(tracing, source->part->ref,
                          arena_print(tracing->conduction->arena,
                                      "%s: no loop leads through it and %s, so what protects that rail "
                                      "is not known",
                                      source->id, rail->name));
}

static void cover_by_fuse(struct coverage_work *work, size_t fuse)
{
    struct tracing *tracing = work->tracing;
    const struct rail *rail = &tracing->trace.rails[work->rail];

    for (size_t i = 0; i < work->count; i++) {
        enum coverage coverage = compare(work, i);

        if (coverage != COVERAGE_NONE)
            add_cover(tracing, (struct cover){.fuse = fuse, .node = work->nodes[i],
                                              .rail = work->rail, .source = rail->source,
                                              .coverage = coverage});
    }
}

static void cover_upstream(struct coverage_work *work, const struct upstream_list *upstream)
{
    for (size_t k = 0; k < upstream->count; k++)
        for (size_t i = 0; i < work->count; i++)
            add_cover(work->tracing, (struct cover){.fuse = upstream->items[k].fuse,
                                                    .node = work->nodes[i],
                                                    .rail = work->rail,
                                                    .source = upstream->items[k].source,
                                                    .coverage = upstream->items[k].coverage,
                                                    .upstream = true});
}

/* A node fed by several rails is as well protected as against the worst of them. SEEN: it had a rail before. */
static void set_protection(struct coverage_work *work, const struct upstream_list *upstream,
                           bool *seen)
{
    bool above = false;

    for (size_t k = 0; k < upstream->count; k++)
        above = above || upstream->items[k].coverage == COVERAGE_FULL;
    for (size_t i = 0; i < work->count; i++) {
        enum protection *known = &work->tracing->trace.protections[work->nodes[i]];
        enum protection protection = own_protection(work, i);

        if (protection == PROTECTION_NONE && above)
            protection = PROTECTION_UPSTREAM;
        if (!seen[work->nodes[i]] || protection < *known)
            *known = protection;
        seen[work->nodes[i]] = true;
    }
}

static void cover_rail(struct tracing *tracing, size_t rail, bool *seen)
{
    const struct rail *item = &tracing->trace.rails[rail];
    const struct upstream_list *upstream = upstream_of(tracing, item->source);
    struct coverage_work work;
    bool given_up;

    start_work(&work, tracing, rail, item->fed, item->fed_count);
    given_up = measure(&work, work.all, work.fuses);
    doubt_output(&work);
    for (size_t i = 0; i < tracing->fuses.count; i++) {
        size_t fuse = tracing->fuses.items[i];

        if (!work.fuses[fuse])
            continue;
        work.fuses[fuse] = false;
        given_up |= measure_without(&work, fuse);
        cover_by_fuse(&work, fuse);
    }
    if (given_up)
        doubt_search(&work);
    cover_upstream(&work, upstream);
    set_protection(&work, upstream, seen);
}

void coverage_find(struct tracing *tracing)
{
    const struct network *network = tracing->trace.network;
    struct arena *arena = tracing->conduction->arena;
    bool *seen = arena_array(arena, network->node_count + 1, sizeof *seen);

    tracing->fuses.items = trace_fuses(arena, network, &tracing->fuses.count);
    tracing->on_loop = arena_array(arena, network->branch_count + 1, sizeof(bool));
    upstream_find(tracing);
    for (size_t i = 0; i < tracing->trace.rail_count; i++)
        cover_rail(tracing, i, seen);
}

enum coverage trace_coverage(const struct trace *trace, size_t fuse_branch, size_t rail, size_t node)
{
    struct tracing *tracing = (struct tracing *)trace; /* its first member; only scratch is written */
    struct coverage_work work;

    if (rail >= trace->rail_count || fuse_branch >= trace->network->branch_count ||
        node >= trace->network->node_count)
        return COVERAGE_NONE;
    start_work(&work, tracing, rail, &node, 1);
    measure(&work, work.all, NULL);
    measure_without(&work, fuse_branch);
    return compare(&work, 0);
}
