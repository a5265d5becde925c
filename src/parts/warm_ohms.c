/* Resistances that depend on what a part has been doing: thermistors and lamps before they are warm; and the coil of a relay of which
 * only the volts are known. */
#include "parts/recogniser.h"

/* W: the coil of a power relay for 5 to 24 V (JQC-3F(T73): 5 V 70 ohm, 12 V 400 ohm, 24 V 1600 ohm, all 0.36 W); a signal relay
 * takes 0.14 W, a large one 0.53 W (from memory). */
#define COIL_WATTS 0.36
#define LEAST_COIL_WATTS 0.14
#define MOST_COIL_WATTS 0.53
/* A cold tungsten filament by a lit one, from memory. */
#define FILAMENT_SHARE 0.1

static void assume_coil(const struct recogniser *recogniser, struct part_info *info)
{
    const struct figure *coil = part_figure(info, FIGURE_COIL_OHMS);
    double volts = part_figure_value(info, FIGURE_RATED_VOLTS, 0), square = volts * volts;

    if (volts <= 0 || (coil != NULL && coil->origin == FIGURE_FROM_NETLIST))
        return;
    part_set_figure(recogniser->arena, info, FIGURE_COIL_OHMS, square / COIL_WATTS,
                    square / MOST_COIL_WATTS, square / LEAST_COIL_WATTS, FIGURE_ASSUMED,
                    "only the volts of its coil are known; power relays take 0.36 W "
                    "(Shenle, JQC-3F(T73) relay sheet), others 0.14 to 0.53 W");
}

static void assume_filament(const struct recogniser *recogniser, struct part_info *info)
{
    double volts = part_figure_value(info, FIGURE_RATED_VOLTS, 0);
    double amps = part_figure_value(info, FIGURE_RATED_AMPS, 0);
    double watts = part_figure_value(info, FIGURE_RATED_WATTS, 0);
    double ohms = part_figure_value(info, FIGURE_OHMS, 0);

    if (ohms <= 0 && volts > 0 && amps > 0)
        ohms = volts / amps;
    if (ohms <= 0 && volts > 0 && watts > 0)
        ohms = volts * volts / watts;
    if (ohms > 0)
        part_set_figure(recogniser->arena, info, FIGURE_COLD_OHMS, FILAMENT_SHARE * ohms,
                        FILAMENT_SHARE / 1.5 * ohms, 2 * FILAMENT_SHARE * ohms, FIGURE_ASSUMED,
                        "a cold filament has 7 to 20 % of its resistance when lit (from memory)");
}

/* What is printed on a thermistor is its resistance at 25 degrees C. */
static void copy_cold(const struct recogniser *recogniser, struct part_info *info)
{
    const struct figure *ohms = part_figure(info, FIGURE_OHMS);

    if (ohms != NULL)
        part_set_figure(recogniser->arena, info, FIGURE_COLD_OHMS, ohms->value, ohms->low,
                        ohms->high, ohms->origin, ohms->why);
}

void warm_ohms_assume(const struct recogniser *recogniser, struct part_info *info)
{
    if (info->kind == PART_RELAY)
        assume_coil(recogniser, info);
    else if (info->kind == PART_LAMP)
        assume_filament(recogniser, info);
    else if (info->kind == PART_THERMISTOR)
        copy_cold(recogniser, info);
}
