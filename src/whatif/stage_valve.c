#include "whatif/stage_valve.h"

#include <stdint.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/direct_path.h"
#include "device/network.h"
#include "device/valve_constants.h"
#include "parts/parts.h"
#include "solve/solve.h"

static size_t pin_node(const struct part_info *info, enum pin_role role, size_t unit)
{
    const struct pin *pin = part_role_pin(info, role, unit);

    return pin != NULL && pin->net != NULL ? pin->net->index : SIZE_MAX;
}

/* The load branch of PART from node FROM, not before branch START; SIZE_MAX: none. */
static size_t find_branch(const struct network *network, const struct part *part, size_t from,
                          size_t start)
{
    for (size_t i = start; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->part == part && branch->kind == BRANCH_LOAD && branch->from == from)
            return i;
    }
    return SIZE_MAX;
}

static double mean_across(const struct solution *solution, size_t from, size_t to)
{
    return solution->nodes[from].mean - solution->nodes[to].mean;
}

struct electrode_volts stage_valve_volts(const struct network *network,
                                         const struct stage_valve *valve,
                                         const struct solution *solution)
{
    const struct branch *anode = &network->branches[valve->anode];
    size_t screen = valve->screen != SIZE_MAX ? network->branches[valve->screen].from : anode->from;

    return (struct electrode_volts){
        .anode = mean_across(solution, anode->from, anode->to),
        .screen = mean_across(solution, screen, anode->to),
        .grid = mean_across(solution, valve->grid, anode->to) + valve->grid_shift,
    };
}

double stage_valve_screen_amps(const struct stage_valve *valve, const struct solution *solution)
{
    return valve->screen != SIZE_MAX ? solution->branches[valve->screen].mean : 0;
}

/* V: no power valve idles at more. */
#define LARGEST_BIAS 250.0
enum { BISECTIONS = 60 };

/* The equation of a valve that the network has as a load: the grid volts at which it draws what
 * the load does. */
static void fit_model(struct stage_valve *valve, const struct stage_valve_search *search)
{
    double wanted = search->healthy->branches[valve->anode].mean, low = -LARGEST_BIAS, high = 0;
    struct electrode_volts volts = stage_valve_volts(search->network, valve, search->healthy);
    double grid = volts.grid;

    for (int i = 0; i < BISECTIONS; i++) {
        volts.grid = (low + high) / 2;
        *(valve_probe(valve->model, volts).anode < wanted ? &low : &high) = volts.grid;
    }
    valve->grid_shift = volts.grid - grid;
}

static void find_model(struct stage_valve *valve, const struct stage_valve_search *search,
                       const struct part_info *info, size_t unit)
{
    const struct branch *anode = &search->network->branches[valve->anode];
    const struct element *element = anode->element;
    bool pentode = part_role_pin(info, PIN_SCREEN, unit) != NULL;
    size_t grid = pin_node(info, PIN_GRID, unit);
    struct element *model = arena_alloc(search->arena, sizeof *model);

    if (element->device == &device_pentode || element->device == &device_triode) {
        *model = *element;
        valve->model = model;
        valve->grid = element->nodes[element->node_count - 1];
        return;
    }
    valve->grid = search->network->ground;
    if (grid != SIZE_MAX && direct_path_exists(search->direct, grid, anode->to))
        valve->grid = grid;
    model->device = valve_constants(info, pentode, model->figures);
    if (model->device == NULL)
        return;
    valve->model = model;
    fit_model(valve, search);
}

static void find_paths(struct stage_valve *valve, const struct stage_valve_search *search)
{
    const struct network *network = search->network;
    const struct branch *anode = &network->branches[valve->anode];
    bool was = search->screen_stops[anode->from];

    valve->cathode_path = audio_path_find(search->arena, &search->net, anode->to,
                                          search->net.still, STAGE_SUPPLY_OHMS);
    if (valve->screen == SIZE_MAX)
        return;
    search->screen_stops[anode->from] = true;
    valve->screen_path =
        audio_path_find(search->arena, &search->net, network->branches[valve->screen].from,
                        search->screen_stops, STAGE_SUPPLY_OHMS);
    search->screen_stops[anode->from] = was;
}

bool stage_valve_find(const struct stage_valve_search *search, const struct part_info *info,
                      size_t unit, size_t start, struct stage_valve *valve)
{
    size_t node = pin_node(info, PIN_ANODE, unit), screen = pin_node(info, PIN_SCREEN, unit);

    *valve = (struct stage_valve){.part = info->part, .screen = SIZE_MAX};
    if (node == SIZE_MAX)
        return false;
    valve->anode = find_branch(search->network, info->part, node, start);
    if (valve->anode == SIZE_MAX || !search->healthy->branch_solved[valve->anode])
        return false;
    valve->anode_path =
        audio_path_find(search->arena, &search->net, node, search->primary, STAGE_ANODE_OHMS);
    if (!valve->anode_path.found)
        return false;
    if (screen != SIZE_MAX)
        valve->screen = find_branch(search->network, info->part, screen, valve->anode + 1);
    find_model(valve, search, info, unit);
    find_paths(valve, search);
    return true;
}
