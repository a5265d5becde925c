/* One anode of a rectifier valve. Nodes: anode, cathode. figures[0]: perveance G, A/V^1.5, of I = G V^1.5 (Child's
 * law); figures[1]: if above 0, the constant drop of a gas rectifier, V, instead of Child's law. No reverse current. */
#include "device/device.h"

#include <math.h>

#include "base/text.h"
#include "device/junction.h"
#include "device/network.h"
#include "device/spelling.h"

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

static void spell(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;
    const char *name = spelling->name, *anode = spelling->nodes[0], *cathode = spelling->nodes[1];
    struct text *out = spelling->out;

    if (figures[1] > 0) {
        text_print(out, "B%s__x %s__x 0 V=(", name, name);
        spell_volts(out, anode, cathode);
        text_print(out, "-" SPELL_FIGURE ")/" SPELL_FIGURE "\n", figures[1], ARC_KNEE_VOLTS);
        text_print(out, "B%s %s %s I=" SPELL_FIGURE "*", name, anode, cathode,
                   ARC_KNEE_VOLTS / ARC_OHMS);
        spell_ramp(spelling, "x");
    } else {
        text_print(out, "B%s %s %s I=" SPELL_FIGURE "*pwr(max(", name, anode, cathode, figures[0]);
        spell_volts(out, anode, cathode);
        text_add(out, ",0),1.5)");
    }
    text_add(out, "\n");
    spell_gmin(spelling, "gmin", anode, cathode);
}

const struct device device_valve_diode = {
    .name = "valve diode",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
};
