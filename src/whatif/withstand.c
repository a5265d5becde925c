/* How long parts stand more than their ratings. */
#include "whatif/withstand.h"

#include <math.h>

const struct withstand withstand_nothing = {0, 0, 0};
const struct withstand withstand_for_ever = {INFINITY, INFINITY, INFINITY};
const struct withstand withstand_not_said = {NAN, NAN, NAN};

/* ---- copper ---- */

static const double copper_ohm_metres = 1e-6 / 58, copper_rise = 0.00393, copper_reference = 20;
static const double copper_joules = 8890.0 * 385; /* J/m3/K */

const struct copper copper_usual = {.density = 3e6, .ambient = 25, .warm = 75, .limit = 215};
const struct copper copper_least = {.density = 4e6, .ambient = 25, .warm = 80, .limit = 200};
const struct copper copper_most = {.density = 2.5e6, .ambient = 25, .warm = 70, .limit = 225};

/* W/m3 at TEMPERATURE. */
static double copper_watts(double density, double temperature)
{
    return copper_ohm_metres * (1 + copper_rise * (temperature - copper_reference)) * density * density;
}

/* The rate at which it warms is a straight line over its temperature, so the time is a logarithm. */
double copper_seconds(const struct copper *copper, double multiple)
{
    double density = multiple * copper->density;
    double loss = copper_watts(copper->density, copper->warm) / (copper->warm - copper->ambient);
    double first = copper_watts(density, copper->warm) - loss * (copper->warm - copper->ambient);
    double last = copper_watts(density, copper->limit) - loss * (copper->limit - copper->ambient);
    double rise = copper->limit - copper->warm;
    double change = (last - first) / first;

    if (!(multiple > 1) || !(first > 0) || !(last > 0))
        return isnan(multiple) ? NAN : INFINITY;
    return copper_joules * rise / first * (fabs(change) < 1e-9 ? 1 : log1p(change) / change);
}

struct withstand winding_withstand(double multiple)
{
    return (struct withstand){copper_seconds(&copper_usual, multiple),
                              copper_seconds(&copper_least, multiple),
                              copper_seconds(&copper_most, multiple)};
}

/* ---- rectifiers ---- */

static double half_cycles(double ratio, double exponent)
{
    return pow(ratio, 1 / exponent);
}

/* The smaller exponent gives more half-cycles for currents below the single one, fewer above it. */
struct withstand rectifier_withstand(double surge_amps, double amps, double period)
{
    double ratio = surge_amps / amps;
    double one = half_cycles(ratio, 0.25) * period, other = half_cycles(ratio, 0.35) * period;

    return (struct withstand){half_cycles(ratio, 0.3) * period, fmin(one, other), fmax(one, other)};
}

/* ---- what heats with one time constant ---- */

/* Multiple of the rating and the seconds that it stands it, and the multiple that it stands for ever. */
static const double overload_multiple = 6.25, overload_seconds = 5, overload_endless = 2;

struct withstand resistor_withstand(double multiple)
{
    double constant = -overload_seconds / log1p(-overload_endless / overload_multiple);
    double seconds;

    if (!(multiple > 1))
        return isnan(multiple) ? withstand_not_said : withstand_for_ever;
    if (multiple <= overload_endless)
        return withstand_not_said;
    seconds = -constant * log1p(-overload_endless / multiple);
    return (struct withstand){seconds, seconds / 2, 2 * seconds};
}

/* Seconds at twice the limit, less in proportion for more; up to ENDLESS times nothing is said. */
static struct withstand in_proportion(double multiple, double seconds, double endless)
{
    double here = 2 * seconds / multiple;

    if (!(multiple > 1))
        return isnan(multiple) ? withstand_not_said : withstand_for_ever;
    if (multiple <= endless)
        return withstand_not_said;
    return (struct withstand){here, here / 3, 3 * here};
}

struct withstand anode_withstand(double multiple)
{
    return in_proportion(multiple, 30, 1.5);
}

struct withstand screen_withstand(double multiple)
{
    return in_proportion(multiple, 10, 1.5);
}

struct withstand crystal_withstand(double multiple)
{
    return multiple > 1 ? (struct withstand){1, 0.1, 10}
                        : isnan(multiple) ? withstand_not_said : withstand_for_ever;
}

/* ---- capacitors ---- */

struct withstand capacitor_withstand(double rated_volts, double volts)
{
    double surge = rated_volts > 315 ? 1.1 : 1.15;

    if (isnan(volts) || isnan(rated_volts))
        return withstand_not_said;
    if (volts <= rated_volts)
        return withstand_for_ever;
    return volts <= surge * rated_volts ? (struct withstand){30, 30, 30} : withstand_nothing;
}

struct withstand film_withstand(double rated_volts, double volts)
{
    if (isnan(volts) || isnan(rated_volts))
        return withstand_not_said;
    if (volts <= rated_volts)
        return withstand_for_ever;
    return volts <= 1.6 * rated_volts ? (struct withstand){60, 60, 60} : withstand_nothing;
}

struct withstand ripple_withstand(double multiple)
{
    return in_proportion(multiple * multiple, 600, 2.25);
}
