/* Semiconductor diode. Nodes: anode, cathode. figures[0]: saturation current IS, A; [1]: emission coefficient N;
 * [2]: series resistance RS, ohm. Shockley's equation at 27 degrees C (the usual reference of circuit
 * simulators); no breakdown, no charge storage. */
#include "device/device.h"

#include "device/junction.h"
#include "device/network.h"
#include "device/spelling.h"

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static double scale_volts(const struct element *element)
{
    return element->figures[1] * THERMAL_VOLTS;
}

/* A junction without resistance grows too fast for Newton: its voltage climbs by no more than the logarithm of
 * what was asked (the usual limit of circuit simulators). With resistance the curve is convex and bends into a
 * straight line, and Newton needs no help. */
static double limited_volts(const struct element *element, const struct element_rows *rows,
                            struct stamp *stamp)
{
    double volts = two_terminal_volts(rows, stamp);

    if (element->figures[2] > 0)
        return volts;
    return junction_limit(stamp, element->figures[0], scale_volts(element),
                          stamp->limits[rows->limit], volts);
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    const double *figures = element->figures;
    double volts = limited_volts(element, rows, stamp);

    stamp->limits[rows->limit] = volts;
    two_terminal_stamp(rows, stamp,
                       junction_tangent(figures[0], scale_volts(element), figures[2], volts),
                       volts);
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    const double *figures = element->figures;
    double volts = two_terminal_volts(rows, stamp);

    amps[0] = junction_tangent(figures[0], scale_volts(element), figures[2], volts).amps +
              stamp->gmin * volts;
}

static void spell(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;

    spell_junction(spelling, spelling->nodes[0], spelling->nodes[1], figures[0], figures[1],
                   figures[2]);
}

const struct device device_diode = {
    .name = "diode",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
};
