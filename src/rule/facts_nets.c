/* Nets, and jacks with the nets on their contacts. */
#include "rule/facts_build.h"

#include <stdint.h>

#include "circuit/circuit.h"
#include "parts/parts.h"
#include "rule/facts_rests.h"
#include "rule/facts_xml.h"
#include "rule/judge.h"
#include "solve/solve.h"
#include "trace/trace.h"

/* On a rail whose source has no volts in the computed circuit. */
static bool is_unfed(const struct facts_build *build, size_t node)
{
    size_t rail = build->rail_of_node[node];

    return rail != SIZE_MAX &&
           !judge_source_solved(build->stages, build->stages->trace->rails[rail].source);
}

/* The volts of node NODE against ground as attributes. */
static void add_volts(const struct facts_build *build, xmlNode *element, size_t node)
{
    const struct wave *wave;

    if (!facts_solved(build) || is_unfed(build, node))
        return;
    wave = &build->stages->healthy->nodes[node];
    fact_number(element, "volts", wave->mean);
    fact_number(element, "rms-volts", wave->rms);
    fact_number(element, "low", wave->low);
    fact_number(element, "high", wave->high);
    fact_number(element, "ripple-volts", wave->high - wave->low);
    facts_rests_node(build, node);
    facts_rests_write(build, element);
}

static void add_net(const struct facts_build *build, const struct net *net)
{
    const struct trace *trace = build->stages->trace;
    size_t rail = build->rail_of_node[net->index];
    xmlNode *element = fact_element(build->root, "net");

    fact_text(element, "name", net->name);
    if (trace != NULL)
        fact_text(element, "role", net_role_name(trace->roles[net->index]));
    add_volts(build, element, net->index);
    if (rail != SIZE_MAX) {
        fact_text(element, "rail", trace->rails[rail].id);
        fact_text(element, "protection", protection_name(trace->protections[net->index]));
    }
    facts_add_lone_pin(build, element, net);
    fact_place(element, &net->place);
}

void facts_add_nets(const struct facts_build *build)
{
    const struct circuit *circuit = build->stages->circuit;

    for (size_t i = 0; i < circuit->net_count; i++)
        add_net(build, circuit->nets[i]);
}

static void add_contact(const struct facts_build *build, xmlNode *jack, const struct pin *pin,
                        const struct pin_info *info, bool plugged)
{
    xmlNode *contact;

    if (pin->net == NULL)
        return;
    contact = fact_element(jack, "contact");
    fact_text(contact, "role", pin_role_name(info->role));
    fact_text(contact, "net", pin->net->name);
    if (facts_solved(build))
        fact_number(contact, "volts", build->stages->healthy->nodes[pin->net->index].mean);
    facts_rests_node(build, pin->net->index);
    facts_add_contact(build, contact, pin->net->index);
    if (info->role == PIN_TIP)
        facts_add_input(build, contact, pin->net->index, plugged);
}

void facts_add_jacks(const struct facts_build *build)
{
    const struct parts *parts = build->stages->parts;

    for (size_t i = 0; i < parts->count; i++) {
        const struct part_info *info = &parts->items[i];
        xmlNode *jack;

        if (info->kind != PART_JACK)
            continue;
        jack = fact_element(build->root, "jack");
        fact_text(jack, "ref", info->part->ref);
        fact_text(jack, "kind", info->role != NULL ? info->role : info->type);
        for (size_t j = 0; j < info->part->pin_count; j++)
            add_contact(build, jack, &info->part->pins[j], &info->pins[j], info->plugged);
        facts_rests_write(build, jack);
    }
}
