/* Rectifier valves: what the supply asks of them beside what they are made for. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>

#include "circuit/circuit.h"
#include "parts/parts.h"
#include "rule/facts_xml.h"
#include "solve/solve.h"
#include "trace/trace.h"

/* Only fuses and contacts lie between NODE and the one it is fed from. */
static bool is_near(const struct network *network, const struct rail_node *node)
{
    for (size_t i = 0; i < node->path_count; i++) {
        enum branch_kind kind = network->branches[node->path[i]].kind;

        if (kind != BRANCH_FUSE && kind != BRANCH_CONTACT)
            return false;
    }
    return true;
}

/* Every node stands behind the one that it is fed from. */
static bool is_reservoir(const struct network *network, const struct rail *rail, size_t index)
{
    const struct rail_node *node = &rail->nodes[index];

    if (!is_near(network, node))
        return false;
    if (index == 0 || node->upstream == SIZE_MAX)
        return true;
    return node->upstream < index && is_reservoir(network, rail, node->upstream);
}

/* The capacitors that the rectifier's pulses charge, F. */
static double reservoir_farads(const struct facts_build *build, const struct rail *rail)
{
    const struct network *network = build->stages->network;
    double farads = 0;

    for (size_t i = 0; i < rail->node_count; i++)
        for (size_t k = 0; is_reservoir(network, rail, i) && k < rail->nodes[i].capacitor_count; k++) {
            const struct part *part = network->branches[rail->nodes[i].capacitors[k]].part;

            farads += part_figure_value(facts_part(build, part), FIGURE_FARADS, NAN);
        }
    return farads;
}

/* Mean current of all anodes of PART, and the largest peak of one, A. */
static void add_currents(const struct facts_build *build, xmlNode *node,
                         const struct rectifier *rectifier, const struct part *part)
{
    const struct network *network = build->stages->network;
    double mean = 0, peak = 0;

    for (size_t i = 0; i < rectifier->branch_count; i++) {
        const struct wave *wave = &build->stages->healthy->branches[rectifier->branches[i]];

        if (network->branches[rectifier->branches[i]].part != part)
            continue;
        mean += wave->mean;
        peak = fmax(peak, wave->high);
    }
    fact_number(node, "amps", mean);
    fact_number(node, "peak-amps", peak);
}

/* V RMS per anode without load; NAN: not known. */
static double anode_volts(const struct facts_build *build, const struct rectifier *rectifier)
{
    const struct trace_source *source = &build->stages->trace->sources[rectifier->source];
    double volts = 0;

    for (size_t i = 0; i < source->branch_count; i++) {
        const struct section *section =
            build->stages->network->branches[source->branches[i]].section;

        volts += section != NULL && section->volts.value > 0 ? section->volts.value : NAN;
    }
    return rectifier->topology == TOPOLOGY_CENTRE_TAP ? volts / 2 : volts;
}

/* The largest mean current, A: of the ratings by volts the first that reaches VOLTS, else the last; without any that of
 * the type. */
static double rated_amps(const struct part_info *info, double volts)
{
    double amps = part_figure_value(info, FIGURE_AVERAGE_AMPS, NAN);

    for (size_t i = 0; i < info->rating_count; i++) {
        const struct rating_row *row = &info->ratings[i];

        if (row->amps > 0)
            amps = row->amps;
        if (!(row->volts < volts))
            break;
    }
    return amps;
}

/* It has stood in the list before. */
static bool is_repeated(const struct network *network, const struct rectifier *rectifier,
                        size_t index)
{
    for (size_t i = 0; i < index; i++)
        if (network->branches[rectifier->branches[i]].part ==
            network->branches[rectifier->branches[index]].part)
            return true;
    return false;
}

void facts_add_valves(const struct facts_build *build, xmlNode *parent,
                      const struct rectifier *rectifier, const struct rail *rail)
{
    const struct network *network = build->stages->network;

    for (size_t i = 0; i < rectifier->branch_count; i++) {
        const struct part *part = network->branches[rectifier->branches[i]].part;
        const struct part_info *info = facts_part(build, part);
        xmlNode *node;

        if (info->kind != PART_RECTIFIER_VALVE || is_repeated(network, rectifier, i))
            continue;
        node = fact_element(parent, "valve");
        fact_text(node, "part", part->ref);
        if (facts_solved(build))
            add_currents(build, node, rectifier, part);
        fact_number(node, "rated-amps", rated_amps(info, anode_volts(build, rectifier)));
        fact_number(node, "rated-peak-amps", part_figure_value(info, FIGURE_PEAK_AMPS, NAN));
        if (rail != NULL)
            fact_number(node, "reservoir", reservoir_farads(build, rail));
        fact_number(node, "largest-reservoir",
                    part_figure_value(info, FIGURE_LARGEST_RESERVOIR, NAN));
    }
}
