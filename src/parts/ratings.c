#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"
#include "parts/wording.h"

#define KIND(kind) ((uint64_t)1 << (kind))

static const uint64_t any = ~(uint64_t)0;
static const uint64_t resistors =
    KIND(PART_RESISTOR) | KIND(PART_POTENTIOMETER) | KIND(PART_THERMISTOR);
static const uint64_t inductors =
    KIND(PART_INDUCTOR) | KIND(PART_CHOKE) | KIND(PART_COUPLED_INDUCTOR);
static const uint64_t transformers = KIND(PART_TRANSFORMER) | KIND(PART_OUTPUT_TRANSFORMER);
static const uint64_t valves = KIND(PART_TRIODE) | KIND(PART_PENTODE) | KIND(PART_RECTIFIER_VALVE);
static const uint64_t sources = KIND(PART_VOLTAGE_SOURCE) | KIND(PART_CURRENT_SOURCE);
static const uint64_t transistors = KIND(PART_TRANSISTOR) | KIND(PART_FET);
static const uint64_t diodes =
    KIND(PART_DIODE) | KIND(PART_BRIDGE) | KIND(PART_ZENER) | KIND(PART_LED);

/* Figures that the value text holds: the first quantity of UNIT. A bare number counts as of the
 * unit FIRST. */
static const struct value_row {
    uint64_t kinds;
    enum unit first, unit;
    enum figure_id id;
} value_rows[] = {
    {resistors, UNIT_OHM, UNIT_OHM, FIGURE_OHMS},
    {resistors, UNIT_OHM, UNIT_WATT, FIGURE_RATED_WATTS},
    {resistors, UNIT_OHM, UNIT_PERCENT, FIGURE_TOLERANCE},
    {KIND(PART_CAPACITOR), UNIT_FARAD, UNIT_FARAD, FIGURE_FARADS},
    {KIND(PART_CAPACITOR), UNIT_FARAD, UNIT_VOLT, FIGURE_RATED_VOLTS},
    {KIND(PART_CAPACITOR), UNIT_FARAD, UNIT_PERCENT, FIGURE_TOLERANCE},
    {inductors, UNIT_HENRY, UNIT_HENRY, FIGURE_HENRIES},
    {inductors, UNIT_HENRY, UNIT_AMP, FIGURE_RATED_AMPS},
    {inductors, UNIT_HENRY, UNIT_OHM, FIGURE_OHMS},
    {KIND(PART_ZENER), UNIT_VOLT, UNIT_VOLT, FIGURE_ZENER_VOLTS},
    {KIND(PART_BRIDGE), UNIT_NONE, UNIT_VOLT, FIGURE_REVERSE_VOLTS},
    {KIND(PART_BRIDGE), UNIT_NONE, UNIT_AMP, FIGURE_AVERAGE_AMPS},
    {KIND(PART_LAMP), UNIT_VOLT, UNIT_VOLT, FIGURE_RATED_VOLTS},
    {KIND(PART_LAMP), UNIT_VOLT, UNIT_AMP, FIGURE_RATED_AMPS},
    {KIND(PART_LAMP), UNIT_VOLT, UNIT_WATT, FIGURE_RATED_WATTS},
    {KIND(PART_RELAY), UNIT_NONE, UNIT_VOLT, FIGURE_RATED_VOLTS},
    {KIND(PART_SPEAKER), UNIT_OHM, UNIT_OHM, FIGURE_OHMS},
    {KIND(PART_BATTERY), UNIT_VOLT, UNIT_VOLT, FIGURE_DC_VOLTS},
    {transformers, UNIT_NONE, UNIT_VOLTAMP, FIGURE_RATED_VOLTAMPS},
};

/* Figures that a field holds. */
static const struct field_row {
    const char *key;
    uint64_t kinds;
    enum unit unit;
    enum figure_id id;
} field_rows[] = {
    {"voltage", any, UNIT_VOLT, FIGURE_RATED_VOLTS},
    {"characteristics", KIND(PART_CAPACITOR), UNIT_VOLT, FIGURE_RATED_VOLTS},
    {"power", any, UNIT_WATT, FIGURE_RATED_WATTS},
    {"tolerance", any, UNIT_PERCENT, FIGURE_TOLERANCE},
    {"va", transformers, UNIT_VOLTAMP, FIGURE_RATED_VOLTAMPS},
    {"current", any, UNIT_AMP, FIGURE_RATED_AMPS},
    {"ifuse", KIND(PART_FUSE), UNIT_AMP, FIGURE_RATED_AMPS},
    {"load", any, UNIT_AMP, FIGURE_LOAD_AMPS},
    {"idlecurrent", any, UNIT_AMP, FIGURE_IDLE_AMPS},
    {"screencurrent", valves, UNIT_AMP, FIGURE_SCREEN_AMPS},
    {"ohms", any & ~KIND(PART_RELAY), UNIT_OHM, FIGURE_OHMS},
    {"resistance", any & ~KIND(PART_RELAY), UNIT_OHM, FIGURE_OHMS},
    {"ohms", KIND(PART_RELAY), UNIT_OHM, FIGURE_COIL_OHMS},
    {"resistance", KIND(PART_RELAY), UNIT_OHM, FIGURE_COIL_OHMS},
    {"coilohms", KIND(PART_RELAY), UNIT_OHM, FIGURE_COIL_OHMS},
    {"outputvoltage", KIND(PART_REGULATOR), UNIT_VOLT, FIGURE_OUTPUT_VOLTS},
    {"gain", KIND(PART_TRANSISTOR), UNIT_NONE, FIGURE_FORWARD_GAIN},
    {"inductance", inductors, UNIT_HENRY, FIGURE_HENRIES},
    {"capacitance", KIND(PART_CAPACITOR), UNIT_FARAD, FIGURE_FARADS},
    {"wiper", KIND(PART_POTENTIOMETER), UNIT_PERCENT, FIGURE_WIPER},
    {"heatervoltage", valves, UNIT_VOLT, FIGURE_HEATER_VOLTS},
    {"heatercurrent", valves, UNIT_AMP, FIGURE_HEATER_AMPS},
};

void part_read_figure(struct arena *arena, struct part_info *info, enum figure_id id, double value)
{
    part_set_figure(arena, info, id, value, value, value, FIGURE_FROM_NETLIST, NULL);
}

/* A value of 0 is no rating, but 0 ohms is a resistance. */
static bool is_usable(enum figure_id id, double value)
{
    if (id == FIGURE_WIPER)
        return value >= 0 && value <= 100;
    return isfinite(value)
           && (value > 0
               || (value == 0
                   && (id == FIGURE_OHMS || id == FIGURE_IDLE_AMPS || id == FIGURE_SCREEN_AMPS
                       || id == FIGURE_LOAD_AMPS))
               || (value < 0 && id == FIGURE_OUTPUT_VOLTS));
}

static void from_value(const struct recogniser *recogniser, struct part_info *info)
{
    const struct part *part = info->part;

    if (part->value == NULL)
        return;
    for (size_t i = 0; i < sizeof value_rows / sizeof *value_rows; i++) {
        const struct value_row *row = &value_rows[i];
        double value;

        if ((row->kinds & KIND(info->kind)) == 0 || part_figure(info, row->id) != NULL)
            continue;
        if (quantity_find(part->value, part->dialect, row->first, row->unit, &value)
            && is_usable(row->id, value))
            part_read_figure(recogniser->arena, info, row->id, value);
    }
}

/* Fields come before the value: they were written on purpose. */
static void from_fields(const struct recogniser *recogniser, struct part_info *info)
{
    for (size_t i = 0; i < sizeof field_rows / sizeof *field_rows; i++) {
        const struct field_row *row = &field_rows[i];
        const char *text = part_field(info->part, row->key);
        double value;

        if (text == NULL || (row->kinds & KIND(info->kind)) == 0
            || part_figure(info, row->id) != NULL)
            continue;
        if (quantity_find(text, info->part->dialect, row->unit, row->unit, &value)
            && is_usable(row->id, value))
            part_read_figure(recogniser->arena, info, row->id, value);
        else
            part_doubt(recogniser->arena, info,
                       "its field %s says \"%.40s\", which is no number of %s", row->key, text,
                       unit_symbol(row->unit));
    }
}

void ratings_from_type(const struct recogniser *recogniser, struct part_info *info, const struct type *type)
{
    for (size_t i = 0; type != NULL && i < type->figure_count; i++) {
        const struct type_figure *figure = &type->figures[i];

        if (part_figure(info, figure->id) == NULL)
            part_set_figure(recogniser->arena, info, figure->id, figure->value, figure->value,
                            figure->value, FIGURE_FROM_LIBRARY, figure->source);
    }
}

static void from_library(const struct recogniser *recogniser, struct part_info *info,
                         const struct type *type)
{
    if (type != NULL) {
        info->limits = type->limits;
        info->ratings = type->ratings;
        info->rating_count = type->rating_count;
    }
    ratings_from_type(recogniser, info, type);
}

static bool has_digit(const char *text)
{
    return strpbrk(text, "0123456789") != NULL || strstr(text, "\xC2\xBC") != NULL
           || strstr(text, "\xC2\xBD") != NULL || strstr(text, "\xC2\xBE") != NULL;
}

/* TEXT is a voltage and nothing more. */
static bool is_volts(const struct part *part, const char *text)
{
    struct quantity quantity;

    return quantity_parse(text, part->dialect, UNIT_NONE, &quantity) && quantity.unit == UNIT_VOLT;
}

/* A fuse's marking: the field rating, with the value if it states volts alone; else the value if it is more than the symbol's name. */
static void fuse_marking(const struct recogniser *recogniser, struct part_info *info)
{
    const struct part *part = info->part;
    const char *rating = part_field(part, "rating");
    const struct figure *amps = part_figure(info, FIGURE_RATED_AMPS);

    info->place = part_field(part, "place");
    if (rating != NULL && is_volts(part, rating) && part->value != NULL && has_digit(part->value))
        info->marking = arena_print(recogniser->arena, "%s %s", part->value, rating);
    else if (rating != NULL)
        info->marking = rating;
    else if (part->value != NULL && has_digit(part->value) && part->letter != 'R'
             && (part->symbol == NULL || strcasecmp(part->value, part->symbol) != 0))
        info->marking = part->value;
    else if (amps != NULL)
        info->marking = arena_print(recogniser->arena, "%gA", amps->value);
    if (part->letter == 'R' && part->value != NULL && part_figure(info, FIGURE_OHMS) == NULL) {
        struct quantity ohms;

        if (quantity_parse(part->value, part->dialect, UNIT_OHM, &ohms) && ohms.value >= 0)
            part_read_figure(recogniser->arena, info, FIGURE_OHMS, ohms.value);
    }
}

/* "BZX85C12": the volts stand after the C (IEC 60747, European type numbers). */
static void zener_volts(const struct recogniser *recogniser, struct part_info *info)
{
    const char *letter = info->type != NULL ? strrchr(info->type, 'C') : NULL;
    struct quantity volts;

    if (letter == NULL || part_figure(info, FIGURE_ZENER_VOLTS) != NULL || letter[1] == '\0')
        return;
    if (quantity_parse(letter + 1, QUANTITY_SCHEMATIC, UNIT_VOLT, &volts) && volts.value > 0
        && (volts.unit == UNIT_VOLT || volts.unit == UNIT_NONE))
        part_read_figure(recogniser->arena, info, FIGURE_ZENER_VOLTS, volts.value);
}

/* "78L05", "LM7912": the volts are the two digits after 78 or 79 and a letter for the current (makers' usage since the uA7800). */
static void regulator_volts(const struct recogniser *recogniser, struct part_info *info)
{
    const char *texts[] = {info->type, info->part->value, info->part->symbol};

    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        for (const char *at = texts[i]; at != NULL && *at != '\0'; at++) {
            const char *digits = at + 2 + (at[0] == '7' && at[1] != '\0' && isalpha((unsigned char)at[2]));

            if (at[0] != '7' || (at[1] != '8' && at[1] != '9') || !isdigit((unsigned char)digits[0]) ||
                !isdigit((unsigned char)digits[1]) || part_figure(info, FIGURE_OUTPUT_VOLTS) != NULL)
                continue;
            part_read_figure(recogniser->arena, info, FIGURE_OUTPUT_VOLTS,
                             (at[1] == '8' ? 1 : -1) * (10 * (digits[0] - '0') + digits[1] - '0'));
        }
}

void ratings_assign(const struct recogniser *recogniser, struct part_info *info,
                    const struct type *type)
{
    from_fields(recogniser, info);
    from_value(recogniser, info);
    if (info->kind == PART_FUSE)
        fuse_marking(recogniser, info);
    if (KIND(info->kind) & sources)
        source_figures(recogniser, info);
    if (KIND(info->kind) & diodes)
        diode_figures(recogniser, info, type);
    else if (KIND(info->kind) & transistors)
        transistor_figures(recogniser, info, type);
    else
        from_library(recogniser, info, type);
    if (info->kind == PART_ZENER)
        zener_volts(recogniser, info);
    if (info->kind == PART_REGULATOR)
        regulator_volts(recogniser, info);
    warm_ohms_assume(recogniser, info);
}
