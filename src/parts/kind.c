#include "parts/parts.h"

#include <string.h>

static const char *const kind_names[PART_KIND_COUNT] = {
    [PART_UNKNOWN] = "unknown",
    [PART_FUSE] = "fuse",
    [PART_INLET] = "inlet",
    [PART_SWITCH] = "switch",
    [PART_STANDBY_SWITCH] = "standby-switch",
    [PART_TRANSFORMER] = "transformer",
    [PART_OUTPUT_TRANSFORMER] = "output-transformer",
    [PART_COUPLED_INDUCTOR] = "coupled-inductor",
    [PART_CHOKE] = "choke",
    [PART_INDUCTOR] = "inductor",
    [PART_RESISTOR] = "resistor",
    [PART_POTENTIOMETER] = "potentiometer",
    [PART_THERMISTOR] = "thermistor",
    [PART_CAPACITOR] = "capacitor",
    [PART_DIODE] = "diode",
    [PART_ZENER] = "zener",
    [PART_LED] = "led",
    [PART_BRIDGE] = "bridge",
    [PART_RECTIFIER_VALVE] = "rectifier-valve",
    [PART_TRIODE] = "triode",
    [PART_PENTODE] = "pentode",
    [PART_TRANSISTOR] = "transistor",
    [PART_FET] = "fet",
    [PART_REGULATOR] = "regulator",
    [PART_OPAMP] = "opamp",
    [PART_RELAY] = "relay",
    [PART_LAMP] = "lamp",
    [PART_JACK] = "jack",
    [PART_SPEAKER] = "speaker",
    [PART_FEED] = "feed",
    [PART_CONNECTOR] = "connector",
    [PART_VOLTAGE_SOURCE] = "voltage-source",
    [PART_CURRENT_SOURCE] = "current-source",
    [PART_BATTERY] = "battery",
    [PART_TEST_POINT] = "test-point",
    [PART_MECHANICAL] = "mechanical",
    [PART_VARISTOR] = "varistor",
    [PART_LINK] = "link",
};

static const char *const role_names[PIN_ROLE_COUNT] = {
    [PIN_NONE] = "none",
    [PIN_END] = "end",
    [PIN_PLUS] = "plus",
    [PIN_MINUS] = "minus",
    [PIN_AC] = "ac",
    [PIN_ANODE] = "anode",
    [PIN_CATHODE] = "cathode",
    [PIN_GRID] = "grid",
    [PIN_SCREEN] = "screen",
    [PIN_SUPPRESSOR] = "suppressor",
    [PIN_HEATER] = "heater",
    [PIN_HEATER_TAP] = "heater-tap",
    [PIN_LIVE] = "live",
    [PIN_NEUTRAL] = "neutral",
    [PIN_EARTH] = "earth",
    [PIN_WINDING] = "winding",
    [PIN_SHIELD] = "shield",
    [PIN_POLE] = "pole",
    [PIN_THROW] = "throw",
    [PIN_COLLECTOR] = "collector",
    [PIN_BASE] = "base",
    [PIN_EMITTER] = "emitter",
    [PIN_DRAIN] = "drain",
    [PIN_GATE] = "gate",
    [PIN_SOURCE] = "source",
    [PIN_INPUT] = "input",
    [PIN_OUTPUT] = "output",
    [PIN_COMMON] = "common",
    [PIN_SUPPLY_PLUS] = "supply-plus",
    [PIN_SUPPLY_MINUS] = "supply-minus",
    [PIN_COIL] = "coil",
    [PIN_CONTACT] = "contact",
    [PIN_TIP] = "tip",
    [PIN_RING] = "ring",
    [PIN_SLEEVE] = "sleeve",
    [PIN_TIP_NORMAL] = "tip-normal",
    [PIN_RING_NORMAL] = "ring-normal",
    [PIN_SLEEVE_NORMAL] = "sleeve-normal",
    [PIN_WIPER] = "wiper",
    [PIN_FEED] = "feed",
};

static bool find_name(const char *const *names, size_t count, const char *name, size_t *index)
{
    for (size_t i = 0; i < count; i++) {
        if (strcmp(names[i], name) == 0) {
            *index = i;
            return true;
        }
    }
    return false;
}

const char *part_kind_name(enum part_kind kind)
{
    return kind_names[kind];
}

bool part_kind_parse(const char *name, enum part_kind *kind)
{
    size_t index;

    if (!find_name(kind_names, PART_KIND_COUNT, name, &index))
        return false;
    *kind = (enum part_kind)index;
    return true;
}

const char *pin_role_name(enum pin_role role)
{
    return role_names[role];
}

bool pin_role_parse(const char *name, enum pin_role *role)
{
    size_t index;

    if (!find_name(role_names, PIN_ROLE_COUNT, name, &index))
        return false;
    *role = (enum pin_role)index;
    return true;
}
