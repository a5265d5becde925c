/* Channel of a field-effect transistor, insulated gate or junction gate: the square law (H. Shichman, D. A. Hodges, IEEE J.
 * Solid-State Circuits 3 (1968), 285-289; level 1 of the SPICE3 manual). Nodes: drain, source, gate. One branch, drain to source; of
 * a P channel the other way. figures[0]: transconductance parameter KP, A/V^2 (of a junction gate 2 BETA); [1]: threshold VT, V, as
 * an N channel has it (below 0: depletion); [2]: channel-length modulation LAMBDA, 1/V; [3]: +1 N channel, -1 P channel.
 *   e = S ln(1 + exp((vgs - VT) / S))
 *   Id = KP/2 e^2 (1 + LAMBDA vds) for vds >= e, else KP (e - vds/2) vds (1 + LAMBDA vds)
 * with S = 39 mV, 1.5 kT/q: so the current falls by a decade every 45 mV below threshold, and no slope vanishes. Drain and source change
 * places where vds < 0. Diodes of the gate or the body are elements of their own. A fourth node, if there is one, has the volts that stand
 * for vgs (average.c). */
#include "device/device.h"

#include <math.h>

#include "base/text.h"
#include "device/junction.h"
#include "device/network.h"
#include "device/spelling.h"
#include "device/valve_law.h"

/* V. */
#define SOFTNESS (1.5 * THERMAL_VOLTS)

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

/* Forward, for DRAIN >= 0; slopes by the drain's and the gate's volts against the source. */
static struct valve_current forward_current(const struct element *element, double drain,
                                            double gate)
{
    const double *figures = element->figures;
    struct tangent drive = ramp_tangent(1, SOFTNESS, gate - figures[1]);
    double e = drive.amps, length = 1 + figures[2] * drain, kp = figures[0];
    struct valve_current current = {0};

    if (drain >= e) {
        current.amps = kp / 2 * e * e * length;
        current.by[VALVE_ANODE] = kp / 2 * e * e * figures[2];
        current.by[VALVE_GRID] = kp * e * length * drive.siemens;
    } else {
        current.amps = kp * (e - drain / 2) * drain * length;
        current.by[VALVE_ANODE] =
            kp * (e - drain) * length + kp * (e - drain / 2) * drain * figures[2];
        current.by[VALVE_GRID] = kp * drain * length * drive.siemens;
    }
    return current;
}

/* Volts already turned over for a P channel. Reversed, the drain is the source: vgd drives, and slopes change sides. */
static struct valve_current channel_current(const struct element *element,
                                            const struct valve_volts *volts)
{
    double drain = volts->of[VALVE_ANODE], gate = volts->of[VALVE_GRID];
    struct valve_current current;

    if (drain >= 0)
        return forward_current(element, drain, gate);
    current = forward_current(element, -drain, gate - drain);
    current.amps = -current.amps;
    current.by[VALVE_ANODE] += current.by[VALVE_GRID];
    current.by[VALVE_GRID] = -current.by[VALVE_GRID];
    return current;
}

static bool is_averaged(const struct element *element)
{
    return element->node_count > 3;
}

/* Of a P channel turned over. */
static struct valve_volts guess_of(const struct element *element, const struct element_rows *rows,
                                   const struct stamp *stamp)
{
    double source = stamp_volts(stamp, rows->nodes[1]), sign = element->figures[3];
    struct valve_volts volts = {{0}};

    volts.of[VALVE_ANODE] = sign * (stamp_volts(stamp, rows->nodes[0]) - source);
    volts.of[VALVE_GRID] = sign * (is_averaged(element) ? stamp_volts(stamp, rows->nodes[3])
                                                        : stamp_volts(stamp, rows->nodes[2]) - source);
    return volts;
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    int drain = rows->nodes[0], source = rows->nodes[1];
    bool averaged = is_averaged(element);
    struct valve_volts volts = valve_limit(element, channel_current, stamp->limits + rows->limit,
                                           stamp, guess_of(element, rows, stamp));
    struct valve_current current = channel_current(element, &volts);

    stamp_conductance(stamp, drain, source, current.by[VALVE_ANODE] + stamp->gmin);
    stamp_transfer(stamp, drain, source, rows->nodes[averaged ? 3 : 2],
                   averaged ? STAMP_GROUND : source, current.by[VALVE_GRID]);
    stamp_current(stamp, drain, source,
                  element->figures[3] *
                      (current.amps - current.by[VALVE_ANODE] * volts.of[VALVE_ANODE] -
                       current.by[VALVE_GRID] * volts.of[VALVE_GRID]));
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    struct valve_volts volts = guess_of(element, rows, stamp);

    amps[0] = channel_current(element, &volts).amps + stamp->gmin * volts.of[VALVE_ANODE];
}

/* The volts from drain to source, of a P channel turned over; those of whichever end is the source to the gate, less the threshold, in
 * SOFTNESSes; then the law with the magnitude of the first. */
static void spell(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;
    const char *name = spelling->name, *drain = spelling->nodes[0], *source = spelling->nodes[1];
    struct text *out = spelling->out;

    text_print(out, "B%s__d %s__d 0 V=%g*", name, name, figures[3]);
    spell_volts(out, drain, source);
    text_print(out, "\nB%s__x %s__x 0 V=(V(%s__d) >= 0 ? %g*", name, name, name, figures[3]);
    spell_volts(out, spelling->nodes[2], source);
    text_print(out, " : %g*", figures[3]);
    spell_volts(out, spelling->nodes[2], drain);
    text_print(out, ")/" SPELL_FIGURE "-" SPELL_FIGURE "\n", SOFTNESS, figures[1] / SOFTNESS);
    text_print(out, "B%s__e %s__e 0 V=" SPELL_FIGURE "*", name, name, SOFTNESS);
    spell_ramp(spelling, "x");
    text_print(out, "\nB%s__drain %s %s I=(V(%s__d) >= 0 ? 1 : -1)*" SPELL_FIGURE "*(1+" SPELL_FIGURE
                    "*abs(V(%s__d)))\n",
               name, drain, source, name, figures[3] * figures[0] / 2, figures[2], name);
    text_print(out, "+ *(V(%s__e)*V(%s__e)-max(V(%s__e)-abs(V(%s__d)),0)*max(V(%s__e)-abs(V(%s__d)),0))\n", name, name,
               name, name, name, name);
    spell_gmin(spelling, "gmin", drain, source);
}

const struct device device_channel = {
    .name = "field-effect transistor",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
    .amplifies = true,
};
