/* Valve sections that a rail feeds without a dropper. */
#include "whatif/power_valves.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/valve_constants.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "whatif/reach.h"
#include "whatif/valve_probe.h"

/* V: no power valve idles at more. */
static const double largest_bias = 250;
enum { BISECTIONS = 60 };

static size_t pin_node(const struct part_info *info, enum pin_role role, size_t unit)
{
    const struct pin *pin = part_role_pin(info, role, unit);

    return pin != NULL && pin->net != NULL ? pin->net->index : SIZE_MAX;
}

/* A directly heated valve has its filament for a cathode. */
static size_t cathode_node(const struct part_info *info, size_t unit)
{
    size_t node = pin_node(info, PIN_CATHODE, unit);

    if (node == SIZE_MAX && part_role_pin(info, PIN_CATHODE, unit) == NULL)
        node = pin_node(info, PIN_CATHODE, 0);
    for (size_t i = 0; node == SIZE_MAX && i < info->part->pin_count; i++)
        if (info->pins[i].role == PIN_HEATER && info->part->pins[i].net != NULL)
            node = info->part->pins[i].net->index;
    return node;
}

/* The load of the valve's part from node FROM to its cathode. */
static size_t load_at(const struct reach *reach, const struct power_valve *valve, size_t from)
{
    for (size_t i = reach->first[from]; i < reach->first[from + 1]; i++) {
        const struct branch *branch = &reach->network->branches[reach->links[i]];

        if (branch->part == valve->info->part && branch->kind == BRANCH_LOAD && branch->from == from &&
            branch->to == valve->cathode)
            return branch->index;
    }
    return SIZE_MAX;
}

static double across(const struct solution *solution, size_t from, size_t to)
{
    return solution->nodes[from].mean - solution->nodes[to].mean;
}

/* The grid volts at which the equation draws what the network says. */
static void fit(struct power_valve *valve, const struct solution *healthy)
{
    struct element model = {.device = valve->model};
    double wanted = healthy->branches[valve->anode_branch].mean, low = -largest_bias, high = 0;
    struct electrode_volts volts = {
        .anode = across(healthy, valve->anode, valve->cathode),
        .screen = across(healthy, valve->screen != SIZE_MAX ? valve->screen : valve->anode, valve->cathode)};

    for (size_t i = 0; i < ELEMENT_FIGURES; i++)
        model.figures[i] = valve->figures[i];
    for (int i = 0; i < BISECTIONS; i++) {
        volts.grid = (low + high) / 2;
        *(valve_probe(&model, volts).anode < wanted ? &low : &high) = volts.grid;
    }
    valve->grid_shift = volts.grid - across(healthy, valve->grid, valve->cathode);
}

static void find_model(struct power_valve *valve, const struct network *network, const struct solution *healthy)
{
    const struct element *element = network->branches[valve->anode_branch].element;

    if (element->device == &device_pentode || element->device == &device_triode || valve->grid == SIZE_MAX ||
        !healthy->branch_solved[valve->anode_branch] || !healthy->node_solved[valve->grid])
        return;
    valve->model = valve_constants(valve->info, valve->screen != SIZE_MAX, valve->figures);
    if (valve->model != NULL)
        fit(valve, healthy);
}

static void look_at(struct power_valves *valves, struct arena *arena, const struct reach *reach,
                    const struct power_valve *valve, const struct solution *healthy)
{
    struct power_valve *kept;

    if (valve->anode == SIZE_MAX || valve->cathode == SIZE_MAX || valve->anode == valve->cathode)
        return;
    if (isinf(reach->ohms[valve->anode])) {
        valves->passed_over++;
        return;
    }
    valves->items = arena_grow(arena, valves->items, &valves->capacity, valves->count, sizeof *valves->items);
    kept = &valves->items[valves->count];
    *kept = *valve;
    kept->anode_branch = load_at(reach, valve, valve->anode);
    kept->screen_branch = valve->screen != SIZE_MAX ? load_at(reach, valve, valve->screen) : SIZE_MAX;
    if (kept->anode_branch != SIZE_MAX) {
        valves->of_branch[kept->anode_branch] = valves->count;
        find_model(kept, reach->network, healthy);
    }
    valves->count++;
}

struct power_valves power_valves_find(struct arena *arena, const struct network *network,
                                      const struct reach *reach, const struct solution *healthy)
{
    struct power_valves valves = {0};

    valves.of_branch = arena_array(arena, network->branch_count + 1, sizeof *valves.of_branch);
    for (size_t i = 0; i < network->branch_count; i++)
        valves.of_branch[i] = SIZE_MAX;
    for (size_t i = 0; network->parts != NULL && i < network->parts->count; i++) {
        const struct part_info *info = &network->parts->items[i];
        bool is_valve = info->kind == PART_TRIODE || info->kind == PART_PENTODE;

        for (size_t unit = 0; is_valve && unit < part_unit_count(info); unit++) {
            struct power_valve valve = {.info = info, .unit = unit,
                                        .anode = pin_node(info, PIN_ANODE, unit),
                                        .screen = pin_node(info, PIN_SCREEN, unit),
                                        .grid = pin_node(info, PIN_GRID, unit),
                                        .cathode = cathode_node(info, unit)};

            look_at(&valves, arena, reach, &valve, healthy);
        }
    }
    return valves;
}

static struct element *add(struct network *network, const struct power_valve *valve,
                           const struct device *device, size_t from, size_t to, enum branch_kind kind)
{
    struct element *element =
        network_add_element(network, device, valve->info->part, (size_t[]){from, to}, 2);

    network_add_branch(network, element, from, to, kind, kind != BRANCH_SOURCE);
    return element;
}

static void silence(struct network *network, size_t branch)
{
    struct element *element = network->elements[network->branches[branch].element->index];

    element->device = &device_open;
    network->branches[branch].kind = BRANCH_KIND_COUNT;
}

static void put_valve(struct network *network, const struct power_valve *valve, const struct branch *anode,
                      size_t screen_node, size_t steering)
{
    size_t pentode[] = {anode->from, anode->to, screen_node, anode->to, steering};
    size_t triode[] = {anode->from, anode->to, steering};
    bool has_screen = screen_node != SIZE_MAX;
    struct element *element = network_add_element(network, valve->model, valve->info->part,
                                                  has_screen ? pentode : triode, has_screen ? 5 : 3);

    for (size_t i = 0; i < ELEMENT_FIGURES; i++)
        element->figures[i] = valve->figures[i];
    network_add_branch(network, element, anode->from, anode->to, BRANCH_LOAD, true);
    if (has_screen)
        network_add_branch(network, element, screen_node, anode->to, BRANCH_LOAD, true);
}

void power_valve_put(struct network *network, const struct power_valve *valve, size_t anode, size_t screen,
                     size_t grid)
{
    struct branch branch = network->branches[anode];
    size_t screen_node = screen != SIZE_MAX ? network->branches[screen].from : SIZE_MAX;
    const char *ref = valve->info->part->ref;
    size_t mean = network_add_node(network, arena_print(network->arena, "%s.grid%zu", ref, valve->unit + 1), NULL);
    size_t steering =
        network_add_node(network, arena_print(network->arena, "%s.steered%zu", ref, valve->unit + 1), NULL);
    struct element *source;

    silence(network, anode);
    if (screen != SIZE_MAX)
        silence(network, screen);
    put_valve(network, valve, &branch, screen_node, steering);
    valve_grid_diode(screen != SIZE_MAX, add(network, valve, &device_diode, grid, branch.to, BRANCH_KIND_COUNT)->figures);
    add(network, valve, &device_mean_filter, grid, mean, BRANCH_KIND_COUNT)->figures[0] = VALVE_GRID_MEAN_SECONDS;
    source = add(network, valve, &device_source, steering, mean, BRANCH_SOURCE);
    source->figures[0] = valve->grid_shift;
    source->figures[4] = 1;
}

double power_valve_watts(const struct network *network, const struct solution *solution,
                         const struct power_valve *valve, size_t anode, size_t cathode)
{
    double amps = 0;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->part == valve->info->part && branch->kind == BRANCH_LOAD && branch->from == anode &&
            branch->to == cathode)
            amps = solution->branches[i].mean;
    }
    return across(solution, anode, cathode) * amps;
}
