#include "device/valve_law.h"

#include <math.h>

#include "base/text.h"
#include "device/network.h"
#include "device/spelling.h"

/* From one iteration to the next a current may fall to no less than a share of what it was, unless it is small anyway. The
 * step of Newton's method on a power law alone leaves more than that. */
#define LEAST_SHARE 0.15
#define SMALL_AMPS 1e-7
enum { MOST_HALVINGS = 40 };

/* ln(1 + e^x) and its slope, without overflow. */
static double softplus(double x, double *slope)
{
    if (x > 0) {
        *slope = 1 / (1 + exp(-x));
        return x + log1p(exp(-x));
    }
    *slope = exp(x) / (1 + exp(x));
    return log1p(exp(x));
}

struct drive valve_drive(const struct drive_law *law, double attractor, double grid)
{
    double reach, across, slope, soft;

    if (!(attractor > 0))
        return (struct drive){0, 0, 0};
    reach = sqrt(law->kvb + attractor * attractor);
    across = (grid + law->contact) / reach;
    soft = softplus(law->kp * (1 / law->mu + across), &slope);
    return (struct drive){
        .volts = attractor / law->kp * soft,
        .by_attractor = soft / law->kp - slope * across * attractor * attractor / (reach * reach),
        .by_grid = slope * attractor / reach,
    };
}

struct valve_power valve_power(double volts, double exponent, double divisor)
{
    double root;

    if (!(volts > 0))
        return (struct valve_power){0, 0};
    root = pow(volts, exponent - 1) / divisor;
    return (struct valve_power){root * volts, exponent * root};
}

struct valve_volts valve_guess(const struct stamp *stamp, const struct valve_rows *rows)
{
    struct valve_volts volts = {{0}};
    double cathode = stamp_volts(stamp, rows->cathode);

    for (int i = 0; i < VALVE_ELECTRODE_COUNT; i++)
        volts.of[i] = stamp_volts(stamp, rows->electrodes[i]) - cathode;
    return volts;
}

static struct valve_volts between(const double *from, const struct valve_volts *to, double share)
{
    struct valve_volts volts;

    for (int i = 0; i < VALVE_ELECTRODE_COUNT; i++)
        volts.of[i] = from[i] + share * (to->of[i] - from[i]);
    return volts;
}

/* The current is a convex function of the grid's and concave one of a pentode's anode volts, flat below cut-off and
 * below the cathode's volts: a step into the flat part would come back from it with no memory of where it was. */
struct valve_volts valve_limit(const struct element *element, valve_current_at *current,
                               double *limits, struct stamp *stamp, struct valve_volts guess)
{
    struct valve_volts last = between(limits, &guess, 0), volts = guess;
    double least = LEAST_SHARE * current(element, &last).amps;

    for (int i = 0; i < MOST_HALVINGS && !stamp->first && !stamp->unlimited &&
                    least > SMALL_AMPS; i++) {
        if (!(current(element, &volts).amps < least))
            break;
        stamp->limited = true;
        volts = between(limits, &volts, 0.5);
    }
    for (int i = 0; i < VALVE_ELECTRODE_COUNT; i++)
        limits[i] = volts.of[i];
    return volts;
}

void valve_stamp(struct stamp *stamp, const struct valve_rows *rows, enum valve_electrode from,
                 const struct valve_current *current, const struct valve_volts *volts)
{
    int row = rows->electrodes[from], cathode = rows->cathode;
    double amps = current->amps;

    for (int i = 0; i < VALVE_ELECTRODE_COUNT; i++) {
        int column = rows->electrodes[i];

        stamp_add(stamp, row, column, current->by[i]);
        stamp_add(stamp, row, cathode, -current->by[i]);
        stamp_add(stamp, cathode, column, -current->by[i]);
        stamp_add(stamp, cathode, cathode, current->by[i]);
        amps -= current->by[i] * volts->of[i];
    }
    stamp_conductance(stamp, row, cathode, stamp->gmin);
    stamp_current(stamp, row, cathode, amps);
}

void valve_spell_drive(const struct drive_law *law, const struct spelling *spelling,
                       const char *attractor, const char *cathode, const char *grid)
{
    const char *name = spelling->name;
    struct text *out = spelling->out;

    text_print(out, "B%s__x %s__x 0 V=" SPELL_FIGURE "*(1/" SPELL_FIGURE "+(", name, name, law->kp,
               law->mu);
    spell_volts(out, grid, cathode);
    text_print(out, "+" SPELL_FIGURE ")/sqrt(" SPELL_FIGURE "+", law->contact, law->kvb);
    spell_volts(out, attractor, cathode);
    text_add(out, "*");
    spell_volts(out, attractor, cathode);
    text_print(out, "))\nB%s__e %s__e 0 V=max(", name, name);
    spell_volts(out, attractor, cathode);
    text_print(out, ",0)/" SPELL_FIGURE "*", law->kp);
    spell_ramp(spelling, "x");
    text_add(out, "\n");
}
