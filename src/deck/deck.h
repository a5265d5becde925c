/* The circuit as it is solved, as a SPICE deck: any simulator of the family runs it, and its measurements
 * say what prearc computed. */
#ifndef PREARC_DECK_DECK_H
#define PREARC_DECK_DECK_H

#include <stddef.h>

struct arena;
struct network;
struct solution;
struct text;

enum deck_start {
    DECK_SOLVED, /* every capacitor and inductor holds what the solution says: a short run */
    DECK_REST    /* all empty: the run lasts until it has settled, and owes the solution nothing */
};

struct deck_input {
    const char *title;            /* of the circuit; NULL: none */
    const char *program;          /* "prearc 1.0" */
    const char *state;            /* "as solved", or what the fault is */
    const struct network *network; /* as solved, with the fault in it */
    const struct solution *solution; /* of NETWORK */
    size_t sound_elements;        /* elements from this one on are the fault's */
    enum deck_start start;
};

/* Why NETWORK cannot be written: the sentence names the part; NULL: it can. */
const char *deck_refusal(struct arena *arena, const struct network *network);

/* Adds the deck to OUT: ASCII, 110 columns in comments. */
void deck_write(struct arena *arena, const struct deck_input *input, struct text *out);

#endif
