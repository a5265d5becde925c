/* Transistors, bipolar and field-effect: as what their equations make of the circuit around them, or as the current that the netlist
 * says they draw. */
#include "device/build.h"

#include "circuit/circuit.h"
#include "device/device.h"
#include "device/direct_path.h"

/* The body diode of an insulated-gate transistor: its saturation current, A (the SPICE3 manual's default), and series resistance, ohm
 * (from memory). */
#define BODY_SATURATION 1e-14
#define BODY_OHMS 0.02
/* The gate's own diodes, ohm: that of a channel's end, from memory. */
#define GATE_OHMS 10.0

/* Nodes by what they do: current flows from TOP to BOTTOM (of a PNP or P channel the other way), steered by CONTROL. */
struct terminals {
    size_t top, bottom, control;
};

static struct terminals terminals_of(const struct part_info *info)
{
    bool bipolar = info->kind == PART_TRANSISTOR;

    return (struct terminals){
        build_nth_node(info, bipolar ? PIN_COLLECTOR : PIN_DRAIN, 0),
        build_nth_node(info, bipolar ? PIN_EMITTER : PIN_SOURCE, 0),
        build_nth_node(info, bipolar ? PIN_BASE : PIN_GATE, 0)};
}

void build_transistor_paths(struct builder *builder, const struct part_info *info)
{
    struct terminals terminals = terminals_of(info);

    if (terminals.top != NO_NODE && terminals.bottom != NO_NODE)
        direct_path_join(builder->direct, terminals.top, terminals.bottom);
}

static bool told_amps(const struct part_info *info)
{
    const struct figure *amps = part_figure(info, FIGURE_IDLE_AMPS);

    return amps != NULL && amps->origin == FIGURE_FROM_NETLIST;
}

static bool is_p_type(const struct part_info *info)
{
    return part_figure_value(info, FIGURE_POLARITY, 1) < 0;
}

/* A branch in the direction in which this polarity conducts. */
static void add_way(struct builder *builder, struct element *element, bool p_type, size_t from,
                    size_t to, enum branch_kind kind)
{
    network_add_branch(builder->network, element, p_type ? to : from, p_type ? from : to, kind,
                       true);
}

static void add_bipolar(struct builder *builder, const struct part_info *info,
                        const struct terminals *terminals)
{
    size_t nodes[] = {terminals->top, terminals->bottom, terminals->control, terminals->bottom};
    struct element *element =
        network_add_element(builder->network, &device_bipolar, info->part, nodes, 4);
    bool p_type = is_p_type(info);

    element->figures[0] = part_figure_value(info, FIGURE_SATURATION_AMPS, 0);
    element->figures[1] = part_figure_value(info, FIGURE_FORWARD_GAIN, 0);
    element->figures[2] = part_figure_value(info, FIGURE_REVERSE_GAIN, 1);
    element->figures[3] = part_figure_value(info, FIGURE_EARLY_VOLTS, 0);
    element->figures[4] = p_type ? -1 : 1;
    element->figures[5] = part_figure_value(info, FIGURE_EMISSION, 1);
    add_way(builder, element, p_type, terminals->top, terminals->bottom, BRANCH_LOAD);
    add_way(builder, element, p_type, terminals->control, terminals->bottom, BRANCH_KIND_COUNT);
}

/* A diode of the transistor's own, which the tracer must not follow. */
static void add_own_diode(struct builder *builder, const struct part_info *info, size_t anode,
                          size_t cathode, double saturation, double ohms)
{
    bool p_type = is_p_type(info);
    size_t ends[2] = {p_type ? cathode : anode, p_type ? anode : cathode};
    struct element *element = build_two(builder, &device_diode, info, ends, BRANCH_KIND_COUNT, true);

    element->figures[0] = saturation;
    element->figures[1] = 1;
    element->figures[2] = ohms;
}

static void add_channel(struct builder *builder, const struct part_info *info,
                        const struct terminals *terminals)
{
    size_t nodes[] = {terminals->top, terminals->bottom, terminals->control};
    struct element *element =
        network_add_element(builder->network, &device_channel, info->part, nodes, 3);
    bool p_type = is_p_type(info);
    double gate = part_figure_value(info, FIGURE_SATURATION_AMPS, 0);

    element->figures[0] = part_figure_value(info, FIGURE_TRANSCONDUCTANCE, 0);
    element->figures[1] = (p_type ? -1 : 1) * part_figure_value(info, FIGURE_THRESHOLD_VOLTS, 0);
    element->figures[2] = part_figure_value(info, FIGURE_CHANNEL_LAMBDA, 0);
    element->figures[3] = p_type ? -1 : 1;
    add_way(builder, element, p_type, terminals->top, terminals->bottom, BRANCH_LOAD);
    if (gate > 0) {
        add_own_diode(builder, info, terminals->control, terminals->bottom, gate, GATE_OHMS);
        add_own_diode(builder, info, terminals->control, terminals->top, gate, GATE_OHMS);
    } else {
        add_own_diode(builder, info, terminals->bottom, terminals->top, BODY_SATURATION, BODY_OHMS);
    }
}

/* Whether its equation can be used: every figure that divides or scales is there. */
static bool has_equation(const struct part_info *info)
{
    return info->kind == PART_TRANSISTOR
               ? part_figure_value(info, FIGURE_SATURATION_AMPS, 0) > 0 &&
                     part_figure_value(info, FIGURE_FORWARD_GAIN, 0) > 0 &&
                     part_figure_value(info, FIGURE_REVERSE_GAIN, 1) > 0 &&
                     part_figure_value(info, FIGURE_EMISSION, 1) > 0
               : part_figure_value(info, FIGURE_TRANSCONDUCTANCE, 0) > 0 &&
                     build_has(info, FIGURE_THRESHOLD_VOLTS);
}

/* False, with a gap: it must be taken for the current that it is said to draw. */
static bool add_modelled(struct builder *builder, const struct part_info *info,
                         const struct terminals *terminals)
{
    const char *control = info->kind == PART_TRANSISTOR ? "base" : "gate";

    if (told_amps(info))
        return false;
    if (!build_has(info, FIGURE_POLARITY)) {
        build_gap(builder, info, "whether it is %s is not known; name its symbol so, or give its type "
                  "number",
                  info->kind == PART_TRANSISTOR ? "NPN or PNP" : "an N or a P channel");
        return false;
    }
    if (!has_equation(info)) {
        build_gap(builder, info, "a figure of its equation is 0 or missing; what it draws is not computed");
        return false;
    }
    if (terminals->control == NO_NODE ||
        !direct_path_exists(builder->direct, terminals->control, terminals->bottom)) {
        build_gap(builder, info, "its %s has no way for direct current, so what it draws is not computed; "
                  "connect what biases it, or add a field idlecurrent", control);
        return false;
    }
    if (info->kind == PART_TRANSISTOR)
        add_bipolar(builder, info, terminals);
    else
        add_channel(builder, info, terminals);
    return true;
}

void build_transistor(struct builder *builder, const struct part_info *info)
{
    struct terminals terminals = terminals_of(info);
    double amps = part_figure_value(info, FIGURE_IDLE_AMPS, 0);
    bool p_type = is_p_type(info);

    if (terminals.top == NO_NODE || terminals.bottom == NO_NODE)
        return;
    if (!add_modelled(builder, info, &terminals))
        build_load(builder, info, p_type ? terminals.bottom : terminals.top,
                   p_type ? terminals.top : terminals.bottom, amps, SEMICONDUCTOR_KNEE_VOLTS);
}
