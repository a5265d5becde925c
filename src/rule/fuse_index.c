#include "rule/fuse_index.h"

#include <stdint.h>

#include "base/arena.h"
#include "rule/facts.h"
#include "rule/judge.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

struct indexing {
    struct arena *arena;
    const struct judge *judge;
    struct fuse_entry *entries;
};

/* NULL: BRANCH is no fuse. */
static struct fuse_entry *entry_of(const struct indexing *indexing, size_t branch)
{
    const struct fuse_view *view = judge_fuse(indexing->judge, branch);

    return view != NULL ? &indexing->entries[view - indexing->judge->fuses] : NULL;
}

static void add_cover(const struct indexing *indexing, const struct cover *cover)
{
    struct fuse_entry *entry = entry_of(indexing, cover->fuse);

    if (entry == NULL)
        return;
    entry->covers = arena_grow(indexing->arena, entry->covers, &entry->cover_capacity, entry->cover_count,
                               sizeof *entry->covers);
    entry->covers[entry->cover_count++] = cover;
    if (entry->cover == NULL || entry->cover->upstream)
        entry->cover = cover;
}

static void add_fault(const struct indexing *indexing, size_t branch, size_t fault)
{
    struct fuse_entry *entry = entry_of(indexing, branch);

    if (entry == NULL || (entry->fault_count > 0 && entry->faults[entry->fault_count - 1] == fault))
        return;
    entry->faults = arena_grow(indexing->arena, entry->faults, &entry->fault_capacity, entry->fault_count,
                               sizeof *entry->faults);
    entry->faults[entry->fault_count++] = fault;
}

static void add_faults(const struct indexing *indexing)
{
    const struct judge *judge = indexing->judge;

    for (size_t i = 0; i < judge->fault_count; i++) {
        const struct fault *fault = judge->faults[i].fault;
        size_t count;
        const struct cover *const *covers = judge_covers(judge, fault->rail, fault->node, &count);

        for (size_t j = 0; j < count; j++)
            add_fault(indexing, covers[j]->fuse, i);
        for (size_t j = 0; j < fault->through_count; j++)
            add_fault(indexing, judge->stages->whatif->fuses[fault->through[j].fuse].branch, i);
    }
}

static void mark_mains(const struct indexing *indexing, const size_t *fuses, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct fuse_entry *entry = entry_of(indexing, fuses[i]);

        if (entry != NULL)
            entry->in_mains = true;
    }
}

static void mark_rail(const struct indexing *indexing, const struct rail *rail)
{
    enum source_kind kind = indexing->judge->stages->trace->sources[rail->source].kind;

    if (rail->rectifier == SIZE_MAX && kind != SOURCE_SUPPLY && kind != SOURCE_BATTERY)
        return;
    for (size_t i = 0; i < rail->node_count; i++)
        for (size_t j = 0; j < rail->nodes[i].path_count; j++) {
            struct fuse_entry *entry = entry_of(indexing, rail->nodes[i].path[j]);

            if (entry != NULL)
                entry->in_rail = true;
        }
}

struct fuse_entry *fuse_index_new(struct arena *arena, const struct judge *judge)
{
    const struct trace *trace = judge->stages->trace;
    struct indexing indexing = {.arena = arena, .judge = judge};

    indexing.entries = arena_array(arena, judge->fuse_count, sizeof *indexing.entries);
    for (size_t i = 0; trace != NULL && i < trace->cover_count; i++)
        add_cover(&indexing, &trace->covers[i]);
    for (size_t i = 0; trace != NULL && i < trace->mains_count; i++) {
        mark_mains(&indexing, trace->mains[i].live_fuses, trace->mains[i].live_fuse_count);
        mark_mains(&indexing, trace->mains[i].neutral_fuses, trace->mains[i].neutral_fuse_count);
        mark_mains(&indexing, trace->mains[i].earth_fuses, trace->mains[i].earth_fuse_count);
    }
    for (size_t i = 0; trace != NULL && i < trace->rail_count; i++)
        mark_rail(&indexing, &trace->rails[i]);
    add_faults(&indexing);
    return indexing.entries;
}
