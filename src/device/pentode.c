/* Pentode or beam tetrode. Nodes: anode, cathode, screen, cathode, grid: branch by branch its ends, then the grid. Two
 * branches, anode and screen to cathode. figures[0]: amplification factor mu, grid to screen; [1]: exponent Ex; [2]: Kg1;
 * [3]: Kp; [4]: Kvb, V; [5]: Kg2; [6]: exponent a of the screen law.
 * Ia = E^Ex / Kg1 arctan(Va/Kvb) with E as in valve_law.h, of the screen's volts (N. Koren, Glass Audio 8(5), 1996, without the
 * factor of 2); Ig2 = E^Ex / Kg2 (Vg2 / max(Va, 20 V))^a, fitted with the parameters, so that the screen is cut off with
 * the anode. The grid draws nothing here: its diode is an element of its own. */
#include "device/device.h"

#include <math.h>

#include "base/text.h"
#include "device/junction.h"
#include "device/network.h"
#include "device/spelling.h"
#include "device/valve_law.h"

/* V^2: keeps the grid's share finite where the screen has next to no volts. */
#define SCREEN_KVB 1.0
/* V: rounds the foot of the anode's knee off, so that nothing flows backwards and no slope jumps. */
#define FOOT_VOLTS 0.5
/* V: below these anode volts the screen takes no larger share; and how softly. */
#define SHARE_VOLTS 20.0
#define SHARE_SOFTNESS 2.0

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static struct drive screen_drive(const struct element *element, const struct valve_volts *volts)
{
    const double *figures = element->figures;
    struct drive_law law = {figures[0], figures[3], SCREEN_KVB, 0};

    return valve_drive(&law, volts->of[VALVE_SCREEN], volts->of[VALVE_GRID]);
}

/* AMPS and its slope by the drive, times SHARE of the anode's or the screen's volts. */
static struct valve_current product(struct valve_power power, struct drive drive, double share,
                                    double share_by_anode, double share_by_screen)
{
    struct valve_current current = {.amps = power.amps * share};

    current.by[VALVE_ANODE] = power.amps * share_by_anode;
    current.by[VALVE_GRID] = power.slope * drive.by_grid * share;
    current.by[VALVE_SCREEN] =
        power.slope * drive.by_attractor * share + power.amps * share_by_screen;
    return current;
}

static struct valve_current anode_current(const struct element *element,
                                          const struct valve_volts *volts)
{
    const double *figures = element->figures;
    struct drive drive = screen_drive(element, volts);
    double anode = volts->of[VALVE_ANODE], sum = anode + FOOT_VOLTS, inner, slope;

    if (!(anode > 0))
        return (struct valve_current){0, {0}};
    inner = anode * anode / sum / figures[4];
    slope = anode * (anode + 2 * FOOT_VOLTS) / (sum * sum) / figures[4];
    return product(valve_power(drive.volts, figures[1], figures[2]), drive, atan(inner),
                   slope / (1 + inner * inner), 0);
}

static struct valve_current screen_current(const struct element *element,
                                           const struct valve_volts *volts)
{
    const double *figures = element->figures;
    struct drive drive = screen_drive(element, volts);
    double screen = volts->of[VALVE_SCREEN];
    double reach = sqrt(SCREEN_KVB + screen * screen);
    struct tangent anode =
        ramp_tangent(1, SHARE_SOFTNESS, volts->of[VALVE_ANODE] - SHARE_VOLTS);
    double share = pow(reach / (SHARE_VOLTS + anode.amps), figures[6]);

    return product(valve_power(drive.volts, figures[1], figures[5]), drive, share,
                   -figures[6] * share * anode.siemens / (SHARE_VOLTS + anode.amps),
                   figures[6] * share * screen / (reach * reach));
}

static struct valve_rows rows_of(const struct element_rows *rows)
{
    return (struct valve_rows){{[VALVE_ANODE] = rows->nodes[0], [VALVE_GRID] = rows->nodes[4],
                                [VALVE_SCREEN] = rows->nodes[2]},
                               rows->nodes[1]};
}

static void stamp_it(const struct element *element, const struct element_rows *element_rows,
                     struct stamp *stamp)
{
    struct valve_rows rows = rows_of(element_rows);
    struct valve_volts volts =
        valve_limit(element, anode_current, stamp->limits + element_rows->limit, stamp,
                    valve_guess(stamp, &rows));
    struct valve_current anode = anode_current(element, &volts);
    struct valve_current screen = screen_current(element, &volts);

    valve_stamp(stamp, &rows, VALVE_ANODE, &anode, &volts);
    valve_stamp(stamp, &rows, VALVE_SCREEN, &screen, &volts);
}

static void find_amps(const struct element *element, const struct element_rows *element_rows,
                      const struct stamp *stamp, double *amps)
{
    struct valve_rows rows = rows_of(element_rows);
    struct valve_volts volts = valve_guess(stamp, &rows);

    amps[0] = anode_current(element, &volts).amps + stamp->gmin * volts.of[VALVE_ANODE];
    amps[1] = screen_current(element, &volts).amps + stamp->gmin * volts.of[VALVE_SCREEN];
}

/* atan(Va^2 / (Va + foot) / Kvb) for Va > 0. */
static void spell_anode(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;
    const char *name = spelling->name, *anode = spelling->nodes[0], *cathode = spelling->nodes[1];
    struct text *out = spelling->out;

    text_print(out, "B%s__va %s__va 0 V=max(", name, name);
    spell_volts(out, anode, cathode);
    text_print(out, ",0)\nB%s__anode %s %s I=pwr(V(%s__e)," SPELL_FIGURE ")/" SPELL_FIGURE "\n", name,
               anode, cathode, name, figures[1], figures[2]);
    text_print(out, "+ *atan(V(%s__va)*V(%s__va)/(V(%s__va)+" SPELL_FIGURE ")/" SPELL_FIGURE ")\n",
               name, name, name, FOOT_VOLTS, figures[4]);
    spell_gmin(spelling, "gmin_anode", anode, cathode);
}

static void spell_screen(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;
    const char *name = spelling->name, *screen = spelling->nodes[2], *cathode = spelling->nodes[3];
    struct text *out = spelling->out;

    text_print(out, "B%s__y %s__y 0 V=(", name, name);
    spell_volts(out, spelling->nodes[0], cathode);
    text_print(out, "-" SPELL_FIGURE ")/" SPELL_FIGURE "\n", SHARE_VOLTS, SHARE_SOFTNESS);
    text_print(out, "B%s__screen %s %s I=pwr(V(%s__e)," SPELL_FIGURE ")/" SPELL_FIGURE "\n", name,
               screen, cathode, name, figures[1], figures[5]);
    text_print(out, "+ *pwr(sqrt(" SPELL_FIGURE "+", SCREEN_KVB);
    spell_volts(out, screen, cathode);
    text_add(out, "*");
    spell_volts(out, screen, cathode);
    text_print(out, ")/(" SPELL_FIGURE "+" SPELL_FIGURE "*", SHARE_VOLTS, SHARE_SOFTNESS);
    spell_ramp(spelling, "y");
    text_print(out, ")," SPELL_FIGURE ")\n", figures[6]);
    spell_gmin(spelling, "gmin_screen", screen, cathode);
}

static void spell(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;
    struct drive_law law = {figures[0], figures[3], SCREEN_KVB, 0};

    valve_spell_drive(&law, spelling, spelling->nodes[2], spelling->nodes[1], spelling->nodes[4]);
    spell_anode(element, spelling);
    spell_screen(element, spelling);
}

const struct device device_pentode = {
    .name = "pentode",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
};
