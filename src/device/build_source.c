/* Inlets, feeds, sources. */
#include "device/build.h"

#include <math.h>
#include <string.h>

#include "circuit/circuit.h"
#include "device/device.h"

#define ROOT_TWO 1.4142135623730951

static struct element *add_source(struct builder *builder, const struct part_info *info,
                                  size_t plus, size_t minus)
{
    size_t ends[2] = {plus, minus};

    return build_two(builder, &device_source, info, ends, BRANCH_SOURCE, false);
}

/* DC and sine as the part's figures say, SI. */
static void set_waveform(struct builder *builder, const struct part_info *info, double *figures)
{
    figures[0] = part_figure_value(info, FIGURE_DC_VOLTS, 0);
    figures[1] = part_figure_value(info, FIGURE_AC_PEAK_VOLTS, 0);
    figures[3] = part_figure_value(info, FIGURE_PHASE, 0);
    if (figures[1] != 0)
        figures[2] = build_figure(builder, info, FIGURE_HERTZ, 50, 50, 60,
                                  "the frequency is not stated; mains frequency");
}

static double mains_peak(struct builder *builder, const struct part_info *info)
{
    if (build_has(info, FIGURE_AC_PEAK_VOLTS))
        return part_figure_value(info, FIGURE_AC_PEAK_VOLTS, 0);
    return ROOT_TWO * build_assume(builder, info, "mains-volts", 230, 207, 253,
                                   "nominal public supply, 230 V +-10 % (IEC 60038)");
}

/* Mains from live to neutral. Where there is an earth pin the neutral is tied to it, as at the supply's own earth. */
void build_inlet(struct builder *builder, const struct part_info *info)
{
    size_t live = build_nth_node(info, PIN_LIVE, 0), neutral = build_nth_node(info, PIN_NEUTRAL, 0);
    size_t earth = build_nth_node(info, PIN_EARTH, 0), ends[2];
    struct element *element;

    if ((live == NO_NODE || neutral == NO_NODE) && build_ends(info, ends)) {
        live = ends[0];
        neutral = ends[1];
    }
    if (live == NO_NODE || neutral == NO_NODE) {
        build_gap(builder, info, "its live and neutral are not known or not connected");
        return;
    }
    element = add_source(builder, info, live, neutral);
    element->figures[1] = mains_peak(builder, info);
    element->figures[2] = build_figure(builder, info, FIGURE_HERTZ, 50, 50, 60,
                                       "the frequency is not stated; mains frequency");
    element->figures[3] = part_figure_value(info, FIGURE_PHASE, 0);
    element->figures[4] = build_assume(builder, info, "mains-ohms", 0.5, 0.1, 1.5,
                                       "resistance of the public supply at a socket (reference "
                                       "impedance 0.4 + j0.25 ohm of IEC/TR 60725, from memory)");
    if (earth != NO_NODE)
        build_resistance(builder, info, neutral, earth,
                         build_assume(builder, info, "neutral-earth-ohms", 0.5, 0.1, 2,
                                      "the supply's neutral is earthed (common practice, no source)"),
                         BRANCH_RESISTANCE);
}

/* Nodes of a feed's pins: its own roles, else all pins in order. */
static size_t feed_nodes(const struct part_info *info, size_t *nodes, size_t limit)
{
    size_t count = 0;

    for (size_t i = 0; i < info->part->pin_count && count < limit; i++) {
        size_t node = build_node(&info->part->pins[i]);

        if (node != NO_NODE && info->pins[i].role != PIN_EARTH)
            nodes[count++] = node;
    }
    return count;
}

/* Three pins with volts: two sources about the pin in the middle, which is the grounded one if any is. */
static void build_tapped_feed(struct builder *builder, const struct part_info *info, size_t *nodes)
{
    size_t tap = nodes[0] == builder->network->ground ? 0 : nodes[2] == builder->network->ground ? 2 : 1;
    size_t middle = nodes[tap];
    const char *field = part_field(info->part, "volts"), *text = field != NULL ? field : info->part->value;
    bool told = text != NULL && strstr(text, "-0-") != NULL;
    double peak = part_figure_value(info, FIGURE_AC_PEAK_VOLTS, 0);

    nodes[tap] = nodes[1];
    nodes[1] = middle;
    if (!told)
        peak = build_assume(builder, info, "ac-peak-volts", peak, peak / 2, peak,
                            "its volts are taken as those from the middle pin to either end, not from end to "
                            "end; write 300-0-300V if so");
    for (size_t i = 0; i < 2; i++) {
        struct element *element = add_source(builder, info, nodes[i], nodes[i + 1]);

        set_waveform(builder, info, element->figures);
        element->figures[1] = peak;
        element->figures[4] = build_figure(builder, info, FIGURE_OHMS, 1, 0.1, 100,
                                           "source resistance of a feed (no source)");
    }
}

/* A feed of known volts is a source from its first pin to its second (one pin: to ground); else it is only a place
 * where current comes from. */
void build_feed(struct builder *builder, const struct part_info *info)
{
    size_t nodes[3], count = feed_nodes(info, nodes, 3), ground = builder->network->ground;
    bool known = build_has(info, FIGURE_DC_VOLTS) || build_has(info, FIGURE_AC_PEAK_VOLTS);
    struct element *element;

    if (build_nth_node(info, PIN_LIVE, 0) != NO_NODE &&
        build_nth_node(info, PIN_NEUTRAL, 0) != NO_NODE) {
        build_inlet(builder, info);
        return;
    }
    if (count == 0)
        return;
    if (count == 1)
        nodes[1] = ground;
    if (nodes[0] == ground && count == 2) {
        nodes[0] = nodes[1];
        nodes[1] = ground;
    }
    if (nodes[0] == nodes[1])
        return;
    if (known && count <= 2) {
        element = add_source(builder, info, nodes[0], nodes[1]);
        set_waveform(builder, info, element->figures);
        element->figures[4] = build_figure(builder, info, FIGURE_OHMS, 1, 0.1, 100,
                                           "source resistance of a feed (no source)");
        return;
    }
    if (count == 3 && nodes[0] != nodes[2] && nodes[1] != nodes[2] && build_has(info, FIGURE_AC_PEAK_VOLTS)) {
        build_tapped_feed(builder, info, nodes);
        return;
    }
    for (size_t i = 0; i + 1 < (count > 2 ? count : 2); i++)
        build_two(builder, &device_open, info, &nodes[i], BRANCH_SOURCE, false);
    build_gap(builder, info, "the volts of this %s feed are not known",
              info->role != NULL ? info->role : "supply");
}

/* PLUS and MINUS, else the first two pins. */
static bool source_ends(const struct part_info *info, size_t ends[2])
{
    if (build_ends(info, ends))
        return true;
    if (info->part->pin_count < 2)
        return false;
    ends[0] = build_node(&info->part->pins[0]);
    ends[1] = build_node(&info->part->pins[1]);
    return ends[0] != NO_NODE && ends[1] != NO_NODE;
}

void build_voltage_source(struct builder *builder, const struct part_info *info)
{
    struct element *element;
    size_t ends[2];

    if (!source_ends(info, ends))
        return;
    if (!build_has(info, FIGURE_DC_VOLTS) && !build_has(info, FIGURE_AC_PEAK_VOLTS)) {
        build_two(builder, &device_open, info, ends, BRANCH_SOURCE, false);
        build_gap(builder, info, "its volts are not known");
        return;
    }
    element = add_source(builder, info, ends[0], ends[1]);
    set_waveform(builder, info, element->figures);
    element->figures[4] = part_figure_value(info, FIGURE_OHMS, 0);
}

/* Current enters at plus and leaves at minus; it is taken as a load. */
void build_current_source(struct builder *builder, const struct part_info *info)
{
    double amps = part_figure_value(info, FIGURE_DC_AMPS, 0);
    size_t ends[2];

    if (!source_ends(info, ends))
        return;
    if (!build_has(info, FIGURE_DC_AMPS))
        build_gap(builder, info, "its current is not known");
    build_load(builder, info, amps < 0 ? ends[1] : ends[0], amps < 0 ? ends[0] : ends[1],
               fabs(amps), SEMICONDUCTOR_KNEE_VOLTS);
}

void build_battery(struct builder *builder, const struct part_info *info)
{
    double volts = part_figure_value(info, FIGURE_DC_VOLTS,
                                     part_figure_value(info, FIGURE_RATED_VOLTS, 0));
    struct element *element;
    size_t ends[2];

    if (!source_ends(info, ends))
        return;
    if (volts <= 0) {
        build_two(builder, &device_open, info, ends, BRANCH_SOURCE, false);
        build_gap(builder, info, "its volts are not known; give it a value");
        return;
    }
    element = add_source(builder, info, ends[0], ends[1]);
    element->figures[0] = volts;
    element->figures[4] = build_figure(builder, info, FIGURE_OHMS, 1, 0.05, 5,
                                       "inner resistance of a battery (common practice, no source)");
}
