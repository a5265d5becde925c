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
