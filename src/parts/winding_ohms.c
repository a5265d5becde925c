#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"

/* Regulation of toroidal mains transformers by rating, from memory (makers' catalogues at 230 V);
 * EI types below 100 VA are 5 to 15 % worse, which the range of the assumption covers. */
static const struct regulation_row {
    double voltamps, regulation; /* VA; share of the no-load voltage lost at the rating */
} regulations[] = {
    {10, 0.25}, {30, 0.16},  {50, 0.14},  {80, 0.13},  {120, 0.10},
    {160, 0.09}, {225, 0.08}, {300, 0.07}, {500, 0.06}, {625, 0.05},
};
enum { REGULATION_ROWS = sizeof regulations / sizeof *regulations };

/* Half the loss is in the primary, half in the secondary (common practice: equal copper loss). */
static const double primary_share = 0.5;
static const double least_factor = 0.5, most_factor = 2.0;

static double regulation_of(double voltamps)
{
    if (voltamps <= regulations[0].voltamps)
        return regulations[0].regulation;
    for (size_t i = 1; i < REGULATION_ROWS; i++) {
        const struct regulation_row *low = &regulations[i - 1], *high = &regulations[i];

        if (voltamps <= high->voltamps)
            return low->regulation + (high->regulation - low->regulation)
                                         * log(voltamps / low->voltamps)
                                         / log(high->voltamps / low->voltamps);
    }
    return regulations[REGULATION_ROWS - 1].regulation;
}

static double winding_volts(const struct part_info *info, const struct winding *winding)
{
    double total = 0;

    for (size_t i = 0; i < winding->section_count; i++)
        total += info->sections[winding->first_section + i].volts.value;
    return total;
}

static double winding_amps(const struct part_info *info, const struct winding *winding)
{
    return info->sections[winding->first_section].amps.value;
}

/* Apparent power: the part's rating, else the sum over the secondaries; 0 if one of them states no
 * amps. */
static double transformer_voltamps(const struct part_info *info)
{
    double total = 0, rated = part_figure_value(info, FIGURE_RATED_VOLTAMPS, 0);

    for (size_t i = 0; i < info->winding_count && rated == 0; i++) {
        const struct winding *winding = &info->windings[i];
        double voltamps = winding_volts(info, winding) * winding_amps(info, winding);

        if (winding->primary)
            continue;
        if (voltamps == 0)
            return 0;
        total += voltamps;
    }
    return rated > 0 ? rated : total;
}

static bool is_missing(const struct section *section)
{
    return section->ohms.value == 0 && section->ohms.why == NULL;
}

/* The share of the loss that falls in one winding is 30 to 70 % where the regulation is stated (common
 * practice, no source); otherwise the range covers the regulation too. */
static const double least_share = 0.3, most_share = 0.7;

/* R = share * regulation * V / I of the whole winding (both windings together reg * V^2 / VA: 300 V, 100
 * VA, 10 % are 90 ohm, half of it the winding's own), by volts among its sections. */
static void assume(struct arena *arena, struct part_info *info, const struct winding *winding,
                   double amps, double voltamps)
{
    bool stated = winding->regulation > 0;
    double regulation = stated ? winding->regulation : regulation_of(voltamps);

    for (size_t i = 0; i < winding->section_count; i++) {
        struct section *section = &info->sections[winding->first_section + i];
        struct figure *ohms = &section->ohms;

        if (!is_missing(section) || section->volts.value == 0)
            continue;
        ohms->value = primary_share * regulation * section->volts.value / amps;
        ohms->low = ohms->value * (stated ? least_share / primary_share : least_factor);
        ohms->high = ohms->value * (stated ? most_share / primary_share : most_factor);
        ohms->origin = FIGURE_ASSUMED;
        ohms->why =
            arena_print(arena,
                        "resistance of winding %s not stated; taken from %s%.0f %% regulation "
                        "at %.0f VA, half of it in each winding",
                        winding->name, stated ? "the stated " : "", regulation * 100, voltamps);
    }
}

/* Copper of an output transformer, as shares of the impedance it works at (common practice, no source: 200 to 350
 * ohm at 5 kohm single-ended, 100 to 250 at 6.6 kohm push-pull, 0.2 to 0.5 at 8 ohm); without one, ohm a section. */
static const struct copper {
    double share, low, high, plain, plain_low, plain_high;
} output_copper[2] = {{0.05, 0.02, 0.1, 0.5, 0.1, 2}, {0.04, 0.015, 0.08, 100, 30, 400}};
enum { IMPEDANCES_READ = 4 };

/* The side's impedance in a value such as "5k2:8" or "8k p-p / 20W"; 0 if there is none. */
static double output_impedance(const struct part *part, bool primary)
{
    struct quantity found[IMPEDANCES_READ];
    size_t count = 0;

    if (part->value != NULL)
        count = quantity_scan(part->value, part->dialect, UNIT_OHM, found, IMPEDANCES_READ);
    for (size_t i = 0; i < count; i++) {
        double ohms = found[i].value;

        if ((found[i].unit == UNIT_OHM || found[i].unit == UNIT_NONE) &&
            (primary ? ohms >= 500 && ohms <= 50e3 : ohms >= 1 && ohms <= 32))
            return ohms;
    }
    return 0;
}

static void assume_output(struct arena *arena, struct part_info *info,
                          const struct winding *winding)
{
    const struct copper *copper = &output_copper[winding->primary];
    double impedance = output_impedance(info->part, winding->primary);
    double each = impedance / (double)winding->section_count;

    for (size_t i = 0; i < winding->section_count; i++) {
        struct figure *ohms = &info->sections[winding->first_section + i].ohms;

        if (!is_missing(&info->sections[winding->first_section + i]))
            continue;
        *ohms = (struct figure){
            .id = FIGURE_OHMS, .origin = FIGURE_ASSUMED,
            .value = impedance > 0 ? copper->share * each : copper->plain,
            .low = impedance > 0 ? copper->low * each : copper->plain_low,
            .high = impedance > 0 ? copper->high * each : copper->plain_high,
            .why = impedance > 0
                       ? arena_print(arena, "resistance of winding %s not stated; taken as %.0f %% of "
                                     "the %g ohm it works at (common practice, no source)",
                                     winding->name, 100 * copper->share, impedance)
                       : "DC resistance of output transformers (common practice, no source)"};
    }
}

static bool lacks_ohms(const struct part_info *info, const struct winding *winding)
{
    for (size_t i = 0; i < winding->section_count; i++)
        if (is_missing(&info->sections[winding->first_section + i]))
            return true;
    return false;
}

void windings_assume_ohms(const struct recogniser *recogniser, struct part_info *info)
{
    double voltamps = transformer_voltamps(info);
    bool doubted = false;

    for (size_t i = 0; i < info->winding_count; i++) {
        const struct winding *winding = &info->windings[i];
        double volts = winding_volts(info, winding), amps = winding_amps(info, winding);

        if (!lacks_ohms(info, winding))
            continue;
        if (info->kind == PART_OUTPUT_TRANSFORMER) {
            assume_output(recogniser->arena, info, winding);
            continue;
        }
        if (amps == 0 && winding->primary && volts > 0)
            amps = voltamps / volts;
        if (amps > 0 && volts > 0)
            assume(recogniser->arena, info, winding, amps,
                   voltamps > 0 ? voltamps : volts * amps);
        else if (!doubted)
            part_doubt(recogniser->arena, info,
                       "the resistance of winding %s is not known; measure it, or "
                       "state the rated current, in the windings field",
                       winding->name);
        doubted |= lacks_ohms(info, winding);
    }
}
