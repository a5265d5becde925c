/* Valves: what they draw, their heaters; rectifier valves. */
#include "device/build.h"

#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/direct_path.h"
#include "device/valve_constants.h"

/* FIGURE_HEATER_* are those of the halves in parallel, so each half takes half the current. A heater with one pin of its
 * own ends on the cathode's (octal rectifiers: pins 2 and 8). */
static void add_heater(struct builder *builder, const struct part_info *info)
{
    size_t a = build_nth_node(info, PIN_HEATER, 0), b = build_nth_node(info, PIN_HEATER, 1);
    size_t tap = build_nth_node(info, PIN_HEATER_TAP, 0);
    double volts = part_figure_value(info, FIGURE_HEATER_VOLTS, 0);
    double amps = part_figure_value(info, FIGURE_HEATER_AMPS, 0), half;
    bool tapped = false;

    if (b == NO_NODE && tap == NO_NODE)
        b = build_role_node(info, PIN_CATHODE, 0);
    for (size_t i = 0; i < info->part->pin_count; i++)
        tapped |= info->pins[i].role == PIN_HEATER_TAP;
    if ((a != NO_NODE) + (b != NO_NODE) + (tap != NO_NODE) < 2)
        return;
    if (volts <= 0 || amps <= 0) {
        build_gap(builder, info, "the volts and amps of its heater are not known");
        return;
    }
    half = 2 * volts / amps;
    if (tap != NO_NODE) {
        build_resistance(builder, info, a, tap, half, BRANCH_RESISTANCE);
        build_resistance(builder, info, b, tap, half, BRANCH_RESISTANCE);
    } else {
        build_resistance(builder, info, a, b, tapped ? 2 * half : volts / amps,
                         BRANCH_RESISTANCE);
    }
}

/* The cathode of a section; of a directly heated valve the filament. */
static size_t cathode_node(const struct part_info *info, size_t unit)
{
    size_t node = build_role_node(info, PIN_CATHODE, unit);

    if (node == NO_NODE && part_role_pin(info, PIN_CATHODE, unit) == NULL)
        node = build_nth_node(info, PIN_CATHODE, 0);
    if (node == NO_NODE && build_nth_node(info, PIN_CATHODE, 0) == NO_NODE)
        node = build_nth_node(info, PIN_HEATER, 0);
    return node;
}

/* With the heater's winding as the way out, either end will do: the one nearer the load is not known. */
static void add_anode(struct builder *builder, const struct part_info *info, size_t anode,
                      size_t cathode, double perveance, double arc)
{
    size_t ends[2] = {anode, cathode};
    struct element *element =
        build_two(builder, &device_valve_diode, info, ends, BRANCH_RECTIFIER, true);

    element->figures[0] = perveance;
    element->figures[1] = arc;
}

void build_rectifier_valve(struct builder *builder, const struct part_info *info)
{
    double arc = part_figure_value(info, FIGURE_ARC_VOLTS, 0), perveance = 0;
    bool found = false;

    if (arc <= 0)
        perveance = build_figure(builder, info, FIGURE_PERVEANCE, 7e-4, 2.7e-4, 3.6e-3,
                                 "the type is not known; common rectifier valves lie in this range");
    for (size_t n = 0; n < info->part->pin_count; n++) {
        size_t cathode = cathode_node(info, info->pins[n].unit);
        size_t anode = build_node(&info->part->pins[n]);

        if (info->pins[n].role != PIN_ANODE || anode == NO_NODE || cathode == NO_NODE)
            continue;
        add_anode(builder, info, anode, cathode, perveance, arc);
        found = true;
    }
    if (!found)
        build_gap(builder, info, "its anodes and cathode are not known or not connected");
    add_heater(builder, info);
}

/* Electrodes of one section. */
struct section_nodes {
    size_t anode, cathode, grid, screen;
    bool has_screen; /* a pin for it, connected or not */
};

static struct section_nodes section_nodes(const struct part_info *info, size_t unit)
{
    return (struct section_nodes){
        .anode = build_role_node(info, PIN_ANODE, unit),
        .cathode = cathode_node(info, unit),
        .grid = build_role_node(info, PIN_GRID, unit),
        .screen = build_role_node(info, PIN_SCREEN, unit),
        .has_screen = part_role_pin(info, PIN_SCREEN, unit) != NULL,
    };
}

static size_t section_count(const struct part_info *info)
{
    size_t units = part_unit_count(info);

    return units > 0 ? units : 1;
}

void build_valve_paths(struct builder *builder, const struct part_info *info)
{
    for (size_t unit = 0; unit < section_count(info); unit++) {
        struct section_nodes nodes = section_nodes(info, unit);

        if (nodes.cathode != NO_NODE && nodes.anode != NO_NODE)
            direct_path_join(builder->direct, nodes.anode, nodes.cathode);
        if (nodes.cathode != NO_NODE && nodes.screen != NO_NODE)
            direct_path_join(builder->direct, nodes.screen, nodes.cathode);
    }
}

static bool told_amps(const struct part_info *info)
{
    const struct figure *amps = part_figure(info, FIGURE_IDLE_AMPS);

    return amps != NULL && amps->origin == FIGURE_FROM_NETLIST;
}

/* Elements of the grid, whose branches the tracer must not follow. */
static struct element *add_grid_element(struct builder *builder, const struct part_info *info,
                                        const struct device *device, const size_t ends[2])
{
    struct element *element =
        network_add_element(builder->network, device, info->part, ends, 2);

    network_add_branch(builder->network, element, ends[0], ends[1], BRANCH_KIND_COUNT, true);
    return element;
}

/* The grid's own current, and its mean volts at node MEAN, which the valve follows. */
static void add_grid(struct builder *builder, const struct part_info *info,
                     const struct section_nodes *nodes, size_t mean)
{
    size_t ends[] = {nodes->grid, nodes->cathode};
    size_t filter[] = {nodes->grid, mean};

    valve_grid_diode(nodes->has_screen, add_grid_element(builder, info, &device_diode, ends)->figures);
    add_grid_element(builder, info, &device_mean_filter, filter)->figures[0] = VALVE_GRID_MEAN_SECONDS;
}

static void add_triode(struct builder *builder, const struct part_info *info,
                       const struct section_nodes *nodes, const double *figures, size_t mean)
{
    size_t terminals[] = {nodes->anode, nodes->cathode, mean};
    struct element *element =
        network_add_element(builder->network, &device_triode, info->part, terminals, 3);

    memcpy(element->figures, figures, sizeof element->figures);
    network_add_branch(builder->network, element, nodes->anode, nodes->cathode, BRANCH_LOAD, true);
}

static void add_pentode(struct builder *builder, const struct part_info *info,
                        const struct section_nodes *nodes, const double *figures, size_t mean)
{
    size_t terminals[] = {nodes->anode, nodes->cathode, nodes->screen, nodes->cathode, mean};
    struct element *element =
        network_add_element(builder->network, &device_pentode, info->part, terminals, 5);

    memcpy(element->figures, figures, sizeof element->figures);
    network_add_branch(builder->network, element, nodes->anode, nodes->cathode, BRANCH_LOAD, true);
    network_add_branch(builder->network, element, nodes->screen, nodes->cathode, BRANCH_LOAD,
                       true);
}

/* The section as what its equation makes of the circuit around it. False, with a gap if the circuit is to blame: it
 * must be taken for the current that it is said to draw. */
static bool add_modelled(struct builder *builder, const struct part_info *info, size_t unit,
                         const struct section_nodes *nodes)
{
    double figures[ELEMENT_FIGURES] = {0};
    size_t mean;

    if (told_amps(info) || valve_constants(info, nodes->has_screen, figures) == NULL)
        return false;
    if (nodes->anode == NO_NODE || (nodes->has_screen && nodes->screen == NO_NODE)) {
        build_gap(builder, info, "its %s (section %zu) is not connected; what it draws is not computed",
                  nodes->anode == NO_NODE ? "anode" : "screen", unit + 1);
        return false;
    }
    if (nodes->grid == NO_NODE ||
        !direct_path_exists(builder->direct, nodes->grid, nodes->cathode)) {
        build_gap(builder, info,
                  "its grid (section %zu) has no way for direct current to its cathode, so what the "
                  "valve draws is not computed; connect its grid leak",
                  unit + 1);
        return false;
    }
    mean = network_add_node(
        builder->network,
        arena_print(builder->network->arena, "%s.grid%zu", info->part->ref, unit + 1), NULL);
    if (nodes->has_screen)
        add_pentode(builder, info, nodes, figures, mean);
    else
        add_triode(builder, info, nodes, figures, mean);
    add_grid(builder, info, nodes, mean);
    return true;
}

/* What a sheet prints is typical of the type at one operating point, which the circuit need not have. */
static double typical_amps(struct builder *builder, const struct part_info *info,
                           enum figure_id id)
{
    const struct figure *figure = part_figure(info, id);

    if (figure == NULL || figure->origin != FIGURE_FROM_LIBRARY || figure->value <= 0)
        return part_figure_value(info, id, 0);
    return build_assume(builder, info, figure_rows[id].name, figure->value, 0.3 * figure->value,
                        1.5 * figure->value, figure->why);
}

/* A screen takes its share of the anode's current if nothing else is known. */
static double typical_screen_amps(struct builder *builder, const struct part_info *info,
                                  double anode_amps)
{
    if (build_has(info, FIGURE_SCREEN_AMPS))
        return typical_amps(builder, info, FIGURE_SCREEN_AMPS);
    return build_assume(builder, info, figure_rows[FIGURE_SCREEN_AMPS].name, 0.1 * anode_amps,
                        0.05 * anode_amps, 0.2 * anode_amps,
                        "a screen takes 5 to 20 % of the anode's current at idle");
}

/* The typical current of a triode-pentode is that of its pentode. */
static double section_amps(struct builder *builder, const struct part_info *info,
                           const struct section_nodes *nodes)
{
    if (info->kind == PART_PENTODE && !nodes->has_screen && !told_amps(info) &&
        build_has(info, FIGURE_TRIODE_MU))
        return 0;
    return typical_amps(builder, info, FIGURE_IDLE_AMPS);
}

/* Anode and screen current of one section. Without a current the branches are there but draw nothing. */
static void add_section(struct builder *builder, const struct part_info *info, size_t unit)
{
    struct section_nodes nodes = section_nodes(info, unit);
    double amps;

    if (nodes.cathode == NO_NODE || (nodes.anode == NO_NODE && nodes.screen == NO_NODE))
        return;
    if (add_modelled(builder, info, unit, &nodes))
        return;
    amps = section_amps(builder, info, &nodes);
    if (amps <= 0)
        build_gap(builder, info, "its anode current (section %zu) is not known; add a field idlecurrent",
                  unit + 1);
    build_load(builder, info, nodes.anode, nodes.cathode, amps, VALVE_KNEE_VOLTS);
    if (nodes.screen != NO_NODE)
        build_load(builder, info, nodes.screen, nodes.cathode,
                   amps > 0 ? typical_screen_amps(builder, info, amps) : 0, VALVE_KNEE_VOLTS);
}

void build_valve(struct builder *builder, const struct part_info *info)
{
    for (size_t unit = 0; unit < section_count(info); unit++)
        add_section(builder, info, unit);
    add_heater(builder, info);
}
