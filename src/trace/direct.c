/* Rails without a rectifier: heater windings, batteries, DC supplies. */
#include <stdint.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "trace/tracing.h"

static const struct branch *branch_at(const struct tracing *tracing, size_t index)
{
    return &tracing->trace.network->branches[index];
}

static bool is_heated(enum part_kind kind)
{
    return kind == PART_TRIODE || kind == PART_PENTODE || kind == PART_RECTIFIER_VALVE ||
           kind == PART_LAMP || kind == PART_RELAY;
}

bool source_heats(const struct tracing *tracing, size_t source)
{
    const struct source_extra *extra = &tracing->source_extras[source];
    const struct graph *graph = tracing->conduction->graph;

    for (size_t i = 0; i < extra->around_count; i++) {
        size_t node = extra->around[i];

        for (size_t k = graph->first[node]; k < graph->first[node + 1]; k++)
            if (branch_at(tracing, graph->links[k])->kind == BRANCH_RESISTANCE &&
                is_heated(conduction_kind(tracing->conduction, graph->links[k])))
                return true;
    }
    return false;
}

static bool is_section_of(const struct trace_source *source, size_t branch)
{
    for (size_t i = 0; i < source->branch_count; i++)
        if (source->branches[i] == branch)
            return true;
    return false;
}

/* Does anything but the source's own sections hang on NODE? */
static bool is_connected(const struct tracing *tracing, size_t source, size_t node)
{
    const struct graph *graph = tracing->conduction->graph;

    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++)
        if (!is_section_of(&tracing->trace.sources[source], graph->links[i]) &&
            branch_at(tracing, graph->links[i])->kind != BRANCH_KIND_COUNT)
            return true;
    return false;
}

static size_t connected_terminals(const struct tracing *tracing, size_t source)
{
    const struct source_extra *extra = &tracing->source_extras[source];
    size_t count = 0;

    for (size_t i = 0; i < extra->terminal_count; i++)
        count += is_connected(tracing, source, extra->terminals[i]);
    return count;
}

static void add_alternating_rail(struct tracing *tracing, size_t source, size_t output, size_t back)
{
    size_t rail = rail_add(tracing, source, SIZE_MAX, output, back, false);

    tracing->rail_extras[rail].alternating = true;
    tracing->rail_extras[rail].raw = back;
}

/* How much but heaters and the source itself hangs on NODE. */
static size_t other_uses(const struct tracing *tracing, size_t source, size_t node)
{
    const struct graph *graph = tracing->conduction->graph;
    size_t count = 0;

    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++)
        count += !is_section_of(&tracing->trace.sources[source], graph->links[i]) &&
                 !is_heated(conduction_kind(tracing->conduction, graph->links[i]));
    return count;
}

/* A winding that stands on a rail: the rail goes on from the return. */
static void add_riding(struct tracing *tracing, size_t source)
{
    const struct source_extra *extra = &tracing->source_extras[source];
    size_t first = extra->terminals[0], last = extra->terminals[extra->terminal_count - 1];
    bool swapped = other_uses(tracing, source, first) > other_uses(tracing, source, last);

    add_alternating_rail(tracing, source, swapped ? last : first, swapped ? first : last);
}

/* One rail between the ends; with a grounded tap or end, one from each end that is not grounded. */
static void add_alternating(struct tracing *tracing, size_t source)
{
    const struct source_extra *extra = &tracing->source_extras[source];
    size_t last = extra->terminal_count - 1, added = 0;
    bool grounded = false;

    for (size_t i = 0; i <= last; i++)
        grounded = grounded || extra->grounded[i];
    for (size_t i = 0; grounded && i <= last; i++) {
        if (extra->grounded[i] || !is_connected(tracing, source, extra->terminals[i]))
            continue;
        add_alternating_rail(tracing, source, extra->terminals[i], tracing->trace.network->ground);
        added++;
    }
    if (added == 0 && last > 0)
        add_alternating_rail(tracing, source, extra->terminals[0], extra->terminals[last]);
}

static void doubt_source(struct tracing *tracing, size_t source, const char *why)
{
    const struct trace_source *item = &tracing->trace.sources[source];

    tracing_doubt(tracing, item->part->ref,
                  arena_print(tracing->conduction->arena, "%s: %s", item->id, why));
}

static void add_winding(struct tracing *tracing, size_t source)
{
    size_t connected = connected_terminals(tracing, source);

    if ((tracing->source_extras[source].rectified || tracing->source_extras[source].drives) &&
        !source_heats(tracing, source))
        return;
    if (connected >= 2 && tracing->source_extras[source].rides)
        add_riding(tracing, source);
    else if (connected >= 2)
        add_alternating(tracing, source);
    else if (connected == 1)
        doubt_source(tracing, source, "one end leads nowhere, so it feeds nothing as drawn");
    else if (branch_at(tracing, tracing->trace.sources[source].branches[0])->kind == BRANCH_SOURCE)
        doubt_source(tracing, source, "feeds nothing");
}

static void add_dc(struct tracing *tracing, size_t source)
{
    const struct branch *branch =
        branch_at(tracing, tracing->trace.sources[source].branches[0]);
    bool upright = branch->element->figures[0] >= 0;
    size_t plus = upright ? branch->from : branch->to, minus = upright ? branch->to : branch->from;
    bool negative = conduction_is_ground(tracing->conduction, plus);
    size_t rail;

    if (plus == minus) {
        doubt_source(tracing, source, "both ends are on one net");
        return;
    }
    rail = rail_add(tracing, source, SIZE_MAX, negative ? minus : plus, negative ? plus : minus,
                    negative);
    tracing->rail_extras[rail].raw = tracing->trace.rails[rail].back;
}

void direct_rails_find(struct tracing *tracing)
{
    for (size_t i = 0; i < tracing->trace.source_count; i++) {
        if (!tracing->source_extras[i].alternating)
            add_dc(tracing, i);
        else if (tracing->trace.sources[i].kind != SOURCE_INLET)
            add_winding(tracing, i);
    }
}
