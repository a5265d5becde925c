/* Cold cathodes and high mains. */
#include "whatif/high_mains.h"

#include <stdbool.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"

static bool is_cathode(const struct network *network, const struct branch *branch)
{
    enum part_kind kind = network->parts->items[branch->part->index].kind;

    return branch->kind == BRANCH_LOAD && (kind == PART_TRIODE || kind == PART_PENTODE);
}

static struct network *without_valves(struct arena *arena, const struct network *network)
{
    struct change *changes = arena_array(arena, network->branch_count, sizeof *changes);
    size_t count = 0;

    for (size_t i = 0; i < network->branch_count; i++)
        if (is_cathode(network, &network->branches[i]))
            changes[count++] = (struct change){.kind = CHANGE_OPEN, .a = i};
    return network_change(arena, network, changes, count);
}

static void raise_sources(struct network *network)
{
    for (size_t i = 0; i < network->element_count; i++) {
        struct element *element = network->elements[i];
        const struct part_info *info = &network->parts->items[element->part->index];

        if (element->device == &device_source)
            element->figures[1] *= 1 + part_figure_value(info, FIGURE_TOLERANCE, 0) / 100;
    }
}

struct solution *high_mains_cold(struct arena *arena, const struct network *network,
                                 const struct solution *healthy)
{
    struct network *cold = without_valves(arena, network);
    struct solve_options options = {.start = healthy->status == SOLVE_OK ? healthy : NULL};

    raise_sources(cold);
    return solve_steady(arena, cold, &options);
}
