/* Resistors, capacitors, contacts and what behaves like them. */
#include "device/build.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "circuit/circuit.h"
#include "device/device.h"

/* A closed contact, ohm: common practice, no source. */
#define CONTACT_OHMS 1e-3

void build_resistor(struct builder *builder, const struct part_info *info)
{
    size_t ends[2];

    if (!build_ends(info, ends))
        return;
    if (part_figure_value(info, FIGURE_OHMS, -1) >= 0)
        build_resistance(builder, info, ends[0], ends[1], part_figure_value(info, FIGURE_OHMS, 0),
                         BRANCH_RESISTANCE);
    else
        build_gap(builder, info, "its resistance is not known; give it a value");
}

/* Copper from its first pin to every other. */
void build_link(struct builder *builder, const struct part_info *info)
{
    for (size_t i = 1; i < info->part->pin_count; i++)
        build_resistance(builder, info, build_node(&info->part->pins[0]), build_node(&info->part->pins[i]), 0,
                         BRANCH_RESISTANCE);
}

static bool says_ptc(const char *text)
{
    for (; text != NULL && *text != '\0'; text++)
        if (strncasecmp(text, "ptc", 3) == 0)
            return true;
    return false;
}

/* An inrush limiter is warm in use; one whose resistance rises guards against too much current, and is cold in use. */
void build_thermistor(struct builder *builder, const struct part_info *info)
{
    size_t ends[2];
    double cold = part_figure_value(info, FIGURE_COLD_OHMS, 0), ohms;

    if (!build_ends(info, ends))
        return;
    if (cold <= 0) {
        build_gap(builder, info, "its resistance is not known; give it a value");
        return;
    }
    if (says_ptc(info->part->value) || says_ptc(info->part->symbol) || says_ptc(info->type))
        ohms = build_assume(builder, info, "hot-ohms", cold, 0.8 * cold, 2 * cold,
                            "a thermistor whose resistance rises stays near its cold resistance "
                            "while its current is normal (from memory)");
    else
        ohms = build_assume(builder, info, "hot-ohms", cold * 0.1, cold * 0.02, cold,
                            "an inrush limiter in use has a few to some tens of per cent of "
                            "its cold resistance (from memory)");
    build_resistance(builder, info, ends[0], ends[1], ohms, BRANCH_RESISTANCE);
}

void build_potentiometer(struct builder *builder, const struct part_info *info)
{
    size_t a = build_nth_node(info, PIN_END, 0), b = build_nth_node(info, PIN_END, 1);
    size_t wiper = build_role_node(info, PIN_WIPER, 0);
    double ohms = part_figure_value(info, FIGURE_OHMS, 0), share;
    static const double least_track_ohms = 1e-3; /* at a stop */

    if ((a != NO_NODE) + (b != NO_NODE) + (wiper != NO_NODE) < 2)
        return;
    if (ohms <= 0) {
        build_gap(builder, info, "its resistance is not known; give it a value");
        return;
    }
    if (wiper == NO_NODE) {
        build_resistance(builder, info, a, b, ohms, BRANCH_RESISTANCE);
        return;
    }
    share = build_figure(builder, info, FIGURE_WIPER, 50, 0, 100,
                         "taken at the middle of the track; a field wiper says otherwise") / 100;
    build_resistance(builder, info, a, wiper, fmax(share * ohms, least_track_ohms), BRANCH_RESISTANCE);
    build_resistance(builder, info, wiper, b, fmax((1 - share) * ohms, least_track_ohms), BRANCH_RESISTANCE);
}

void build_capacitor(struct builder *builder, const struct part_info *info)
{
    size_t ends[2];
    double farads = part_figure_value(info, FIGURE_FARADS, 0);

    if (!build_ends(info, ends))
        return;
    if (farads > 0)
        build_two(builder, &device_capacitor, info, ends, BRANCH_CAPACITANCE, false)->figures[0] =
            farads;
    else
        build_gap(builder, info, "its capacitance is not known; give it a value");
}

void build_fuse(struct builder *builder, const struct part_info *info)
{
    size_t ends[2];

    if (build_ends(info, ends))
        build_resistance(builder, info, ends[0], ends[1],
                         build_figure(builder, info, FIGURE_OHMS, 0.1, 0.02, 2,
                                      "cold resistance of a fuse-link of unknown rating (from memory)"),
                         BRANCH_FUSE);
    else
        build_gap(builder, info, "one end of the fuse is not connected");
}

/* Node of throw N (0-based) of a pole. */
static size_t throw_node(const struct part_info *info, size_t unit, size_t n)
{
    for (size_t i = 0; i < info->part->pin_count; i++)
        if (info->pins[i].role == PIN_THROW && info->pins[i].unit == unit && n-- == 0)
            return build_node(&info->part->pins[i]);
    return NO_NODE;
}

/* Closed: each pole on its first throw, as drawn; not closed: on its second, if it has one. */
void build_switch(struct builder *builder, const struct part_info *info)
{
    size_t ends[2], poles = part_unit_count(info);

    if (build_nth_node(info, PIN_POLE, 0) == NO_NODE && build_ends(info, ends)) {
        if (info->closed)
            build_resistance(builder, info, ends[0], ends[1], CONTACT_OHMS, BRANCH_CONTACT);
        return;
    }
    for (size_t unit = 0; unit < poles; unit++)
        build_resistance(builder, info, build_role_node(info, PIN_POLE, unit),
                         throw_node(info, unit, info->closed ? 0 : 1), CONTACT_OHMS,
                         BRANCH_CONTACT);
}

/* Whether LABEL ends so: contacts are numbered by pole, then 1 common, 2 at rest, 4 at work (EN 50005), or named. */
static bool is_contact(const char *label, char digit, const char *name)
{
    size_t length = strlen(label);

    return strcasecmp(label, name) == 0 ||
           (length == 2 && label[0] >= '1' && label[0] <= '8' && label[1] == digit);
}

static size_t contact_node(const struct part_info *info, size_t unit, char digit, const char *name)
{
    for (size_t i = 0; i < info->part->pin_count; i++) {
        const struct pin *pin = &info->part->pins[i];

        if (info->pins[i].role == PIN_CONTACT && info->pins[i].unit == unit &&
            (is_contact(pin->name != NULL ? pin->name : "", digit, name) ||
             is_contact(pin->number, digit, name)))
            return build_node(pin);
    }
    return NO_NODE;
}

/* Poles whose common was told from the others; true if there is one. */
static bool add_contacts(struct builder *builder, const struct part_info *info, bool at_work)
{
    bool told = false;

    for (size_t unit = 0; unit < part_unit_count(info); unit++) {
        size_t common = contact_node(info, unit, '1', "COM");
        size_t work = contact_node(info, unit, '4', "NO"), rest = contact_node(info, unit, '2', "NC");

        told |= common != NO_NODE && (work != NO_NODE || rest != NO_NODE);
        build_resistance(builder, info, common, at_work ? work : rest, CONTACT_OHMS,
                         BRANCH_CONTACT);
    }
    return told;
}

/* At work, as an amplifier that is on has its relays, unless the netlist says otherwise. */
static bool is_at_work(struct builder *builder, const struct part_info *info)
{
    const char *state = part_field(info->part, "state");
    static const char *const rests[] = {"open", "off", "rest", "released"};

    for (size_t i = 0; state != NULL && i < sizeof rests / sizeof *rests; i++)
        if (strcasecmp(state, rests[i]) == 0)
            return false;
    if (state == NULL)
        build_assume(builder, info, "relay-at-work", 1, 0, 1,
                     "taken as energised, as in use; a field state=open says that it has released");
    return true;
}

void build_relay(struct builder *builder, const struct part_info *info)
{
    size_t a = build_nth_node(info, PIN_COIL, 0), b = build_nth_node(info, PIN_COIL, 1);
    double ohms = part_figure_value(info, FIGURE_COIL_OHMS, 0);

    if (ohms > 0)
        build_resistance(builder, info, a, b, ohms, BRANCH_RESISTANCE);
    else if (a != NO_NODE && b != NO_NODE)
        build_gap(builder, info, "the resistance of its coil is not known; add a field coilohms, or voltage");
    if (build_nth_node(info, PIN_CONTACT, 0) != NO_NODE &&
        !add_contacts(builder, info, is_at_work(builder, info)))
        build_gap(builder, info, "its contacts are taken as open; which of them close is not known "
                  "(name its pins 11, 12, 14 or COM, NC, NO)");
}

/* From its resistance, else from rated volts and amps or watts. */
void build_lamp(struct builder *builder, const struct part_info *info)
{
    double volts = part_figure_value(info, FIGURE_RATED_VOLTS, 0);
    double amps = part_figure_value(info, FIGURE_RATED_AMPS, 0);
    double watts = part_figure_value(info, FIGURE_RATED_WATTS, 0);
    double ohms = part_figure_value(info, FIGURE_OHMS, 0);
    size_t ends[2];

    if (!build_ends(info, ends))
        return;
    if (ohms <= 0 && volts > 0 && amps > 0)
        ohms = volts / amps;
    if (ohms <= 0 && volts > 0 && watts > 0)
        ohms = volts * volts / watts;
    if (ohms > 0)
        build_resistance(builder, info, ends[0], ends[1], ohms, BRANCH_RESISTANCE);
    else
        build_gap(builder, info, "the current of the lamp is not known; add fields voltage and current");
}

void build_speaker(struct builder *builder, const struct part_info *info)
{
    size_t ends[2];

    if (build_ends(info, ends))
        build_resistance(builder, info, ends[0], ends[1],
                         build_figure(builder, info, FIGURE_OHMS, 8, 4, 16,
                                      "loudspeakers are mostly 4 to 16 ohm (common practice, no source)"),
                         BRANCH_RESISTANCE);
}

/* Its normal contacts rest while no plug is in it. */
static void add_normal(struct builder *builder, const struct part_info *info, size_t contact,
                       size_t normal)
{
    if (contact == NO_NODE || normal == NO_NODE || info->plugged)
        return;
    if (part_field(info->part, "plugged") == NULL)
        build_assume(builder, info, "plugged", 0, 0, 1,
                     "no plug is in it, so its normal contacts are closed; a field plugged says "
                     "otherwise");
    build_resistance(builder, info, contact, normal, CONTACT_OHMS, BRANCH_CONTACT);
}

void build_jack(struct builder *builder, const struct part_info *info)
{
    static const enum pin_role pairs[][2] = {{PIN_TIP, PIN_TIP_NORMAL},
                                             {PIN_RING, PIN_RING_NORMAL},
                                             {PIN_SLEEVE, PIN_SLEEVE_NORMAL}};

    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        add_normal(builder, info, build_nth_node(info, pairs[i][0], 0),
                   build_nth_node(info, pairs[i][1], 0));
    build_connector(builder, info);
}

/* A part that says what is drawn from it stands for that load. */
void build_connector(struct builder *builder, const struct part_info *info)
{
    double amps = part_figure_value(info, FIGURE_LOAD_AMPS, 0);
    size_t ends[2] = {NO_NODE, NO_NODE};

    if (amps <= 0)
        return;
    if (!build_ends(info, ends) && info->part->pin_count >= 2) {
        ends[0] = build_node(&info->part->pins[0]);
        ends[1] = build_node(&info->part->pins[1]);
    }
    if (ends[0] != NO_NODE && ends[1] == NO_NODE)
        ends[1] = builder->network->ground;
    if (ends[0] == builder->network->ground) {
        ends[0] = ends[1];
        ends[1] = builder->network->ground;
    }
    build_load(builder, info, ends[0], ends[1], amps, SEMICONDUCTOR_KNEE_VOLTS);
}

void build_unknown(struct builder *builder, const struct part_info *info)
{
    size_t connected = 0;

    for (size_t i = 0; i < info->part->pin_count; i++)
        connected += info->part->pins[i].net != NULL;
    if (build_has(info, FIGURE_LOAD_AMPS))
        build_connector(builder, info);
    else if (connected >= 2)
        build_gap(builder, info, "what it is is not known, so it was left out; add a field kind");
}
