/* Names of nodes and elements that every simulator takes. */
#ifndef PREARC_DECK_DECK_NAMES_H
#define PREARC_DECK_DECK_NAMES_H

#include <stddef.h>

struct arena;
struct network;

/* Letters, digits and single underscores, at most 48 of them; unique whatever the case. */
struct deck_names {
    const char **nodes;    /* by node; "0" is the ground */
    const char **elements; /* by element, to come after the letter: its part's, numbered if several */
};

/* Elements from SOUND on are the fault's: "short". */
struct deck_names deck_names_choose(struct arena *arena, const struct network *network,
                                    size_t sound);

#endif
