/* From chains of diodes to rectifiers: which belong together, what they make, and between which nodes. */
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "trace/chains.h"
#include "trace/tracing.h"

/* Wires and small resistors between a rectifier's minus and ground: a fuse, a switch, a back-bias resistor. */
enum { RETURN_NODES = 16 };

/* What is being put together for one source. */
struct assembly {
    struct tracing *tracing;
    size_t source;
    struct chain_groups *groups;
};

static const struct branch *branch_at(const struct tracing *tracing, size_t index)
{
    return &tracing->trace.network->branches[index];
}

static const struct source_extra *extra_of(const struct assembly *assembly)
{
    return &assembly->tracing->source_extras[assembly->source];
}

static size_t shared_labels(const struct chain_group *a, const struct chain_group *b)
{
    size_t count = 0;

    for (size_t i = 0; i < a->labels.count; i++)
        count += indices_have(&b->labels, a->labels.items[i]);
    return count;
}

/* "D1+D2": the parts of the branches, each once. */
static const char *name_parts(struct tracing *tracing, const size_t *branches, size_t count)
{
    const char *name = "";

    for (size_t i = 0; i < count; i++) {
        const struct part *part = branch_at(tracing, branches[i])->part;
        bool seen = false;

        for (size_t k = 0; k < i && !seen; k++)
            seen = branch_at(tracing, branches[k])->part == part;
        if (!seen)
            name = arena_print(tracing->conduction->arena, "%s%s%s", name, i > 0 ? "+" : "",
                               part->ref);
    }
    return name;
}

static void take_branches(struct tracing *tracing, struct indices *all,
                          const struct chain_group *group)
{
    for (size_t i = 0; group != NULL && i < group->branches.count; i++)
        if (!indices_have(all, group->branches.items[i]))
            indices_add(tracing->conduction->arena, all, group->branches.items[i]);
}

static size_t add_rectifier(struct assembly *assembly, enum topology topology,
                            struct chain_group *first, struct chain_group *second, size_t plus,
                            size_t minus)
{
    struct tracing *tracing = assembly->tracing;
    struct trace *trace = &tracing->trace;
    struct indices branches = {0};

    take_branches(tracing, &branches, first);
    take_branches(tracing, &branches, second);
    first->used = true;
    if (second != NULL)
        second->used = true;
    trace->rectifiers =
        arena_grow(tracing->conduction->arena, trace->rectifiers, &tracing->rectifier_capacity,
                   trace->rectifier_count, sizeof *trace->rectifiers);
    trace->rectifiers[trace->rectifier_count] = (struct rectifier){
        .id = name_parts(tracing, branches.items, branches.count), .topology = topology,
        .source = assembly->source, .branches = branches.items, .branch_count = branches.count,
        .plus = plus, .minus = minus};
    tracing->source_extras[assembly->source].rectified = true;
    return trace->rectifier_count++;
}

/* BACK is the rail's return as seen by its loads, RAW where the rectifier or tap itself returns. */
static void add_rail(struct assembly *assembly, size_t rectifier, const struct chain_group *group,
                     size_t back, size_t raw, bool capacitive)
{
    struct tracing *tracing = assembly->tracing;
    size_t rail = rail_add(tracing, assembly->source, rectifier, group->far, back,
                           !group->positive);

    tracing->rail_extras[rail].capacitive = capacitive;
    tracing->rail_extras[rail].raw = raw;
    tracing->rail_extras[rail].ahead = group->ahead.items;
    tracing->rail_extras[rail].ahead_count = group->ahead.count;
}

/* Ground, if NODE is ground but for wires and at most one small resistor on the way; else NODE. Never through AVOID. */
static size_t resolve_return(const struct tracing *tracing, size_t node, size_t avoid)
{
    const struct conduction *conduction = tracing->conduction;
    const struct graph *graph = conduction->graph;
    struct indices nodes = {0};

    indices_add(conduction->arena, &nodes, node);
    for (size_t i = 0; i < nodes.count; i++) {
        size_t at = nodes.items[i];

        if (conduction_is_ground(conduction, at))
            return at;
        for (size_t k = graph->first[at]; k < graph->first[at + 1]; k++) {
            size_t branch = graph->links[k], other = graph_other(graph, branch, at);

            if (conduction_small(conduction, branch) && conduction_is_ground(conduction, other))
                return other;
            if (conduction->wire[branch] && other != avoid && nodes.count < RETURN_NODES &&
                !indices_have(&nodes, other))
                indices_add(conduction->arena, &nodes, other);
        }
    }
    return node;
}

/* A terminal of the source that is in neither group: a tap, or the other end. The grounded one first, then the
 * first in order. SIZE_MAX: none. */
static size_t other_terminal(const struct assembly *assembly, const struct chain_group *group,
                             const struct chain_group *partner)
{
    const struct source_extra *extra = extra_of(assembly);
    size_t found = SIZE_MAX;

    for (size_t i = 0; i < extra->terminal_count; i++) {
        if (indices_have(&group->labels, i) ||
            (partner != NULL && indices_have(&partner->labels, i)))
            continue;
        if (extra->near_ground[i])
            return i;
        if (found == SIZE_MAX)
            found = i;
    }
    return found;
}

static size_t terminal_return(const struct assembly *assembly, size_t terminal)
{
    const struct source_extra *extra = extra_of(assembly);

    return extra->near_ground[terminal] ? assembly->tracing->trace.network->ground
                                        : extra->terminals[terminal];
}

static bool has_capacitor_to(const struct assembly *assembly, size_t node, size_t label)
{
    const struct tracing *tracing = assembly->tracing;
    const struct graph *graph = tracing->conduction->graph;

    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++) {
        size_t branch = graph->links[i], other = graph_other(graph, branch, node);

        if (conduction_is_capacitor(tracing->conduction, branch) &&
            tracing->zone[other] == assembly->source + 1 && tracing->label[other] == label)
            return true;
    }
    return false;
}

/* Is there a capacitor between NODE, or what wires and small resistors join to it, and the AC side's terminal LABEL? */
static bool capacitor_to_terminal(const struct assembly *assembly, size_t node, size_t label)
{
    const struct conduction *conduction = assembly->tracing->conduction;
    const struct graph *graph = conduction->graph;
    struct indices nodes = {0};

    indices_add(conduction->arena, &nodes, node);
    for (size_t i = 0; i < nodes.count; i++) {
        size_t at = nodes.items[i];

        if (has_capacitor_to(assembly, at, label))
            return true;
        for (size_t k = graph->first[at]; k < graph->first[at + 1]; k++) {
            size_t branch = graph->links[k], other = graph_other(graph, branch, at);

            if ((conduction->wire[branch] || conduction_small(conduction, branch)) &&
                nodes.count < RETURN_NODES && assembly->tracing->zone[other] == 0 &&
                !conduction_is_ground(conduction, other) && !indices_have(&nodes, other))
                indices_add(conduction->arena, &nodes, other);
        }
    }
    return false;
}

static bool is_split(const struct assembly *assembly, const struct chain_group *plus,
                     const struct chain_group *minus, size_t tap)
{
    const struct source_extra *extra = extra_of(assembly);
    bool returned = conduction_is_ground(assembly->tracing->conduction, plus->far) ||
                    conduction_is_ground(assembly->tracing->conduction, minus->far);

    if (tap == SIZE_MAX || returned)
        return false;
    return extra->near_ground[tap] || (capacitor_to_terminal(assembly, plus->far, tap) &&
                                       capacitor_to_terminal(assembly, minus->far, tap));
}

/* The group that shares a pumped cell with GROUP and has the other sense. */
static const struct chain_group *cell_partner(const struct assembly *assembly,
                                              const struct chain_group *group)
{
    for (size_t i = 0; i < assembly->groups->count; i++) {
        const struct chain_group *other = &assembly->groups->items[i];

        if (other->pumped && other->positive != group->positive &&
            indices_have(&other->cells, group->cells.items[0]))
            return other;
    }
    return NULL;
}

/* The foot of a ladder of cascade cells: from the far side of GROUP through the cells that feed it. */
static size_t ladder_foot(const struct assembly *assembly, const struct chain_group *group)
{
    size_t foot = group->far;

    for (size_t step = 0; group->pumped && step < assembly->groups->count; step++) {
        const struct chain_group *below = NULL;

        for (size_t i = 0; i < assembly->groups->count && below == NULL; i++) {
            const struct chain_group *other = &assembly->groups->items[i];

            if (other->pumped && other->positive != group->positive && other->far == foot)
                below = cell_partner(assembly, other);
        }
        if (below == NULL)
            break;
        foot = below->far;
    }
    return foot;
}

static void add_between(struct assembly *assembly, enum topology topology,
                        struct chain_group *plus, struct chain_group *minus, bool capacitive)
{
    struct tracing *tracing = assembly->tracing;
    size_t rectifier = add_rectifier(assembly, topology, plus, minus, plus->far, minus->far);
    size_t below = resolve_return(tracing, ladder_foot(assembly, minus), plus->far);
    size_t above = resolve_return(tracing, ladder_foot(assembly, plus), minus->far);

    if (conduction_is_ground(tracing->conduction, above) &&
        !conduction_is_ground(tracing->conduction, below))
        add_rail(assembly, rectifier, minus, above, plus->far, capacitive);
    else
        add_rail(assembly, rectifier, plus, below, minus->far, capacitive);
}

static void add_bridge(struct assembly *assembly, struct chain_group *plus,
                       struct chain_group *minus)
{
    size_t tap = other_terminal(assembly, plus, minus), back, rectifier;

    if (!is_split(assembly, plus, minus, tap)) {
        add_between(assembly, TOPOLOGY_BRIDGE, plus, minus, false);
        return;
    }
    back = terminal_return(assembly, tap);
    rectifier = add_rectifier(assembly, TOPOLOGY_BRIDGE_SPLIT, plus, minus, plus->far, minus->far);
    add_rail(assembly, rectifier, plus, back, extra_of(assembly)->terminals[tap], false);
    add_rail(assembly, rectifier, minus, back, extra_of(assembly)->terminals[tap], false);
}

/* Two diodes on one end of the winding, the other end at the joint of two capacitors. */
static bool try_doubler(struct assembly *assembly, struct chain_group *plus,
                        struct chain_group *minus)
{
    size_t joint = other_terminal(assembly, plus, minus);

    if (joint == SIZE_MAX || extra_of(assembly)->grounded[joint] ||
        !capacitor_to_terminal(assembly, plus->far, joint) ||
        !capacitor_to_terminal(assembly, minus->far, joint))
        return false;
    add_between(assembly, TOPOLOGY_DOUBLER, plus, minus, true);
    return true;
}

/* A half-wave rectifier with a diode at either end of the winding. */
static bool try_two_ends(struct assembly *assembly, struct chain_group *plus,
                         struct chain_group *minus)
{
    const struct source_extra *extra = extra_of(assembly);

    if (plus->labels.items[0] == minus->labels.items[0] ||
        extra->near_ground[plus->labels.items[0]] || extra->near_ground[minus->labels.items[0]] ||
        other_terminal(assembly, plus, minus) != SIZE_MAX)
        return false;
    add_between(assembly, TOPOLOGY_HALF_WAVE, plus, minus, false);
    return true;
}

static void pair_groups(struct assembly *assembly, struct chain_group *plus,
                        struct chain_group *minus)
{
    if (minus->positive || minus->used || plus->used || plus->pumped != minus->pumped)
        return;
    if (plus->pumped) {
        if (shared_labels(plus, minus) > 0)
            for (size_t i = 0; i < plus->cells.count && !plus->used; i++)
                if (indices_have(&minus->cells, plus->cells.items[i]))
                    add_between(assembly, TOPOLOGY_CASCADE, plus, minus, true);
        return;
    }
    if (shared_labels(plus, minus) >= 2)
        add_bridge(assembly, plus, minus);
    else if (plus->labels.count == 1 && minus->labels.count == 1 &&
             !try_doubler(assembly, plus, minus))
        try_two_ends(assembly, plus, minus);
}

/* A rectifier behind a capacitor, and a resistor to ground that brings back what it takes: the usual bias supply from an
 * anode of the HT winding. */
static bool try_bled(struct assembly *assembly, struct chain_group *group)
{
    struct tracing *tracing = assembly->tracing;
    size_t ground = tracing->trace.network->ground, rectifier;

    if (!group->pumped || !indices_have(&tracing->bled, group->cells.items[0]))
        return false;
    rectifier = add_rectifier(assembly, TOPOLOGY_CASCADE, group, NULL,
                              group->positive ? group->far : ground,
                              group->positive ? ground : group->far);
    add_rail(assembly, rectifier, group, ground, ground, true);
    return true;
}

/* A group without a partner: full wave with centre tap, or half wave. */
static void add_alone(struct assembly *assembly, struct chain_group *group)
{
    struct tracing *tracing = assembly->tracing;
    size_t terminal = other_terminal(assembly, group, NULL), back, rectifier;
    enum topology topology = group->labels.count >= 2 ? TOPOLOGY_CENTRE_TAP : TOPOLOGY_HALF_WAVE;

    if (try_bled(assembly, group))
        return;
    if (group->pumped || terminal == SIZE_MAX) {
        const char *name = name_parts(tracing, group->branches.items, 1);

        tracing_doubt(tracing, name,
                      arena_print(tracing->conduction->arena,
                                  "%s: the current of this rectifier finds no way back to %s", name,
                                  tracing->trace.sources[assembly->source].id));
        return;
    }
    back = terminal_return(assembly, terminal);
    rectifier = add_rectifier(assembly, topology, group, NULL, group->positive ? group->far : back,
                              group->positive ? back : group->far);
    add_rail(assembly, rectifier, group, back, extra_of(assembly)->terminals[terminal], false);
}

static void assemble(struct assembly *assembly)
{
    struct chain_groups *groups = assembly->groups;

    for (size_t i = 0; i < groups->count; i++)
        for (size_t k = 0; groups->items[i].positive && k < groups->count; k++)
            pair_groups(assembly, &groups->items[i], &groups->items[k]);
    for (size_t i = 0; i < groups->count; i++)
        if (!groups->items[i].used)
            add_alone(assembly, &groups->items[i]);
}

void rectifiers_find(struct tracing *tracing)
{
    struct chain_groups *groups = chains_find(tracing);

    for (size_t i = 0; i < tracing->trace.source_count; i++)
        assemble(&(struct assembly){tracing, i, &groups[i]});
}
