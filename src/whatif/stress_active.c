/* Rectifiers, valves and transistors against their ratings. */
#include "whatif/stress_kinds.h"

#include <math.h>

#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"

static double value_of(const struct figure *figure)
{
    return figure != NULL ? figure->value : NAN;
}

/* ---- rectifiers ---- */

/* s of a cycle; where nothing alternates one of 50 Hz, by which half-cycles are counted. */
static double cycle_seconds(const struct stressed *stressed)
{
    double hertz = stressed->at->solution->hertz;

    return hertz > 0 ? 1 / hertz : 0.02;
}

/* A single half-cycle, and what it holds in A2s. Exact for any pulse: the mean square times the cycle. */
static void add_surge(struct stressed *stressed, double peak)
{
    const struct figure *surge = part_figure(stressed->info, FIGURE_SURGE_AMPS);
    const struct figure *energy = part_figure(stressed->info, FIGURE_SURGE_I2T);
    double rms = stressed->amps->rms, most = value_of(energy);
    double pulse = fmin(rms * rms * cycle_seconds(stressed), peak * peak * stressed->at->seconds);
    double seconds = most / (peak * peak);

    stress_add(stressed, STRESS_SURGE, peak, value_of(surge),
               rectifier_withstand(value_of(surge), peak, cycle_seconds(stressed)),
               stress_source(stressed, surge, "the surge current of the rectifier is not known",
                             "peak of a single half-cycle"));
    stress_add(stressed, STRESS_SURGE_I2T, pulse, most, (struct withstand){seconds, seconds, 2 * seconds},
               stress_source(stressed, energy, "the surge I2t of the rectifier is not known",
                             "of one pulse"));
}

/* Of a bridge the rating is that of its output, of which each diode passes half. */
static void add_average(struct stressed *stressed, double peak)
{
    const struct figure *average = part_figure(stressed->info, FIGURE_AVERAGE_AMPS);
    const struct figure *surge = part_figure(stressed->info, FIGURE_SURGE_AMPS);
    double mean = stressed->amps->mean * (stressed->info->kind == PART_BRIDGE ? 2 : 1);

    stress_add(stressed, STRESS_AVERAGE, mean, value_of(average),
               surge != NULL ? rectifier_withstand(surge->value, peak, cycle_seconds(stressed))
                             : withstand_not_said,
               stress_source(stressed, average, "the average current of the rectifier is not known",
                             surge != NULL ? "surge current by half-cycles to the power of -0.3, from memory"
                                           : "its surge current is not known"));
}

static void stress_diode(struct stressed *stressed)
{
    const struct figure *reverse = part_figure(stressed->info, FIGURE_REVERSE_VOLTS);
    const struct wave *cathode = stressed->to, *anode = stressed->from;
    double peak = stressed->amps->high;
    /* it stands that off for sure */
    double least = fmax(cathode->high - anode->high, cathode->low - anode->low);

    add_surge(stressed, peak);
    add_average(stressed, peak);
    stress_add(stressed, STRESS_REVERSE, cathode->high - anode->low, value_of(reverse),
               least > value_of(reverse) ? withstand_nothing : withstand_not_said,
               stress_source(stressed, reverse, "the reverse voltage of the rectifier is not known",
                             "repetitive peak"));
}

/* What an oxide cathode stands above its peak, and how long, no sheet prints. */
static void stress_rectifier_valve(struct stressed *stressed)
{
    const struct figure *peak = part_figure(stressed->info, FIGURE_PEAK_AMPS);
    stress_add(stressed, STRESS_PEAK_ANODE, stressed->amps->high, value_of(peak),
               withstand_not_said,
               stress_source(stressed, peak, "the peak current of the rectifier valve is not known",
                             "how long a cathode stands more is not printed"));
}

void stress_rectifier(struct stressed *stressed)
{
    if (stressed->info->kind == PART_RECTIFIER_VALVE)
        stress_rectifier_valve(stressed);
    else
        stress_diode(stressed);
}

/* ---- valves ---- */

/* The screen's branch begins at its pin and is not the first of the section. */
static bool is_screen(const struct stressed *stressed)
{
    const struct branch *branch = stressed->branch;
    const struct part_info *info = stressed->info;
    bool anode = false, screen = false;

    if (branch->element->device == &device_pentode)
        return branch->slot == 1;
    for (size_t i = 0; i < info->part->pin_count; i++) {
        const struct net *net = info->part->pins[i].net;

        anode |= info->pins[i].role == PIN_ANODE && net != NULL && net->index == branch->from;
        screen |= info->pins[i].role == PIN_SCREEN && net != NULL && net->index == branch->from;
    }
    if (anode && screen) /* joined: the anode's element was made just before */
        return branch->index > 0 && branch[-1].part == branch->part && branch[-1].from == branch->from &&
               branch[-1].to == branch->to;
    return screen;
}

/* Anode of the triode of a triode-pentode: its unit has no screen. */
static bool is_small_triode(const struct stressed *stressed)
{
    const struct part_info *info = stressed->info;

    for (size_t i = 0; info->kind == PART_PENTODE && i < info->part->pin_count; i++) {
        const struct net *net = info->part->pins[i].net;

        if (info->pins[i].role == PIN_ANODE && net != NULL && net->index == stressed->branch->from)
            return part_role_pin(info, PIN_SCREEN, info->pins[i].unit) == NULL;
    }
    return false;
}

static void stress_valve(struct stressed *stressed)
{
    bool screen = is_screen(stressed);
    enum figure_id id = screen ? FIGURE_SCREEN_WATTS
                        : is_small_triode(stressed) ? FIGURE_TRIODE_ANODE_WATTS : FIGURE_ANODE_WATTS;
    const struct figure *limit = part_figure(stressed->info, id);
    double watts = stress_watts(stressed), multiple = watts / value_of(limit);

    stress_add(stressed, screen ? STRESS_SCREEN : STRESS_ANODE, watts, value_of(limit),
               screen ? screen_withstand(multiple) : anode_withstand(multiple),
               stress_source(stressed, limit, "what the electrode may dissipate is not known",
                             "glows within tens of seconds at twice that, common practice, no source"));
}

static void stress_transistor(struct stressed *stressed)
{
    const struct figure *limit = part_figure(stressed->info, FIGURE_RATED_WATTS);
    double watts = fabs(stress_watts(stressed));

    stress_add(stressed, STRESS_COLLECTOR, watts, value_of(limit),
               crystal_withstand(watts / value_of(limit)),
               stress_source(stressed, limit, "what the transistor may dissipate is not known",
                             "with its case at 25 degrees; its safe operating area is not looked at"));
}

void stress_load(struct stressed *stressed)
{
    enum part_kind kind = stressed->info->kind;

    if (kind == PART_TRIODE || kind == PART_PENTODE)
        stress_valve(stressed);
    else if (kind == PART_TRANSISTOR || kind == PART_FET)
        stress_transistor(stressed);
}
