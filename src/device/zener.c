/* Zener diode. Nodes: anode, cathode. figures[0]: zener voltage, V; [1]: slope resistance in breakdown, ohm;
 * [2]: saturation current IS, A; [3]: emission coefficient N; [4]: series resistance forward, ohm. Its one branch
 * runs from the cathode, because that is where its current enters in use. */
#include "device/device.h"

#include "base/text.h"
#include "device/junction.h"
#include "device/network.h"
#include "device/spelling.h"

/* V: the knee of the breakdown is as wide as this. */
#define KNEE_VOLTS 0.05

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static struct tangent curve(const struct element *element, double volts)
{
    const double *figures = element->figures;
    struct tangent forward = junction_tangent(figures[2], figures[3] * THERMAL_VOLTS,
                                              figures[4], volts);
    struct tangent reverse = ramp_tangent(1 / figures[1], KNEE_VOLTS, -volts - figures[0]);

    return (struct tangent){forward.amps - reverse.amps, forward.siemens + reverse.siemens};
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

    amps[0] = -(curve(element, volts).amps + stamp->gmin * volts);
}

/* Forward a diode; backward, from the cathode, the ramp. */
static void spell(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;
    const char *name = spelling->name, *anode = spelling->nodes[0], *cathode = spelling->nodes[1];

    spell_junction(spelling, anode, cathode, figures[2], figures[3], figures[4]);
    text_print(spelling->out, "B%s__x %s__x 0 V=(", name, name);
    spell_volts(spelling->out, cathode, anode);
    text_print(spelling->out, "-" SPELL_FIGURE ")/" SPELL_FIGURE "\n", figures[0], KNEE_VOLTS);
    text_print(spelling->out, "B%s__zener %s %s I=" SPELL_FIGURE "*", name, cathode, anode,
               KNEE_VOLTS / figures[1]);
    spell_ramp(spelling, "x");
    text_add(spelling->out, "\n");
}

const struct device device_zener = {
    .name = "zener diode",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
};
