/* Transistors and regulators: the volts across them beside what they stand. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>

#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "rule/facts_rests.h"
#include "rule/facts_xml.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/full_signal.h"

static size_t role_node(const struct part_info *info, enum pin_role role)
{
    const struct pin *pin = part_role_pin(info, role, 0);

    return pin != NULL && pin->net != NULL ? pin->net->index : SIZE_MAX;
}

static const struct wave *wave_of(const struct facts_build *build, size_t node)
{
    const struct solution *healthy = build->stages->healthy;

    return healthy != NULL && node != SIZE_MAX && healthy->node_solved[node] ? &healthy->nodes[node] : NULL;
}

/* The most between two nodes at any time, V; from above where both move. NAN: not known. */
static double most_between(const struct facts_build *build, size_t a, size_t b)
{
    const struct wave *first = wave_of(build, a), *second = wave_of(build, b);

    if (first == NULL || second == NULL)
        return NAN;
    facts_rests_node(build, a);
    facts_rests_node(build, b);
    return fmax(first->high - second->low, second->high - first->low);
}

/* A transistor of an output pair that is cut off stands the whole of both supplies. NAN: PART is of none. */
static double pair_volts(const struct facts_build *build, const struct part *part)
{
    const struct full_signal *full = build->stages->full;

    for (size_t i = 0; full != NULL && i < full->followers.count; i++)
        for (size_t k = 0; k < full->followers.items[i].count; k++)
            if (full->followers.items[i].followers[k].part == part)
                return most_between(build, full->followers.items[i].plus, full->followers.items[i].minus);
    return NAN;
}

static void add_transistor(const struct facts_build *build, const struct part_info *info)
{
    bool fet = info->kind == PART_FET;
    size_t top = role_node(info, fet ? PIN_DRAIN : PIN_COLLECTOR), bottom = role_node(info, fet ? PIN_SOURCE : PIN_EMITTER);
    xmlNode *node;

    if (top == SIZE_MAX || bottom == SIZE_MAX)
        return;
    node = fact_element(build->root, "transistor");
    fact_text(node, "part", info->part->ref);
    fact_text(node, "type", info->type);
    fact_number(node, "volts", most_between(build, top, bottom));
    fact_number(node, "signal-volts", pair_volts(build, info->part));
    fact_number(node, "rated-volts", part_figure_value(info, FIGURE_RATED_VOLTS, NAN));
    facts_rests_write(build, node);
}

/* Headroom: the least of the input's volts above the output's. */
static void add_regulator(const struct facts_build *build, const struct part_info *info)
{
    size_t input = role_node(info, PIN_INPUT), output = role_node(info, PIN_OUTPUT), common = role_node(info, PIN_COMMON);
    const struct wave *in = wave_of(build, input), *out = wave_of(build, output);
    double sign = part_figure_value(info, FIGURE_OUTPUT_VOLTS, 1) < 0 ? -1 : 1;
    xmlNode *node;

    if (input == SIZE_MAX || output == SIZE_MAX)
        return;
    node = fact_element(build->root, "regulator");
    fact_text(node, "part", info->part->ref);
    fact_text(node, "type", info->type);
    if (common != SIZE_MAX)
        fact_number(node, "input-volts", most_between(build, input, common));
    fact_number(node, "across-volts", most_between(build, input, output));
    fact_number(node, "largest-input-volts", part_figure_value(info, FIGURE_LARGEST_INPUT_VOLTS, NAN));
    fact_number(node, "largest-across-volts", part_figure_value(info, FIGURE_LARGEST_ACROSS_VOLTS, NAN));
    if (in != NULL && out != NULL)
        fact_number(node, "headroom-volts", sign > 0 ? in->low - out->mean : out->mean - in->high);
    fact_number(node, "dropout-volts", part_figure_value(info, FIGURE_DROPOUT_VOLTS, NAN));
    facts_rests_write(build, node);
}

void facts_add_silicon(const struct facts_build *build)
{
    const struct parts *parts = build->stages->parts;

    for (size_t i = 0; i < parts->count; i++) {
        const struct part_info *info = &parts->items[i];

        if (info->part->not_fitted)
            continue;
        if (info->kind == PART_TRANSISTOR || info->kind == PART_FET)
            add_transistor(build, info);
        else if (info->kind == PART_REGULATOR)
            add_regulator(build, info);
    }
}
