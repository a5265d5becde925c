/* A sparse square matrix whose pattern is fixed, and its LU factors. */
#ifndef PREARC_SOLVE_MATRIX_H
#define PREARC_SOLVE_MATRIX_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct matrix;

/* One entry of the pattern; several may share a place. */
struct matrix_entry {
    int row, column;
};

/* The pattern of COUNT entries of a SIZE x SIZE matrix, ordered once for all factorisations. SLOTS (COUNT of them,
 * output) tells where each entry is in matrix_values. Lives in ARENA, but its factors must be freed by
 * matrix_free. */
struct matrix *matrix_new(struct arena *arena, size_t size, const struct matrix_entry *entries,
                          size_t count, int *slots);
void matrix_free(struct matrix *matrix);

double *matrix_values(struct matrix *matrix);
size_t matrix_value_count(const struct matrix *matrix);

/* Factors the values as they are now; ANEW: choose pivots anew, else keep those of last time if they still serve.
 * False if singular. */
bool matrix_factor(struct matrix *matrix, bool anew);
/* After a failed matrix_factor: the column without a pivot, -1 if unknown. */
int matrix_singular_column(const struct matrix *matrix);

/* Solves in place for COLUMNS right-hand sides, each SIZE long, one after the other. */
void matrix_solve(struct matrix *matrix, double *rhs, size_t columns);

/* OUT = RHS - A X, all SIZE long, where VALUES are those of A. */
void matrix_residual(const struct matrix *matrix, const double *values, const double *x,
                     const double *rhs, double *out);
/* OUT = |RHS| + |A| |X|: what the rounding of a residual is measured by. */
void matrix_magnitude(const struct matrix *matrix, const double *x, const double *rhs,
                      double *out);

#endif
