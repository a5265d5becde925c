/* The pins of a part while a netlist is read: each number once. */
#ifndef PREARC_NETLIST_PART_PINS_H
#define PREARC_NETLIST_PART_PINS_H

#include <stddef.h>

struct arena;
struct map;
struct part;
struct pin;

struct part_pins {
    size_t most;          /* pins that the part may get */
    const void **sources; /* by pin that it has: what the reader knows of it */
};

/* Where the pins of all parts are kept. */
struct pin_store {
    struct arena *arena, *scratch;
    struct map *many; /* sources by part and number, of parts with more than a few pins */
};

/* What the reader knows of the pin NUMBER that PART has; NULL: it has none. */
const void *part_pins_find(const struct pin_store *store, const struct part_pins *pins, const struct part *part,
                           const char *number);

/* Adds PIN, whose number is new, to its part. (circuit_connect would look through all pins of the part first.) */
void part_pins_add(const struct pin_store *store, struct part_pins *pins, const struct pin *pin, const void *source);

#endif
