#include "route.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "trace/trace.h"

/* A breadth-first search over the network: fewest parts first. */
struct search {
    const struct network *network;
    struct arena *arena;
    bool *barred;     /* by node: not to be entered */
    bool *wanted;     /* by node: the search ends there */
    size_t *first;    /* by node: where its branches start in incident; node_count + 1 of them */
    size_t *incident; /* branch indices by node */
    size_t *arrived;  /* by node: the branch it was reached by; SIZE_MAX: a start */
    bool *seen;
    size_t *queue;
    size_t queued;
};

static bool is_way(const struct branch *branch)
{
    return branch->kind == BRANCH_RESISTANCE || branch->kind == BRANCH_INDUCTANCE ||
           branch->kind == BRANCH_FUSE || branch->kind == BRANCH_CONTACT ||
           branch->kind == BRANCH_RECTIFIER;
}

/* Lists every node's branches. */
static void list_incident(struct search *search)
{
    const struct network *network = search->network;
    size_t *next = arena_array(search->arena, network->node_count + 1, sizeof *next);

    for (size_t i = 0; i < network->branch_count; i++) {
        search->first[network->branches[i].from + 1]++;
        search->first[network->branches[i].to + 1]++;
    }
    for (size_t i = 0; i < network->node_count; i++)
        search->first[i + 1] += search->first[i];
    memcpy(next, search->first, (network->node_count + 1) * sizeof *next);
    for (size_t i = 0; i < network->branch_count; i++) {
        search->incident[next[network->branches[i].from]++] = i;
        search->incident[next[network->branches[i].to]++] = i;
    }
}

static struct search search_new(struct arena *arena, const struct network *network)
{
    size_t nodes = network->node_count;
    struct search search = {
        .network = network,
        .arena = arena,
        .barred = arena_array(arena, nodes, sizeof(bool)),
        .wanted = arena_array(arena, nodes, sizeof(bool)),
        .first = arena_array(arena, nodes + 1, sizeof(size_t)),
        .incident = arena_array(arena, 2 * network->branch_count, sizeof(size_t)),
        .arrived = arena_array(arena, nodes, sizeof(size_t)),
        .seen = arena_array(arena, nodes, sizeof(bool)),
        .queue = arena_array(arena, nodes, sizeof(size_t)),
    };

    list_incident(&search);
    return search;
}

static void enter(struct search *search, size_t node, size_t branch)
{
    if (search->seen[node] || search->barred[node])
        return;
    search->seen[node] = true;
    search->arrived[node] = branch;
    search->queue[search->queued++] = node;
}

/* The first wanted node reached; SIZE_MAX: none. */
static size_t run_search(struct search *search)
{
    for (size_t at = 0; at < search->queued; at++) {
        size_t node = search->queue[at];

        if (search->wanted[node])
            return node;
        for (size_t i = search->first[node]; i < search->first[node + 1]; i++) {
            const struct branch *branch = &search->network->branches[search->incident[i]];

            if (is_way(branch))
                enter(search, branch->from == node ? branch->to : branch->from, branch->index);
        }
    }
    return SIZE_MAX;
}

/* The parts on the way to NODE, each once, in order: " > F2 > D1". */
static void add_way(struct text *out, const struct search *search, size_t node)
{
    size_t *way = arena_array(search->arena, search->network->node_count, sizeof *way), count = 0;
    const struct part *last = NULL;

    while (search->arrived[node] != SIZE_MAX) {
        const struct branch *branch = &search->network->branches[search->arrived[node]];

        way[count++] = branch->index;
        node = branch->from == node ? branch->to : branch->from;
    }
    while (count-- > 0) {
        const struct part *part = search->network->branches[way[count]].part;

        if (part != last && part != NULL)
            text_print(out, " > %s", part->ref);
        last = part;
    }
}

const char *route_source_name(struct arena *arena, const struct trace *trace, size_t source)
{
    const struct trace_source *from = &trace->sources[source];
    const char *ref = from->part != NULL ? from->part->ref : from->id;

    if (from->winding != NULL)
        return arena_print(arena, "winding %s of %s", from->winding, ref);
    return arena_print(arena, "%s %s", source_kind_name(from->kind), ref);
}

static const char *keep(struct arena *arena, struct text *text)
{
    const char *copy = arena_copy(arena, text_bytes(text));

    text_free(text);
    return copy;
}

/* Bars the return of RAIL, and whatever is earth, chassis or ground. */
static void bar_returns(struct search *search, const struct trace *trace, const struct rail *rail)
{
    for (size_t i = 0; i < search->network->node_count; i++)
        search->barred[i] = trace->roles[i] == NET_CHASSIS || trace->roles[i] == NET_EARTH ||
                            i == rail->back || i == search->network->ground;
}

const char *route_from_source(struct arena *arena, const struct trace *trace, size_t rail,
                              size_t node)
{
    const struct rail *on = &trace->rails[rail];
    const struct trace_source *source = &trace->sources[on->source];
    struct search search = search_new(arena, trace->network);
    struct text text = {0};

    bar_returns(&search, trace, on);
    search.wanted[node] = true;
    for (size_t i = 0; i < source->branch_count; i++) {
        const struct branch *branch = &trace->network->branches[source->branches[i]];

        enter(&search, branch->from, SIZE_MAX);
        enter(&search, branch->to, SIZE_MAX);
    }
    if (run_search(&search) == SIZE_MAX)
        return NULL;
    text_add(&text, route_source_name(arena, trace, on->source));
    add_way(&text, &search, node);
    text_print(&text, " > %s", trace->network->nodes[node].name);
    return keep(arena, &text);
}

/* Marks the ends of the primary windings of PART. */
static void want_primary(struct search *search, const struct part *part)
{
    const struct network *network = search->network;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        const struct part_info *info = &network->parts->items[part->index];

        if (branch->part == part && branch->section != NULL &&
            info->windings[branch->section->winding].primary) {
            search->wanted[branch->from] = true;
            search->wanted[branch->to] = true;
        }
    }
}

/* From pole START of FEEDER to the primary of PART, not through pole OTHER. */
static bool add_pole(struct text *out, struct arena *arena, const struct trace *trace,
                     const struct trace_source *feeder, const struct part *part, size_t start,
                     size_t other)
{
    struct search search = search_new(arena, trace->network);
    size_t end;

    want_primary(&search, part);
    search.barred[other] = true;
    enter(&search, start, SIZE_MAX);
    end = run_search(&search);
    if (end == SIZE_MAX)
        return false;
    if (out->length > 0)
        text_add(out, " and ");
    text_add(out, feeder->part != NULL ? feeder->part->ref : feeder->id);
    add_way(out, &search, end);
    text_print(out, " > %s", part->ref);
    return true;
}

const char *route_from_feeder(struct arena *arena, const struct trace *trace, size_t source)
{
    const struct trace_source *from = &trace->sources[source], *feeder;
    struct text text = {0};
    const struct branch *branch;
    bool found;

    if (from->feeder == SIZE_MAX || from->part == NULL)
        return NULL;
    feeder = &trace->sources[from->feeder];
    if (feeder->branch_count == 0)
        return NULL;
    branch = &trace->network->branches[feeder->branches[0]];
    found = add_pole(&text, arena, trace, feeder, from->part, branch->from, branch->to) &&
            add_pole(&text, arena, trace, feeder, from->part, branch->to, branch->from);
    if (found)
        return keep(arena, &text);
    text_free(&text);
    return NULL;
}
