/* The measurements of a deck, each beside what prearc computed. */
#ifndef PREARC_DECK_DECK_MEASURES_H
#define PREARC_DECK_DECK_MEASURES_H

#include <stdbool.h>

struct arena;
struct deck_input;
struct deck_names;
struct element;
struct network;
struct text;

/* What of the run is measured, s. */
struct deck_window {
    double from, to;
};

/* Whether the current of ELEMENT is measured: a fuse, or the fault itself. Its first terminal then hangs on
 * a source of 0 V, "V" NAME "__amps". */
bool deck_measures_amps(const struct deck_input *input, const struct element *element);

/* By node: whether anything of the deck hangs on it. */
bool *deck_nodes_in_use(struct arena *arena, const struct network *network);

/* A line "* prearc: NAME = FIGURE UNIT, words" and the .meas of that NAME: mean of every net with its lowest
 * and highest or, where it alternates, RMS; RMS and peak of every fuse and of the fault. From rest, also the
 * RMS in the window before. */
void deck_measures(struct arena *arena, const struct deck_input *input,
                   const struct deck_names *names, const struct deck_window *window,
                   struct text *out);

#endif
