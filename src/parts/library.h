/* The parts library: rules/parts, one XML document or more. rules/parts/README.md describes the
 * format. */
#ifndef PREARC_PARTS_LIBRARY_H
#define PREARC_PARTS_LIBRARY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "parts/parts.h"

struct map;

struct base_pin {
    const char *number;
    enum pin_role role;
    size_t unit; /* 0-based */
};

/* A pinout, by the numbers of the valve base or package. */
struct base {
    const char *name, *source;
    struct base_pin *pins;
    size_t pin_count, pin_capacity;
};

struct type_figure {
    enum figure_id id;
    double value; /* SI */
    const char *source;
};

/* A part by its type number. */
struct type {
    const char *name;       /* as in the document */
    enum part_kind kind;
    const char *role;       /* inlets: "C14" */
    bool ambiguous;         /* the type number may well be something else: "83" */
    const struct base *base; /* or NULL */
    struct type_figure *figures;
    size_t figure_count, figure_capacity;
    const char *limits;     /* as in part_info */
    struct rating_row *ratings;
    size_t rating_count, rating_capacity;
};

/* Which text a word is looked for in. */
enum word_place {
    WORD_VALUE, WORD_SYMBOL, WORD_FOOTPRINT, WORD_LIBRARY, WORD_PREFIX, WORD_REFERENCE, WORD_PINS, WORD_FEED,
    WORD_PLACE_COUNT
};

/* A word and the kinds it speaks for. */
struct word {
    enum word_place place;
    const char *pattern; /* upper case; see word_matches() */
    uint64_t kinds;      /* bit 1 << kind for each */
    enum part_kind first; /* the kind it names by itself; PART_UNKNOWN: vague, it only supports */
    int weight;
    const char *role;    /* feeds */
};

struct library {
    struct map *types;      /* upper-case type number or alias -> struct type */
    struct base **bases;
    size_t base_count, base_capacity;
    struct type **list;
    size_t type_count, type_capacity;
    struct word *words;
    size_t word_count, word_capacity;
};

/* All *.xml of DIRECTORY. NULL, with a diagnostic, if one cannot be read or has a mistake. */
struct library *library_read(struct arena *arena, struct diags *diags, const char *directory);
void library_free(struct library *library);

/* The type NAME names (any case, LENGTH bytes): as listed, or a valve with up to three suffix
 * letters more ("EL34B"). NULL if none. */
const struct type *library_find(const struct library *library, const char *name, size_t length);

/* The pin of TYPE's base with this number; NULL if there is none. */
const struct base_pin *type_pin(const struct type *type, const char *number);

#endif
