#include "solve/dense.h"

#include <math.h>

/* Rows and columns that are taken at once, so that a processor with vectors uses them. The order of the sums is that of the
 * plain loops, and so are the results. */
enum { ROWS_AT_ONCE = 4, COLUMNS_AT_ONCE = 4 };

/* OUT[r] += A[r] X for ROWS rows. */
static void add_column(const double *restrict a, size_t rows, double x, double *restrict out)
{
    size_t r = 0;

    for (; r + ROWS_AT_ONCE <= rows; r += ROWS_AT_ONCE)
        for (size_t i = 0; i < ROWS_AT_ONCE; i++)
            out[r + i] += a[r + i] * x;
    for (; r < rows; r++)
        out[r] += a[r] * x;
}

/* The same of COLUMNS_AT_ONCE columns, which begin STRIDE apart. */
static void add_columns(const double *restrict a, size_t stride, size_t rows, const double *restrict x,
                        double *restrict out)
{
    const double *b = a + stride, *c = b + stride, *d = c + stride;
    size_t r = 0;

    for (; r + ROWS_AT_ONCE <= rows; r += ROWS_AT_ONCE)
        for (size_t i = 0; i < ROWS_AT_ONCE; i++)
            out[r + i] = out[r + i] + a[r + i] * x[0] + b[r + i] * x[1] + c[r + i] * x[2] +
                         d[r + i] * x[3];
    for (; r < rows; r++)
        out[r] = out[r] + a[r] * x[0] + b[r] * x[1] + c[r] * x[2] + d[r] * x[3];
}

void dense_add_product(const double *a, size_t stride, size_t rows, size_t columns,
                       const double *x, double *out)
{
    size_t c = 0;

    for (; c + COLUMNS_AT_ONCE <= columns; c += COLUMNS_AT_ONCE)
        add_columns(&a[c * stride], stride, rows, &x[c], out);
    for (; c < columns; c++)
        add_column(&a[c * stride], rows, x[c], out);
}

static void swap_rows(double *a, size_t size, size_t r, size_t s)
{
    for (size_t c = 0; c < size && r != s; c++) {
        double kept = a[c * size + r];

        a[c * size + r] = a[c * size + s];
        a[c * size + s] = kept;
    }
}

static size_t largest_below(const double *a, size_t size, size_t column)
{
    size_t best = column;

    for (size_t r = column + 1; r < size; r++)
        if (fabs(a[column * size + r]) > fabs(a[column * size + best]))
            best = r;
    return best;
}

void dense_factor(double *a, size_t size, size_t *pivots, double least)
{
    for (size_t p = 0; p < size; p++) {
        double *column = &a[p * size];

        pivots[p] = largest_below(a, size, p);
        swap_rows(a, size, p, pivots[p]);
        if (fabs(column[p]) < least)
            column[p] = column[p] < 0 ? -least : least;
        for (size_t r = p + 1; r < size; r++)
            column[r] /= column[p];
        for (size_t c = p + 1; c < size; c++) {
            double factor = a[c * size + p];

            if (factor != 0)
                add_column(&column[p + 1], size - p - 1, -factor, &a[c * size + p + 1]);
        }
    }
}

void dense_solve(const double *lu, size_t size, const size_t *pivots, double *rhs)
{
    for (size_t p = 0; p < size; p++) {
        double kept = rhs[p];

        rhs[p] = rhs[pivots[p]];
        rhs[pivots[p]] = kept;
    }
    for (size_t c = 0; c < size; c++)
        add_column(&lu[c * size + c + 1], size - c - 1, -rhs[c], &rhs[c + 1]);
    for (size_t c = size; c-- > 0;) {
        rhs[c] /= lu[c * size + c];
        add_column(&lu[c * size], c, -rhs[c], rhs);
    }
}
