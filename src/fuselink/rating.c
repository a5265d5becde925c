#include "fuselink/rating.h"

#include <math.h>
#include <stddef.h>

#include "fuselink/fuselink.h"

/* R10 of ISO 3 as IEC 60127-2 uses it, A; 32 mA stands for 31.5. Read in the Eaton S500 data
 * sheet, which offers each. */
static const double r10[] = {
    0.032, 0.040, 0.050, 0.063, 0.080, 0.100, 0.125, 0.160, 0.200, 0.250, 0.315, 0.400, 0.500,
    0.630, 0.800, 1.00,  1.25,  1.60,  2.00,  2.50,  3.15,  4.00,  5.00,  6.30,  8.00,  10.0,
};

/* The values that R20 has and R10 has not, A. Read in IEC 60127-1 annex A (2.24 and 2.80 from
 * memory). */
static const double r20_only[] = {
    0.0355, 0.045, 0.056, 0.071, 0.090, 0.112, 0.140, 0.180, 0.224, 0.280, 0.355, 0.450, 0.560,
    0.710,  0.900, 1.12,  1.40,  1.80,  2.24,  2.80,  3.55,  4.50,  5.60,  7.10,  9.00,
};

/* Codes of the Littelfuse 312 series (3AG), with those that only the 239 and 233 series (5x20) have, A. */
static const double american[] = {
    0.010, 0.031, 0.062, 0.100, 0.125, 0.150, 0.175, 0.187, 0.200, 0.250, 0.300, 0.375, 0.500, 0.600,
    0.700, 0.750, 1.00,  1.25,  1.50,  1.60,  1.75,  1.80,  2.00,  2.25,  2.50,  3.00,  3.20,  3.50,
    4.00,  5.00,  6.00,  7.00,  7.50,  8.00,  10.0,  12.0,  15.0,  20.0,  25.0,  30.0,  35.0,
};

/* R10 beyond the standard's 10 A: makers' sheets go on to 16 A (Littelfuse 218) and 20 A (Littelfuse 215). */
static const double r10_beyond[] = {12.5, 16, 20};

enum { R10_COUNT = sizeof r10 / sizeof r10[0], R20_COUNT = sizeof r20_only / sizeof r20_only[0] };

static double nearer(double amps, double one, double other)
{
    return fabs(log(amps / one)) <= fabs(log(amps / other)) ? one : other;
}

double rating_nearest(double amps)
{
    double nearest = r10[0];

    if (!(amps > 0))
        return nearest;
    for (size_t i = 0; i < R10_COUNT; i++)
        nearest = nearer(amps, nearest, r10[i]);
    for (size_t i = 0; i < R20_COUNT; i++)
        nearest = nearer(amps, nearest, r20_only[i]);
    return nearest;
}

bool rating_is_preferred(double amps)
{
    double nearest = rating_nearest(amps);

    return fabs(amps - nearest) <= 0.01 * nearest;
}

double rating_at_least(double amps)
{
    for (size_t i = 0; i < R10_COUNT; i++)
        if (r10[i] >= amps * (1 - 1e-9))
            return r10[i];
    return 0;
}

static bool is_in(double amps, const double *list, size_t count, double tolerance)
{
    for (size_t i = 0; i < count; i++)
        if (fabs(amps - list[i]) <= tolerance * list[i])
            return true;
    return false;
}

bool rating_is_listed(double amps, enum rating_series series, double tolerance)
{
    switch (series) {
    case RATING_R10:
        return is_in(amps, r10, R10_COUNT, tolerance) ||
               is_in(amps, r10_beyond, sizeof r10_beyond / sizeof r10_beyond[0], tolerance);
    case RATING_R20: return is_in(amps, r20_only, R20_COUNT, tolerance);
    case RATING_AMERICAN:
        return is_in(amps, american, sizeof american / sizeof american[0], tolerance);
    default: return false;
    }
}

enum rating_series rating_series(double amps)
{
    static const enum rating_series order[] = {RATING_R10, RATING_R20, RATING_AMERICAN};

    for (size_t i = 0; i < sizeof order / sizeof order[0]; i++)
        if (rating_is_listed(amps, order[i], 0.01))
            return order[i];
    return RATING_NONE;
}

const double *rating_list(enum rating_series series, size_t *count)
{
    *count = series == RATING_AMERICAN ? sizeof american / sizeof american[0] : R10_COUNT;
    return series == RATING_AMERICAN ? american : r10;
}
