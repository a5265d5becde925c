#include "solve/dense.h"

#include <math.h>

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

            for (size_t r = p + 1; r < size && factor != 0; r++)
                a[c * size + r] -= column[r] * factor;
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
        for (size_t r = c + 1; r < size; r++)
            rhs[r] -= lu[c * size + r] * rhs[c];
    for (size_t c = size; c-- > 0;) {
        rhs[c] /= lu[c * size + c];
        for (size_t r = 0; r < c; r++)
            rhs[r] -= lu[c * size + r] * rhs[c];
    }
}
