#include "device/junction.h"

#include <math.h>

#include "device/device.h"

/* exp() is continued by its tangent from here, so that no guess overflows. */
#define LARGEST_EXPONENT 80.0

/* So far below 0 exp() is lost beside 1. */
#define BLOCKING_EXPONENT 40.0

static struct tangent bare_junction(double saturation, double vt, double volts)
{
    double exponent = volts / vt;

    if (exponent < -BLOCKING_EXPONENT)
        return (struct tangent){-saturation, 0};
    if (exponent > LARGEST_EXPONENT) {
        double growth = saturation * exp(LARGEST_EXPONENT);

        return (struct tangent){growth * (1 + exponent - LARGEST_EXPONENT), growth / vt};
    }
    double growth = saturation * exp(exponent);

    return (struct tangent){growth - saturation, growth / vt};
}

/* The junction's own volts: the root of u + R i(u) = v. The function is convex and rising and the start is not
 * below the root, so Newton's steps fall to it without overshoot. */
static double inner_volts(double saturation, double vt, double ohms, double volts)
{
    double inner = volts, bound;

    if (volts <= 0)
        return volts; /* reverse current times OHMS is nothing */
    bound = vt * log1p(volts / (ohms * saturation));
    if (bound < inner)
        inner = bound;
    for (int i = 0; i < 50; i++) {
        struct tangent at = bare_junction(saturation, vt, inner);
        double step = (inner + ohms * at.amps - volts) / (1 + ohms * at.siemens);

        inner -= step;
        if (fabs(step) < 1e-12 * vt + 1e-15 * fabs(inner))
            break;
    }
    return inner;
}

struct tangent junction_tangent(double saturation, double vt, double ohms, double volts)
{
    struct tangent tangent;

    if (ohms <= 0)
        return bare_junction(saturation, vt, volts);
    tangent = bare_junction(saturation, vt, inner_volts(saturation, vt, ohms, volts));
    tangent.siemens /= 1 + ohms * tangent.siemens;
    return tangent;
}

double junction_limit(struct stamp *stamp, double saturation, double vt, double before, double volts)
{
    double critical = vt * log(vt / (1.4142135623730951 * saturation));

    if (stamp->unlimited || volts <= critical)
        return volts;
    if (stamp->first)
        return critical;
    if (fabs(volts - before) <= 2 * vt)
        return volts;
    stamp->limited = true;
    if (before <= 0)
        return vt * log(volts / vt);
    return volts > before ? before + vt * log1p((volts - before) / vt)
                          : fmax(volts, before - vt * log1p((before - volts) / vt));
}

struct tangent ramp_tangent(double siemens, double width, double volts)
{
    double x = volts / width;

    if (x > 40)
        return (struct tangent){siemens * volts, siemens};
    if (x < -40)
        return (struct tangent){0, 0};
    return (struct tangent){siemens * width * log1p(exp(x)), siemens / (1 + exp(-x))};
}

double two_terminal_volts(const struct element_rows *rows, const struct stamp *stamp)
{
    return stamp_volts(stamp, rows->nodes[0]) - stamp_volts(stamp, rows->nodes[1]);
}

void two_terminal_stamp(const struct element_rows *rows, struct stamp *stamp,
                        struct tangent tangent, double volts)
{
    stamp_conductance(stamp, rows->nodes[0], rows->nodes[1], tangent.siemens + stamp->gmin);
    stamp_current(stamp, rows->nodes[0], rows->nodes[1], tangent.amps - tangent.siemens * volts);
}
