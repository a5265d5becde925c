/* Semiconductor and valve rectifiers, zeners, LEDs. */
#include "device/build.h"

#include <math.h>

#include "circuit/circuit.h"
#include "device/device.h"

/* How much less current flows at the same volts if the drop at the same current is VOLTS more; EMISSION: N
 * of the diode equation. */
static double current_ratio(double volts, double emission)
{
    return exp(-volts / (emission * 0.02585)); /* kT/q at 300 K, V */
}

/* The diode's equation: as known, else that of a 1 A silicon rectifier. */
static void set_equation(struct builder *builder, const struct part_info *info, double *figures)
{
    double volts = 0.9;

    if (!build_has(info, FIGURE_SATURATION_AMPS))
        volts = build_assume(builder, info, "diode-volts", 0.9, 0.6, 1.3,
                             "no equation is known for this type; that of a 1 A silicon rectifier is "
                             "used (IS 7 nA, N 1.8, RS 34 mohm, from memory)");
    figures[0] = part_figure_value(info, FIGURE_SATURATION_AMPS, 7e-9 * current_ratio(volts - 0.9, 1.8));
    figures[1] = part_figure_value(info, FIGURE_EMISSION,
                                   build_has(info, FIGURE_SATURATION_AMPS) ? 1 : 1.8);
    figures[2] = part_figure_value(info, FIGURE_SERIES_OHMS,
                                   build_has(info, FIGURE_SATURATION_AMPS) ? 0 : 0.034);
}

static void add_rectifier(struct builder *builder, const struct part_info *info, size_t anode,
                          size_t cathode, const double *figures)
{
    size_t ends[2] = {anode, cathode};
    struct element *element;

    if (anode == NO_NODE || cathode == NO_NODE)
        return;
    element = build_two(builder, &device_diode, info, ends, BRANCH_RECTIFIER, true);
    for (size_t i = 0; i < 3; i++)
        element->figures[i] = figures[i];
}

void build_diode(struct builder *builder, const struct part_info *info)
{
    double figures[3];
    size_t ends[2];

    if (build_nth_node(info, PIN_ANODE, 0) == NO_NODE ||
        build_nth_node(info, PIN_CATHODE, 0) == NO_NODE) {
        if (build_ends(info, ends))
            build_gap(builder, info, "its anode and cathode could not be told apart; it was left out");
        return;
    }
    set_equation(builder, info, figures);
    for (size_t n = 0; n < info->part->pin_count; n++) {
        size_t anode = build_nth_node(info, PIN_ANODE, n);
        size_t cathode = build_nth_node(info, PIN_CATHODE, n);

        if (anode == NO_NODE && cathode == NO_NODE)
            break;
        add_rectifier(builder, info, anode != NO_NODE ? anode : build_nth_node(info, PIN_ANODE, 0),
                      cathode != NO_NODE ? cathode : build_nth_node(info, PIN_CATHODE, 0),
                      figures);
    }
}

/* It draws its current; it is no rectifier of a supply. */
void build_led(struct builder *builder, const struct part_info *info)
{
    size_t ends[2];
    double volts = 2.2;
    struct element *element;

    if (!build_ends(info, ends))
        return;
    element = build_two(builder, &device_diode, info, ends, BRANCH_LOAD, true);
    if (!build_has(info, FIGURE_SATURATION_AMPS))
        volts = build_assume(builder, info, "led-volts", 2.2, 1.7, 3.5,
                     "forward voltage of a red LED at 20 mA (Kingbright WP7113SEC-J3)");
    element->figures[0] =
        part_figure_value(info, FIGURE_SATURATION_AMPS, 9.6e-15 * current_ratio(volts - 2.2, 3));
    element->figures[1] = part_figure_value(info, FIGURE_EMISSION, 3);
    element->figures[2] = part_figure_value(info, FIGURE_SERIES_OHMS, 2);
}

void build_zener(struct builder *builder, const struct part_info *info)
{
    double volts = part_figure_value(info, FIGURE_ZENER_VOLTS, 0);
    size_t ends[2] = {build_nth_node(info, PIN_ANODE, 0), build_nth_node(info, PIN_CATHODE, 0)};
    struct element *element;

    if (ends[0] == NO_NODE || ends[1] == NO_NODE || volts <= 0) {
        build_gap(builder, info, "%s; it was left out",
                  volts > 0 ? "its anode and cathode could not be told apart"
                            : "its zener voltage is not known (give it a value)");
        return;
    }
    element = network_add_element(builder->network, &device_zener, info->part, ends, 2);
    network_add_branch(builder->network, element, ends[1], ends[0], BRANCH_LOAD, false);
    element->figures[0] = volts;
    element->figures[1] = build_assume(builder, info, "zener-ohms", 15, 5, 40,
                                       "slope resistance of 0.5 W to 1 W zener diodes "
                                       "(1N5226B series sheet: 12 V, 30 ohm; 5.1 V, 17 ohm)");
    element->figures[2] = part_figure_value(info, FIGURE_SATURATION_AMPS, 7e-9);
    element->figures[3] = part_figure_value(info, FIGURE_EMISSION, 1.8);
    element->figures[4] = part_figure_value(info, FIGURE_SERIES_OHMS, 0.034);
}

void build_bridge(struct builder *builder, const struct part_info *info)
{
    size_t plus = build_nth_node(info, PIN_PLUS, 0), minus = build_nth_node(info, PIN_MINUS, 0);
    double figures[3];

    if (plus == NO_NODE && minus == NO_NODE) {
        build_gap(builder, info, "its plus and minus are not known or not connected; it was left out");
        return;
    }
    set_equation(builder, info, figures);
    for (size_t i = 0; i < 2; i++) {
        size_t ac = build_nth_node(info, PIN_AC, i);

        add_rectifier(builder, info, ac, plus, figures);
        add_rectifier(builder, info, minus, ac, figures);
    }
}
