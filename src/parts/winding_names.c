#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"
#include "parts/winding_build.h"
#include "parts/wording.h"

/* Pins whose names have one stem, in order of their numbers. */
struct group {
    char stem[16];
    struct winding_draft draft;
};

struct grouping {
    struct group groups[WINDINGS_LARGEST];
    size_t count;
    bool full; /* more pins or groups than there is room for */
};

static bool is_tap(const char *name)
{
    static const char *const taps[] = {"CT", "C.T.", "COM", "0", "0V", "CENTRE", "CENTER"};
    size_t length = strlen(name);

    if (length > 2 && strcasecmp(name + length - 2, "CT") == 0)
        return true;

    for (size_t i = 0; i < sizeof taps / sizeof *taps; i++)
        if (strcasecmp(name, taps[i]) == 0)
            return true;
    return false;
}

/* What windings are called; an end or a tap may have a digit, a letter or a sign behind it. */
static const char *const winding_words[] = {"PRIMARY", "PRI", "MAINS", "BIAS", "HEATER",
                                            "HTR", "FIL", "SEC", "HT"};

/* The word that NAME begins with, if at most two characters follow it; NULL: none. */
static const char *winding_word(const char *name)
{
    for (size_t i = 0; i < sizeof winding_words / sizeof *winding_words; i++) {
        size_t length = strlen(winding_words[i]);

        if (strncmp(name, winding_words[i], length) == 0 && strlen(name + length) <= 2)
            return winding_words[i];
    }
    return NULL;
}

/* What names of one winding share: the volts ("6.3V"), or the name less its last digit or letter
 * ("SA" "SB"; "P1" "P2"). Empty if NAME is of no known form. */
static void find_stem(const char *name, char *stem, size_t size)
{
    struct wording wording;
    double volts;

    stem[0] = '\0';
    wording_start(&wording, name);
    if (wording.length == 0 || wording.length >= size)
        return;
    if (quantity_find(name, QUANTITY_SCHEMATIC, UNIT_NONE, UNIT_VOLT, &volts)
        || strcmp(wording.text, "HT") == 0) {
        strcpy(stem, wording.text);
        return;
    }
    if (winding_word(wording.text) != NULL) {
        strcpy(stem, winding_word(wording.text));
        return;
    }
    if (wording.length < 2 || strchr("PSA", wording.text[0]) == NULL)
        return;
    if (isdigit((unsigned char)wording.text[wording.length - 1]) || wording.length == 2) {
        memcpy(stem, wording.text, wording.length - 1);
        stem[wording.length - 1] = '\0';
    }
}

static struct group *add_group(struct grouping *grouping, const char *stem)
{
    struct group *group;

    if (grouping->count == WINDINGS_LARGEST) {
        grouping->full = true;
        return NULL;
    }
    group = &grouping->groups[grouping->count++];
    *group = (struct group){0};
    strcpy(group->stem, stem);
    return group;
}

static void add_pin(struct grouping *grouping, struct group *group, const struct pin *pin)
{
    if (group == NULL || group->draft.pin_count == WINDING_PINS_LARGEST)
        grouping->full = true;
    else
        group->draft.pins[group->draft.pin_count++] = pin;
}

/* True if every pin but shields was put into a group. */
static bool group_pins(struct grouping *grouping, const struct pin **order, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const char *label = pin_label(order[i]);
        struct group *last = grouping->count > 0 ? &grouping->groups[grouping->count - 1] : NULL;
        char stem[16];

        if (is_tap(label) && last != NULL) {
            add_pin(grouping, last, order[i]);
            continue;
        }
        find_stem(label, stem, sizeof stem);
        if (stem[0] == '\0')
            return false;
        if (last == NULL || strcmp(last->stem, stem) != 0)
            last = add_group(grouping, stem);
        add_pin(grouping, last, order[i]);
    }
    return !grouping->full && grouping->count > 0;
}

/* "Sp1 Sp2 ct": the tap was listed last but is in the middle. */
static void centre_tap(struct group *group)
{
    struct winding_draft *draft = &group->draft;
    const struct pin *tap;

    if (draft->pin_count != 3 || !is_tap(pin_label(draft->pins[2])))
        return;
    tap = draft->pins[2];
    draft->pins[2] = draft->pins[1];
    draft->pins[1] = tap;
}

static void read_volts(struct group *group)
{
    size_t sections = group->draft.pin_count - 1;
    double volts;

    if (!quantity_find(group->stem, QUANTITY_SCHEMATIC, UNIT_NONE, UNIT_VOLT, &volts))
        return;
    if (sections == 1)
        group->draft.volts[0] = volts;
    else
        group->draft.end_volts = volts;
}

static bool is_primary(const struct group *group)
{
    return group->stem[0] == 'P' || group->stem[0] == 'A' || strcmp(group->stem, "MAINS") == 0;
}

static bool is_secondary_letter(const struct group *group)
{
    return group->stem[0] == 'S' && group->stem[1] == '\0';
}

/* Primaries and windings of stated volts may be split: "115V 115V 115V 115V" is two. */
static bool may_be_split(const struct group *group)
{
    return is_secondary_letter(group) || is_primary(group) || isdigit((unsigned char)group->stem[0]);
}

static const char *pair_name(struct arena *arena, const struct group *group,
                             const struct winding_draft *pair, size_t number)
{
    if (is_secondary_letter(group))
        return arena_print(arena, "%s-%s", pin_label(pair->pins[0]), pin_label(pair->pins[1]));
    return arena_print(arena, "%s_%zu", group->stem, number);
}

/* Adds the group's windings; a group of four or six pins is pairs. */
static bool add_windings(struct arena *arena, struct part_info *info, const struct group *group)
{
    size_t count = group->draft.pin_count;

    if (count == 2 || count == 3) {
        winding_add(arena, info, &group->draft);
        return true;
    }
    if (!may_be_split(group) || count % 2 != 0)
        return false;
    for (size_t i = 0; i < count; i += 2) {
        struct winding_draft pair = {.pins = {group->draft.pins[i], group->draft.pins[i + 1]},
                                     .primary = group->draft.primary, .pin_count = 2};

        pair.name = pair_name(arena, group, &pair, i / 2 + 1);
        quantity_find(group->stem, QUANTITY_SCHEMATIC, UNIT_NONE, UNIT_VOLT, &pair.volts[0]);
        winding_add(arena, info, &pair);
    }
    return true;
}

/* "280-0-280 V" in the value: the volts of the only tapped winding that has none. */
static void volts_from_value(struct part_info *info)
{
    const char *value = info->part->value, *zero = value != NULL ? strstr(value, "-0-") : NULL;
    struct winding *fit = NULL;
    const char *start = zero;
    struct quantity volts;
    char text[16];

    if (zero == NULL)
        return;
    while (start > value && (isdigit((unsigned char)start[-1]) || start[-1] == '.'))
        start--;
    if (start == zero || (size_t)(zero - start) >= sizeof text
        || strncmp(start, zero + 3, (size_t)(zero - start)) != 0)
        return;
    memcpy(text, start, (size_t)(zero - start));
    text[zero - start] = '\0';
    if (!quantity_parse(text, QUANTITY_SCHEMATIC, UNIT_VOLT, &volts))
        return;
    for (size_t i = 0; i < info->winding_count; i++) {
        struct winding *winding = &info->windings[i];

        if (winding->section_count != 2 || info->sections[winding->first_section].volts.value != 0)
            continue;
        if (fit != NULL)
            return;
        fit = winding;
    }
    for (size_t i = 0; fit != NULL && i < 2; i++) {
        struct figure *figure = &info->sections[fit->first_section + i].volts;

        figure->value = figure->low = figure->high = volts.value;
    }
}

static void forget(struct part_info *info)
{
    info->winding_count = 0;
    info->section_count = 0;
}

/* Four pins without names are nearly always drawn primary 1-2, secondary 3-4: taken so, with a doubt. */
static bool take_four(const struct recogniser *recogniser, struct part_info *info,
                      const struct pin **order)
{
    static const char *const names[] = {"primary", "secondary"};

    if (info->part->pin_count != 4)
        return false;
    for (size_t i = 0; i < 4; i++)
        if (strlen(order[i]->number) != 1 || order[i]->number[0] != (char)('1' + i) ||
            (order[i]->name != NULL && order[i]->name[0] != '\0' &&
             strcmp(order[i]->name, order[i]->number) != 0))
            return false;
    for (size_t i = 0; i < 2; i++) {
        struct winding_draft pair = {.name = names[i], .primary = i == 0,
                                     .pins = {order[2 * i], order[2 * i + 1]}, .pin_count = 2};

        winding_add(recogniser->arena, info, &pair);
    }
    part_doubt(recogniser->arena, info,
               "its windings are not told; taken as primary 1-2, secondary 3-4; check with an "
               "ohmmeter, or add a field windings, such as \"pri 1-2 230V 11R; sec 3-4 250V\"");
    return true;
}

bool windings_from_names(const struct recogniser *recogniser, struct part_info *info)
{
    const struct pin **order = pins_in_order(recogniser->arena, info->part);
    struct grouping *grouping = arena_alloc(recogniser->arena, sizeof *grouping);
    bool good = group_pins(grouping, order, info->part->pin_count);

    for (size_t i = 0; good && i < grouping->count; i++) {
        struct group *group = &grouping->groups[i];

        if (group->draft.pin_count < 2) {
            good = false;
            break;
        }
        centre_tap(group);
        read_volts(group);
        group->draft.primary = is_primary(group);
        group->draft.name = arena_copy(recogniser->arena, group->stem);
        good = add_windings(recogniser->arena, info, group);
    }
    if (good) {
        volts_from_value(info);
        return true;
    }
    forget(info);
    return take_four(recogniser, info, order);
}
