/* The AC side of each source: the nodes that move with one of its terminals, up to the rectifiers. Along wires and chokes
 * first; then along resistors, small ones (of the winding, against surges) before large ones (the tap of a bias supply, a
 * damping resistor), never into what the rectifiers already found feed; then through a capacitor to a node that a diode
 * fills and another empties (doubler, cascade). */
#include <stdint.h>

#include "base/arena.h"
#include "device/network.h"
#include "trace/tracing.h"

/* A pumped node has few neighbours: diodes, a feed capacitor, a series resistor. */
enum { PUMPED_NODES = 32 };

/* What a flood walks besides wires and chokes. */
enum reach { REACH_WIRES, REACH_SMALL, REACH_RESISTORS };

struct flood {
    struct tracing *tracing;
    size_t source;
    struct indices queue;
    enum reach reach;
};

static const struct branch *branch_at(const struct tracing *tracing, size_t index)
{
    return &tracing->trace.network->branches[index];
}

static void enter(struct flood *flood, size_t node, size_t label)
{
    struct tracing *tracing = flood->tracing;

    tracing->zone[node] = flood->source + 1;
    tracing->label[node] = label;
    indices_add(tracing->conduction->arena, &flood->queue, node);
}

/* How a walk from a terminal meets ground: it stops there, but the terminal is known to be grounded. */
static void meet_ground(struct flood *flood, size_t label, size_t branch)
{
    struct source_extra *extra = &flood->tracing->source_extras[flood->source];

    if (flood->reach == REACH_WIRES)
        extra->grounded[label] = true;
    if (flood->tracing->conduction->wire[branch] ||
        conduction_small(flood->tracing->conduction, branch))
        extra->near_ground[label] = true;
}

static bool walks(const struct flood *flood, size_t branch)
{
    const struct conduction *conduction = flood->tracing->conduction;
    enum branch_kind kind = branch_at(flood->tracing, branch)->kind;

    if (conduction->beside[branch])
        return false;
    return conduction->wire[branch] || kind == BRANCH_INDUCTANCE ||
           (flood->reach == REACH_SMALL && conduction_small(conduction, branch)) ||
           (flood->reach == REACH_RESISTORS && kind == BRANCH_RESISTANCE);
}

static void spread(struct flood *flood, size_t node)
{
    struct tracing *tracing = flood->tracing;
    const struct graph *graph = tracing->conduction->graph;
    size_t label = tracing->label[node];

    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++) {
        size_t branch = graph->links[i], other = graph_other(graph, branch, node);

        if (!walks(flood, branch))
            continue;
        if (conduction_is_ground(tracing->conduction, other))
            meet_ground(flood, label, branch);
        else if (tracing->zone[other] == 0 && !tracing->direct[other])
            enter(flood, other, label);
    }
}

static void start_at_terminals(struct flood *flood)
{
    struct tracing *tracing = flood->tracing;
    struct source_extra *extra = &tracing->source_extras[flood->source];

    for (size_t i = 0; i < extra->terminal_count; i++) {
        size_t node = extra->terminals[i];

        if (conduction_is_ground(tracing->conduction, node))
            extra->grounded[i] = extra->near_ground[i] = true;
        else if (tracing->zone[node] == 0)
            enter(flood, node, i);
    }
}

static void flood_wires(struct tracing *tracing, size_t source)
{
    struct source_extra *extra = &tracing->source_extras[source];
    struct flood flood = {.tracing = tracing, .source = source};

    start_at_terminals(&flood);
    for (size_t i = 0; i < flood.queue.count; i++)
        spread(&flood, flood.queue.items[i]);
    extra->around = flood.queue.items;
    extra->around_count = flood.queue.count;
}

/* Goes on from the nodes known so far. */
static void flood_on(struct tracing *tracing, size_t source, enum reach reach)
{
    struct source_extra *extra = &tracing->source_extras[source];
    struct flood flood = {.tracing = tracing, .source = source, .reach = reach};

    for (size_t i = 0; i < extra->around_count; i++)
        indices_add(tracing->conduction->arena, &flood.queue, extra->around[i]);
    for (size_t i = 0; i < flood.queue.count; i++)
        spread(&flood, flood.queue.items[i]);
    extra->around = flood.queue.items;
    extra->around_count = flood.queue.count;
}

static void flood_small(struct tracing *tracing, size_t source)
{
    flood_on(tracing, source, REACH_SMALL);
}

static void flood_resistors(struct tracing *tracing, size_t source)
{
    flood_on(tracing, source, REACH_RESISTORS);
}

/* On the DC side, which way and how far. */
struct sweep {
    bool backwards; /* to where the current comes from */
    bool near;      /* not through large resistors: those across the capacitors of a doubler lead back to the AC side */
};

static bool sweeps(const struct conduction *conduction, struct sweep sweep, size_t branch)
{
    enum branch_kind kind = conduction->network->branches[branch].kind;

    if (conduction->beside[branch])
        return false;
    if (kind == BRANCH_RESISTANCE)
        return !sweep.near || conduction_small(conduction, branch);
    return conduction_passive(conduction, branch) || kind == BRANCH_RECTIFIER ||
           kind == BRANCH_LOAD;
}

/* Follows current onwards from NODE on the DC side. */
static void spread_direct(struct tracing *tracing, struct indices *queue, bool *seen, size_t node,
                          struct sweep sweep)
{
    const struct conduction *conduction = tracing->conduction;
    const struct graph *graph = conduction->graph;

    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++) {
        size_t branch = graph->links[i], other = graph_other(graph, branch, node);

        if (seen[other] || conduction_is_ground(conduction, other) || tracing->zone[other] != 0 ||
            !graph_passes(graph, branch, node, sweep.backwards) ||
            !sweeps(conduction, sweep, branch))
            continue;
        seen[other] = tracing->direct[other] = true;
        indices_add(conduction->arena, queue, other);
    }
}

static void start_direct(struct tracing *tracing, struct indices *queue, bool *seen, size_t node)
{
    if (tracing->zone[node] != 0 || conduction_is_ground(tracing->conduction, node) || seen[node])
        return;
    seen[node] = tracing->direct[node] = true;
    indices_add(tracing->conduction->arena, queue, node);
}

/* The plus or minus ends of batteries and DC supplies. */
static void start_at_supplies(struct tracing *tracing, struct indices *queue, bool *seen,
                              struct sweep sweep)
{
    for (size_t i = 0; i < tracing->trace.source_count; i++) {
        const struct branch *branch = branch_at(tracing, tracing->trace.sources[i].branches[0]);
        bool upright = branch->element->figures[0] >= 0;

        if (!tracing->source_extras[i].alternating)
            start_direct(tracing, queue, seen,
                         upright == sweep.backwards ? branch->to : branch->from);
    }
}

/* What is fed by DC supplies and by the rectifiers on the AC sides known so far, on one polarity. */
static void mark_polarity(struct tracing *tracing, struct sweep sweep)
{
    const struct network *network = tracing->trace.network;
    struct arena *arena = tracing->conduction->arena;
    bool *seen = arena_array(arena, network->node_count + 1, sizeof *seen);
    struct indices queue = {0};

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        size_t near = sweep.backwards ? branch->to : branch->from;
        size_t far = sweep.backwards ? branch->from : branch->to;

        if (branch->kind == BRANCH_RECTIFIER && tracing->zone[near] != 0)
            start_direct(tracing, &queue, seen, far);
    }
    start_at_supplies(tracing, &queue, seen, sweep);
    for (size_t i = 0; i < queue.count; i++)
        spread_direct(tracing, &queue, seen, queue.items[i], sweep);
}

static void mark_direct(struct tracing *tracing, bool near)
{
    mark_polarity(tracing, (struct sweep){.near = near});
    mark_polarity(tracing, (struct sweep){.near = near, .backwards = true});
}

struct pumped {
    struct indices nodes;
    bool filled, emptied, bled;
};

/* Looks at one node behind a capacitor: do diodes bring current to it and take current from it, or a resistor to ground
 * one of both? */
static void look_at_pumped(struct tracing *tracing, struct pumped *pumped, size_t node)
{
    const struct conduction *conduction = tracing->conduction;
    const struct graph *graph = conduction->graph;

    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++) {
        size_t branch = graph->links[i], other = graph_other(graph, branch, node);
        const struct branch *item = branch_at(tracing, branch);

        if (item->kind == BRANCH_RECTIFIER) {
            *(item->to == node ? &pumped->filled : &pumped->emptied) = true;
            continue;
        }
        pumped->bled |= item->kind == BRANCH_RESISTANCE && conduction_is_ground(conduction, other);
        if (!conduction_passive(conduction, branch) || conduction->beside[branch] ||
            conduction_is_ground(conduction, other) || tracing->zone[other] != 0 ||
            tracing->direct[other] || indices_have(&pumped->nodes, other))
            continue;
        if (pumped->nodes.count < PUMPED_NODES)
            indices_add(conduction->arena, &pumped->nodes, other);
    }
}

static void try_pumped(struct flood *flood, size_t label, size_t node)
{
    struct tracing *tracing = flood->tracing;
    struct pumped pumped = {0};

    indices_add(tracing->conduction->arena, &pumped.nodes, node);
    for (size_t i = 0; i < pumped.nodes.count; i++)
        look_at_pumped(tracing, &pumped, pumped.nodes.items[i]);
    if (pumped.filled + pumped.emptied + pumped.bled < 2)
        return;
    tracing->cell_count++;
    if (!pumped.filled || !pumped.emptied)
        indices_add(tracing->conduction->arena, &tracing->bled, tracing->cell_count);
    for (size_t i = 0; i < pumped.nodes.count; i++) {
        enter(flood, pumped.nodes.items[i], label);
        tracing->pumped[pumped.nodes.items[i]] = tracing->cell_count;
    }
}

static void flood_capacitors(struct tracing *tracing, size_t source)
{
    struct source_extra *extra = &tracing->source_extras[source];
    const struct graph *graph = tracing->conduction->graph;
    struct flood flood = {.tracing = tracing, .source = source};

    for (size_t i = 0; i < extra->around_count; i++)
        indices_add(tracing->conduction->arena, &flood.queue, extra->around[i]);
    for (size_t i = 0; i < flood.queue.count; i++) {
        size_t node = flood.queue.items[i];

        for (size_t k = graph->first[node]; k < graph->first[node + 1]; k++) {
            size_t branch = graph->links[k], other = graph_other(graph, branch, node);

            if (conduction_is_capacitor(tracing->conduction, branch) &&
                tracing->zone[other] == 0 && !tracing->direct[other] &&
                !conduction_is_ground(tracing->conduction, other))
                try_pumped(&flood, tracing->label[node], other);
        }
    }
    extra->around = flood.queue.items;
    extra->around_count = flood.queue.count;
}

static void each_alternating(struct tracing *tracing,
                             void (*visit)(struct tracing *tracing, size_t source))
{
    for (size_t i = 0; i < tracing->trace.source_count; i++)
        if (tracing->source_extras[i].alternating)
            visit(tracing, i);
}

void zones_find(struct tracing *tracing)
{
    each_alternating(tracing, flood_wires);
    riding_find(tracing);
    mark_direct(tracing, true);
    each_alternating(tracing, flood_small);
    mark_direct(tracing, false);
    each_alternating(tracing, flood_resistors);
    each_alternating(tracing, flood_capacitors);
}
