/* What would pass as safe only because no tracing reached it. */
#include <stdint.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "trace/tracing.h"

/* A connector that stands for a feed: what lies behind it cannot be traced. */
static void doubt_feeds(struct tracing *tracing)
{
    const struct parts *parts = tracing->trace.network->parts;

    for (size_t i = 0; parts != NULL && i < parts->count; i++) {
        const struct part_info *info = &parts->items[i];

        if (info->kind == PART_FEED)
            tracing_doubt(tracing, info->part->ref,
                          arena_print(tracing->conduction->arena,
                                      "%s feeds the circuit from outside: what lies behind it, and "
                                      "which fuse protects it there, is not in the netlist",
                                      info->part->ref));
    }
}

static bool is_used(const struct rail *rail)
{
    for (size_t i = 0; i < rail->node_count; i++)
        if (rail->nodes[i].capacitor_count > 0)
            return true;
    return rail->load_count > 0;
}

/* A rectifier whose output has neither capacitor nor load to where its current should come back. */
static void doubt_unused_rails(struct tracing *tracing)
{
    const struct trace *trace = &tracing->trace;

    for (size_t i = 0; i < trace->rail_count; i++) {
        const struct rail *rail = &trace->rails[i];

        if (rail->rectifier == SIZE_MAX || is_used(rail))
            continue;
        tracing_doubt(tracing, trace->network->branches[trace->rectifiers[rail->rectifier]
                                                            .branches[0]].part->ref,
                      arena_print(tracing->conduction->arena,
                                  "%s: nothing lies between its output %s and %s, where its current "
                                  "should come back",
                                  trace->rectifiers[rail->rectifier].id,
                                  conduction_node_name(tracing->conduction, rail->output),
                                  conduction_node_name(tracing->conduction, rail->back)));
    }
}

static void mark_nodes(bool *known, const size_t *nodes, size_t count)
{
    for (size_t i = 0; i < count; i++)
        known[nodes[i]] = true;
}

/* The nodes that some source is known to reach, ground left out. */
static bool *known_nodes(struct tracing *tracing)
{
    const struct trace *trace = &tracing->trace;
    const struct network *network = trace->network;
    bool *known = arena_array(tracing->conduction->arena, network->node_count + 1, sizeof *known);

    for (size_t i = 0; i < network->node_count; i++)
        known[i] = tracing->zone[i] != 0 || tracing->conductor[i] != CONDUCTOR_NONE;
    for (size_t i = 0; i < trace->rail_count; i++) {
        mark_nodes(known, trace->rails[i].fed, trace->rails[i].fed_count);
        mark_nodes(known, tracing->rail_extras[i].zero, tracing->rail_extras[i].zero_count);
    }
    for (size_t i = 0; i < trace->rectifier_count; i++)
        for (size_t k = 0; k < trace->rectifiers[i].branch_count; k++) {
            const struct branch *diode = &network->branches[trace->rectifiers[i].branches[k]];

            known[diode->from] = known[diode->to] = true;
        }
    if (network->ground < network->node_count)
        known[network->ground] = false;
    return known;
}

/* A small resistor across it: diodes between two grounds. */
static bool is_shunted(const struct tracing *tracing, const struct branch *diode)
{
    const struct graph *graph = tracing->conduction->graph;
    size_t near = conduction_is_ground(tracing->conduction, diode->from) ? diode->to : diode->from;

    for (size_t i = graph->first[near]; i < graph->first[near + 1]; i++)
        if (tracing->conduction->beside[graph->links[i]] &&
            conduction_small(tracing->conduction, graph->links[i]))
            return true;
    return false;
}

static void doubt_stray_rectifiers(struct tracing *tracing)
{
    const struct trace *trace = &tracing->trace;
    const struct network *network = trace->network;
    const bool *known = known_nodes(tracing);
    const struct part *last = NULL;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->kind != BRANCH_RECTIFIER || known[branch->from] || known[branch->to] ||
            branch->part == last || is_shunted(tracing, branch))
            continue;
        last = branch->part;
        tracing_doubt(tracing, branch->part->ref,
                      arena_print(tracing->conduction->arena,
                                  "%s is on no loop through a known source: what it feeds was not "
                                  "traced",
                                  branch->part->ref));
    }
}

void doubts_find(struct tracing *tracing)
{
    doubt_feeds(tracing);
    doubt_unused_rails(tracing);
    doubt_stray_rectifiers(tracing);
}
