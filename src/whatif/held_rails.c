#include "whatif/held_rails.h"

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/sweep.h"

/* ohm: two reservoirs side by side need not agree to the last bit. */
static const double holding_ohms = 1e-3;

/* An open fuse takes all of its supply from NODE of rail RAIL. */
static bool is_dead(const struct sweep *sweep, size_t rail, size_t node)
{
    for (size_t i = sweep->first_cover[rail]; i < sweep->first_cover[rail + 1]; i++) {
        const struct cover *cover = &sweep->trace->covers[sweep->covers[i]];

        if (cover->node == node && cover->coverage == COVERAGE_FULL && sweep_is_open(sweep, cover->fuse))
            return true;
    }
    return false;
}

/* The node of the rail's reservoir; NULL: it has none. */
static const struct rail_node *reservoir(const struct rail *rail)
{
    for (size_t i = 0; i < rail->node_count; i++)
        if (rail->nodes[i].capacitor_count > 0)
            return &rail->nodes[i];
    return NULL;
}

static void hold(const struct sweep *sweep, struct network *network, size_t branch)
{
    const struct branch *whole = &sweep->network->branches[branch];

    for (size_t i = 0; i < sweep->excerpt.own_branches; i++) {
        struct element *element;

        if (sweep->excerpt.branches[i] != branch || network->branches[i].kind != BRANCH_CAPACITANCE)
            continue;
        element = network->elements[network->branches[i].element->index];
        element->device = &device_source;
        for (size_t k = 0; k < ELEMENT_FIGURES; k++)
            element->figures[k] = 0;
        element->figures[0] = sweep->healthy->nodes[whole->from].mean - sweep->healthy->nodes[whole->to].mean;
        element->figures[4] = holding_ohms;
    }
}

const struct solution *held_rails_solve(struct sweep *sweep)
{
    struct network *network = network_change(sweep->scratch, sweep->sound, sweep->changes, sweep->change_count);

    for (size_t r = 0; r < sweep->trace->rail_count; r++) {
        const struct rail *rail = &sweep->trace->rails[r];
        const struct rail_node *node = rail->rectifier != SIZE_MAX ? reservoir(rail) : NULL;

        for (size_t i = 0; node != NULL && i < node->capacitor_count; i++)
            if (!is_dead(sweep, r, node->node))
                hold(sweep, network, node->capacitors[i]);
    }
    sweep->faulted = network;
    return solve_operating_point(sweep->scratch, network);
}
