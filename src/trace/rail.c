/* The nodes of each rail, in the order in which they are fed, what each stores, and what draws from it. */
#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "device/network.h"
#include "trace/tracing.h"

/* Smaller capacitors to the return are filters of signals, not stores of a supply, F. Common practice, no source. */
#define LEAST_STORE_FARADS 50e-9
/* Wires that belong to a return. */
enum { RETURN_NODES = 256 };

/* Arrays that all rails share while they are filled. */
struct filling {
    struct tracing *tracing;
    bool *no_rail;   /* by branch: leaves the rail (winding, source, load, capacitor) */
    bool *no_feed;   /* the same, but loads are walked */
    bool *no_direct; /* as no_feed, and rectifiers are not walked: AC rails */
    bool *barred;    /* by node: AC sides; toggled for returns */
    bool *zero;      /* by node: return of the rail in hand */
    double *near[2]; /* by polarity (negative: 1) and node: ohms to the nearest output that has it as a node */
};

static const struct branch *branch_at(const struct tracing *tracing, size_t index)
{
    return &tracing->trace.network->branches[index];
}

size_t rail_add(struct tracing *tracing, size_t source, size_t rectifier, size_t output,
                size_t back, bool negative)
{
    struct trace *trace = &tracing->trace;
    struct arena *arena = tracing->conduction->arena;
    size_t index = trace->rail_count++;

    trace->rails =
        arena_grow(arena, trace->rails, &tracing->rail_capacity, index, sizeof *trace->rails);
    tracing->rail_extras = arena_grow(arena, tracing->rail_extras, &tracing->rail_extra_capacity,
                                      index, sizeof *tracing->rail_extras);
    trace->rails[index] = (struct rail){.id = arena_print(arena, "rail%zu", index + 1),
                                        .source = source, .rectifier = rectifier,
                                        .output = output, .back = back, .negative = negative};
    tracing->rail_extras[index] = (struct rail_extra){.raw = back};
    return index;
}

static void fill_skips(struct filling *filling)
{
    const struct conduction *conduction = filling->tracing->conduction;

    for (size_t i = 0; i < conduction->network->branch_count; i++) {
        const struct branch *branch = &conduction->network->branches[i];
        enum branch_kind kind = branch->kind;
        bool passive = conduction_passive(conduction, i), diode = kind == BRANCH_RECTIFIER;

        filling->no_rail[i] = !passive && !diode && !conduction_regulates(branch);
        filling->no_feed[i] = !passive && !diode && kind != BRANCH_LOAD;
        filling->no_direct[i] = !passive && kind != BRANCH_LOAD;
    }
    for (size_t i = 0; i < conduction->network->node_count; i++)
        filling->barred[i] = filling->tracing->zone[i] != 0;
    if (conduction->network->ground < conduction->network->node_count)
        filling->barred[conduction->network->ground] = true;
}

static void add_zero(struct filling *filling, struct indices *zero, size_t node, size_t output)
{
    if (node == output || filling->zero[node] || zero->count >= RETURN_NODES)
        return;
    filling->zero[node] = true;
    indices_add(filling->tracing->conduction->arena, zero, node);
}

/* The nodes that are the return but for a wire, ground among them if it is reached. */
static void find_zero(struct filling *filling, const struct rail *rail, struct rail_extra *extra)
{
    const struct conduction *conduction = filling->tracing->conduction;
    const struct graph *graph = conduction->graph;
    struct indices zero = {0};

    add_zero(filling, &zero, rail->back, rail->output);
    add_zero(filling, &zero, extra->raw, rail->output);
    for (size_t i = 0; i < zero.count; i++) {
        size_t node = zero.items[i];

        for (size_t k = graph->first[node]; k < graph->first[node + 1]; k++)
            if (conduction->wire[graph->links[k]])
                add_zero(filling, &zero, graph_other(graph, graph->links[k], node), rail->output);
    }
    extra->zero = zero.items;
    extra->zero_count = zero.count;
}

/* Bars the return, and lets an AC rail into its own AC side (ENTER), or undoes it. */
static void set_bars(struct filling *filling, size_t rail, bool enter)
{
    struct tracing *tracing = filling->tracing;
    const struct rail_extra *extra = &tracing->rail_extras[rail];
    const struct source_extra *source =
        &tracing->source_extras[tracing->trace.rails[rail].source];

    for (size_t i = 0; extra->alternating && i < source->around_count; i++)
        filling->barred[source->around[i]] = !enter;
    for (size_t i = 0; extra->alternating && i < source->terminal_count; i++)
        filling->barred[source->terminals[i]] =
            enter || tracing->zone[source->terminals[i]] != 0 ||
            conduction_is_ground(tracing->conduction, source->terminals[i]);
    for (size_t i = 0; i < extra->zero_count; i++) {
        size_t node = extra->zero[i];

        filling->barred[node] = enter || tracing->zone[node] != 0 ||
                                conduction_is_ground(tracing->conduction, node);
    }
    filling->barred[tracing->trace.rails[rail].output] =
        !enter && tracing->zone[tracing->trace.rails[rail].output] != 0;
}

/* A heater raised on a divider of the HT does not feed the HT: an AC rail keeps off the DC side, or no longer does. */
static void bar_direct(struct filling *filling, const struct rail *rail, bool barred)
{
    const struct tracing *tracing = filling->tracing;

    if (!tracing->rail_extras[rail - tracing->trace.rails].alternating ||
        tracing->source_extras[rail->source].rides)
        return;
    for (size_t i = 0; i < tracing->trace.network->node_count; i++)
        if (tracing->direct[i] && tracing->zone[i] == 0 && !filling->zero[i])
            filling->barred[i] = barred;
}

static void walk(struct filling *filling, const struct rail *rail, const bool *skip)
{
    graph_search_run(filling->tracing->conduction->search,
                     &(struct graph_query){.start = rail->output, .target = SIZE_MAX, .skip = skip,
                                           .barred = filling->barred,
                                           .backwards = rail->negative});
}

/* The joint of a doubler's capacitors: the other half of the store hangs between it and the return. */
static bool is_joint(const struct filling *filling, const struct rail *rail, size_t node)
{
    const struct tracing *tracing = filling->tracing;

    return tracing->rail_extras[rail - tracing->trace.rails].capacitive &&
           tracing->zone[node] == rail->source + 1 && !tracing->pumped[node];
}

/* The middle of two stores in series: one more large capacitor goes on from NODE to the return, and nothing else but
 * resistors is there. */
static bool is_middle(const struct filling *filling, size_t node)
{
    const struct conduction *conduction = filling->tracing->conduction;
    const struct graph *graph = conduction->graph;
    size_t stores = 0, to_return = 0;

    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++) {
        const struct branch *item = branch_at(filling->tracing, graph->links[i]);

        if (item->kind == BRANCH_CAPACITANCE && item->element->figures[0] >= LEAST_STORE_FARADS) {
            stores++;
            to_return += filling->zero[conduction_other(conduction, graph->links[i], node)];
        } else if (item->kind != BRANCH_RESISTANCE) {
            return false;
        }
    }
    return stores == 2 && to_return == 1;
}

static bool stores(const struct filling *filling, const struct rail *rail, size_t branch,
                   size_t node)
{
    const struct conduction *conduction = filling->tracing->conduction;
    const struct branch *item = branch_at(filling->tracing, branch);
    double farads = item->element->figures[0];
    size_t other = conduction_other(conduction, branch, node);

    return item->kind == BRANCH_CAPACITANCE &&
           (filling->zero[other] || is_joint(filling, rail, other) || is_middle(filling, other)) &&
           (farads <= 0 || farads >= LEAST_STORE_FARADS);
}

static bool is_rail_node(const struct filling *filling, const struct rail *rail, size_t node)
{
    const struct conduction *conduction = filling->tracing->conduction;
    const struct graph *graph = conduction->graph;
    size_t arrival = conduction->search->arrival[node];

    if (arrival == SIZE_MAX || conduction->wire[arrival])
        return true;
    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++)
        if (stores(filling, rail, graph->links[i], node))
            return true;
    return false;
}

/* The way back from NODE to the next rail node before it. */
static void find_path(struct filling *filling, const size_t *number, struct rail_node *item)
{
    struct conduction *conduction = filling->tracing->conduction;
    struct indices path = {0};
    size_t node = item->node;

    item->upstream = SIZE_MAX;
    while (conduction->search->arrival[node] != SIZE_MAX) {
        indices_add(conduction->arena, &path, conduction->search->arrival[node]);
        node = conduction_other(conduction, conduction->search->arrival[node], node);
        if (number[node] != 0) {
            item->upstream = number[node] - 1;
            break;
        }
    }
    for (size_t i = 0; i < path.count / 2; i++) {
        size_t swapped = path.items[i];

        path.items[i] = path.items[path.count - 1 - i];
        path.items[path.count - 1 - i] = swapped;
    }
    item->path = path.items;
    item->path_count = path.count;
}

static void find_stores(struct filling *filling, const struct rail *rail, struct rail_node *item)
{
    struct conduction *conduction = filling->tracing->conduction;
    const struct graph *graph = conduction->graph;
    struct indices capacitors = {0};

    for (size_t i = graph->first[item->node]; i < graph->first[item->node + 1]; i++)
        if (stores(filling, rail, graph->links[i], item->node))
            indices_add(conduction->arena, &capacitors, graph->links[i]);
    item->capacitors = capacitors.items;
    item->capacitor_count = capacitors.count;
}

/* NUMBER is scratch by node, all zero before and after. */
static void fill_nodes(struct filling *filling, struct rail *rail, size_t *number)
{
    struct conduction *conduction = filling->tracing->conduction;
    const struct graph_search *search = conduction->search;

    rail->nodes = arena_array(conduction->arena, search->reached_count + 1, sizeof *rail->nodes);
    for (size_t i = 0; i < search->reached_count; i++) {
        struct rail_node *item = &rail->nodes[rail->node_count];

        if (!is_rail_node(filling, rail, search->reached[i]))
            continue;
        item->node = search->reached[i];
        find_path(filling, number, item);
        find_stores(filling, rail, item);
        number[item->node] = ++rail->node_count;
    }
    for (size_t i = 0; i < rail->node_count; i++)
        number[rail->nodes[i].node] = 0;
}

/* With a grounded tap, a heater hangs between two outputs of its winding, not between one and the return. */
static bool is_opposite_end(const struct filling *filling, const struct rail *rail, size_t node)
{
    const struct tracing *tracing = filling->tracing;

    return tracing->rail_extras[rail - tracing->trace.rails].alternating &&
           filling->barred[node] && tracing->zone[node] == rail->source + 1;
}

static bool is_load(const struct filling *filling, const struct rail *rail, size_t branch,
                    size_t node)
{
    const struct branch *item = branch_at(filling->tracing, branch);
    size_t other = conduction_other(filling->tracing->conduction, branch, node);

    if (conduction_regulates(item))
        return false;
    if (item->kind == BRANCH_LOAD)
        return (rail->negative ? item->to : item->from) == node;
    if (filling->tracing->rail_extras[rail - filling->tracing->trace.rails].alternating &&
        conduction_is_rated_load(filling->tracing->conduction, branch))
        return true;
    return item->kind == BRANCH_RESISTANCE &&
           (filling->zero[other] || is_opposite_end(filling, rail, other));
}

static void fill_loads(struct filling *filling, struct rail *rail)
{
    struct conduction *conduction = filling->tracing->conduction;
    const struct graph *graph = conduction->graph;
    const struct graph_search *search = conduction->search;
    struct indices loads = {0};

    for (size_t i = 0; i < search->reached_count; i++) {
        size_t node = search->reached[i];

        for (size_t k = graph->first[node]; k < graph->first[node + 1]; k++)
            if (is_load(filling, rail, graph->links[k], node) &&
                !(conduction_is_rated_load(conduction, graph->links[k]) &&
                  indices_have(&loads, graph->links[k])))
                indices_add(conduction->arena, &loads, graph->links[k]);
    }
    rail->loads = loads.items;
    rail->load_count = loads.count;
}

static void fill_fed(struct filling *filling, struct rail *rail, const struct rail_extra *extra)
{
    const struct graph_search *search = filling->tracing->conduction->search;
    size_t count = search->reached_count + extra->ahead_count;

    rail->fed = arena_array(filling->tracing->conduction->arena, count, sizeof *rail->fed);
    for (size_t i = 0; i < search->reached_count; i++)
        rail->fed[rail->fed_count++] = search->reached[i];
    for (size_t i = 0; i < extra->ahead_count; i++)
        if (search->distance[extra->ahead[i]] == INFINITY)
            rail->fed[rail->fed_count++] = extra->ahead[i];
}

/* Where both a positive and a negative rail lead (through the bias string of a push-pull stage, say), a node of either
 * belongs to the nearer. */
static void find_near(struct filling *filling, size_t index)
{
    struct tracing *tracing = filling->tracing;
    const struct graph_search *search = tracing->conduction->search;
    struct rail *rail = &tracing->trace.rails[index];
    struct rail_extra *extra = &tracing->rail_extras[index];

    if (extra->alternating)
        return;
    find_zero(filling, rail, extra);
    set_bars(filling, index, true);
    walk(filling, rail, filling->no_rail);
    for (size_t i = 0; i < search->reached_count; i++) {
        size_t node = search->reached[i];
        double *near = &filling->near[rail->negative][node];

        if (is_rail_node(filling, rail, node))
            *near = fmin(*near, search->distance[node]);
    }
    set_bars(filling, index, false);
    for (size_t i = 0; i < extra->zero_count; i++)
        filling->zero[extra->zero[i]] = false;
}

/* Bars, or frees, the nodes of rails of the other polarity. */
static void bar_others(struct filling *filling, const struct rail *rail, bool barred)
{
    const double *own = filling->near[rail->negative], *other = filling->near[!rail->negative];

    if (filling->tracing->rail_extras[rail - filling->tracing->trace.rails].alternating)
        return;
    for (size_t i = 0; i < filling->tracing->trace.network->node_count; i++)
        if (other[i] < own[i] && !filling->zero[i] && filling->tracing->zone[i] == 0 &&
            !conduction_is_ground(filling->tracing->conduction, i))
            filling->barred[i] = barred;
}

static double *endless(struct arena *arena, size_t count)
{
    double *items = arena_array(arena, count, sizeof *items);

    for (size_t i = 0; i < count; i++)
        items[i] = INFINITY;
    return items;
}

static void fill_rail(struct filling *filling, size_t index, size_t *number)
{
    struct tracing *tracing = filling->tracing;
    struct rail *rail = &tracing->trace.rails[index];
    struct rail_extra *extra = &tracing->rail_extras[index];

    find_zero(filling, rail, extra);
    set_bars(filling, index, true);
    bar_direct(filling, rail, true);
    bar_others(filling, rail, true);
    walk(filling, rail, extra->alternating ? filling->no_direct : filling->no_rail);
    fill_nodes(filling, rail, number);
    fill_loads(filling, rail);
    walk(filling, rail, extra->alternating ? filling->no_direct : filling->no_feed);
    fill_fed(filling, rail, extra);
    bar_others(filling, rail, false);
    bar_direct(filling, rail, false);
    set_bars(filling, index, false);
    for (size_t i = 0; i < extra->zero_count; i++)
        filling->zero[extra->zero[i]] = false;
    rail->name = rail_telling_name(tracing, rail);
}

void rails_fill(struct tracing *tracing)
{
    const struct network *network = tracing->trace.network;
    struct arena *arena = tracing->conduction->arena;
    struct filling filling = {
        .tracing = tracing,
        .no_rail = arena_array(arena, network->branch_count + 1, sizeof(bool)),
        .no_feed = arena_array(arena, network->branch_count + 1, sizeof(bool)),
        .no_direct = arena_array(arena, network->branch_count + 1, sizeof(bool)),
        .barred = arena_array(arena, network->node_count + 1, sizeof(bool)),
        .zero = arena_array(arena, network->node_count + 1, sizeof(bool)),
    };
    size_t *number = arena_array(arena, network->node_count + 1, sizeof *number);

    filling.near[0] = endless(arena, network->node_count + 1);
    filling.near[1] = endless(arena, network->node_count + 1);
    fill_skips(&filling);
    for (size_t i = 0; i < tracing->trace.rail_count; i++)
        find_near(&filling, i);
    for (size_t i = 0; i < tracing->trace.rail_count; i++)
        fill_rail(&filling, i, number);
    rails_tell_apart(tracing);
}
