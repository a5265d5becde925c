/* What a link may be loaded with: for ever, and in pulses. */
#include "fuselink/fuselink.h"

#include <math.h>

/* UL 248-14 links are loaded to 75 % at most in continuous use at room temperature; an IEC 60127 link may
 * carry its rated current. Source: makers' fuse selection guides (25 % derating at 25 C). */
static const double ul_share = 0.75, iec_share = 1.0;

double marking_continuous_amps(const struct marking *marking)
{
    if (!marking->rated)
        return NAN;
    return marking->amps * (marking->american ? ul_share : iec_share);
}

double fuselink_pulse_share(double pulses)
{
    static const struct {
        double pulses, share;
    } rows[] = {{100, 0.48}, {1e3, 0.38}, {1e4, 0.29}, {1e5, 0.22}};

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (pulses <= rows[i].pulses)
            return rows[i].share;
    return 0;
}
