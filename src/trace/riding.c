/* Windings that heat a rectifier valve and carry its output: a directly heated valve gives its current at the heater, and
 * many indirectly heated ones have the cathode joined to it. Such a winding stands on the rail as a wire would. */
#include <stdint.h>

#include "circuit/circuit.h"
#include "device/network.h"
#include "trace/tracing.h"

/* Is every heater pin of INFO on the AC side of SOURCE, and one of them not the cathode itself? */
static bool is_heated_by(const struct tracing *tracing, const struct part_info *info,
                         size_t cathode, size_t source)
{
    bool found = false;

    for (size_t i = 0; info->pins != NULL && i < info->part->pin_count; i++) {
        const struct net *net = info->part->pins[i].net;

        if (info->pins[i].role != PIN_HEATER || net == NULL)
            continue;
        if (net->index >= tracing->trace.network->node_count ||
            tracing->zone[net->index] != source + 1)
            return false;
        found |= net->index != cathode;
    }
    return found;
}

/* Its AC side is none: what lies there belongs to the rail. */
static void release(struct tracing *tracing, size_t source)
{
    struct source_extra *extra = &tracing->source_extras[source];
    const struct trace_source *item = &tracing->trace.sources[source];

    for (size_t i = 0; i < extra->around_count; i++)
        tracing->zone[extra->around[i]] = 0;
    for (size_t i = 0; i < item->branch_count; i++)
        tracing->conduction->riding[item->branches[i]] = true;
    extra->around_count = 0;
    extra->rides = true;
}

void riding_find(struct tracing *tracing)
{
    const struct network *network = tracing->trace.network;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        const struct part_info *info = conduction_info(tracing->conduction, i);
        size_t zone = tracing->zone[branch->to];

        if (branch->kind == BRANCH_RECTIFIER && info != NULL && zone != 0 &&
            info->kind == PART_RECTIFIER_VALVE && tracing->zone[branch->from] != zone &&
            tracing->trace.sources[zone - 1].kind != SOURCE_INLET &&
            is_heated_by(tracing, info, branch->to, zone - 1))
            release(tracing, zone - 1);
    }
}
