/* One anode of a rectifier valve. Nodes: anode, cathode. figures[0]: perveance G, A/V^1.5, of I = G V^1.5 (Child's
 * law); figures[1]: if above 0, the constant drop of a gas rectifier, V, instead of Child's law. No reverse current. */
#include "device/device.h"

#include <math.h>

#include "device/junction.h"
#include "device/network.h"

/* A mercury rectifier rises from 14.2 V at 22 mA to 15.5 V at 1 A (RCA sheet of type 83, July 1963). */
#define ARC_OHMS 1.3
#define ARC_KNEE_VOLTS 0.02

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static struct tangent curve(const struct element *element, double volts)
{
    double root;

    if (element->figures[1] > 0)
        return ramp_tangent(1 / ARC_OHMS, ARC_KNEE_VOLTS, volts - element->figures[1]);
    if (volts <= 0)
        return (struct tangent){0, 0};
    root = sqrt(volts);
    return (struct tangent){element->figures[0] * volts * root, 1.5 * element->figures[0] * root};
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    double volts = two_terminal_volts(rows, stamp);

    two_terminal_stamp(rows, stamp, curve(element, volts), volts);
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    double volts = two_terminal_volts(rows, stamp);

    amps[0] = curve(element, volts).amps + stamp->gmin * volts;
}

const struct device device_valve_diode = {
    .name = "valve diode",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
};
