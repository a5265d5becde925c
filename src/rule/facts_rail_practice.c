/* Rails as a bench looks at them: what heaters refer to, where a standby switch stands, whose grids a bias supply holds. */
#include "rule/facts_build.h"

#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "rule/facts_xml.h"
#include "rule/ways.h"
#include "trace/trace.h"

/* A load that is the heater of an amplifying valve. */
static bool heats_valve(const struct facts_build *build, size_t branch)
{
    const struct branch *item = &build->stages->network->branches[branch];
    enum part_kind kind = facts_part(build, item->part)->kind;

    return item->kind == BRANCH_RESISTANCE && (kind == PART_TRIODE || kind == PART_PENTODE);
}

static void add_heaters(const struct facts_build *build, xmlNode *node, const struct rail *rail)
{
    for (size_t i = 0; i < rail->load_count; i++) {
        if (!heats_valve(build, rail->loads[i]))
            continue;
        fact_flag(node, "heats-valves", true);
        fact_flag(node, "referred",
                  ways_joined(build->ways, build->stages->network->branches[rail->loads[i]].from,
                              build->stages->network->ground));
        return;
    }
}

/* The contact on the way from the rectifier to the first capacitor; NULL: none, or there is a capacitor ahead of it. */
static const char *switch_ahead_of_reservoir(const struct facts_build *build, const struct rail *rail)
{
    const struct network *network = build->stages->network;
    const char *found = NULL;
    size_t first = SIZE_MAX;

    for (size_t i = 0; i < rail->node_count && first == SIZE_MAX; i++)
        if (rail->nodes[i].capacitor_count > 0 || ways_is_firm(build->ways, rail->nodes[i].node))
            first = i;
    for (size_t at = first, steps = 0; at < rail->node_count && steps < rail->node_count; steps++) {
        for (size_t k = 0; k < rail->nodes[at].path_count; k++) {
            const struct branch *branch = &network->branches[rail->nodes[at].path[k]];

            if (branch->kind == BRANCH_CONTACT)
                found = branch->part->ref;
            else if (branch->kind != BRANCH_FUSE && !(ways_branch_ohms(network, branch->index) < 100))
                return NULL;
        }
        at = rail->nodes[at].upstream;
    }
    return found;
}

static bool has_valve_rectifier(const struct facts_build *build, const struct rail *rail)
{
    const struct rectifier *rectifier = &build->stages->trace->rectifiers[rail->rectifier];

    for (size_t i = 0; i < rectifier->branch_count; i++)
        if (facts_part(build, build->stages->network->branches[rectifier->branches[i]].part)->kind ==
            PART_RECTIFIER_VALVE)
            return true;
    return false;
}

void facts_add_rail_practice(const struct facts_build *build, xmlNode *node, const struct rail *rail)
{
    if (rail->rectifier < build->stages->trace->rectifier_count) {
        fact_text(node, "switch-ahead-of-reservoir", switch_ahead_of_reservoir(build, rail));
        fact_flag(node, "rectifier-is-valve", has_valve_rectifier(build, rail));
    }
    add_heaters(build, node, rail);
}

/* The other pin of a make contact, a pole with one throw, leads somewhere; spare throws and poles need not. */
static bool is_half_used(const struct part_info *info, const struct pin *pin)
{
    size_t unit = info->pins[pin->index].unit, count = 0;
    bool used = false;

    for (size_t i = 0; i < info->part->pin_count; i++) {
        const struct net *net = info->part->pins[i].net;

        if (info->pins[i].unit != unit || (info->pins[i].role != PIN_POLE && info->pins[i].role != PIN_THROW))
            continue;
        count++;
        used = used || (net != NULL && net->pin_count > 1);
    }
    return count == 2 && used;
}

/* Both ends or electrodes of such a part are meant to lead somewhere. */
static bool wants_company(const struct part_info *info, const struct pin *pin)
{
    enum pin_role role = info->pins[pin->index].role;

    switch (info->kind) {
    case PART_SWITCH:
    case PART_STANDBY_SWITCH:
        return is_half_used(info, pin);
    case PART_BATTERY:
    case PART_LAMP:
    case PART_ZENER:
    case PART_INDUCTOR:
    case PART_FUSE:
    case PART_CHOKE:
    case PART_RESISTOR:
    case PART_CAPACITOR:
    case PART_DIODE:
    case PART_BRIDGE:
        return role != PIN_NONE;
    case PART_RECTIFIER_VALVE:
        return role == PIN_CATHODE;
    default:
        return false;
    }
}

void facts_add_lone_pin(const struct facts_build *build, xmlNode *element, const struct net *net)
{
    const struct part_info *info;

    fact_count(element, "pins", net->pin_count);
    if (net->pin_count != 1)
        return;
    info = facts_part(build, net->pins[0]->part);
    if (!info->part->not_fitted && wants_company(info, net->pins[0])) {
        fact_text(element, "lone-part", info->part->ref);
        fact_text(element, "lone-pin", net->pins[0]->number);
    }
}
