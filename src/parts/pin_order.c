#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"

/* Compares the digits at *A and *B by value, whatever their number; moves both behind them. */
static int compare_digits(const char **a, const char **b)
{
    size_t length_a, length_b;
    int order;

    *a += strspn(*a, "0");
    *b += strspn(*b, "0");
    length_a = strspn(*a, "0123456789");
    length_b = strspn(*b, "0123456789");
    if (length_a != length_b)
        return length_a < length_b ? -1 : 1;
    order = strncmp(*a, *b, length_a);
    *a += length_a;
    *b += length_b;
    return order;
}

int pin_number_compare(const char *a, const char *b)
{
    while (*a != '\0' && *b != '\0') {
        int order;

        if (isdigit((unsigned char)*a) && isdigit((unsigned char)*b))
            order = compare_digits(&a, &b);
        else
            order = (unsigned char)*a++ - (unsigned char)*b++;
        if (order != 0)
            return order;
    }
    return (*a != '\0') - (*b != '\0');
}

static int compare_pins(const void *a, const void *b)
{
    const struct pin *first = *(const struct pin *const *)a,
                     *second = *(const struct pin *const *)b;
    int order = pin_number_compare(first->number, second->number);

    return order != 0 ? order : (first->index > second->index) - (first->index < second->index);
}

const struct pin **pins_in_order(struct arena *arena, const struct part *part)
{
    const struct pin **pins = arena_array(arena, part->pin_count + 1, sizeof *pins);

    for (size_t i = 0; i < part->pin_count; i++)
        pins[i] = &part->pins[i];
    if (part->pin_count > 1)
        qsort(pins, part->pin_count, sizeof *pins, compare_pins);
    return pins;
}

const char *pin_label(const struct pin *pin)
{
    if (pin->name != NULL && pin->name[0] != '\0')
        return pin->name;
    return pin->number[strspn(pin->number, "0123456789")] != '\0' ? pin->number : "";
}

static bool normally_closed(const struct pin *pin)
{
    const char *label = pin_label(pin);

    return strncmp(label, "NC", 2) == 0 || strncmp(label, "nc", 2) == 0;
}

/* Of throws, a normally-closed contact comes first: it is the drawn position. */
static bool comes_first(const struct pin *a, const struct pin *b)
{
    bool closed_a = normally_closed(a), closed_b = normally_closed(b);

    if (closed_a != closed_b)
        return closed_a;
    return compare_pins(&a, &b) < 0;
}

const struct pin *part_role_pin(const struct part_info *info, enum pin_role role, size_t unit)
{
    const struct pin *found = NULL;

    for (size_t i = 0; i < info->part->pin_count; i++) {
        const struct pin *pin = &info->part->pins[i];

        if (info->pins[i].role == role && info->pins[i].unit == unit
            && (found == NULL || comes_first(pin, found)))
            found = pin;
    }
    return found;
}

size_t part_unit_count(const struct part_info *info)
{
    size_t count = info->part->pin_count > 0 ? 1 : 0;

    for (size_t i = 0; i < info->part->pin_count; i++)
        if (info->pins[i].role != PIN_NONE && info->pins[i].unit >= count)
            count = info->pins[i].unit + 1;
    return count;
}
