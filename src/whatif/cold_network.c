#include "whatif/cold_network.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/warming.h"

#define ROOT_TWO 1.4142135623730951

/* Cold share of the resistance in use, and time constant, s. */
#define HEATER_COLD (1.0 / 6)
#define HEATER_SECONDS 2.9
#define LAMP_COLD (1.0 / 12)
#define LAMP_SECONDS 0.1
#define LIMITER_SECONDS 5.0
/* A rectifier valve begins to conduct after the first and conducts in full after the second more, s. */
#define RECTIFIER_DELAY 0.5
#define RECTIFIER_RISE 1.0
/* First peak of the core's inrush in rated RMS currents, and the time constant of its decay in periods. */
#define LAMINATED_INRUSH 12.0
#define TOROID_INRUSH 40.0
#define INRUSH_PERIODS 2.0
/* Drop in a primary at its rated current, of its volts; see magnetising_henries in device/build_winding.c. */
#define PRIMARY_DROP 0.05
/* Of a source that states none, ohm. */
#define LEAST_SOURCE_OHMS 1e-3

struct cooling {
    struct arena *arena;
    struct cold_network *cold;
    const struct parts *parts;
    bool has_lamps;
};

static void assume(struct cooling *cooling, const char *part, const char *what, double value,
                   double low, double high, const char *reason)
{
    struct cold_network *cold = cooling->cold;

    cold->assumptions = arena_grow(cooling->arena, cold->assumptions, &cold->assumption_capacity,
                                   cold->assumption_count, sizeof *cold->assumptions);
    cold->assumptions[cold->assumption_count++] = (struct assumption){
        .part = part, .what = what, .value = value, .low = low, .high = high, .reason = reason};
}

static void add_warming(struct cooling *cooling, const struct warming *warming)
{
    struct cold_network *cold = cooling->cold;

    cold->warmings = arena_grow(cooling->arena, cold->warmings, &cold->warming_capacity,
                                cold->warming_count, sizeof *cold->warmings);
    cold->warmings[cold->warming_count++] = *warming;
}

static void add_resistance(struct cooling *cooling, const struct element *element, double cold,
                           double seconds)
{
    add_warming(cooling, &(struct warming){.element = element->index,
                                           .course = WARMING_EXPONENTIAL,
                                           .cold = cold,
                                           .hot = element->figures[0],
                                           .seconds = seconds});
}

static bool is_valve(const struct part_info *info)
{
    return info->kind == PART_TRIODE || info->kind == PART_PENTODE;
}

static void cool_heater(struct cooling *cooling, const struct element *element)
{
    if (!cooling->cold->has_heaters) {
        assume(cooling, NULL, "heater-cold-share", HEATER_COLD, 0.12, 0.37,
               "resistance of a cold heater against a hot one (inrush measured on sets of valves is "
               "2.7 to 7.2 times the nominal current)");
        assume(cooling, NULL, "heater-warming-seconds", HEATER_SECONDS, 1, 5,
               "time constant of a heater (90 % of the final temperature in 6.7 s and 99 % in 13.3 s "
               "at constant volts, published model and test)");
    }
    cooling->cold->has_heaters = true;
    add_resistance(cooling, element, HEATER_COLD * element->figures[0], HEATER_SECONDS);
}

static void cool_lamp(struct cooling *cooling, const struct element *element)
{
    if (!cooling->has_lamps)
        assume(cooling, NULL, "lamp-cold-share", LAMP_COLD, 1.0 / 15, 0.1,
               "resistance of a cold filament lamp against a lit one (1/10 to 1/15, common practice, "
               "no source); it lights within 0.1 s (from memory)");
    cooling->has_lamps = true;
    add_resistance(cooling, element, LAMP_COLD * element->figures[0], LAMP_SECONDS);
}

static void cool_limiter(struct cooling *cooling, const struct part_info *info,
                         const struct element *element)
{
    double cold = part_figure_value(info, FIGURE_OHMS, element->figures[0]);

    assume(cooling, info->part->ref, "limiter-warming-seconds", LIMITER_SECONDS, 1, 60,
           "time constant of an inrush limiter in its rated current (from memory)");
    add_resistance(cooling, element, cold, LIMITER_SECONDS);
}

/* A gas rectifier conducts at once here, which is the harder on a fuse. */
static void cool_rectifier(struct cooling *cooling, struct element *element)
{
    if (element->device != &device_valve_diode)
        return;
    if (!cooling->cold->has_valve_rectifier)
        assume(cooling, NULL, "rectifier-warming-seconds", RECTIFIER_DELAY + RECTIFIER_RISE, 1, 20,
               "a rectifier valve begins to conduct after 0.5 s and conducts in full 1 s later; "
               "directly heated ones take 1 to 3 s, indirectly heated ones 8 to 20 s (from memory), "
               "and the fastest is hardest on a fuse");
    cooling->cold->has_valve_rectifier = true;
    if (element->figures[1] <= 0)
        add_warming(cooling, &(struct warming){.element = element->index,
                                               .course = WARMING_LINEAR,
                                               .hot = element->figures[0],
                                               .delay = RECTIFIER_DELAY,
                                               .seconds = RECTIFIER_RISE});
}

static void open_element(struct network *network, struct element *element)
{
    element->device = &device_open;
    for (size_t i = 0; i < element->branch_count; i++)
        network->branches[element->first_branch + i].kind = BRANCH_KIND_COUNT;
}

static void cool_element(struct cooling *cooling, struct element *element)
{
    const struct part_info *info = &cooling->parts->items[element->part->index];
    bool resistor = element->device == &device_resistor;

    if (is_valve(info) && !resistor)
        open_element(cooling->cold->network, element);
    else if (resistor && (is_valve(info) || info->kind == PART_RECTIFIER_VALVE))
        cool_heater(cooling, element);
    else if (resistor && info->kind == PART_LAMP)
        cool_lamp(cooling, element);
    else if (resistor && info->kind == PART_THERMISTOR)
        cool_limiter(cooling, info, element);
    else if (info->kind == PART_RECTIFIER_VALVE)
        cool_rectifier(cooling, element);
}

/* ---- cores ---- */

/* WORD is in lower case. */
static bool says(const char *text, const char *word)
{
    size_t length = strlen(word), i;

    for (; text != NULL && *text != '\0'; text++) {
        for (i = 0; i < length && tolower((unsigned char)text[i]) == word[i];)
            i++;
        if (i == length)
            return true;
    }
    return false;
}

static bool is_toroid(const struct part *part)
{
    bool said = says(part->value, "toroid") || says(part->symbol, "toroid") ||
                says(part->description, "toroid");

    for (size_t i = 0; i < part->field_count; i++)
        said |= says(part->fields[i].value, "toroid");
    return said;
}

static bool is_primary(const struct part_info *info, const struct section *section)
{
    return section != NULL && info->windings[section->winding].primary;
}

/* The rated VA, else those of the secondaries together, else what drops a usual share in the primary. */
static double rated_voltamps(const struct part_info *info, double primary_volts,
                             double primary_ohms)
{
    double volts = 0, voltamps = part_figure_value(info, FIGURE_RATED_VOLTAMPS, 0);

    for (size_t i = 0; i < info->section_count && voltamps <= 0; i++)
        if (!is_primary(info, &info->sections[i]))
            volts += info->sections[i].volts.value * info->sections[i].amps.value;
    if (voltamps > 0 || volts > 0)
        return voltamps > 0 ? voltamps : volts;
    return PRIMARY_DROP * primary_volts * primary_volts / fmax(primary_ohms, 1e-3);
}

/* The first source of mains frequency; NULL: none. */
static const struct element *mains_source(const struct network *network)
{
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        if (element->device == &device_source && element->figures[1] != 0)
            return element;
    }
    return NULL;
}

struct core {
    const struct element *element, *source;
    double volts, ohms; /* of the primary's sections together */
    double peak;        /* of the inrush, A */
};

static struct core core_of(struct cooling *cooling, const struct element *element,
                           const struct element *source)
{
    const struct part_info *info = &cooling->parts->items[element->part->index];
    struct core core = {.element = element, .source = source};
    double multiple = is_toroid(element->part) ? TOROID_INRUSH : LAMINATED_INRUSH;

    for (size_t i = 0; i < element->branch_count; i++)
        if (is_primary(info, cooling->cold->network->branches[element->first_branch + i].section)) {
            core.volts += element->turns[i];
            core.ohms += element->ohms[i];
        }
    if (core.volts <= 0)
        return core;
    if (is_toroid(element->part))
        assume(cooling, info->part->ref, "core-inrush-multiple", multiple, 15, 80,
               "first peak in rated RMS currents of a toroidal transformer (makers' notes: 8 to 15 "
               "typical, 30 to 90)");
    else
        assume(cooling, info->part->ref, "core-inrush-multiple", multiple, 5, 60,
               "first peak in rated RMS currents; 5 to 15 for EI cores, 25 to 60 for toroidal ones "
               "(from memory); it is not said to be toroidal");
    core.peak = fmin(multiple * rated_voltamps(info, core.volts, core.ohms) / core.volts,
                     ROOT_TWO * core.volts /
                         (core.ohms + fmax(source->figures[4], LEAST_SOURCE_OHMS)));
    return core;
}

/* The same current in each section of the primary: in series it flows through all of them. */
static void add_inrush(struct cooling *cooling, const struct core *core, size_t section)
{
    struct network *network = cooling->cold->network;
    size_t first = 2 * section;
    size_t ends[2] = {core->element->nodes[first], core->element->nodes[first + 1]};
    double period = 1 / core->source->figures[2], seconds = INRUSH_PERIODS * period;
    struct element *inrush = network_add_element(network, &device_core_inrush,
                                                 core->element->part, ends, 2);

    inrush->figures[0] = core->peak;
    inrush->figures[1] = core->source->figures[2];
    inrush->figures[2] = core->source->figures[3];
    network_add_branch(network, inrush, ends[0], ends[1], BRANCH_KIND_COUNT, false);
    add_warming(cooling, &(struct warming){.element = inrush->index,
                                           .course = WARMING_EXPONENTIAL,
                                           .cold = core->peak * exp(0.5 / INRUSH_PERIODS),
                                           .seconds = seconds});
}

static void magnetise(struct cooling *cooling, const struct element *element,
                      const struct element *source)
{
    const struct part_info *info = &cooling->parts->items[element->part->index];
    struct core core = core_of(cooling, element, source);

    if (core.volts <= 0)
        return;
    if (!cooling->cold->has_cores)
        assume(cooling, NULL, "core-inrush-periods", INRUSH_PERIODS, 1, 4,
               "time constant of the decay of the core's inrush, in periods (gone in 3 to 8 cycles, "
               "from memory)");
    cooling->cold->has_cores = true;
    for (size_t i = 0; i < element->branch_count; i++)
        if (is_primary(info, cooling->cold->network->branches[element->first_branch + i].section))
            add_inrush(cooling, &core, i);
}

static void note_coreless(struct cooling *cooling, const char *ref)
{
    struct cold_network *cold = cooling->cold;

    cold->coreless = arena_grow(cooling->arena, cold->coreless, &cold->coreless_capacity,
                                cold->coreless_count, sizeof *cold->coreless);
    cold->coreless[cold->coreless_count++] = ref;
}

struct cold_network *cold_network_new(struct arena *arena, const struct network *network)
{
    struct cold_network *cold = arena_alloc(arena, sizeof *cold);
    struct cooling cooling = {.arena = arena, .cold = cold, .parts = network->parts};
    const struct element *source = mains_source(network);

    cold->network = network_change(arena, network, NULL, 0);
    for (size_t i = 0; i < network->element_count; i++)
        cool_element(&cooling, cold->network->elements[i]);
    for (size_t i = 0; i < network->element_count && source != NULL; i++)
        if (network->elements[i]->device == &device_transformer)
            magnetise(&cooling, cold->network->elements[i], source);
        else if (network->elements[i]->device == &device_coupled)
            note_coreless(&cooling, network->elements[i]->part->ref);
    return cold;
}

void cold_network_at_crest(struct cold_network *cold)
{
    for (size_t i = 0; i < cold->warming_count; i++) {
        struct warming *warming = &cold->warmings[i];
        struct element *element = cold->network->elements[warming->element];

        if (element->device == &device_core_inrush)
            element->figures[0] = warming->cold = 0;
    }
}

void cold_network_warmed(struct cold_network *cold)
{
    cold_network_at_crest(cold);
    for (size_t i = 0; i < cold->warming_count; i++) {
        struct warming *warming = &cold->warmings[i];

        warming->cold = warming->hot;
        cold->network->elements[warming->element]->figures[0] = warming->hot;
    }
}
