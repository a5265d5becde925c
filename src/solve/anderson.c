#include "solve/anderson.h"

#include <string.h>

#include "base/arena.h"
#include "solve/dense.h"

struct anderson anderson_new(struct arena *arena, size_t size)
{
    struct anderson anderson = {.size = size};

    anderson.moves = arena_array(arena, size * ANDERSON_DEPTH, sizeof(double));
    anderson.images = arena_array(arena, size * ANDERSON_DEPTH, sizeof(double));
    anderson.residual = arena_array(arena, size, sizeof(double));
    anderson.image = arena_array(arena, size, sizeof(double));
    return anderson;
}

static double product(const double *a, const double *b, const double *scale, size_t size)
{
    double sum = 0;

    for (size_t i = 0; i < size; i++)
        sum += a[i] / scale[i] * (b[i] / scale[i]);
    return sum;
}

/* Weights of the differences kept that bring the residual nearest to nothing: normal equations, slightly damped. */
static void find_weights(const struct anderson *anderson, const double *scale, double *weights)
{
    size_t n = anderson->count, size = anderson->size, pivots[ANDERSON_DEPTH];
    double normal[ANDERSON_DEPTH * ANDERSON_DEPTH], trace = 0;

    for (size_t i = 0; i < n; i++) {
        for (size_t k = 0; k < n; k++)
            normal[i * n + k] = product(&anderson->moves[i * size], &anderson->moves[k * size],
                                        scale, size);
        trace += normal[i * n + i];
        weights[i] = product(&anderson->moves[i * size], anderson->residual, scale, size);
    }
    for (size_t i = 0; i < n; i++)
        normal[i * n + i] += 1e-14 * trace + 1e-300;
    dense_factor(normal, n, pivots, 1e-300);
    dense_solve(normal, n, pivots, weights);
}

/* Takes in the new image and its residual; differences against the last ones go into the next column. */
static void remember(struct anderson *anderson, const double *x, const double *image, bool first)
{
    size_t size = anderson->size, column = anderson->next * size;

    for (size_t i = 0; i < size; i++) {
        double residual = image[i] - x[i];

        anderson->moves[column + i] = residual - anderson->residual[i];
        anderson->images[column + i] = image[i] - anderson->image[i];
        anderson->residual[i] = residual;
        anderson->image[i] = image[i];
    }
    if (first)
        return;
    anderson->next = (anderson->next + 1) % ANDERSON_DEPTH;
    if (anderson->count < ANDERSON_DEPTH)
        anderson->count++;
}

void anderson_step(struct anderson *anderson, double *x, const double *image, const double *scale)
{
    double weights[ANDERSON_DEPTH];

    remember(anderson, x, image, !anderson->started);
    anderson->started = true;
    memcpy(x, image, anderson->size * sizeof(double));
    if (anderson->count == 0)
        return;
    find_weights(anderson, scale, weights);
    for (size_t k = 0; k < anderson->count; k++)
        for (size_t i = 0; i < anderson->size; i++)
            x[i] -= weights[k] * anderson->images[k * anderson->size + i];
}
