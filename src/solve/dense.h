/* Small dense linear systems. Matrices are column by column. */
#ifndef PREARC_SOLVE_DENSE_H
#define PREARC_SOLVE_DENSE_H

#include <stddef.h>

/* LU factors of A (SIZE squared, overwritten) with partial pivoting into PIVOTS (SIZE of them). A pivot below LEAST in
 * magnitude is replaced by LEAST: what it stands for then moves little instead of without bound. */
void dense_factor(double *a, size_t size, size_t *pivots, double least);
/* OUT (ROWS) += the COLUMNS columns of A, which begin STRIDE apart, times X (COLUMNS). OUT is no part of the others. */
void dense_add_product(const double *a, size_t stride, size_t rows, size_t columns,
                       const double *x, double *out);
/* Solves in place with the factors. */
void dense_solve(const double *lu, size_t size, const size_t *pivots, double *rhs);

#endif
