/* Triode, one section. Nodes: anode, cathode, grid. One branch, anode to cathode. figures[0]: amplification factor mu; [1]:
 * exponent Ex; [2]: Kg1; [3]: Kp; [4]: Kvb, V^2; [5]: contact potential Vct, V. Ia =
 * E^Ex / Kg1 with E as in valve_law.h (N. Koren, Glass Audio 8(5), 1996, without the factor of 2). The grid draws nothing here: its
 * diode is an element of its own. */
#include "device/device.h"

#include "base/text.h"
#include "device/network.h"
#include "device/spelling.h"
#include "device/valve_law.h"

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static struct valve_current anode_current(const struct element *element,
                                          const struct valve_volts *volts)
{
    const double *figures = element->figures;
    struct drive_law law = {figures[0], figures[3], figures[4], figures[5]};
    struct drive drive = valve_drive(&law, volts->of[VALVE_ANODE], volts->of[VALVE_GRID]);
    struct valve_power power = valve_power(drive.volts, figures[1], figures[2]);

    return (struct valve_current){power.amps,
                                  {[VALVE_ANODE] = power.slope * drive.by_attractor,
                                   [VALVE_GRID] = power.slope * drive.by_grid}};
}

static struct valve_rows rows_of(const struct element_rows *rows)
{
    return (struct valve_rows){{[VALVE_ANODE] = rows->nodes[0], [VALVE_GRID] = rows->nodes[2],
                                [VALVE_SCREEN] = STAMP_GROUND},
                               rows->nodes[1]};
}

/* There is no screen: its volts are of no account, and must not look like a step. */
static struct valve_volts guess_of(const struct stamp *stamp, const struct valve_rows *rows)
{
    struct valve_volts volts = valve_guess(stamp, rows);

    volts.of[VALVE_SCREEN] = 0;
    return volts;
}

static void stamp_it(const struct element *element, const struct element_rows *element_rows,
                     struct stamp *stamp)
{
    struct valve_rows rows = rows_of(element_rows);
    struct valve_volts volts = valve_limit(element, anode_current,
                                           stamp->limits + element_rows->limit, stamp,
                                           guess_of(stamp, &rows));
    struct valve_current current = anode_current(element, &volts);

    valve_stamp(stamp, &rows, VALVE_ANODE, &current, &volts);
}

static void find_amps(const struct element *element, const struct element_rows *element_rows,
                      const struct stamp *stamp, double *amps)
{
    struct valve_rows rows = rows_of(element_rows);
    struct valve_volts volts = guess_of(stamp, &rows);

    amps[0] = anode_current(element, &volts).amps + stamp->gmin * volts.of[VALVE_ANODE];
}

static void spell(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;
    struct drive_law law = {figures[0], figures[3], figures[4], figures[5]};
    const char *name = spelling->name, *anode = spelling->nodes[0], *cathode = spelling->nodes[1];

    valve_spell_drive(&law, spelling, anode, cathode, spelling->nodes[2]);
    text_print(spelling->out, "B%s__anode %s %s I=pwr(V(%s__e)," SPELL_FIGURE ")/" SPELL_FIGURE "\n",
               name, anode, cathode, name, figures[1], figures[2]);
    spell_gmin(spelling, "gmin", anode, cathode);
}

const struct device device_triode = {
    .name = "triode",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
};
