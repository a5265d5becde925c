/* Parts: kind, pins, figures, what spoke for the kind, computed stress. */
#include "rule/facts_build.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "rule/facts_rests.h"
#include "rule/facts_stress.h"
#include "rule/facts_xml.h"
#include "solve/solve.h"
#include "trace/trace.h"

static void add_pin(xmlNode *part, const struct pin *pin, const struct pin_info *info)
{
    xmlNode *node = fact_element(part, "pin");

    fact_text(node, "number", pin->number);
    fact_text(node, "name", pin->name);
    fact_text(node, "role", pin_role_name(info->role));
    fact_count(node, "unit", info->unit);
    if (pin->net != NULL)
        fact_text(node, "net", pin->net->name);
}

static const char *origin_name(enum figure_origin origin)
{
    static const char *const names[] = {
        [FIGURE_FROM_NETLIST] = "netlist",
        [FIGURE_FROM_LIBRARY] = "library",
        [FIGURE_MEASURED] = "measured",
        [FIGURE_ASSUMED] = "assumed",
    };

    return names[origin];
}

static void add_figure(xmlNode *part, const struct figure *figure)
{
    const struct figure_row *row = &figure_rows[figure->id];
    xmlNode *node = fact_element(part, "figure");

    fact_text(node, "name", row->name);
    fact_number(node, "value", figure->value);
    if (figure->low != figure->high) {
        fact_number(node, "low", figure->low);
        fact_number(node, "high", figure->high);
    }
    fact_text(node, "unit", unit_symbol(row->unit));
    fact_text(node, "origin", origin_name(figure->origin));
    fact_text(node, "why", figure->why);
}

static void add_rating(xmlNode *part, const struct rating_row *row)
{
    xmlNode *node = fact_element(part, "rating");

    fact_number(node, "volts", row->volts);
    if (row->ohms > 0)
        fact_number(node, "ohms", row->ohms);
    if (row->amps > 0)
        fact_number(node, "amps", row->amps);
    fact_text(node, "source", row->source);
}

static void add_witness(xmlNode *part, const struct witness *witness)
{
    xmlNode *node = fact_element(part, "witness");

    fact_text(node, "kind", witness->kind);
    fact_text(node, "text", witness->text);
    fact_text(node, "vote", part_kind_name(witness->vote));
    fact_flag(node, "decided", witness->decided);
}

/* What flows through one way of a part: FROM to TO is positive. */
static void add_current(const struct facts_build *build, xmlNode *part, const struct branch *branch)
{
    const struct wave *wave = &build->stages->healthy->branches[branch->index];
    xmlNode *node = fact_element(part, "current");

    fact_text(node, "from", facts_node_name(build, branch->from));
    fact_text(node, "to", facts_node_name(build, branch->to));
    fact_number(node, "mean", wave->mean);
    fact_number(node, "rms", wave->rms);
    fact_number(node, "peak", fmax(wave->high, -wave->low));
    facts_rests_branch(build, branch->index);
}

/* Branches by part: FIRST of each part, NEXT of each branch; branch_count ends a list. */
struct part_branches {
    size_t *first, *next;
};

static struct part_branches list_branches(const struct facts_build *build)
{
    const struct network *network = build->stages->network;
    size_t part_count = build->stages->parts->count;
    struct part_branches list = {
        .first = arena_array(build->arena, part_count, sizeof *list.first),
        .next = arena_array(build->arena, network->branch_count, sizeof *list.next)};

    for (size_t i = 0; i < part_count; i++)
        list.first[i] = network->branch_count;
    for (size_t i = network->branch_count; i-- > 0;) {
        size_t part = network->branches[i].part->index;

        list.next[i] = list.first[part];
        list.first[part] = i;
    }
    return list;
}

static void add_currents(const struct facts_build *build, xmlNode *part,
                         const struct part_branches *list, const struct normal_use *use, size_t index)
{
    const struct network *network = build->stages->network;

    for (size_t i = list->first[index]; i < network->branch_count; i = list->next[i])
        if (network->branches[i].kind != BRANCH_KIND_COUNT)
            add_current(build, part, &network->branches[i]);
    for (size_t i = list->first[index]; i < network->branch_count; i = list->next[i])
        facts_add_use(build, part, use, i);
}

static bool is_supply(enum net_role role)
{
    return role == NET_RAIL || role == NET_HEATER || role == NET_BIAS || role == NET_LIVE || role == NET_NEUTRAL;
}

/* What PIN of a board's connector would carry that the chassis deck wires nothing to; NULL: no supply, or it is wired. */
static const char *unwired_role(const struct facts_build *build, const struct part_info *info, size_t index)
{
    const struct pin *pin = &info->part->pins[index];
    const struct trace *trace = build->stages->trace;
    enum net_role role;

    if (pin->net == NULL || pin->wired || trace == NULL)
        return NULL;
    role = trace->roles[pin->net->index];
    if (is_supply(role))
        return net_role_name(role);
    if (role == NET_RETURN || role == NET_CHASSIS || role == NET_EARTH)
        return NULL;
    return info->kind == PART_FEED ? info->role : info->pins[index].feed;
}

static void add_unwired(const struct facts_build *build, xmlNode *node, const struct part_info *info)
{
    const struct circuit_file *home = info->part->home;
    struct text list = {0};

    if (home == NULL || home->wires || (info->kind != PART_CONNECTOR && info->kind != PART_FEED))
        return;
    for (size_t i = 0; i < info->part->pin_count; i++) {
        const struct pin *pin = &info->part->pins[i];
        const char *role = unwired_role(build, info, i);

        if (role != NULL)
            text_print(&list, "%s%s on %s (%s)", list.length > 0 ? ", " : "", pin->number, pin->net->name, role);
    }
    if (list.length > 0)
        fact_text(node, "unwired", text_bytes(&list));
    text_free(&list);
}

static void add_part(const struct facts_build *build, const struct part_info *info, double amps,
                     double watts, const struct part_branches *list, const struct normal_use *use)
{
    xmlNode *node = fact_element(build->root, "part");
    const struct part *part = info->part;

    fact_text(node, "ref", part->ref);
    fact_text(node, "kind", part_kind_name(info->kind));
    fact_text(node, "value", part->value);
    fact_text(node, "type", info->type);
    fact_text(node, "role", info->role);
    fact_text(node, "place", info->place);
    fact_text(node, "limits", info->limits);
    fact_flag(node, "fitted", !part->not_fitted);
    fact_flag(node, "recognised", info->kind != PART_UNKNOWN);
    fact_text(node, "doubt", info->doubt);
    add_unwired(build, node, info);
    fact_number(node, "amps", amps);
    fact_number(node, "watts", watts);
    fact_place(node, &part->place);
    for (size_t i = 0; i < part->pin_count; i++)
        add_pin(node, &part->pins[i], &info->pins[i]);
    for (size_t i = 0; i < info->figure_count; i++)
        add_figure(node, &info->figures[i]);
    for (size_t i = 0; i < info->rating_count; i++)
        add_rating(node, &info->ratings[i]);
    for (size_t i = 0; i < info->witness_count; i++)
        add_witness(node, &info->witnesses[i]);
    if (list != NULL)
        add_currents(build, node, list, use, part->index);
    facts_rests_write(build, node);
}

/* RMS amps (the largest of its branches) and watts (resistors: I2R) of every part; NAN where not
 * known. */
static void compute_stress(const struct facts_build *build, double *amps, double *watts)
{
    const struct network *network = build->stages->network;

    for (size_t i = 0; facts_solved(build) && i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        const struct part_info *info = facts_part(build, branch->part);
        size_t part = branch->part->index;
        double rms = build->stages->healthy->branches[i].rms;

        if (!(rms <= amps[part]))
            amps[part] = rms;
        if (branch->kind == BRANCH_RESISTANCE && info->kind == PART_RESISTOR)
            watts[part] = rms * rms * part_figure_value(info, FIGURE_OHMS, NAN);
    }
}

void facts_add_parts(const struct facts_build *build)
{
    const struct parts *parts = build->stages->parts;
    double *amps = arena_array(build->arena, parts->count, sizeof *amps);
    double *watts = arena_array(build->arena, parts->count, sizeof *watts);
    const struct normal_use *use = facts_normal_use(build);
    struct part_branches list;

    if (facts_solved(build))
        list = list_branches(build);
    for (size_t i = 0; i < parts->count; i++)
        amps[i] = watts[i] = NAN;
    compute_stress(build, amps, watts);
    for (size_t i = 0; i < parts->count; i++)
        add_part(build, &parts->items[i], amps[i], watts[i],
                 facts_solved(build) ? &list : NULL, use);
}
