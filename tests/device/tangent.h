/* Every device: its stamp, taken as matrix A(x) and right-hand side b(x), must be the tangent of the residual
 * F(x) = A(x) x - b(x) in both ways: A is the finite difference of F, and what F says of the nodes is what
 * ->amps says of the branches. */
#ifndef PREARC_TESTS_DEVICE_TANGENT_H
#define PREARC_TESTS_DEVICE_TANGENT_H

#include "check_prearc.h"

#include <math.h>
#include <string.h>

#include "device/device.h"
#include "device/network.h"

enum { MOST_ROWS = 12 };

struct bench {
    const struct device *device;
    struct element element;
    int rows[6];
    struct element_rows element_rows;
    size_t size;
    double x[MOST_ROWS], history[4], limits[ELEMENT_LIMITS], rhs[MOST_ROWS];
    double matrix[MOST_ROWS][MOST_ROWS];
    double step;
    bool fresh; /* no limiting: the first iteration */
};

static inline void bench_add(void *context, int row, int column, double value)
{
    struct bench *bench = context;

    bench->matrix[row][column] += value;
}

static inline struct bench bench_new(const struct device *device, size_t node_count, size_t branch_count,
                              const double figures[ELEMENT_FIGURES])
{
    struct bench bench = {.device = device, .step = 1e-4};

    bench.element = (struct element){.device = device, .node_count = node_count,
                                     .section_count = branch_count,
                                     .branch_count = branch_count};
    memcpy(bench.element.figures, figures, sizeof bench.element.figures);
    for (size_t i = 0; i < node_count; i++)
        bench.rows[i] = (int)i;
    bench.size = node_count + device->unknowns(&bench.element);
    ck_assert_uint_le(bench.size, MOST_ROWS);
    bench.element_rows.current = (int)node_count;
    return bench;
}

static inline struct stamp stamp_at(struct bench *bench, struct stamp_target *target)
{
    bench->element_rows.nodes = bench->rows;
    *target = (struct stamp_target){.add = bench_add, .context = bench};
    return (struct stamp){.matrix = target, .rhs = bench->rhs, .guess = bench->x,
                          .limits = bench->limits, .time = 3e-3, .step = bench->step,
                          .history = bench->history, .source_scale = 1, .gmin = 1e-10, .first = bench->fresh};
}

/* F at x into RESIDUAL; the matrix stays in the bench. */
static inline void find_residual(struct bench *bench, double *residual)
{
    struct stamp_target target;
    struct stamp stamp = stamp_at(bench, &target);

    memset(bench->matrix, 0, sizeof bench->matrix);
    memset(bench->rhs, 0, sizeof bench->rhs);
    bench->limits[0] = bench->x[0] - bench->x[1];
    bench->device->stamp(&bench->element, &bench->element_rows, &stamp);
    ck_assert_msg(!stamp.limited, "%s: limited near its own guess", bench->device->name);
    for (size_t r = 0; r < bench->size; r++) {
        residual[r] = -bench->rhs[r];
        for (size_t c = 0; c < bench->size; c++)
            residual[r] += bench->matrix[r][c] * bench->x[c];
    }
}

static inline void assert_tangent(struct bench *bench)
{
    double at[MOST_ROWS], above[MOST_ROWS], below[MOST_ROWS];
    double matrix[MOST_ROWS][MOST_ROWS], most = 0;

    find_residual(bench, at);
    memcpy(matrix, bench->matrix, sizeof matrix);
    for (size_t r = 0; r < bench->size; r++)
        for (size_t c = 0; c < bench->size; c++)
            most = fmax(most, fabs(matrix[r][c]));
    for (size_t c = 0; c < bench->size; c++) {
        double kept = bench->x[c], h = 1e-6 * fmax(1, fabs(kept));

        bench->x[c] = kept + h;
        find_residual(bench, above);
        bench->x[c] = kept - h;
        find_residual(bench, below);
        bench->x[c] = kept;
        for (size_t r = 0; r < bench->size; r++) {
            double slope = (above[r] - below[r]) / (2 * h);

            ck_assert_msg(fabs(slope - matrix[r][c]) <= 1e-4 * fabs(slope) + 1e-6 * most + 1e-12,
                          "%s: row %zu column %zu: stamp %g, finite difference %g",
                          bench->device->name, r, c, matrix[r][c], slope);
        }
    }
}

/* FROM and TO are the nodes of branch B of the bench, in branch order. */
static inline void assert_amps(struct bench *bench, const size_t from[], const size_t to[])
{
    double at[MOST_ROWS], amps[3] = {0};
    struct stamp_target target;
    struct stamp stamp = stamp_at(bench, &target);

    find_residual(bench, at);
    bench->device->amps(&bench->element, &bench->element_rows, &stamp, amps);
    for (size_t b = 0; b < bench->element.branch_count; b++) {
        at[from[b]] -= amps[b];
        at[to[b]] += amps[b];
    }
    for (size_t n = 0; n < bench->element.node_count; n++)
        ck_assert_msg(fabs(at[n]) <= 1e-9 * (1 + fabs(amps[0])),
                      "%s: node %zu: %g A more than its branches say", bench->device->name, n,
                      at[n]);
}

#endif
