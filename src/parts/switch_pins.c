#include <ctype.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"
#include "parts/wording.h"

enum { POLES_LARGEST = 8 };

/* The pole a label or number names by a digit: "1A", "A2", "2_COM"; 0 if none. */
static size_t told_pole(const char *label)
{
    size_t length = strlen(label);
    char digit = '\0';

    if (length >= 2 && isdigit((unsigned char)label[0]) && !isdigit((unsigned char)label[1]))
        digit = label[0];
    else if (length >= 2 && isdigit((unsigned char)label[length - 1])
             && !isdigit((unsigned char)label[0]))
        digit = label[length - 1];
    return digit >= '1' && digit <= '0' + POLES_LARGEST ? (size_t)(digit - '0') : 0;
}

static bool has_letters(const char *label, const char *letters)
{
    struct wording wording;

    wording_start(&wording, label);
    return strstr(wording.text, letters) != NULL;
}

static bool is_common(const char *label)
{
    return has_letters(label, "COM") || has_letters(label, "POLE");
}

static bool is_throw(const char *label)
{
    return has_letters(label, "NO") || has_letters(label, "NC");
}

/* Names such as COM, NO, NC. False if no pin is named a common. */
static bool by_contact_names(struct part_info *info, const struct pin **order)
{
    size_t poles = 0, plain = 0;

    for (size_t i = 0; i < info->part->pin_count; i++)
        poles += is_common(pin_label(order[i]));
    if (poles == 0)
        return false;
    for (size_t i = 0; i < info->part->pin_count; i++) {
        const char *label = pin_label(order[i]);
        struct pin_info *pin = &info->pins[order[i]->index];
        size_t told = told_pole(label);

        if (!is_common(label) && !is_throw(label) && label[0] == '\0')
            continue;
        pin->role = is_common(label) ? PIN_POLE : PIN_THROW;
        if (told > 0)
            pin->unit = told - 1;
        else if (poles > 1)
            pin->unit = plain / 3;
        plain++;
    }
    return true;
}

/* Poles of WIDTH pins each, COMMON (0-based) of each the pole. */
static void by_order(struct part_info *info, const struct pin **order, size_t width, size_t common)
{
    for (size_t i = 0; i < info->part->pin_count; i++) {
        struct pin_info *pin = &info->pins[order[i]->index];

        pin->unit = i / width;
        pin->role = i % width == common ? PIN_POLE : PIN_THROW;
    }
}

/* The letters of the pole's contacts in names such as "1A 1B 2A 2B", "A1 A2 B1 B2" or "A B": pins
 * of one pole carry one digit. False unless every pin is so named and every pole has two or three.
 */
static bool by_digits(struct part_info *info, const struct pin **order)
{
    size_t counts[POLES_LARGEST] = {0}, seen[POLES_LARGEST] = {0};

    for (size_t i = 0; i < info->part->pin_count; i++) {
        size_t pole = told_pole(pin_label(order[i]));

        if (pole == 0)
            return false;
        counts[pole - 1]++;
    }
    for (size_t i = 0; i < POLES_LARGEST; i++)
        if (counts[i] == 1 || counts[i] > 3)
            return false;
    for (size_t i = 0; i < info->part->pin_count; i++) {
        size_t pole = told_pole(pin_label(order[i])) - 1;
        struct pin_info *pin = &info->pins[order[i]->index];

        pin->unit = pole;
        pin->role = seen[pole] == (counts[pole] == 3 ? 1u : 0u) ? PIN_POLE : PIN_THROW;
        seen[pole]++;
    }
    return true;
}

static bool says(const struct part *part, const char *word)
{
    struct wording wording;
    const char *found;
    size_t length;

    wording_start(&wording, part->symbol);
    if (wording_has(&wording, word, &found, &length))
        return true;
    wording_start(&wording, part->value);
    return wording_has(&wording, word, &found, &length);
}

static bool by_count(const struct recogniser *recogniser, struct part_info *info,
                     const struct pin **order)
{
    const struct part *part = info->part;
    size_t count = part->pin_count;
    bool changeover = says(part, "*SPDT*") || says(part, "*DPDT*");

    if (count == 2 || (count == 4 && !changeover))
        by_order(info, order, 2, 0);
    else if (count == 3 || (count == 6 && !says(part, "*3PST*")))
        by_order(info, order, 3, 1);
    else
        return false;
    if (count == 6 && !changeover)
        part_doubt(recogniser->arena, info, "its six pins are taken as two changeover poles, "
                   "2 and 5 common; name the pins");
    return true;
}

static void assign_state(const struct recogniser *recogniser, struct part_info *info)
{
    const char *state = part_field(info->part, "state");
    struct wording wording;

    info->closed = !says(info->part, "*PUSH*") && !says(info->part, "*MOMENTARY*");
    if (state == NULL)
        return;
    wording_start(&wording, state);
    if (strcmp(wording.text, "OPEN") == 0 || strcmp(wording.text, "OFF") == 0)
        info->closed = false;
    else if (strcmp(wording.text, "CLOSED") == 0 || strcmp(wording.text, "ON") == 0)
        info->closed = true;
    else
        part_doubt(recogniser->arena, info, "its field state says \"%s\", not open or closed",
                   state);
}

void switch_pins_assign(const struct recogniser *recogniser, struct part_info *info)
{
    const struct pin **order = pins_in_order(recogniser->arena, info->part);

    assign_state(recogniser, info);
    if (by_contact_names(info, order) || by_digits(info, order)
        || by_count(recogniser, info, order))
        return;
    part_doubt(recogniser->arena, info,
               "its %zu contacts are not told apart; name the pins 1COM, 1NO, "
               "1NC, 2COM and so on",
               info->part->pin_count);
}
