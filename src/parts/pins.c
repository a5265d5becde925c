#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"
#include "parts/wording.h"

#define KIND(kind) ((uint64_t)1 << (kind))

enum {
    /* two ends, no polarity */
    UNNAMED_MOST = 4
};

static const uint64_t plain_kinds =
    KIND(PART_FUSE) | KIND(PART_RESISTOR) | KIND(PART_CHOKE) | KIND(PART_INDUCTOR)
    | KIND(PART_COUPLED_INDUCTOR) | KIND(PART_CAPACITOR) | KIND(PART_LAMP) | KIND(PART_THERMISTOR)
    | KIND(PART_VARISTOR) | KIND(PART_LINK) | KIND(PART_SPEAKER);

/* Pin names by kind of part, upper case, as pattern_matches() reads them. The first that fits
 * counts. */
static const struct name_row {
    uint64_t kinds;
    const char *pattern;
    enum pin_role role;
    size_t unit;
} names[] = {
    {KIND(PART_DIODE) | KIND(PART_ZENER) | KIND(PART_LED), "A*", PIN_ANODE, 0},
    {KIND(PART_DIODE) | KIND(PART_ZENER) | KIND(PART_LED), "K*", PIN_CATHODE, 0},
    {KIND(PART_DIODE) | KIND(PART_ZENER) | KIND(PART_LED), "C*", PIN_CATHODE, 0},
    {KIND(PART_DIODE) | KIND(PART_ZENER) | KIND(PART_LED), "+", PIN_ANODE, 0},
    {KIND(PART_DIODE) | KIND(PART_ZENER) | KIND(PART_LED), "-", PIN_CATHODE, 0},
    {KIND(PART_BRIDGE), "+", PIN_PLUS, 0},
    {KIND(PART_BRIDGE), "V+", PIN_PLUS, 0},
    {KIND(PART_BRIDGE), "P*", PIN_PLUS, 0},
    {KIND(PART_BRIDGE), "-", PIN_MINUS, 0},
    {KIND(PART_BRIDGE), "V-", PIN_MINUS, 0},
    {KIND(PART_BRIDGE), "N*", PIN_MINUS, 0},
    {KIND(PART_BRIDGE), "~*", PIN_AC, 0},
    {KIND(PART_BRIDGE), "AC*", PIN_AC, 0},
    {KIND(PART_BRIDGE), "A#", PIN_AC, 0},
    {KIND(PART_VOLTAGE_SOURCE) | KIND(PART_CURRENT_SOURCE) | KIND(PART_BATTERY), "+*", PIN_PLUS, 0},
    {KIND(PART_VOLTAGE_SOURCE) | KIND(PART_CURRENT_SOURCE) | KIND(PART_BATTERY), "P*", PIN_PLUS, 0},
    {KIND(PART_VOLTAGE_SOURCE) | KIND(PART_CURRENT_SOURCE) | KIND(PART_BATTERY), "-*", PIN_MINUS,
     0},
    {KIND(PART_VOLTAGE_SOURCE) | KIND(PART_CURRENT_SOURCE) | KIND(PART_BATTERY), "N*", PIN_MINUS,
     0},
    {KIND(PART_POTENTIOMETER), "W*", PIN_WIPER, 0},
    {KIND(PART_POTENTIOMETER), "S", PIN_WIPER, 0},
    {KIND(PART_POTENTIOMETER), "2", PIN_WIPER, 0},
    {KIND(PART_POTENTIOMETER), "?*", PIN_END, 0},
    {KIND(PART_TRANSISTOR), "C*", PIN_COLLECTOR, 0},
    {KIND(PART_TRANSISTOR), "B*", PIN_BASE, 0},
    {KIND(PART_TRANSISTOR), "E*", PIN_EMITTER, 0},
    {KIND(PART_FET), "D*", PIN_DRAIN, 0},
    {KIND(PART_FET), "G*", PIN_GATE, 0},
    {KIND(PART_FET), "S*", PIN_SOURCE, 0},
    {KIND(PART_REGULATOR), "VI*", PIN_INPUT, 0},
    {KIND(PART_REGULATOR), "IN*", PIN_INPUT, 0},
    {KIND(PART_REGULATOR), "VO*", PIN_OUTPUT, 0},
    {KIND(PART_REGULATOR), "OUT*", PIN_OUTPUT, 0},
    {KIND(PART_REGULATOR), "GND*", PIN_COMMON, 0},
    {KIND(PART_REGULATOR), "ADJ*", PIN_COMMON, 0},
    {KIND(PART_REGULATOR), "COM*", PIN_COMMON, 0},
    {KIND(PART_OPAMP), "V+", PIN_SUPPLY_PLUS, 0},
    {KIND(PART_OPAMP), "VCC*", PIN_SUPPLY_PLUS, 0},
    {KIND(PART_OPAMP), "VDD*", PIN_SUPPLY_PLUS, 0},
    {KIND(PART_OPAMP), "V-", PIN_SUPPLY_MINUS, 0},
    {KIND(PART_OPAMP), "VEE*", PIN_SUPPLY_MINUS, 0},
    {KIND(PART_OPAMP), "VSS*", PIN_SUPPLY_MINUS, 0},
    {KIND(PART_RELAY), "A#", PIN_COIL, 0},
    {KIND(PART_RELAY), "COIL*", PIN_COIL, 0},
    {KIND(PART_RELAY), "#", PIN_CONTACT, 0},
    {KIND(PART_RELAY), "##", PIN_CONTACT, 0},
    {KIND(PART_RELAY), "COM*", PIN_CONTACT, 0},
    {KIND(PART_RELAY), "N?", PIN_CONTACT, 0},
    {KIND(PART_JACK), "T", PIN_TIP, 0},
    {KIND(PART_JACK), "TIP", PIN_TIP, 0},
    {KIND(PART_JACK), "IN", PIN_TIP, 0},
    {KIND(PART_JACK), "SIG*", PIN_TIP, 0},
    {KIND(PART_JACK), "R", PIN_RING, 0},
    {KIND(PART_JACK), "RING", PIN_RING, 0},
    {KIND(PART_JACK), "S", PIN_SLEEVE, 0},
    {KIND(PART_JACK), "G", PIN_SLEEVE, 0},
    {KIND(PART_JACK), "SLEEVE", PIN_SLEEVE, 0},
    {KIND(PART_JACK), "GND", PIN_SLEEVE, 0},
    {KIND(PART_JACK), "EXT", PIN_SLEEVE, 0},
    {KIND(PART_JACK), "T?", PIN_TIP_NORMAL, 0},
    {KIND(PART_JACK), "R?", PIN_RING_NORMAL, 0},
    {KIND(PART_JACK), "S?", PIN_SLEEVE_NORMAL, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "L", PIN_LIVE, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "L1", PIN_LIVE, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "LIVE", PIN_LIVE, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "LINE", PIN_LIVE, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "HOT", PIN_LIVE, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "PHASE", PIN_LIVE, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "N", PIN_NEUTRAL, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "NEUT*", PIN_NEUTRAL, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "E", PIN_EARTH, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "PE", PIN_EARTH, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "EARTH", PIN_EARTH, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "GND", PIN_EARTH, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "G", PIN_EARTH, 0},
    {KIND(PART_INLET) | KIND(PART_FEED), "PROTECTIVE_EARTH", PIN_EARTH, 0},
};

/* Names of nets at an inlet whose pins have none. */
static const struct name_row mains_nets[] = {
    {0, "L", PIN_LIVE, 0},         {0, "L1", PIN_LIVE, 0},         {0, "*LIVE*", PIN_LIVE, 0},
    {0, "*PHASE*", PIN_LIVE, 0},   {0, "LINE", PIN_LIVE, 0},       {0, "*MAINS_L*", PIN_LIVE, 0},
    {0, "AC_L*", PIN_LIVE, 0},     {0, "*_HOT", PIN_LIVE, 0},      {0, "HOT", PIN_LIVE, 0},
    {0, "FASE", PIN_LIVE, 0},      {0, "LINEA", PIN_LIVE, 0},      {0, "N", PIN_NEUTRAL, 0},       {0, "*NEUT*", PIN_NEUTRAL, 0},
    {0, "*MAINS_N*", PIN_NEUTRAL, 0}, {0, "AC_N*", PIN_NEUTRAL, 0}, {0, "NULL*", PIN_NEUTRAL, 0},
    {0, "E", PIN_EARTH, 0},        {0, "PE", PIN_EARTH, 0},        {0, "*EARTH*", PIN_EARTH, 0},
    {0, "*CHASSIS*", PIN_EARTH, 0}, {0, "*MAINS_E*", PIN_EARTH, 0}, {0, "TIERRA", PIN_EARTH, 0},
    {0, "ERDE", PIN_EARTH, 0},     {0, "SCHUTZLEITER", PIN_EARTH, 0}, {0, "TERRE", PIN_EARTH, 0},
    {0, "0", PIN_EARTH, 0},        {0, "GND*", PIN_EARTH, 0},
};

/* Pins of parts in a deck, in the order of SPICE's own elements. */
static const struct order_row {
    char letter;
    enum part_kind kind;
    enum pin_role roles[3];
} element_orders[] = {
    {'D', PART_DIODE, {PIN_ANODE, PIN_CATHODE, PIN_NONE}},
    {'D', PART_ZENER, {PIN_ANODE, PIN_CATHODE, PIN_NONE}},
    {'D', PART_LED, {PIN_ANODE, PIN_CATHODE, PIN_NONE}},
    {'D', PART_RECTIFIER_VALVE, {PIN_ANODE, PIN_CATHODE, PIN_NONE}},
    {'Q', PART_TRANSISTOR, {PIN_COLLECTOR, PIN_BASE, PIN_EMITTER}},
    {'J', PART_FET, {PIN_DRAIN, PIN_GATE, PIN_SOURCE}},
    {'M', PART_FET, {PIN_DRAIN, PIN_GATE, PIN_SOURCE}},
    {'V', PART_VOLTAGE_SOURCE, {PIN_PLUS, PIN_MINUS, PIN_NONE}},
    {'V', PART_BATTERY, {PIN_PLUS, PIN_MINUS, PIN_NONE}},
    {'I', PART_CURRENT_SOURCE, {PIN_PLUS, PIN_MINUS, PIN_NONE}},
};

/* Where nothing tells the pins apart, the order that is usual; a doubt says so. */
static const struct usual_row {
    enum part_kind kind;
    enum pin_role roles[UNNAMED_MOST];
    const char *order;
} usual_orders[] = {
    {PART_DIODE, {PIN_CATHODE, PIN_ANODE, PIN_NONE, PIN_NONE}, "1 cathode, 2 anode (IPC-7351)"},
    {PART_ZENER, {PIN_CATHODE, PIN_ANODE, PIN_NONE, PIN_NONE}, "1 cathode, 2 anode (IPC-7351)"},
    {PART_LED, {PIN_CATHODE, PIN_ANODE, PIN_NONE, PIN_NONE}, "1 cathode, 2 anode (IPC-7351)"},
    {PART_BRIDGE, {PIN_PLUS, PIN_MINUS, PIN_AC, PIN_AC}, "1 plus, 2 minus, 3 and 4 AC"},
    {PART_POTENTIOMETER, {PIN_END, PIN_WIPER, PIN_END, PIN_NONE}, NULL},
    {PART_VOLTAGE_SOURCE, {PIN_PLUS, PIN_MINUS, PIN_NONE, PIN_NONE}, "1 plus, 2 minus"},
    {PART_CURRENT_SOURCE, {PIN_PLUS, PIN_MINUS, PIN_NONE, PIN_NONE}, "1 plus, 2 minus"},
    {PART_BATTERY, {PIN_PLUS, PIN_MINUS, PIN_NONE, PIN_NONE}, "1 plus, 2 minus"},
};

static const uint64_t needs_roles =
    KIND(PART_TRANSISTOR) | KIND(PART_FET) | KIND(PART_REGULATOR) | KIND(PART_DIODE)
    | KIND(PART_ZENER) | KIND(PART_LED) | KIND(PART_BRIDGE) | KIND(PART_RELAY);

static enum pin_role role_by_name(const struct name_row *rows, size_t count, uint64_t kind,
                                  const char *name)
{
    struct wording wording;

    wording_start(&wording, name);
    for (size_t i = 0; i < count && wording.length > 0; i++)
        if ((rows[i].kinds == 0 || (rows[i].kinds & kind) != 0)
            && pattern_matches(rows[i].pattern, wording.text, wording.length))
            return rows[i].role;
    return PIN_NONE;
}

static size_t assign_by_name(struct part_info *info)
{
    size_t found = 0;

    for (size_t i = 0; i < info->part->pin_count; i++) {
        info->pins[i].role = role_by_name(names, sizeof names / sizeof *names, KIND(info->kind),
                                          pin_label(&info->part->pins[i]));
        found += info->pins[i].role != PIN_NONE;
    }
    return found;
}

static size_t assign_by_base(struct part_info *info, const struct type *type)
{
    size_t found = 0;

    for (size_t i = 0; type != NULL && i < info->part->pin_count; i++) {
        const struct base_pin *pin = type_pin(type, info->part->pins[i].number);

        if (pin == NULL)
            continue;
        info->pins[i] = (struct pin_info){.role = pin->role, .unit = pin->unit};
        found++;
    }
    return found;
}

static bool assign_by_element(const struct recogniser *recogniser, struct part_info *info)
{
    const struct part *part = info->part;
    const struct pin **pins = pins_in_order(recogniser->arena, part);

    for (size_t i = 0; i < sizeof element_orders / sizeof *element_orders; i++) {
        if (element_orders[i].letter != part->letter || element_orders[i].kind != info->kind)
            continue;
        for (size_t k = 0; k < part->pin_count && k < 3; k++)
            info->pins[pins[k]->index].role = element_orders[i].roles[k];
        return true;
    }
    return false;
}

static void assign_usual(const struct recogniser *recogniser, struct part_info *info)
{
    const struct part *part = info->part;
    const struct pin **pins = pins_in_order(recogniser->arena, part);

    for (size_t i = 0; i < sizeof usual_orders / sizeof *usual_orders; i++) {
        if (usual_orders[i].kind != info->kind)
            continue;
        for (size_t k = 0; k < part->pin_count && k < UNNAMED_MOST; k++)
            info->pins[pins[k]->index].role = usual_orders[i].roles[k];
        if (usual_orders[i].order != NULL)
            part_doubt(recogniser->arena, info, "its pins have no telling names; taken as %s; "
                       "name the pins, or measure them", usual_orders[i].order);
        return;
    }
    if (needs_roles & KIND(info->kind))
        part_doubt(recogniser->arena, info,
                   "its pins cannot be told apart; name them, or give its type number");
}

static void assign_all(struct part_info *info, enum pin_role role)
{
    for (size_t i = 0; i < info->part->pin_count; i++)
        info->pins[i].role = role;
}

/* The role an inlet's pin has by the name of its net. */
static void assign_by_nets(struct part_info *info)
{
    for (size_t i = 0; i < info->part->pin_count; i++) {
        const struct pin *pin = &info->part->pins[i];

        if (info->pins[i].role == PIN_NONE && pin->net != NULL)
            info->pins[i].role = role_by_name(mains_nets, sizeof mains_nets / sizeof *mains_nets, 0,
                                              pin->net->leaf);
    }
}

static size_t count_role(const struct part_info *info, enum pin_role role)
{
    size_t count = 0;

    for (size_t i = 0; i < info->part->pin_count; i++)
        count += info->pins[i].role == role;
    return count;
}

static void doubt_mains(const struct recogniser *recogniser, struct part_info *info)
{
    static const enum pin_role wanted[] = {PIN_LIVE, PIN_NEUTRAL};

    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        if (count_role(info, wanted[i]) != 1)
            part_doubt(recogniser->arena, info,
                       "%s pin is %s; name the pins L, N and E, or their nets",
                       wanted[i] == PIN_LIVE ? "its live" : "its neutral",
                       count_role(info, wanted[i]) == 0 ? "not told" : "told more than once");
    if (count_role(info, PIN_EARTH) == 0 && info->part->pin_count > 2)
        part_doubt(recogniser->arena, info,
                   "its earth pin is not told; name the pins L, N and E, or their nets");
}

static void inlet_pins(const struct recogniser *recogniser, struct part_info *info)
{
    assign_by_name(info);
    assign_by_nets(info);
    doubt_mains(recogniser, info);
}

/* A feed's pins are its own; those of a mains feed are told apart where names allow it. */
static void feed_pins(const struct recogniser *recogniser, struct part_info *info)
{
    if (info->role != NULL && strcmp(info->role, "mains") == 0) {
        assign_by_name(info);
        assign_by_nets(info);
        if (count_role(info, PIN_LIVE) == 1 && count_role(info, PIN_NEUTRAL) == 1)
            return;
    }
    assign_all(info, PIN_FEED);
    if (info->role == NULL)
        part_doubt(recogniser->arena, info, "what it feeds is not told; give it a value such as "
                   "HT, heater, bias or 230V_AC");
}

static bool is_ground_name(const char *name)
{
    static const char *const grounds[] = {"0", "GND", "AGND", "GNDA", "GROUND", "EARTH", "CHASSIS",
                                        "MASSE", "MASA"};

    for (size_t i = 0; i < sizeof grounds / sizeof *grounds; i++)
        if (strcasecmp(name, grounds[i]) == 0)
            return true;
    return false;
}

/* Of a jack with two unnamed contacts the grounded one is the sleeve. */
static bool jack_by_ground(struct part_info *info)
{
    bool grounded[2];

    if (info->part->pin_count != 2)
        return false;
    for (size_t i = 0; i < 2; i++)
        grounded[i] = info->part->pins[i].net != NULL && 
                      is_ground_name(info->part->pins[i].net->leaf);
    if (grounded[0] == grounded[1])
        return false;
    for (size_t i = 0; i < 2; i++)
        info->pins[i].role = grounded[i] ? PIN_SLEEVE : PIN_TIP;
    return true;
}

static void assign_plug(const struct recogniser *recogniser, struct part_info *info)
{
    const char *text = part_field(info->part, "plugged");
    struct wording wording;

    if (text == NULL)
        return;
    wording_start(&wording, text);
    info->plugged = strcmp(wording.text, "YES") == 0;
    if (!info->plugged && strcmp(wording.text, "NO") != 0)
        part_doubt(recogniser->arena, info, "its field plugged says \"%s\", not yes or no", text);
}

static void jack_pins(const struct recogniser *recogniser, struct part_info *info)
{
    assign_plug(recogniser, info);
    if (assign_by_name(info) > 0 || jack_by_ground(info))
        return;
    part_doubt(recogniser->arena, info,
               "its contacts are not told apart; name the pins T, R, S, TN, RN");
}

/* Relay contacts: "11", "12", "14" are pole 0, "21"... pole 1 (EN 50005 numbering). */
static void relay_units(struct part_info *info)
{
    for (size_t i = 0; i < info->part->pin_count; i++) {
        const char *label = pin_label(&info->part->pins[i]);

        if (label[0] == '\0')
            label = info->part->pins[i].number;
        if (info->pins[i].role == PIN_CONTACT && label[0] >= '1' && label[0] <= '8'
            && label[1] != '\0')
            info->pins[i].unit = (size_t)(label[0] - '1');
    }
}

static void relay_pins(const struct recogniser *recogniser, struct part_info *info)
{
    assign_by_name(info);
    for (size_t i = 0; i < info->part->pin_count; i++) {
        const char *number = info->part->pins[i].number;

        if (info->pins[i].role == PIN_NONE)
            info->pins[i].role = role_by_name(names, sizeof names / sizeof *names, KIND(PART_RELAY),
                                              number);
    }
    relay_units(info);
    if (count_role(info, PIN_COIL) < 2)
        part_doubt(recogniser->arena, info,
                   "its coil pins are not told; name them A1 and A2");
}

static void polar_pins(const struct recogniser *recogniser, struct part_info *info,
                       const struct type *type)
{
    if (assign_by_element(recogniser, info))
        return;
    if (assign_by_name(info) > 0)
        return;
    if (info->part->letter == 0 && assign_by_base(info, type) > 0)
        return;
    if (info->kind == PART_OPAMP && type == NULL)
        part_doubt(recogniser->arena, info,
                   "its supply pins are not told; name them V+ and V-, or give its type number");
    else
        assign_usual(recogniser, info);
}

/* A bridge has one plus, one minus and two AC pins, or its pins are not told. */
static void check_bridge(const struct recogniser *recogniser, struct part_info *info)
{
    if (count_role(info, PIN_PLUS) != 1 || count_role(info, PIN_MINUS) != 1
        || count_role(info, PIN_AC) != 2)
        part_doubt(recogniser->arena, info,
                   "a bridge has one plus, one minus and two AC pins; these pins are not so named");
}

/* Of several netlists that make one circuit: what a pin that nothing is wired to would be fed with. */
static void connector_pins(const struct recogniser *recogniser, struct part_info *info)
{
    for (size_t i = 0; info->part->home != NULL && i < info->part->pin_count; i++) {
        const struct pin *pin = &info->part->pins[i];

        if (pin->net == NULL || pin->wired || is_ground_name(pin->net->leaf))
            continue;
        info->pins[i].feed = feed_role(recogniser, pin->net->leaf);
        if (info->pins[i].feed == NULL)
            info->pins[i].feed = feed_role(recogniser, info->part->value);
    }
}

void pins_assign(const struct recogniser *recogniser, struct part_info *info,
                 const struct type *type)
{
    switch (info->kind) {
    case PART_UNKNOWN:
    case PART_TRANSFORMER:
    case PART_OUTPUT_TRANSFORMER:
    case PART_TEST_POINT:
    case PART_MECHANICAL:
        break;
    case PART_CONNECTOR:
        connector_pins(recogniser, info);
        break;
    case PART_TRIODE:
    case PART_PENTODE:
    case PART_RECTIFIER_VALVE:
        valve_pins_assign(recogniser, info, type);
        break;
    case PART_SWITCH:
    case PART_STANDBY_SWITCH:
        switch_pins_assign(recogniser, info);
        break;
    case PART_INLET:
        inlet_pins(recogniser, info);
        break;
    case PART_FEED:
        feed_pins(recogniser, info);
        break;
    case PART_JACK:
        jack_pins(recogniser, info);
        break;
    case PART_RELAY:
        relay_pins(recogniser, info);
        break;
    default:
        if (plain_kinds & KIND(info->kind))
            assign_all(info, PIN_END);
        else
            polar_pins(recogniser, info, type);
    }
    if (info->kind == PART_BRIDGE)
        check_bridge(recogniser, info);
}
