/* Windings, chokes, resistors and capacitors against their ratings. */
#include "whatif/stress_kinds.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"

static const char copper_law[] =
    "copper at 3 A/mm2 (2.5 to 4) when rated, from 75 to 215 degrees (fault limit of class E, IEC 60950-1 "
    "annex C.1, from memory)";

/* ---- copper ---- */

/* The only section of the only primary, whose current the transformer's rating gives; else NAN. */
static double primary_amps(const struct stressed *stressed, const struct figure **rating)
{
    const struct part_info *info = stressed->info;

    *rating = part_figure(info, FIGURE_RATED_VOLTAMPS);
    return part_section_amps(info, stressed->branch->section);
}

void stress_winding(struct stressed *stressed)
{
    const struct section *section = stressed->branch->section;
    const struct figure *rating = NULL;
    double rated = NAN;

    if (stressed->info->kind == PART_OUTPUT_TRANSFORMER)
        return;
    if (section == NULL) {
        rating = part_figure(stressed->info, FIGURE_RATED_AMPS);
        rated = rating != NULL ? rating->value : NAN;
    } else if (section->amps.value > 0 && section->amps.origin != FIGURE_ASSUMED) {
        rating = &section->amps;
        rated = section->amps.value;
    } else if (section->winding < stressed->info->winding_count) {
        rated = primary_amps(stressed, &rating);
    }
    stress_add(stressed, STRESS_WINDING, stressed->amps->rms, rated,
               winding_withstand(stressed->amps->rms / rated),
               isnan(rated) ? "the rated current of the winding is not known"
                            : stress_source(stressed, rating, NULL, copper_law));
}

void stress_choke(struct stressed *stressed)
{
    const struct figure *rating = part_figure(stressed->info, FIGURE_RATED_AMPS);
    double rated = rating != NULL ? rating->value : NAN;

    if (stressed->info->kind != PART_CHOKE && stressed->info->kind != PART_INDUCTOR)
        return;
    stress_add(stressed, STRESS_CHOKE, stressed->amps->rms, rated,
               winding_withstand(stressed->amps->rms / rated),
               stress_source(stressed, rating, "the rated current of the choke is not known", copper_law));
}

/* ---- resistors ---- */

/* WORD stands in TEXT, any case. */
static bool tells(const char *text, const char *word, size_t length)
{
    for (; text != NULL && *text != '\0'; text++)
        if (strncasecmp(text, word, length) == 0)
            return true;
    return false;
}

/* Made to open, or not to burn: how soon, only its maker says. */
static bool is_fusible(const struct part *part)
{
    return tells(part->value, "fusible", 7) || tells(part->value, "flameproof", 10) ||
           tells(part->symbol, "fusible", 7) || tells(part->symbol, "flameproof", 10);
}

void stress_resistor(struct stressed *stressed)
{
    const struct figure *rating = part_figure(stressed->info, FIGURE_RATED_WATTS);
    const struct figure *ohms = part_figure(stressed->info, FIGURE_OHMS);
    double rated = rating != NULL ? rating->value : NAN, watts;

    if (stressed->info->kind != PART_RESISTOR || ohms == NULL)
        return;
    watts = stressed->amps->rms * stressed->amps->rms * ohms->value;
    if (is_fusible(stressed->branch->part))
        stress_add(stressed, STRESS_DISSIPATION, watts, rated, withstand_not_said,
                   "a fusible or flameproof resistor opens as its maker says");
    else
        stress_add(stressed, STRESS_DISSIPATION, watts, rated, resistor_withstand(watts / rated),
                   stress_source(stressed, rating, "the rating of the resistor, W, is not known",
                                 "short-time overload of IEC 60115-1, 2.5 times the rated volts for 5 s, "
                                 "from memory"));
}

/* ---- capacitors ---- */

/* The plus pin of a polarised capacitor: the one named so, or pin 1 of a symbol that is called polarised
 * (IPC-7351: pin 1 positive, from memory). NULL: it has no polarity, or none that is told. */
static const struct pin *plus_pin(const struct part_info *info)
{
    const struct part *part = info->part;
    const char *symbol = part->symbol;
    bool polarised = tells(symbol, "polar", 5) || tells(symbol, "electrolytic", 12) ||
                     tells(symbol, "elco", 4);

    for (size_t i = 0; i < part->pin_count; i++)
        if (part->pins[i].name != NULL && part->pins[i].name[0] == '+')
            return &part->pins[i];
    for (size_t i = 0; polarised && i < part->pin_count; i++)
        if (strcmp(part->pins[i].number, "1") == 0)
            return &part->pins[i];
    return NULL;
}

/* An oxide film forms on the other foil above about as many volts (from memory). */
static const double reverse_limit = 1.5;

static void add_reversed(struct stressed *stressed)
{
    double volts = stressed->to->mean - stressed->from->mean;
    const struct pin *plus = plus_pin(stressed->info);

    if (plus == NULL || plus->net == NULL)
        return;
    if (stressed->branch->from != plus->net->index)
        volts = -volts;
    stress_add(stressed, STRESS_REVERSED, volts, reverse_limit, (struct withstand){60, 5, 600},
               "aluminium electrolytic capacitors stand about 1.5 V the wrong way and vent within minutes, "
               "from memory");
}

/* F: a capacitor smaller than that, and of no polarity, is of film, paper or mica (common practice, no
 * source). */
static const double film_farads = 1e-6;

static bool is_film(const struct part_info *info)
{
    return plus_pin(info) == NULL &&
           part_figure_value(info, FIGURE_FARADS, INFINITY) < film_farads;
}

/* Largest volts across it, at most and at least: where both ends swing, only the solver knows how they swing
 * together. */
struct bounds {
    double most, least;
};

static struct bounds volts_across(const struct stressed *stressed)
{
    const struct wave *from = stressed->from, *to = stressed->to;

    return (struct bounds){
        fmax(from->high - to->low, to->high - from->low),
        fmax(fabs(from->mean - to->mean), fmax(fabs(from->high - to->high), fabs(from->low - to->low)))};
}

/* Nothing direct across it: then the rating of a film capacitor is one of alternating volts, RMS. */
static const double alternating_share = 0.05, root_two = 1.41421356237309504880;

static void add_volts(struct stressed *stressed)
{
    const struct figure *rating = part_figure(stressed->info, FIGURE_RATED_VOLTS);
    bool film = is_film(stressed->info);
    struct bounds volts = volts_across(stressed);
    bool alternates = fabs(stressed->from->mean - stressed->to->mean) < alternating_share * volts.most;
    double rated = (rating != NULL ? rating->value : NAN) * (film && alternates ? root_two : 1);
    struct withstand stands = film ? film_withstand(rated, volts.least)
                                   : capacitor_withstand(rated, volts.least);

    stress_add(stressed, STRESS_VOLTS, volts.most, rated,
               volts.least > rated ? stands : withstand_not_said,
               stress_source(stressed, rating, "the working voltage of the capacitor is not known",
                             film ? "voltage proof of IEC 60384-2 and -16, 1.6 times for a minute, "
                                    "from memory"
                                  : "surge voltage of IEC 60384-4, 1.15 times for 30 s, above 315 V "
                                    "1.1 times, from memory"));
}

void stress_capacitor(struct stressed *stressed)
{
    const struct figure *ripple = part_figure(stressed->info, FIGURE_RATED_AMPS);

    if (stressed->info->kind != PART_CAPACITOR)
        return;
    add_volts(stressed);
    add_reversed(stressed);
    if (ripple != NULL)
        stress_add(stressed, STRESS_RIPPLE, stressed->amps->rms, ripple->value,
                   ripple_withstand(stressed->amps->rms / ripple->value),
                   stress_source(stressed, ripple, NULL,
                                 "it is warm within ten minutes; 1.5 times the current for ever shortens its "
                                 "life, from memory"));
}
