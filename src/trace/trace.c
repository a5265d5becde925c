#include "trace/trace.h"

#include <stdint.h>

#include "base/arena.h"
#include "device/network.h"
#include "trace/tracing.h"

void indices_add(struct arena *arena, struct indices *set, size_t item)
{
    set->items =
        arena_grow(arena, set->items, &set->capacity, set->count, sizeof *set->items);
    set->items[set->count++] = item;
}

bool indices_have(const struct indices *set, size_t item)
{
    for (size_t i = 0; i < set->count; i++)
        if (set->items[i] == item)
            return true;
    return false;
}

void tracing_doubt(struct tracing *tracing, const char *part, const char *sentence)
{
    struct trace *trace = &tracing->trace;
    struct arena *arena = tracing->conduction->arena;

    trace->doubts = arena_grow(arena, trace->doubts, &tracing->doubt_capacity, trace->doubt_count,
                               sizeof *trace->doubts);
    trace->doubt_parts = arena_grow(arena, trace->doubt_parts, &tracing->doubt_part_capacity,
                                    trace->doubt_count, sizeof *trace->doubt_parts);
    trace->doubts[trace->doubt_count] = sentence;
    trace->doubt_parts[trace->doubt_count++] = part;
}

struct trace *trace_network(struct arena *arena, const struct network *network)
{
    struct tracing *tracing = arena_alloc(arena, sizeof *tracing);
    size_t nodes = network->node_count + 1;

    tracing->trace.network = network;
    tracing->conduction = conduction_new(arena, network);
    tracing->primary = arena_array(arena, network->branch_count + 1, sizeof(bool));
    tracing->zone = arena_array(arena, nodes, sizeof(size_t));
    tracing->label = arena_array(arena, nodes, sizeof(size_t));
    tracing->pumped = arena_array(arena, nodes, sizeof(size_t));
    tracing->direct = arena_array(arena, nodes, sizeof(bool));
    tracing->trace.roles = arena_array(arena, nodes, sizeof(enum net_role));
    tracing->trace.protections = arena_array(arena, nodes, sizeof(enum protection));
    sources_find(tracing);
    zones_find(tracing);
    rectifiers_find(tracing);
    direct_rails_find(tracing);
    rails_fill(tracing);
    coverage_find(tracing);
    mains_find(tracing);
    roles_find(tracing);
    doubts_find(tracing);
    return &tracing->trace;
}

size_t *trace_fuses(struct arena *arena, const struct network *network, size_t *count)
{
    struct indices fuses = {0};

    for (size_t i = 0; i < network->branch_count; i++)
        if (network->branches[i].kind == BRANCH_FUSE)
            indices_add(arena, &fuses, i);
    *count = fuses.count;
    return fuses.items;
}

const char *topology_name(enum topology topology)
{
    static const char *const names[] = {
        "direct", "half-wave", "full-wave-centre-tap", "bridge", "bridge-with-centre-tap",
        "full-wave-doubler", "cascade",
    };

    return names[topology];
}

const char *source_kind_name(enum source_kind kind)
{
    static const char *const names[] = {"inlet", "winding", "battery", "supply", "feed"};

    return names[kind];
}

const char *net_role_name(enum net_role role)
{
    static const char *const names[] = {
        "signal", "rail", "return", "chassis", "earth", "live", "neutral", "heater", "bias",
    };

    return names[role];
}

const char *protection_name(enum protection protection)
{
    static const char *const names[] = {"none", "upstream", "partial", "own"};

    return names[protection];
}
