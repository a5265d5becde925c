/* A circuit that can be changed: parts come, go and move; then it is a circuit again, to be written in any format. */
#ifndef PREARC_TESTS_MUTANTS_DRAWING_H
#define PREARC_TESTS_MUTANTS_DRAWING_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct circuit;

struct piece_pin {
    const char *number, *name; /* name: NULL if none */
    const char *net;           /* NULL: not connected */
};

struct piece_field {
    const char *name, *value;
};

enum { PIECE_PINS = 32, PIECE_FIELDS = 24 };

struct piece {
    const char *ref, *value, *symbol, *library, *footprint; /* all but REF may be NULL */
    char letter;                                            /* of a deck; 'X': an instance */
    struct piece_pin pins[PIECE_PINS];
    size_t pin_count;
    struct piece_field fields[PIECE_FIELDS];
    size_t field_count;
};

/* Everything in ARENA. */
struct drawing {
    struct arena *arena;
    const struct circuit *origin; /* title, models and couplings, which no mutation changes */
    struct piece **pieces;
    size_t count, capacity;
    unsigned added; /* parts and nets made so far, for their names */
};

struct drawing *drawing_of(struct arena *arena, const struct circuit *circuit);
struct drawing *drawing_copy(const struct drawing *drawing, struct arena *arena);
/* The circuit as it is drawn now, in ARENA; circuit_free it. */
struct circuit *drawing_circuit(const struct drawing *drawing, struct arena *arena);

/* NULL: there is none. */
struct piece *drawing_piece(const struct drawing *drawing, const char *ref);
struct piece_pin *piece_pin(struct piece *piece, const char *number);
const char *piece_field(const struct piece *piece, const char *name);
/* VALUE NULL takes the field away. */
void piece_set_field(struct piece *piece, const char *name, const char *value);

/* A part called LETTERS and a number that is free; PINS is "NAME:NET NAME:NET ..." or "NET NET". VALUE may be NULL. */
struct piece *drawing_add(struct drawing *drawing, const char *letters, const char *symbol, const char *value,
                          const char *pins);
void drawing_remove(struct drawing *drawing, const char *ref);
/* A name that no net has. */
const char *drawing_net(struct drawing *drawing);
/* All that was on GONE is on KEPT. */
void drawing_join(struct drawing *drawing, const char *kept, const char *gone);
/* Takes that pin off its net, onto a new one, the name of which it returns. */
const char *drawing_cut(struct drawing *drawing, struct piece *piece, const char *number);
size_t drawing_pins_on(const struct drawing *drawing, const char *net);
/* The other net of a part with two pins. */
const char *piece_other(const struct piece *piece, const char *net);
bool piece_is_on(const struct piece *piece, const char *net);

#endif
