/* Preferred ratings; for the marking's reader. */
#ifndef PREARC_FUSELINK_RATING_H
#define PREARC_FUSELINK_RATING_H

#include "fuselink/fuselink.h"

/* The R10 or R20 value next to AMPS (by ratio), from 32 mA to 10 A. */
double rating_nearest(double amps);

/* AMPS is on that one list, within the share TOLERANCE. */
bool rating_is_listed(double amps, enum rating_series series, double tolerance);

#endif
