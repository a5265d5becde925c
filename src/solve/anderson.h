/* Anderson's mixing: speeds up x -> map(x) towards its fixed point without derivatives. */
#ifndef PREARC_SOLVE_ANDERSON_H
#define PREARC_SOLVE_ANDERSON_H

#include <stdbool.h>
#include <stddef.h>

struct arena;

enum { ANDERSON_DEPTH = 12 };

struct anderson {
    size_t size, count, next;
    bool started;
    double *moves, *images;       /* differences of residuals and of images, ANDERSON_DEPTH columns of size */
    double *residual, *image;     /* of the last call */
};

struct anderson anderson_new(struct arena *arena, size_t size);
/* X mapped to IMAGE, both SIZE long; X becomes the next to try. SCALE weighs the components. */
void anderson_step(struct anderson *anderson, double *x, const double *image,
                   const double *scale);

#endif
