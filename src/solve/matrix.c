#include "solve/matrix.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <suitesparse/klu.h>

#include "base/arena.h"

/* Reciprocal condition below which kept pivots are given up, as klu_rcond estimates it. */
#define LEAST_CONDITION 1e-13

struct matrix {
    size_t size;
    int *starts;    /* of each column in rows and values, size + 1 */
    int *rows;
    double *values;
    klu_common common;
    klu_symbolic *symbolic;
    klu_numeric *numeric;
};

/* An entry with its place in the list. */
struct numbered {
    struct matrix_entry entry;
    size_t index;
};

static int compare(const void *left, const void *right)
{
    const struct numbered *a = left, *b = right;

    if (a->entry.column != b->entry.column)
        return a->entry.column < b->entry.column ? -1 : 1;
    if (a->entry.row != b->entry.row)
        return a->entry.row < b->entry.row ? -1 : 1;
    return a->index < b->index ? -1 : a->index > b->index;
}

/* Compressed columns of the entries; entries at one place share a slot. */
static void compress(struct matrix *matrix, struct numbered *sorted, size_t count, int *slots)
{
    int used = 0;

    for (size_t i = 0; i < count; i++) {
        const struct matrix_entry *entry = &sorted[i].entry;

        if (i == 0 || entry->column != sorted[i - 1].entry.column ||
            entry->row != sorted[i - 1].entry.row) {
            matrix->rows[used++] = entry->row;
            matrix->starts[entry->column + 1]++;
        }
        slots[sorted[i].index] = used - 1;
    }
    for (size_t c = 0; c < matrix->size; c++)
        matrix->starts[c + 1] += matrix->starts[c];
}

struct matrix *matrix_new(struct arena *arena, size_t size, const struct matrix_entry *entries,
                          size_t count, int *slots)
{
    struct matrix *matrix = arena_alloc(arena, sizeof *matrix);
    struct numbered *sorted = arena_array(arena, count, sizeof *sorted);

    for (size_t i = 0; i < count; i++)
        sorted[i] = (struct numbered){entries[i], i};
    qsort(sorted, count, sizeof *sorted, compare);
    matrix->size = size;
    matrix->starts = arena_array(arena, size + 1, sizeof *matrix->starts);
    matrix->rows = arena_array(arena, count, sizeof *matrix->rows);
    compress(matrix, sorted, count, slots);
    matrix->values = arena_array(arena, matrix_value_count(matrix), sizeof *matrix->values);
    klu_defaults(&matrix->common);
    if (size > 0)
        matrix->symbolic =
            klu_analyze((int)size, matrix->starts, matrix->rows, &matrix->common);
    return matrix;
}

void matrix_free(struct matrix *matrix)
{
    klu_free_numeric(&matrix->numeric, &matrix->common);
    klu_free_symbolic(&matrix->symbolic, &matrix->common);
}

double *matrix_values(struct matrix *matrix)
{
    return matrix->values;
}

size_t matrix_value_count(const struct matrix *matrix)
{
    return (size_t)matrix->starts[matrix->size];
}

/* With the pivots of last time; false if they no longer serve. */
static bool factor_again(struct matrix *matrix)
{
    return klu_refactor(matrix->starts, matrix->rows, matrix->values, matrix->symbolic,
                        matrix->numeric, &matrix->common) &&
           matrix->common.status == KLU_OK &&
           klu_rcond(matrix->symbolic, matrix->numeric, &matrix->common) &&
           matrix->common.rcond > LEAST_CONDITION;
}

bool matrix_factor(struct matrix *matrix, bool anew)
{
    if (matrix->size == 0)
        return true;
    if (matrix->symbolic == NULL)
        return false;
    if (!anew && matrix->numeric != NULL && factor_again(matrix))
        return true;
    klu_free_numeric(&matrix->numeric, &matrix->common);
    matrix->numeric = klu_factor(matrix->starts, matrix->rows, matrix->values, matrix->symbolic,
                                 &matrix->common);
    return matrix->numeric != NULL && matrix->common.status == KLU_OK;
}

int matrix_singular_column(const struct matrix *matrix)
{
    int column = matrix->common.singular_col;

    return column >= 0 && column < (int)matrix->size ? column : -1;
}

void matrix_solve(struct matrix *matrix, double *rhs, size_t columns)
{
    if (matrix->size > 0)
        klu_solve(matrix->symbolic, matrix->numeric, (int)matrix->size, (int)columns, rhs,
                  &matrix->common);
}

void matrix_residual(const struct matrix *matrix, const double *values, const double *x,
                     const double *rhs, double *out)
{
    memcpy(out, rhs, matrix->size * sizeof *out);
    for (size_t c = 0; c < matrix->size; c++)
        for (int p = matrix->starts[c]; p < matrix->starts[c + 1]; p++)
            out[matrix->rows[p]] -= values[p] * x[c];
}

void matrix_magnitude(const struct matrix *matrix, const double *x, const double *rhs,
                      double *out)
{
    for (size_t r = 0; r < matrix->size; r++)
        out[r] = fabs(rhs[r]);
    for (size_t c = 0; c < matrix->size; c++)
        for (int p = matrix->starts[c]; p < matrix->starts[c + 1]; p++)
            out[matrix->rows[p]] += fabs(matrix->values[p] * x[c]);
}
