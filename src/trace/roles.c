/* What each net is for: first what the tracing says, then what its name says. */
#include <stdint.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "trace/tracing.h"

static void set_role(struct tracing *tracing, size_t node, enum net_role role)
{
    tracing->trace.roles[node] = role;
}

static bool is_name(const char *name, const char *const *names, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcasecmp(name, names[i]) == 0)
            return true;
    return false;
}

/* Names for nets that no tracing reached. Trade usage, no source. */
static void roles_by_name(struct tracing *tracing)
{
    static const char *const earths[] = {"earth", "pe", "safety earth", "mains_earth"};
    static const char *const frames[] = {"chassis", "frame", "case", "chassis_gnd"};
    const struct network *network = tracing->trace.network;

    for (size_t i = 0; i < network->node_count; i++) {
        const char *name = conduction_node_name(tracing->conduction, i);

        if (is_name(name, earths, sizeof earths / sizeof *earths))
            set_role(tracing, i, NET_EARTH);
        else if (is_name(name, frames, sizeof frames / sizeof *frames))
            set_role(tracing, i, NET_CHASSIS);
        else if (i == network->ground)
            set_role(tracing, i, NET_RETURN);
    }
}

static void roles_of_mains(struct tracing *tracing)
{
    static const enum net_role roles[] = {
        [CONDUCTOR_LIVE] = NET_LIVE,
        [CONDUCTOR_NEUTRAL] = NET_NEUTRAL,
        [CONDUCTOR_EARTH] = NET_EARTH,
    };

    for (size_t i = 0; i < tracing->trace.network->node_count; i++)
        if (tracing->conductor[i] != CONDUCTOR_NONE)
            set_role(tracing, i, roles[tracing->conductor[i]]);
}

/* Does NODE's net have a grid on it? */
static bool feeds_grid(const struct tracing *tracing, size_t node)
{
    const struct parts *parts = tracing->trace.network->parts;
    const struct net *net = tracing->trace.network->nodes[node].net;

    for (size_t i = 0; parts != NULL && net != NULL && i < net->pin_count; i++) {
        const struct pin *pin = net->pins[i];

        if (pin->part->index < parts->count && parts->items[pin->part->index].pins != NULL &&
            parts->items[pin->part->index].pins[pin->index].role == PIN_GRID)
            return true;
    }
    return false;
}

static bool has_word(const char *name, const char *word)
{
    for (size_t length = strlen(word); *name != '\0'; name++)
        if (strncasecmp(name, word, length) == 0)
            return true;
    return false;
}

static bool is_bias(const struct tracing *tracing, const struct rail *rail)
{
    const struct trace_source *source = &tracing->trace.sources[rail->source];

    if (!rail->negative)
        return false;
    if (source->winding != NULL && has_word(source->winding, "bias"))
        return true;
    for (size_t i = 0; i < rail->node_count; i++)
        if (has_word(conduction_node_name(tracing->conduction, rail->nodes[i].node), "bias"))
            return true;
    for (size_t i = 0; i < rail->fed_count; i++)
        if (feeds_grid(tracing, rail->fed[i]))
            return true;
    return false;
}

/* A winding used as it is feeds heaters: its whole AC side is theirs. */
static void roles_of_heater(struct tracing *tracing, const struct rail *rail)
{
    const struct source_extra *source = &tracing->source_extras[rail->source];

    for (size_t i = 0; i < source->terminal_count; i++)
        if (!conduction_is_ground(tracing->conduction, source->terminals[i]) &&
            !(source->rides && tracing->trace.roles[source->terminals[i]] == NET_RAIL))
            set_role(tracing, source->terminals[i], NET_HEATER);
    for (size_t i = 0; i < rail->node_count; i++)
        set_role(tracing, rail->nodes[i].node, NET_HEATER);
}

static void roles_of_rail(struct tracing *tracing, size_t index)
{
    const struct rail *rail = &tracing->trace.rails[index];
    const struct rail_extra *extra = &tracing->rail_extras[index];
    enum net_role role = is_bias(tracing, rail) ? NET_BIAS : NET_RAIL;

    if (extra->alternating) {
        roles_of_heater(tracing, rail);
        return;
    }
    for (size_t i = 0; i < extra->ahead_count; i++)
        set_role(tracing, extra->ahead[i], role);
    for (size_t i = 0; i < rail->node_count; i++)
        set_role(tracing, rail->nodes[i].node, role);
}

/* Returns last: what is the output of one rail may be the return of another, and returns are referred to most. Other
 * nets that a contact or fuse joins to ground (an earth, a muted input) are not made returns by that. */
static void roles_of_returns(struct tracing *tracing, size_t index)
{
    const struct rail *rail = &tracing->trace.rails[index];
    const struct rail_extra *extra = &tracing->rail_extras[index];

    if (!extra->alternating) {
        set_role(tracing, rail->back, NET_RETURN);
        set_role(tracing, extra->raw, NET_RETURN);
    } else if (conduction_is_ground(tracing->conduction, rail->back)) {
        set_role(tracing, rail->back, NET_RETURN);
    }
}

/* The net of a winding's shield or a frame pin, if nothing better is known of it. */
static void roles_of_shields(struct tracing *tracing)
{
    const struct parts *parts = tracing->trace.network->parts;

    for (size_t i = 0; parts != NULL && i < parts->count; i++) {
        const struct part_info *info = &parts->items[i];

        for (size_t k = 0; info->pins != NULL && k < info->part->pin_count; k++) {
            const struct net *net = info->part->pins[k].net;

            if (info->pins[k].role == PIN_SHIELD && net != NULL &&
                net->index < tracing->trace.network->node_count &&
                tracing->trace.roles[net->index] == NET_SIGNAL)
                set_role(tracing, net->index, NET_CHASSIS);
        }
    }
}

void roles_find(struct tracing *tracing)
{
    roles_by_name(tracing);
    roles_of_mains(tracing);
    for (size_t i = 0; i < tracing->trace.rail_count; i++)
        roles_of_rail(tracing, i);
    for (size_t i = 0; i < tracing->trace.rail_count; i++)
        roles_of_returns(tracing, i);
    roles_of_shields(tracing);
}
