/* A current over one period as a row of samples, to add up what several islands draw from one source. */
#ifndef PREARC_SOLVE_TRAIL_H
#define PREARC_SOLVE_TRAIL_H

#include <stddef.h>

struct arena;
struct wave;

struct trail {
    double hertz;   /* 0: constant, of one sample */
    size_t count;   /* samples, equally spaced, the last at the period's end; 0: nothing yet */
    double *amps;
};

/* The sum of both over the longer period, as finely as the finer of them. */
struct trail trail_add(struct arena *arena, const struct trail *a, const struct trail *b);
struct wave trail_wave(const struct trail *trail);

#endif
