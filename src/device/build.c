/* network_build: nodes, the reference, and the table of what each kind of part becomes. */
#include "device/build.h"

#include <stdarg.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/direct_path.h"

typedef void build_part(struct builder *builder, const struct part_info *info);

/* Kinds that conduct nothing (test points, holes, varistors) have no function. */
static build_part *const kind_builders[PART_KIND_COUNT] = {
    [PART_UNKNOWN] = build_unknown,
    [PART_FUSE] = build_fuse,
    [PART_INLET] = build_inlet,
    [PART_SWITCH] = build_switch,
    [PART_STANDBY_SWITCH] = build_switch,
    [PART_TRANSFORMER] = build_transformer,
    [PART_OUTPUT_TRANSFORMER] = build_output_transformer,
    [PART_COUPLED_INDUCTOR] = build_coupled,
    [PART_CHOKE] = build_choke,
    [PART_INDUCTOR] = build_inductor,
    [PART_RESISTOR] = build_resistor,
    [PART_LINK] = build_link,
    [PART_POTENTIOMETER] = build_potentiometer,
    [PART_THERMISTOR] = build_thermistor,
    [PART_CAPACITOR] = build_capacitor,
    [PART_DIODE] = build_diode,
    [PART_ZENER] = build_zener,
    [PART_LED] = build_led,
    [PART_BRIDGE] = build_bridge,
    [PART_RECTIFIER_VALVE] = build_rectifier_valve,
    [PART_TRIODE] = build_valve,
    [PART_PENTODE] = build_valve,
    [PART_TRANSISTOR] = build_transistor,
    [PART_FET] = build_transistor,
    [PART_REGULATOR] = build_regulator,
    [PART_OPAMP] = build_opamp,
    [PART_RELAY] = build_relay,
    [PART_LAMP] = build_lamp,
    [PART_JACK] = build_jack,
    [PART_SPEAKER] = build_speaker,
    [PART_FEED] = build_feed,
    [PART_CONNECTOR] = build_connector,
    [PART_VOLTAGE_SOURCE] = build_voltage_source,
    [PART_CURRENT_SOURCE] = build_current_source,
    [PART_BATTERY] = build_battery,
};

size_t build_node(const struct pin *pin)
{
    return pin != NULL && pin->net != NULL ? pin->net->index : NO_NODE;
}

size_t build_role_node(const struct part_info *info, enum pin_role role, size_t unit)
{
    return build_node(part_role_pin(info, role, unit));
}

size_t build_nth_node(const struct part_info *info, enum pin_role role, size_t n)
{
    for (size_t i = 0; i < info->part->pin_count; i++)
        if (info->pins[i].role == role && n-- == 0)
            return build_node(&info->part->pins[i]);
    return NO_NODE;
}

bool build_ends(const struct part_info *info, size_t ends[2])
{
    static const enum pin_role pairs[][2] = {
        {PIN_PLUS, PIN_MINUS}, {PIN_ANODE, PIN_CATHODE}, {PIN_AC, PIN_AC}};

    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        ends[0] = build_nth_node(info, pairs[i][0], 0);
        ends[1] = build_nth_node(info, pairs[i][1], pairs[i][0] == pairs[i][1] ? 1 : 0);
        if (ends[0] != NO_NODE && ends[1] != NO_NODE)
            return true;
    }
    ends[0] = build_nth_node(info, PIN_END, 0);
    ends[1] = build_nth_node(info, PIN_END, 1);
    return ends[0] != NO_NODE && ends[1] != NO_NODE;
}

struct element *build_two(struct builder *builder, const struct device *device,
                          const struct part_info *info, const size_t ends[2],
                          enum branch_kind kind, bool one_way)
{
    struct element *element =
        network_add_element(builder->network, device, info->part, ends, 2);

    network_add_branch(builder->network, element, ends[0], ends[1], kind, one_way);
    return element;
}

void build_resistance(struct builder *builder, const struct part_info *info, size_t a, size_t b,
                      double ohms, enum branch_kind kind)
{
    size_t ends[2] = {a, b};

    if (a != NO_NODE && b != NO_NODE)
        build_two(builder, &device_resistor, info, ends, kind, false)->figures[0] = ohms;
}

void build_load(struct builder *builder, const struct part_info *info, size_t plus, size_t minus,
                double amps, double knee)
{
    size_t ends[2] = {plus, minus};
    struct element *element;

    if (plus == NO_NODE || minus == NO_NODE)
        return;
    element = build_two(builder, amps > 0 ? &device_load : &device_open, info, ends, BRANCH_LOAD,
                        true);
    element->figures[0] = amps;
    element->figures[1] = knee;
}

void build_gap(struct builder *builder, const struct part_info *info, const char *format, ...)
{
    struct network *network = builder->network;
    size_t capacity = network->gap_capacity;
    va_list args;
    const char *words;

    va_start(args, format);
    words = arena_vprint(network->arena, format, args);
    va_end(args);
    network->gap_parts = arena_grow(network->arena, network->gap_parts, &capacity,
                                    network->gap_count, sizeof *network->gap_parts);
    network->gaps = arena_grow(network->arena, network->gaps, &network->gap_capacity,
                               network->gap_count, sizeof *network->gaps);
    network->gap_parts[network->gap_count] = info->part->ref;
    network->gaps[network->gap_count++] =
        arena_print(network->arena, "%s: %s", info->part->ref, words);
}

double build_assume(struct builder *builder, const struct part_info *info, const char *what,
                    double value, double low, double high, const char *reason)
{
    network_assume(builder->network,
                   &(struct assumption){.part = info->part->ref, .what = what, .value = value,
                                        .low = low, .high = high, .reason = reason});
    return build_altered(builder->alteration, info->part->ref, what, value);
}

bool build_has(const struct part_info *info, enum figure_id id)
{
    return part_figure(info, id) != NULL;
}

double build_figure(struct builder *builder, const struct part_info *info, enum figure_id id,
                    double value, double low, double high, const char *reason)
{
    const struct figure *figure = part_figure(info, id);

    if (figure != NULL)
        return figure->value;
    return build_assume(builder, info, figure_rows[id].name, value, low, high, reason);
}

static void add_nodes(struct network *network, const struct circuit *circuit)
{
    const struct net *ground;
    bool named;

    for (size_t i = 0; i < circuit->net_count; i++)
        network_add_node(network, circuit->nets[i]->name, circuit->nets[i]);
    ground = circuit_ground(circuit, &named);
    network->ground = ground != NULL ? ground->index : network_add_node(network, "0", NULL);
    if (ground != NULL && !named)
        network_assume(network,
                       &(struct assumption){
                           .what = "ground-net",
                           .reason = arena_print(network->arena,
                                                 "no net is named as ground; volts are counted "
                                                 "from %s, which has most pins",
                                                 ground->name)});
}

static void repeat_assumption(struct builder *builder, const struct part_info *info,
                              const char *what, const struct figure *figure)
{
    if (figure->origin == FIGURE_ASSUMED && figure->why != NULL)
        build_assume(builder, info, what, figure->value, figure->low, figure->high, figure->why);
}

/* What was assumed of the part before it came here. */
static void repeat_assumptions(struct builder *builder, const struct part_info *info)
{
    for (size_t i = 0; i < info->figure_count; i++)
        repeat_assumption(builder, info, figure_rows[info->figures[i].id].name,
                          &info->figures[i]);
    for (size_t i = 0; i < info->section_count; i++) {
        const struct section *section = &info->sections[i];
        struct arena *arena = builder->network->arena;

        repeat_assumption(builder, info, build_section_figure(arena, info, section, "winding-volts"),
                          &section->volts);
        repeat_assumption(builder, info, build_section_figure(arena, info, section, "winding-ohms"),
                          &section->ohms);
    }
}

/* The lowest frequency of the AC sources. */
static double lowest_hertz(const struct network *network)
{
    double lowest = 0;

    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        if (element->device == &device_source && element->figures[1] != 0 &&
            element->figures[2] > 0 && (lowest == 0 || element->figures[2] < lowest))
            lowest = element->figures[2];
    }
    return lowest;
}

/* Valves and transistors: what they become depends on whether their grids, bases and gates hang on anything. */
static build_part *paths_builder(const struct part_info *info)
{
    if (kind_builders[info->kind] == build_valve)
        return build_valve_paths;
    return kind_builders[info->kind] == build_transistor ? build_transistor_paths : NULL;
}

static void build_one(struct builder *builder, const struct part_info *info)
{
    repeat_assumptions(builder, info);
    kind_builders[info->kind](builder, info);
}

static void build_unless_steered(struct builder *builder, const struct part_info *info)
{
    if (paths_builder(info) == NULL)
        build_one(builder, info);
}

static void build_paths_if_steered(struct builder *builder, const struct part_info *info)
{
    if (paths_builder(info) != NULL)
        paths_builder(info)(builder, info);
}

static void build_if_steered(struct builder *builder, const struct part_info *info)
{
    if (paths_builder(info) != NULL)
        build_one(builder, info);
}

/* One pass over the parts that are fitted and conduct. */
static void build_parts(struct builder *builder, build_part *build)
{
    for (size_t i = 0; i < builder->parts->count; i++) {
        const struct part_info *info = &builder->parts->items[i];

        if (!info->part->not_fitted && kind_builders[info->kind] != NULL)
            build(builder, info);
    }
}

/* Valves come last: what they become depends on whether their grids hang on anything. */
struct network *network_build_altered(struct arena *arena, const struct parts *parts,
                                      const struct alteration *alteration)
{
    struct network *network = arena_alloc(arena, sizeof *network);
    struct builder builder = {.network = network, .circuit = parts->circuit, .alteration = alteration};

    parts = builder.parts = build_alter_parts(arena, parts, alteration);
    network->arena = arena;
    network->parts = parts;
    builder.coupled = arena_array(arena, parts->count, sizeof *builder.coupled);
    add_nodes(network, parts->circuit);
    build_parts(&builder, build_unless_steered);
    builder.direct = direct_paths(arena, network);
    build_parts(&builder, build_paths_if_steered);
    build_parts(&builder, build_if_steered);
    network->hertz = lowest_hertz(network);
    return network;
}

struct network *network_build(struct arena *arena, const struct parts *parts)
{
    return network_build_altered(arena, parts, NULL);
}
