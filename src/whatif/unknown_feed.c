#include "whatif/unknown_feed.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "trace/trace.h"

/* V: a source whose ends lie no further apart is dead. */
static const double dead_volts = 0.1;

struct marking {
    const struct network *network;
    const struct trace *trace;
    struct solution *healthy;
    bool *unknown, *known; /* by node: what a source of unknown, of known volts feeds */
};

/* Something of PART was left out. */
static bool has_gap(const struct network *network, const struct part *part)
{
    for (size_t i = 0; network->gap_parts != NULL && i < network->gap_count; i++)
        if (network->gap_parts[i] != NULL && strcmp(network->gap_parts[i], part->ref) == 0)
            return true;
    return false;
}

/* Neither end of BRANCH moves, nor is there a volt between them. */
static bool is_dead(const struct solution *healthy, const struct branch *branch)
{
    const struct wave *from = &healthy->nodes[branch->from], *to = &healthy->nodes[branch->to];

    return fmax(from->high, to->high) - fmin(from->low, to->low) < dead_volts;
}

static bool is_unknown(const struct marking *marking, const struct trace_source *source)
{
    bool gap = source->part != NULL && has_gap(marking->network, source->part);

    for (size_t i = 0; i < source->branch_count && gap; i++) {
        const struct branch *branch = &marking->network->branches[source->branches[i]];

        if (branch->element->device == &device_open || is_dead(marking->healthy, branch))
            return true;
    }
    return false;
}

static void mark_source(const struct marking *marking, size_t index, bool *nodes)
{
    const struct trace *trace = marking->trace;
    const struct trace_source *source = &trace->sources[index];

    for (size_t i = 0; i < source->branch_count; i++) {
        nodes[marking->network->branches[source->branches[i]].from] = true;
        nodes[marking->network->branches[source->branches[i]].to] = true;
    }
    for (size_t r = 0; r < trace->rail_count; r++) {
        const struct rail *rail = &trace->rails[r];

        if (rail->source != index)
            continue;
        for (size_t i = 0; i < rail->node_count; i++)
            nodes[rail->nodes[i].node] = true;
        for (size_t i = 0; i < rail->fed_count; i++)
            nodes[rail->fed[i]] = true;
        nodes[rail->back] = nodes == marking->known;
    }
}

/* What a load draws from a node that is not known flows to its other end. */
static void follow_loads(const struct marking *marking)
{
    for (size_t i = 0; i < marking->network->branch_count; i++) {
        const struct branch *branch = &marking->network->branches[i];

        if (branch->kind == BRANCH_LOAD && marking->unknown[branch->from] != marking->unknown[branch->to])
            marking->unknown[branch->from] = marking->unknown[branch->to] = true;
    }
}

static void mark_nodes(const struct marking *marking)
{
    follow_loads(marking);
    for (size_t i = 0; i < marking->network->node_count; i++) {
        marking->unknown[i] &= !marking->known[i] && i != marking->network->ground;
        marking->healthy->node_solved[i] &= !marking->unknown[i];
    }
    for (size_t i = 0; i < marking->network->branch_count; i++) {
        const struct branch *branch = &marking->network->branches[i];

        if (marking->unknown[branch->from] || marking->unknown[branch->to])
            marking->healthy->branch_solved[i] = false;
    }
}

static void mark_fuses(const struct marking *marking, const size_t *fuses, size_t count)
{
    for (size_t i = 0; i < count; i++)
        marking->healthy->branch_solved[fuses[i]] = false;
}

static bool has_unknown_primary(const struct network *network)
{
    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->section != NULL && branch->element->device == &device_open &&
            network->parts->items[branch->part->index].windings[branch->section->winding].primary)
            return true;
    }
    return false;
}

void unknown_feed_mark(const struct network *network, const struct trace *trace, struct solution *healthy)
{
    struct arena *work;
    struct marking marking = {.network = network, .trace = trace, .healthy = healthy};
    bool any = false;

    if (healthy->status != SOLVE_OK || network->gap_count == 0)
        return;
    work = arena_new();
    marking.unknown = arena_array(work, network->node_count, sizeof(bool));
    marking.known = arena_array(work, network->node_count, sizeof(bool));
    for (size_t s = 0; s < trace->source_count; s++) {
        bool unknown = is_unknown(&marking, &trace->sources[s]);

        any |= unknown;
        mark_source(&marking, s, unknown ? marking.unknown : marking.known);
        for (size_t i = 0; i < trace->sources[s].branch_count && unknown; i++)
            healthy->branch_solved[trace->sources[s].branches[i]] = false;
    }
    if (any)
        mark_nodes(&marking);
    for (size_t i = 0; i < trace->mains_count && has_unknown_primary(network); i++) {
        mark_fuses(&marking, trace->mains[i].live_fuses, trace->mains[i].live_fuse_count);
        mark_fuses(&marking, trace->mains[i].neutral_fuses, trace->mains[i].neutral_fuse_count);
    }
    arena_free(work);
}
