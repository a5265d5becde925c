#include "trace/chains.h"

#include <stdint.h>

#include "base/arena.h"
#include "device/network.h"

/* Series diodes in one chain; more would be an odd circuit. */
enum { CHAIN_LENGTH = 64, LEG_LENGTH = 16 };

struct chain {
    size_t start, far;
    bool positive;
    struct indices branches, ahead;
};

static const struct branch *branch_at(const struct tracing *tracing, size_t index)
{
    return &tracing->trace.network->branches[index];
}

/* The only way on from NODE but for BRANCH: SIZE_MAX if there are several, or none, or a capacitor hangs there. */
static size_t only_way_on(const struct tracing *tracing, size_t node, size_t branch)
{
    const struct conduction *conduction = tracing->conduction;
    const struct graph *graph = conduction->graph;
    size_t found = SIZE_MAX;

    if (conduction_is_ground(conduction, node))
        return SIZE_MAX;
    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++) {
        size_t index = graph->links[i];

        if (index == branch || conduction->beside[index] ||
            branch_at(tracing, index)->kind == BRANCH_KIND_COUNT)
            continue;
        if (found != SIZE_MAX || conduction_is_capacitor(conduction, index))
            return SIZE_MAX;
        found = index;
    }
    return found;
}

/* Goes on through series diodes: a node that has nothing but the next diode belongs to the chain. */
static void follow_series(struct tracing *tracing, struct chain *chain, size_t branch)
{
    for (size_t i = 0; i < CHAIN_LENGTH; i++) {
        size_t next = only_way_on(tracing, chain->far, branch);

        if (next == SIZE_MAX || branch_at(tracing, next)->kind != BRANCH_RECTIFIER ||
            (chain->positive ? branch_at(tracing, next)->from : branch_at(tracing, next)->to) !=
                chain->far)
            return;
        indices_add(tracing->conduction->arena, &chain->branches, next);
        chain->far = conduction_other(tracing->conduction, next, chain->far);
        branch = next;
    }
}

/* Where the leg behind a chain leads: along fuses, contacts and small resistors without a branching. NODES gets the
 * nodes passed. */
static size_t leg_end(struct tracing *tracing, const struct chain *chain, struct indices *nodes)
{
    size_t node = chain->far, branch = chain->branches.items[chain->branches.count - 1];

    for (size_t i = 0; i < LEG_LENGTH; i++) {
        size_t next = only_way_on(tracing, node, branch);

        if (next == SIZE_MAX || !(tracing->conduction->wire[next] ||
                                  conduction_small(tracing->conduction, next)))
            break;
        indices_add(tracing->conduction->arena, nodes, node);
        node = conduction_other(tracing->conduction, next, node);
        branch = next;
    }
    return node;
}

static void add_once(struct arena *arena, struct indices *set, size_t item)
{
    if (!indices_have(set, item))
        indices_add(arena, set, item);
}

static struct chain_group *group_for(struct tracing *tracing, struct chain_groups *groups,
                                     size_t far, bool positive, bool pumped)
{
    for (size_t i = 0; i < groups->count; i++) {
        struct chain_group *group = &groups->items[i];

        if (group->far == far && group->positive == positive && group->pumped == pumped)
            return group;
    }
    groups->items = arena_grow(tracing->conduction->arena, groups->items, &groups->capacity,
                               groups->count, sizeof *groups->items);
    groups->items[groups->count] =
        (struct chain_group){.far = far, .positive = positive, .pumped = pumped};
    return &groups->items[groups->count++];
}

static void add_chain(struct tracing *tracing, struct chain_groups *groups,
                      const struct chain *chain)
{
    struct arena *arena = tracing->conduction->arena;
    struct chain_group *group = group_for(tracing, groups, chain->far, chain->positive,
                                          tracing->pumped[chain->start] != 0);

    add_once(arena, &group->labels, tracing->label[chain->start]);
    add_once(arena, &group->cells, tracing->pumped[chain->start]);
    for (size_t i = 0; i < chain->branches.count; i++)
        add_once(arena, &group->branches, chain->branches.items[i]);
    for (size_t i = 0; i < chain->ahead.count; i++)
        add_once(arena, &group->ahead, chain->ahead.items[i]);
}

struct chain_list {
    struct chain *items;
    size_t count, capacity;
};

/* Does DIODE lead out of the AC side that NEAR is in? The two sides of a pumped cell count as different. */
static bool leads_out(const struct tracing *tracing, size_t near, size_t far)
{
    if (tracing->zone[near] == 0)
        return false;
    return tracing->zone[near] != tracing->zone[far] ||
           (tracing->pumped[near] != 0 && tracing->pumped[near] != tracing->pumped[far]);
}

static void start_chain(struct tracing *tracing, struct chain_list *lists, size_t branch,
                        bool positive)
{
    const struct branch *diode = branch_at(tracing, branch);
    struct arena *arena = tracing->conduction->arena;
    struct chain chain = {.start = positive ? diode->from : diode->to,
                          .far = positive ? diode->to : diode->from,
                          .positive = positive};
    struct chain_list *list;

    if (!leads_out(tracing, chain.start, chain.far))
        return;
    list = &lists[tracing->zone[chain.start] - 1];
    indices_add(arena, &chain.branches, branch);
    if (tracing->zone[chain.far] == 0)
        follow_series(tracing, &chain, branch);
    list->items =
        arena_grow(arena, list->items, &list->capacity, list->count, sizeof *list->items);
    list->items[list->count++] = chain;
}

/* Does the leg behind chain I end where that of another chain of its sense ends, the two having parted before? */
static bool leg_is_shared(const struct chain_list *list, const size_t *ends, const size_t *fars,
                          size_t i)
{
    for (size_t k = 0; k < list->count; k++)
        if (ends[k] == ends[i] && fars[k] != fars[i] &&
            list->items[k].positive == list->items[i].positive)
            return true;
    return false;
}

/* Chains with diodes of their own and a fuse or resistor behind each may meet further on: then that is their output. */
static void join_legs(struct tracing *tracing, struct chain_list *list)
{
    struct arena *arena = tracing->conduction->arena;
    size_t *ends = arena_array(arena, list->count + 1, sizeof *ends);
    size_t *fars = arena_array(arena, list->count + 1, sizeof *fars);

    for (size_t i = 0; i < list->count; i++) {
        fars[i] = list->items[i].far;
        ends[i] = leg_end(tracing, &list->items[i], &list->items[i].ahead);
    }
    for (size_t i = 0; i < list->count; i++) {
        if (ends[i] != fars[i] && leg_is_shared(list, ends, fars, i))
            list->items[i].far = ends[i];
        else
            list->items[i].ahead.count = 0;
    }
}

struct chain_groups *chains_find(struct tracing *tracing)
{
    const struct network *network = tracing->trace.network;
    struct arena *arena = tracing->conduction->arena;
    size_t sources = tracing->trace.source_count + 1;
    struct chain_list *lists = arena_array(arena, sources, sizeof *lists);
    struct chain_groups *groups = arena_array(arena, sources, sizeof *groups);

    for (size_t i = 0; i < network->branch_count; i++) {
        if (network->branches[i].kind != BRANCH_RECTIFIER)
            continue;
        start_chain(tracing, lists, i, true);
        start_chain(tracing, lists, i, false);
    }
    for (size_t s = 0; s < tracing->trace.source_count; s++) {
        join_legs(tracing, &lists[s]);
        for (size_t i = 0; i < lists[s].count; i++)
            add_chain(tracing, &groups[s], &lists[s].items[i]);
    }
    return groups;
}
