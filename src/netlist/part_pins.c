#include "netlist/part_pins.h"

#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "circuit/circuit.h"

/* Pins of a part that are looked through one by one. */
enum { PINS_FEW = 32 };

static const char *key_of(const struct pin_store *store, const struct part *part, const char *number)
{
    return arena_print(store->scratch, "%zu\x1F%s", part->index, number);
}

const void *part_pins_find(const struct pin_store *store, const struct part_pins *pins, const struct part *part,
                           const char *number)
{
    if (pins->most > PINS_FEW)
        return map_get(store->many, key_of(store, part, number));
    for (size_t i = 0; i < part->pin_count; i++)
        if (strcmp(part->pins[i].number, number) == 0)
            return pins->sources[i];
    return NULL;
}

void part_pins_add(const struct pin_store *store, struct part_pins *pins, const struct pin *pin, const void *source)
{
    struct part *part = pin->part;

    if (part->pins == NULL) {
        part->pins = arena_array(store->arena, pins->most, sizeof *part->pins);
        part->pin_capacity = pins->most;
        pins->sources = arena_array(store->scratch, pins->most, sizeof *pins->sources);
    }
    if (pins->most > PINS_FEW)
        map_add(store->many, key_of(store, part, pin->number), (void *)source);
    part->pins[part->pin_count] = *pin;
    part->pins[part->pin_count].index = part->pin_count;
    pins->sources[part->pin_count++] = source;
}
