/* Fuses on the far side of a transformer: those without which its primary is not driven. */
#include <stdint.h>

#include "base/arena.h"
#include "device/network.h"
#include "trace/loops.h"
#include "trace/tracing.h"

/* Transformers fed from transformers: longer chains are rings. */
enum { FEED_DEPTH = 8 };

/* The loops of one feeder through the primary sections of one transformer, both ways round. */
struct primary_loops {
    struct tracing *tracing;
    struct half_cycles cycles;
    struct indices sections;
    const size_t *block; /* by branch, of everything that conducts */
    double *all, *left; /* ohms, by [section][half-cycle][way round] */
};

static const struct branch *branch_at(const struct tracing *tracing, size_t index)
{
    return &tracing->trace.network->branches[index];
}

static size_t cells(const struct primary_loops *loops)
{
    return loops->sections.count * 2 * loops->cycles.count;
}

/* One section in the place of the short. */
static void measure_section(struct primary_loops *loops, const struct branch *primary, double *ohms)
{
    bool *skip = loops->tracing->conduction->skip, before = skip[primary->index];

    skip[primary->index] = true;
    for (size_t h = 0; h < 2 * loops->cycles.count; h++) {
        size_t node = h % 2 == 0 ? primary->from : primary->to;
        struct loop_query query = {.half = loops->cycles.items[h / 2],
                                   .back = h % 2 == 0 ? primary->to : primary->from,
                                   .nodes = &node, .count = 1, .block = loops->block};

        loops_measure(loops->tracing->conduction, &query, &ohms[h], NULL);
    }
    skip[primary->index] = before;
}

static void measure_sections(struct primary_loops *loops, double *ohms)
{
    for (size_t i = 0; i < loops->sections.count; i++)
        measure_section(loops, branch_at(loops->tracing, loops->sections.items[i]),
                        &ohms[i * 2 * loops->cycles.count]);
}

static void add_upstream(struct tracing *tracing, struct upstream_list *list,
                         struct upstream_cover cover)
{
    list->items = arena_grow(tracing->conduction->arena, list->items, &list->capacity, list->count,
                             sizeof *list->items);
    list->items[list->count++] = cover;
}

static void try_fuse(struct primary_loops *loops, size_t feeder, size_t fuse,
                     struct upstream_list *list)
{
    bool *skip = loops->tracing->conduction->skip;
    enum coverage coverage;

    skip[fuse] = true;
    measure_sections(loops, loops->left);
    skip[fuse] = false;
    coverage = loops_compare(loops->all, loops->left, NULL, cells(loops), 1);
    if (coverage != COVERAGE_NONE)
        add_upstream(loops->tracing, list, (struct upstream_cover){fuse, feeder, coverage});
}

/* Only a fuse in one block with a primary section can be in all its loops. */
static bool may_cover(const struct primary_loops *loops, size_t fuse)
{
    const struct tracing *tracing = loops->tracing;

    for (size_t i = 0; i < loops->sections.count; i++)
        if (tracing->block[fuse] == tracing->block[loops->sections.items[i]])
            return true;
    return false;
}

/* The fuses between the feeder of CORE and its primary sections. */
static void find_for(struct tracing *tracing, struct core *core, const size_t *block)
{
    struct arena *arena = tracing->conduction->arena;
    struct primary_loops loops = {.tracing = tracing,
                                  .block = block,
                                  .cycles = half_cycles_list(tracing, core->feeder)};

    for (size_t i = 0; i < core->branches.count; i++)
        if (tracing->primary[core->branches.items[i]])
            indices_add(arena, &loops.sections, core->branches.items[i]);
    loops.all = arena_array(arena, cells(&loops) + 1, sizeof(double));
    loops.left = arena_array(arena, cells(&loops) + 1, sizeof(double));
    measure_sections(&loops, loops.all);
    for (size_t i = 0; i < tracing->fuses.count; i++) {
        size_t fuse = tracing->fuses.items[i];

        if (may_cover(&loops, fuse))
            try_fuse(&loops, core->feeder, fuse, &core->upstream);
    }
}

void upstream_find(struct tracing *tracing)
{
    struct conduction *conduction = tracing->conduction;
    size_t *block = arena_array(conduction->arena, conduction->network->branch_count + 1, sizeof *block);

    graph_blocks(conduction->arena, conduction->graph, conduction->skip, block);
    for (size_t i = 0; i < tracing->core_count; i++)
        if (tracing->cores[i].feeder != SIZE_MAX)
            find_for(tracing, &tracing->cores[i], block);
}

const struct upstream_list *upstream_of(struct tracing *tracing, size_t source)
{
    struct upstream_list *all = arena_alloc(tracing->conduction->arena, sizeof *all);

    for (size_t depth = 0; depth < FEED_DEPTH; depth++) {
        const struct trace_source *item = &tracing->trace.sources[source];
        const struct upstream_list *list;

        if (item->feeder == SIZE_MAX)
            break;
        list = &tracing->cores[tracing->core_of[branch_at(tracing, item->branches[0])
                                                    ->element->index]].upstream;
        for (size_t i = 0; i < list->count; i++)
            add_upstream(tracing, all, list->items[i]);
        source = item->feeder;
    }
    return all;
}
