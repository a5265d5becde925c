/* Three-terminal regulator, from input to output; what it takes itself is a load of its own. Nodes: input, output, common (of an
 * adjustable one the adjust pin). One branch, input to output; of a negative one the other way. figures[0]: volts held from output
 * to common, V, below 0 for a negative one; [1]: headroom below which nothing passes, V; [2]: resistance of the pass element
 * above it, ohm; [3]: current limit at little headroom, A; [4]: watts that its safe-area protection allows, W, 0 for none.
 *   u = Vin - Vout    e = Vref - (Vout - Vcom)    (all volts of a negative one turned over)
 *   d = softplus(u - U0) / R    l = Ipk / sqrt(1 + (u Ipk / P)^2)    Imax = (d^-4 + l^-4)^(-1/4)
 *   I = Imax / (1 + exp(-e / w)), w = 0.0008 Vref
 * So the output holds Vref within some w (2 to 5 mV from 5 mA to 1 A per volt of it, as sheets print of the 78xx's load regulation: 9 mV
 * typical, 100 mV most, of 5 V: Fairchild, LM78XX, rev. 1.3.1), gives way when the headroom or the limit is used up, and lets nothing
 * flow back. The limit falls with the headroom as a constant number of watts does: a 7805 gives 750 mA into a short from 10 V (Texas
 * Instruments, uA7805) and 230 mA from 35 V (Fairchild), both 8 W. */
#include "device/device.h"

#include <math.h>

#include "base/text.h"
#include "device/junction.h"
#include "device/network.h"
#include "device/spelling.h"

/* Of the held volts: how far they give from almost no current to almost all. */
#define GIVE_SHARE 8e-4
/* V: width of the knee of the headroom. */
#define KNEE_VOLTS 0.05
/* Far from holding, in GIVE_SHARES: the current no longer changes. */
#define FAR_GIVES 40
/* A stands for none, so that no power of it overflows. */
#define LEAST_AMPS 1e-30

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

/* Volts from input to output, and what the output lacks, of a negative regulator turned over. */
struct headings {
    double headroom, lack;
};

static double sign_of(const struct element *element)
{
    return element->figures[0] < 0 ? -1 : 1;
}

static double give_volts(const struct element *element)
{
    return GIVE_SHARE * fabs(element->figures[0]);
}

static struct headings guessed(const struct element *element, const struct element_rows *rows,
                               const struct stamp *stamp)
{
    double output = stamp_volts(stamp, rows->nodes[1]), sign = sign_of(element);

    return (struct headings){
        sign * (stamp_volts(stamp, rows->nodes[0]) - output),
        fabs(element->figures[0]) - sign * (output - stamp_volts(stamp, rows->nodes[2]))};
}

/* The curve is steep where the output is held and flat on both sides: a step across from far stops in the middle, and one away
 * from it may not go too far at once. */
static double limited_lack(const struct element *element, struct stamp *stamp, double before,
                           double lack)
{
    double give = give_volts(element), most = 3 * fabs(before) + 10 * give;

    if (stamp->first || stamp->unlimited)
        return lack;
    if (before * lack < 0 && fabs(before) > 4 * give && fabs(lack) > give) {
        stamp->limited = true;
        return 0;
    }
    if (fabs(lack) > most && fabs(before) < FAR_GIVES * give) {
        stamp->limited = true;
        return copysign(most, lack);
    }
    return lack;
}

/* What can pass at most at HEADROOM, A, and its slope, S. */
static struct tangent most_current(const struct element *element, double headroom)
{
    const double *figures = element->figures;
    struct tangent pass = ramp_tangent(1 / figures[2], KNEE_VOLTS, headroom - figures[1]);
    struct tangent limit = {figures[3], 0};
    double share, pass_power, limit_power, amps;

    if (figures[4] > 0 && headroom > 0) {
        double x = figures[3] / figures[4], root = sqrt(1 + headroom * x * headroom * x);

        limit.amps = figures[3] / root;
        limit.siemens = -limit.amps * headroom * x * x / (root * root);
    }
    if (pass.amps < LEAST_AMPS)
        return (struct tangent){0, 0};
    share = pass.amps / limit.amps;
    share *= share;
    limit_power = share * share / (1 + share * share);
    pass_power = 1 / (1 + share * share);
    amps = pass.amps * sqrt(sqrt(pass_power));
    return (struct tangent){amps, amps * (pass_power * pass.siemens / pass.amps +
                                          limit_power * limit.siemens / limit.amps)};
}

/* Share of that which passes, and its slope by what the output lacks, 1/V. */
static struct tangent opened(const struct element *element, double lack)
{
    double x = lack / give_volts(element), rest = exp(-fabs(x)), part = rest / (1 + rest);

    return (struct tangent){x < 0 ? part : 1 - part, part / (1 + rest) / give_volts(element)};
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    int input = rows->nodes[0], output = rows->nodes[1], common = rows->nodes[2];
    struct headings at = guessed(element, rows, stamp);
    double sign = sign_of(element), by_headroom, by_lack, reference = fabs(element->figures[0]);
    struct tangent most = most_current(element, at.headroom), share;

    at.lack = limited_lack(element, stamp, stamp->limits[rows->limit], at.lack);
    stamp->limits[rows->limit] = at.lack;
    share = opened(element, at.lack);
    by_headroom = most.siemens * share.amps;
    by_lack = most.amps * share.siemens;
    stamp_conductance(stamp, input, output, by_headroom + stamp->gmin);
    stamp_transfer(stamp, input, output, common, output, by_lack);
    stamp_current(stamp, input, output,
                  sign * (most.amps * share.amps - by_headroom * at.headroom +
                          by_lack * (reference - at.lack)));
}

/* The branch of a negative one runs from the output, so that its current is positive in use. */
static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    struct headings at = guessed(element, rows, stamp);

    amps[0] = most_current(element, at.headroom).amps * opened(element, at.lack).amps +
              stamp->gmin * at.headroom;
}

/* Headroom; what its drop lets through; what the limit does; what the output lacks, in gives. */
static void spell(const struct element *element, const struct spelling *spelling)
{
    const double *figures = element->figures;
    const char *name = spelling->name, *input = spelling->nodes[0], *output = spelling->nodes[1];
    struct text *out = spelling->out;

    text_print(out, "B%s__u %s__u 0 V=%g*", name, name, sign_of(element));
    spell_volts(out, input, output);
    text_print(out, "\nB%s__x %s__x 0 V=(V(%s__u)-" SPELL_FIGURE ")/" SPELL_FIGURE "\n", name, name, name, figures[1],
               KNEE_VOLTS);
    text_print(out, "B%s__d %s__d 0 V=" SPELL_FIGURE "*", name, name, KNEE_VOLTS / figures[2]);
    spell_ramp(spelling, "x");
    text_print(out, "\nB%s__l %s__l 0 V=" SPELL_FIGURE, name, name, figures[3]);
    if (figures[4] > 0)
        text_print(out, "/sqrt(1+pwr(max(V(%s__u),0)*" SPELL_FIGURE ",2))", name, figures[3] / figures[4]);
    text_print(out, "\nB%s__e %s__e 0 V=(" SPELL_FIGURE "-%g*", name, name, fabs(figures[0]), sign_of(element));
    spell_volts(out, output, spelling->nodes[2]);
    text_print(out, ")/" SPELL_FIGURE "\nB%s__pass %s %s I=%g*pwr(pwr(max(V(%s__d),1e-9),-4)+pwr(max(V(%s__l),1e-9),-4),-0.25)\n",
               give_volts(element), name, input, output, sign_of(element), name, name);
    text_print(out, "+ /(1+exp(-max(min(V(%s__e),60),-60)))\n", name);
}

const struct device device_regulator = {
    .name = "regulator",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
    .amplifies = true,
};
