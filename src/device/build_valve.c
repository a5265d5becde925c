/* Valves: what they draw, their heaters; rectifier valves. */
#include "device/build.h"

#include "circuit/circuit.h"
#include "device/device.h"

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

/* Anode and screen current of one section. Without a current the branches are there but draw nothing. */
static void add_section(struct builder *builder, const struct part_info *info, size_t unit)
{
    size_t anode = build_role_node(info, PIN_ANODE, unit), cathode = cathode_node(info, unit);
    size_t screen = build_role_node(info, PIN_SCREEN, unit);
    double amps = part_figure_value(info, FIGURE_IDLE_AMPS, 0), screen_amps = 0;

    if (cathode == NO_NODE || (anode == NO_NODE && screen == NO_NODE))
        return;
    if (amps <= 0)
        build_gap(builder, info, "its anode current (section %zu) is not known; add a field idlecurrent",
                  unit + 1);
    build_load(builder, info, anode, cathode, amps, VALVE_KNEE_VOLTS);
    if (screen == NO_NODE)
        return;
    if (amps > 0)
        screen_amps = build_figure(builder, info, FIGURE_SCREEN_AMPS, 0.1 * amps, 0.05 * amps,
                                   0.2 * amps,
                                   "a screen takes 5 to 20 % of the anode's current at idle");
    build_load(builder, info, screen, cathode, screen_amps, VALVE_KNEE_VOLTS);
}

void build_valve(struct builder *builder, const struct part_info *info)
{
    size_t units = part_unit_count(info);

    for (size_t unit = 0; unit < (units > 0 ? units : 1); unit++)
        add_section(builder, info, unit);
    add_heater(builder, info);
}
