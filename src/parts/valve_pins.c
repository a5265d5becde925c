#include <ctype.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"
#include "parts/wording.h"

enum {
    UNITS_LARGEST = 4,
    ORDER_LARGEST = 5,
    BASE_LEAST = 7 /* fewer nodes may be the electrodes alone */
};

/* A deck's sub-circuit whose formals are not known: the commonest orders. */
static const struct order_row {
    enum part_kind kind;
    size_t pins;
    enum pin_role roles[ORDER_LARGEST];
    const char *order;
} deck_orders[] = {
    {PART_TRIODE, 3, {PIN_ANODE, PIN_GRID, PIN_CATHODE}, "anode, grid, cathode"},
    {PART_PENTODE, 4, {PIN_ANODE, PIN_SCREEN, PIN_GRID, PIN_CATHODE},
     "anode, screen, grid, cathode"},
    {PART_PENTODE, 5, {PIN_ANODE, PIN_SCREEN, PIN_GRID, PIN_CATHODE, PIN_SUPPRESSOR},
     "anode, screen, grid, cathode, suppressor"},
    {PART_RECTIFIER_VALVE, 2, {PIN_ANODE, PIN_CATHODE}, "anode, cathode"},
    {PART_RECTIFIER_VALVE, 3, {PIN_ANODE, PIN_ANODE, PIN_CATHODE}, "anode, anode, cathode"},
};

/* Pin names without digits and section letter. UNIT letters: T triode, P pentode section. */
static const struct name_row {
    const char *pattern;
    enum pin_role role;
} names[] = {
    {"A", PIN_ANODE},        {"P", PIN_ANODE},          {"ANODE", PIN_ANODE},
    {"PLATE", PIN_ANODE},    {"K", PIN_CATHODE},        {"C", PIN_CATHODE},
    {"CATHODE", PIN_CATHODE}, {"KATHODE", PIN_CATHODE}, {"G", PIN_GRID},
    {"GRID", PIN_GRID},      {"S", PIN_SCREEN},         {"SCREEN", PIN_SCREEN},
    {"SG", PIN_SCREEN},      {"SUP", PIN_SUPPRESSOR},   {"H", PIN_HEATER},
    {"F", PIN_HEATER},       {"FIL", PIN_HEATER},       {"HEATER", PIN_HEATER},
    {"FILAMENT", PIN_HEATER}, {"HTR", PIN_HEATER},      {"HCT", PIN_HEATER_TAP},
    {"FCT", PIN_HEATER_TAP}, {"HT", PIN_HEATER_TAP},    {"FM", PIN_HEATER_TAP},
    {"CT", PIN_HEATER_TAP},  {"IS", PIN_SHIELD},        {"SHIELD", PIN_SHIELD},
};

/* Grids by number in a valve of one section with more than one. */
static const enum pin_role grids[] = {PIN_GRID, PIN_GRID, PIN_SCREEN, PIN_SUPPRESSOR};

struct told {
    enum pin_role role;
    size_t unit;
    bool unit_told; /* by a digit or section letter in the name */
};

static enum pin_role find_name(const char *name)
{
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(names[i].pattern, name) == 0)
            return names[i].role;
    return PIN_NONE;
}

static void drop_section(char *name, enum part_kind kind, struct told *told)
{
    size_t length = strlen(name);
    char last = length > 1 ? name[length - 1] : '\0';

    if (kind != PART_PENTODE || (last != 'T' && last != 'P') || strcmp(name, "CT") == 0
        || strcmp(name, "HCT") == 0 || strcmp(name, "FCT") == 0)
        return;
    told->unit = last == 'T' ? 1 : 0;
    told->unit_told = true;
    name[length - 1] = '\0';
}

/* What NAME says: "A", "k", "G2", "aT", "g1P", "A2", "F1", "1A". */
static struct told read_name(const char *text, enum part_kind kind)
{
    struct told told = {.role = PIN_NONE};
    struct wording wording;
    char name[16];
    size_t length, digits = 0;

    wording_start(&wording, text);
    if (wording.length == 0 || wording.length >= sizeof name)
        return told;
    memcpy(name, wording.text, wording.length + 1);
    drop_section(name, kind, &told);
    length = strlen(name);
    if (length > 1 && isdigit((unsigned char)name[0])) {
        digits = (size_t)(name[0] - '0');
        memmove(name, name + 1, length--);
    } else if (length > 1 && isdigit((unsigned char)name[length - 1])) {
        digits = (size_t)(name[--length] - '0');
        name[length] = '\0';
        if (length > 1 && name[length - 1] == '_')
            name[length - 1] = '\0';
    }
    told.role = find_name(name);
    if (told.role == PIN_GRID && kind == PART_PENTODE && digits < sizeof grids / sizeof *grids) {
        told.role = grids[digits];
    } else if (digits > 0 && digits <= UNITS_LARGEST && told.role != PIN_HEATER) {
        told.unit = digits - 1;
        told.unit_told = true;
    }
    return told;
}

static bool is_heater(enum pin_role role)
{
    return role == PIN_HEATER || role == PIN_HEATER_TAP;
}

/* Sections not told by name: the n-th anode in order of pin numbers is that of section n, and so
 * on. */
static void number_units(struct part_info *info, const struct told *told,
                         const struct pin **order)
{
    size_t seen[PIN_ROLE_COUNT] = {0};

    for (size_t i = 0; i < info->part->pin_count; i++) {
        size_t index = order[i]->index;
        enum pin_role role = told[index].role;

        if (role == PIN_NONE || is_heater(role) || role == PIN_SHIELD)
            continue;
        info->pins[index].unit = told[index].unit_told ? told[index].unit
                                 : info->kind == PART_TRIODE || role == PIN_ANODE ? seen[role] : 0;
        seen[role]++;
    }
}

static bool has_telling(const struct told *told, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (told[i].role == PIN_ANODE || told[i].role == PIN_CATHODE || told[i].role == PIN_GRID)
            return true;
    return false;
}

/* True if every pin that its name tells is that pin of the base. */
static bool base_agrees(const struct part_info *info, const struct told *told,
                        const struct type *type)
{
    if (type == NULL || type->base == NULL || info->part->letter != 0)
        return false;
    for (size_t i = 0; i < info->part->pin_count; i++) {
        const struct base_pin *pin = type_pin(type, info->part->pins[i].number);

        if (pin == NULL)
            return false;
        if (told[i].unit_told && told[i].unit != pin->unit)
            return false;
        if (told[i].role != PIN_NONE && told[i].role != pin->role
            && !(is_heater(told[i].role) && (is_heater(pin->role) || pin->role == PIN_CATHODE)))
            return false;
    }
    return true;
}

static void by_base(struct part_info *info, const struct type *type)
{
    for (size_t i = 0; i < info->part->pin_count; i++) {
        const struct base_pin *pin = type_pin(type, info->part->pins[i].number);

        info->pins[i] = (struct pin_info){.role = pin->role, .unit = pin->unit};
    }
}

static bool shares_name(const struct part_info *info, size_t index)
{
    const struct part *part = info->part;

    for (size_t i = 0; i < part->pin_count; i++)
        if (i != index && info->pins[i].role == PIN_HEATER
            && strcmp(pin_label(&part->pins[i]), pin_label(&part->pins[index])) == 0)
            return true;
    return false;
}

/* "F1 F1 F2": of three heater pins the two of one name are the ends, the third is the tap. */
static void find_tap(struct part_info *info)
{
    const struct part *part = info->part;
    size_t heaters = 0, lone = part->pin_count;

    for (size_t i = 0; i < part->pin_count; i++)
        heaters += info->pins[i].role == PIN_HEATER;
    if (heaters != 3)
        return;
    for (size_t i = 0; i < part->pin_count; i++)
        if (info->pins[i].role == PIN_HEATER && !shares_name(info, i))
            lone = lone == part->pin_count ? i : SIZE_MAX;
    if (lone < part->pin_count)
        info->pins[lone].role = PIN_HEATER_TAP;
}

/* A directly heated rectifier has no cathode of its own: the last filament pin serves. */
static void filament_cathode(struct part_info *info, const struct pin **order)
{
    if (info->kind != PART_RECTIFIER_VALVE || part_role_pin(info, PIN_CATHODE, 0) != NULL)
        return;
    for (size_t i = info->part->pin_count; i-- > 0;) {
        if (info->pins[order[i]->index].role != PIN_HEATER)
            continue;
        info->pins[order[i]->index].role = PIN_CATHODE;
        return;
    }
}

static void by_name(struct part_info *info, const struct told *told, const struct pin **order)
{
    for (size_t i = 0; i < info->part->pin_count; i++)
        info->pins[i].role = told[i].role;
    number_units(info, told, order);
    find_tap(info);
    filament_cathode(info, order);
}

/* A deck that lists a node for every pin of the base lists them in the base's order. */
static bool by_base_order(struct part_info *info, const struct type *type, const struct pin **order)
{
    const struct base *base = type != NULL ? type->base : NULL;
    size_t pins = 0;

    for (size_t i = 0; base != NULL && i < base->pin_count; i++) {
        size_t number = strtoul(base->pins[i].number, NULL, 10);

        if (number > pins)
            pins = number;
    }
    if (pins < BASE_LEAST || pins != info->part->pin_count)
        return false;
    for (size_t i = 0; i < base->pin_count; i++) {
        size_t number = strtoul(base->pins[i].number, NULL, 10);

        if (number > 0)
            info->pins[order[number - 1]->index] =
                (struct pin_info){.role = base->pins[i].role, .unit = base->pins[i].unit};
    }
    return true;
}

static bool by_deck_order(const struct recogniser *recogniser, struct part_info *info,
                          const struct pin **order)
{
    for (size_t i = 0; i < sizeof deck_orders / sizeof *deck_orders; i++) {
        const struct order_row *row = &deck_orders[i];
        size_t seen = 0;

        if (row->kind != info->kind || row->pins != info->part->pin_count)
            continue;
        for (size_t k = 0; k < row->pins; k++) {
            info->pins[order[k]->index].role = row->roles[k];
            if (row->roles[k] == PIN_ANODE)
                info->pins[order[k]->index].unit = seen++;
        }
        part_doubt(recogniser->arena, info,
                   "its nodes are taken in the order %s; define the sub-circuit with named formals "
                   "(A G K, A G2 G1 K)", row->order);
        return true;
    }
    return false;
}

/* A part that holds only one section of a double valve: that section is its first. */
static void close_units(struct part_info *info)
{
    size_t least = SIZE_MAX;

    for (size_t i = 0; i < info->part->pin_count; i++)
        if (info->pins[i].role != PIN_NONE && !is_heater(info->pins[i].role)
            && info->pins[i].unit < least)
            least = info->pins[i].unit;
    for (size_t i = 0; i < info->part->pin_count; i++)
        if (info->pins[i].unit >= least)
            info->pins[i].unit -= least;
}

/* Unnamed pins of a symbol that is not the type's own may bear the symbol's numbers, not the
 * base's. */
static void doubt_numbers(const struct recogniser *recogniser, struct part_info *info)
{
    struct wording wording;
    const char *word;
    size_t length;

    wording_symbol(&wording, info->part->symbol);
    if (wording.length > 0 && wording_type(recogniser->library, &wording, &word, &length) == NULL)
        part_doubt(recogniser->arena, info,
                   "its pins have no names; their numbers are taken as those of "
                   "the base of the %s; name the pins A, G, K",
                   info->type);
}

static void check_electrodes(const struct recogniser *recogniser, struct part_info *info)
{
    bool anode = false, cathode = false, grid = info->kind == PART_RECTIFIER_VALVE;
    bool screen = info->kind != PART_PENTODE, heater_only = true;

    for (size_t i = 0; i < info->part->pin_count; i++) {
        enum pin_role role = info->pins[i].role;

        anode |= role == PIN_ANODE;
        cathode |= role == PIN_CATHODE;
        grid |= role == PIN_GRID;
        screen |= role == PIN_SCREEN;
        heater_only &= is_heater(role);
    }
    if ((anode && cathode && grid && screen) || (heater_only && info->part->pin_count > 0))
        return;
    part_doubt(recogniser->arena, info,
               "its %s is not told; name the pins A, G (G1, G2), K, or give "
               "its type number and the numbers of its base",
               !anode     ? "anode"
               : !cathode ? "cathode"
               : !grid    ? "grid"
                          : "screen grid");
}

void valve_pins_assign(const struct recogniser *recogniser, struct part_info *info,
                       const struct type *type)
{
    const struct part *part = info->part;
    const struct pin **order = pins_in_order(recogniser->arena, part);
    struct told *told = arena_array(recogniser->arena, part->pin_count + 1, sizeof *told);

    for (size_t i = 0; i < part->pin_count; i++)
        told[i] = read_name(pin_label(&part->pins[i]), info->kind);
    if (base_agrees(info, told, type)) {
        by_base(info, type);
        if (!has_telling(told, part->pin_count))
            doubt_numbers(recogniser, info);
    } else if (has_telling(told, part->pin_count)) {
        by_name(info, told, order);
    } else if (part->letter != 0 && !by_base_order(info, type, order)) {
        by_deck_order(recogniser, info, order);
    }
    close_units(info);
    check_electrodes(recogniser, info);
}
