/* The mains side of each inlet: which nodes and fuses are in its live, its neutral and its earth. */
#include <stdint.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "trace/tracing.h"

static const struct branch *branch_at(const struct tracing *tracing, size_t index)
{
    return &tracing->trace.network->branches[index];
}

/* The pins of an inlet as nodes; SIZE_MAX: not there. */
struct inlet {
    size_t live, neutral, earth;
    bool told;
};

static size_t role_node(const struct tracing *tracing, const struct part_info *info,
                        enum pin_role role)
{
    for (size_t i = 0; info != NULL && i < info->part->pin_count; i++)
        if (info->pins[i].role == role && info->part->pins[i].net != NULL &&
            info->part->pins[i].net->index < tracing->trace.network->node_count)
            return info->part->pins[i].net->index;
    return SIZE_MAX;
}

/* An AC source that stands for the mains has its live at its plus. */
static struct inlet find_inlet(const struct tracing *tracing, const struct trace_source *source)
{
    const struct branch *branch = branch_at(tracing, source->branches[0]);
    const struct part_info *info = conduction_info(tracing->conduction, source->branches[0]);
    struct inlet inlet = {.live = role_node(tracing, info, PIN_LIVE),
                          .neutral = role_node(tracing, info, PIN_NEUTRAL),
                          .earth = role_node(tracing, info, PIN_EARTH)};

    inlet.told = (inlet.live != SIZE_MAX && inlet.neutral != SIZE_MAX) ||
                 info == NULL || info->kind != PART_INLET;
    if (inlet.live == SIZE_MAX || inlet.neutral == SIZE_MAX) {
        inlet.live = branch->from;
        inlet.neutral = branch->to;
    }
    return inlet;
}

/* One winding of a common-mode choke: on a core that has nothing but windings in the mains. */
static bool is_choke_winding(const struct tracing *tracing, size_t branch)
{
    const struct branch *item = branch_at(tracing, branch);
    const struct indices *windings;

    if (item->kind != BRANCH_WINDING || item->section != NULL)
        return false;
    windings = &tracing->cores[tracing->core_of[item->element->index]].branches;
    for (size_t i = 0; i < windings->count; i++)
        if (!tracing->primary[windings->items[i]])
            return false;
    return true;
}

/* Spreads a conductor along wires, then (SMALL) through limiters, never beyond ground. QUEUE holds its nodes. */
static void spread(struct tracing *tracing, struct indices *queue, enum conductor conductor,
                   bool small)
{
    const struct conduction *conduction = tracing->conduction;
    const struct graph *graph = conduction->graph;

    for (size_t i = 0; i < queue->count; i++) {
        size_t node = queue->items[i];

        for (size_t k = graph->first[node]; k < graph->first[node + 1]; k++) {
            size_t branch = graph->links[k], other = graph_other(graph, branch, node);
            bool walks = conduction->wire[branch] ||
                         (small && (conduction_small(conduction, branch) ||
                                    branch_at(tracing, branch)->kind == BRANCH_INDUCTANCE ||
                                    is_choke_winding(tracing, branch)));

            if (!walks || tracing->conductor[other] != CONDUCTOR_NONE ||
                conduction_is_ground(conduction, other))
                continue;
            tracing->conductor[other] = conductor;
            indices_add(conduction->arena, queue, other);
        }
    }
}

/* The start of a conductor. Ground itself is no conductor: everything hangs on it. */
static void start(struct tracing *tracing, struct indices *queue, size_t node,
                  enum conductor conductor)
{
    if (node == SIZE_MAX || conduction_is_ground(tracing->conduction, node) ||
        tracing->conductor[node] != CONDUCTOR_NONE)
        return;
    tracing->conductor[node] = conductor;
    indices_add(tracing->conduction->arena, queue, node);
}

/* The fuses at the nodes of a conductor, each once: both ends in it, or one end at ground. */
static size_t *list_fuses(struct tracing *tracing, const struct indices *nodes, size_t *count)
{
    const struct graph *graph = tracing->conduction->graph;
    struct indices fuses = {0};

    for (size_t i = 0; i < nodes->count; i++)
        for (size_t k = graph->first[nodes->items[i]]; k < graph->first[nodes->items[i] + 1]; k++)
            if (branch_at(tracing, graph->links[k])->kind == BRANCH_FUSE &&
                !indices_have(&fuses, graph->links[k]))
                indices_add(tracing->conduction->arena, &fuses, graph->links[k]);
    *count = fuses.count;
    return fuses.items;
}

/* Does anything other than a fuse, a contact or a capacitor hang on NODE, but for the inlet itself? Capacitors between
 * the conductors stand ahead of the fuse in many inlet filters (common practice, no source). */
static bool is_loaded(const struct tracing *tracing, const struct trace_source *source, size_t node)
{
    const struct graph *graph = tracing->conduction->graph;

    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++) {
        const struct branch *branch = branch_at(tracing, graph->links[i]);

        if (branch->element->part != source->part && branch->kind != BRANCH_FUSE &&
            branch->kind != BRANCH_CONTACT && branch->kind != BRANCH_KIND_COUNT &&
            branch->kind != BRANCH_CAPACITANCE &&
            !is_choke_winding(tracing, branch->index))
            return true;
    }
    return false;
}

/* With every fuse out, does the conductor that starts at NODE reach a load through contacts? */
static bool reaches_load(const struct tracing *tracing, const struct trace_source *source,
                         size_t node)
{
    const struct graph *graph = tracing->conduction->graph;
    struct indices queue = {0};

    indices_add(tracing->conduction->arena, &queue, node);
    for (size_t i = 0; i < queue.count; i++) {
        size_t at = queue.items[i];

        if (conduction_is_ground(tracing->conduction, at) || is_loaded(tracing, source, at))
            return true;
        for (size_t k = graph->first[at]; k < graph->first[at + 1]; k++) {
            size_t other = graph_other(graph, graph->links[k], at);

            if ((branch_at(tracing, graph->links[k])->kind == BRANCH_CONTACT ||
                 is_choke_winding(tracing, graph->links[k])) &&
                !indices_have(&queue, other))
                indices_add(tracing->conduction->arena, &queue, other);
        }
    }
    return false;
}

static void trace_inlet(struct tracing *tracing, size_t index)
{
    const struct trace_source *source = &tracing->trace.sources[index];
    struct mains *mains = &tracing->trace.mains[tracing->trace.mains_count++];
    struct inlet inlet = find_inlet(tracing, source);
    struct indices live = {0}, neutral = {0}, earth = {0};

    start(tracing, &live, inlet.live, CONDUCTOR_LIVE);
    start(tracing, &neutral, inlet.neutral, CONDUCTOR_NEUTRAL);
    start(tracing, &earth, inlet.earth, CONDUCTOR_EARTH);
    for (int small = 0; small < 2; small++) {
        spread(tracing, &live, CONDUCTOR_LIVE, small);
        spread(tracing, &neutral, CONDUCTOR_NEUTRAL, small);
        spread(tracing, &earth, CONDUCTOR_EARTH, small);
    }
    mains->source = index;
    mains->conductors_told = inlet.told;
    mains->earth_pin = inlet.earth != SIZE_MAX;
    mains->live_fuses = list_fuses(tracing, &live, &mains->live_fuse_count);
    mains->neutral_fuses = list_fuses(tracing, &neutral, &mains->neutral_fuse_count);
    mains->earth_fuses = list_fuses(tracing, &earth, &mains->earth_fuse_count);
    mains->live_fused =
        mains->live_fuse_count > 0 && !reaches_load(tracing, source, inlet.live);
    mains->neutral_fused =
        mains->neutral_fuse_count > 0 && !reaches_load(tracing, source, inlet.neutral);
}

void mains_find(struct tracing *tracing)
{
    struct trace *trace = &tracing->trace;
    struct arena *arena = tracing->conduction->arena;

    tracing->conductor = arena_array(arena, trace->network->node_count + 1, sizeof(size_t));
    trace->mains = arena_array(arena, trace->source_count + 1, sizeof *trace->mains);
    for (size_t i = 0; i < trace->source_count; i++)
        if (trace->sources[i].kind == SOURCE_INLET ||
            (trace->sources[i].kind == SOURCE_FEED && tracing->source_extras[i].drives))
            trace_inlet(tracing, i);
}
