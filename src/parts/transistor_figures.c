/* Transistors: which way their current flows, and the figures of their equations: of the .model card that the netlist brings, else of
 * the type, else those of a usual transistor if at least the polarity is known. */
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"
#include "parts/wording.h"

enum family { BIPOLAR, INSULATED_GATE, JUNCTION_GATE, FAMILY_COUNT };

static const struct model_type {
    const char *name;
    enum family family;
    double polarity;
} model_types[] = {
    {"NPN", BIPOLAR, 1},         {"PNP", BIPOLAR, -1},         {"NMOS", INSULATED_GATE, 1},
    {"PMOS", INSULATED_GATE, -1}, {"VDMOS", INSULATED_GATE, 1}, {"NJF", JUNCTION_GATE, 1},
    {"PJF", JUNCTION_GATE, -1},
};

/* Parameters of .model cards, and what SPICE takes for one that is left out (SPICE3 manual). */
static const struct parameter_row {
    enum family family;
    const char *name;
    enum figure_id id;
    double otherwise, factor;
} parameters[] = {
    {BIPOLAR, "is", FIGURE_SATURATION_AMPS, 1e-16, 1},
    {BIPOLAR, "bf", FIGURE_FORWARD_GAIN, 100, 1},
    {BIPOLAR, "br", FIGURE_REVERSE_GAIN, 1, 1},
    {BIPOLAR, "nf", FIGURE_EMISSION, 1, 1},
    {BIPOLAR, "vaf", FIGURE_EARLY_VOLTS, 0, 1},
    {INSULATED_GATE, "vto", FIGURE_THRESHOLD_VOLTS, 0, 1},
    {INSULATED_GATE, "kp", FIGURE_TRANSCONDUCTANCE, 2e-5, 1},
    {INSULATED_GATE, "lambda", FIGURE_CHANNEL_LAMBDA, 0, 1},
    {JUNCTION_GATE, "vto", FIGURE_THRESHOLD_VOLTS, -2, 1},
    {JUNCTION_GATE, "beta", FIGURE_TRANSCONDUCTANCE, 1e-4, 2},
    {JUNCTION_GATE, "lambda", FIGURE_CHANNEL_LAMBDA, 0, 1},
    {JUNCTION_GATE, "is", FIGURE_SATURATION_AMPS, 1e-14, 1},
};

/* A transistor of unknown type, from memory: what lies between small-signal and power types. Threshold volts are those of an N
 * channel. */
static const struct generic_row {
    enum family family;
    enum figure_id id;
    double value, low, high;
    const char *why;
} generics[] = {
    {BIPOLAR, FIGURE_FORWARD_GAIN, 120, 30, 500,
     "no model of it; transistors have a current gain of 30 (power) to 500 (small signal)"},
    {BIPOLAR, FIGURE_SATURATION_AMPS, 1e-13, 5e-15, 5e-12,
     "no model of it; a silicon transistor is taken: 0.66 V at 10 mA from base to emitter"},
    {INSULATED_GATE, FIGURE_THRESHOLD_VOLTS, 3, 1, 4,
     "no model of it; insulated-gate types begin to conduct at 1 to 4 V"},
    {INSULATED_GATE, FIGURE_TRANSCONDUCTANCE, 2, 0.05, 20,
     "no model of it; KP lies between 0.05 (small signal) and 20 A/V^2 (power)"},
    {JUNCTION_GATE, FIGURE_THRESHOLD_VOLTS, -2, -6, -0.4,
     "no model of it; junction-gate types are cut off at -0.4 to -6 V"},
    {JUNCTION_GATE, FIGURE_TRANSCONDUCTANCE, 2e-3, 8e-4, 1e-2,
     "no model of it; twice BETA lies between 0.8 and 10 mA/V^2"},
    {JUNCTION_GATE, FIGURE_SATURATION_AMPS, 1e-14, 1e-15, 1e-12,
     "no model of it; the gate's leakage is of no account"},
};

/* What needs no record: no rail depends on it. */
static const struct constant_row {
    enum family family;
    enum figure_id id;
    double value;
} constants[] = {
    {BIPOLAR, FIGURE_REVERSE_GAIN, 5},   {BIPOLAR, FIGURE_EMISSION, 1},
    {BIPOLAR, FIGURE_EARLY_VOLTS, 100},  {INSULATED_GATE, FIGURE_CHANNEL_LAMBDA, 0.005},
    {JUNCTION_GATE, FIGURE_CHANNEL_LAMBDA, 0.01},
};

/* Words of symbols and values. JIS C 7012: 2SA and 2SB are PNP, 2SC and 2SD NPN, 2SJ and 2SK P and N channels. IRF9 and IRFP9: P
 * channels (makers' usage, from memory). */
static const struct polarity_word {
    const char *pattern;
    enum family family;
    double polarity;
} words[] = {
    {"*NPN*", BIPOLAR, 1},          {"*PNP*", BIPOLAR, -1},
    {"2SA#*", BIPOLAR, -1},         {"2SB#*", BIPOLAR, -1},
    {"2SC#*", BIPOLAR, 1},          {"2SD#*", BIPOLAR, 1},
    {"*NMOS*", INSULATED_GATE, 1},  {"*PMOS*", INSULATED_GATE, -1},
    {"*NJF*", JUNCTION_GATE, 1},    {"*PJF*", JUNCTION_GATE, -1},
    {"*JFET_N*", JUNCTION_GATE, 1}, {"*JFET_P*", JUNCTION_GATE, -1},
    {"IRF9#*", INSULATED_GATE, -1}, {"IRFP9#*", INSULATED_GATE, -1},
    {"IRF#*", INSULATED_GATE, 1},   {"IRFP#*", INSULATED_GATE, 1},
    {"2SJ#*", INSULATED_GATE, -1},  {"2SK#*", INSULATED_GATE, 1},
};

static bool fits_kind(const struct part_info *info, enum family family)
{
    return (info->kind == PART_TRANSISTOR) == (family == BIPOLAR);
}

static void set_given(const struct recogniser *recogniser, struct part_info *info,
                      enum figure_id id, double value, const char *why)
{
    if (part_figure(info, id) == NULL)
        part_set_figure(recogniser->arena, info, id, value, value, value, FIGURE_FROM_NETLIST, why);
}

static const struct model *find_model(const struct recogniser *recogniser,
                                      const struct part_info *info)
{
    const char *names[] = {info->part->symbol, info->part->value};
    const struct model *model = NULL;

    for (size_t i = 0; i < sizeof names / sizeof *names && model == NULL; i++)
        if (names[i] != NULL)
            model = circuit_part_model(recogniser->circuit, info->part, names[i]);
    return model;
}

static const struct model_type *find_model_type(const struct model *model)
{
    for (size_t i = 0; model != NULL && model->type != NULL &&
                       i < sizeof model_types / sizeof *model_types; i++)
        if (strcasecmp(model->type, model_types[i].name) == 0)
            return &model_types[i];
    return NULL;
}

static double parameter_value(const struct recogniser *recogniser, struct part_info *info,
                              const struct model *model, const struct parameter_row *row)
{
    const char *text = model_parameter(model, row->name);
    struct quantity quantity = {.value = row->otherwise};

    if (text != NULL && (!quantity_parse(text, QUANTITY_SPICE, UNIT_NONE, &quantity) ||
                         !isfinite(quantity.value))) {
        part_doubt(recogniser->arena, info, "%s of its .model %s is \"%.40s\", which is no number",
                   row->name, model->name, text);
        quantity.value = row->otherwise;
    }
    return quantity.value;
}

/* W and L of an instance, whose ratio multiplies KP; 1 if they are not both given. */
static double channel_shape(const struct part_info *info)
{
    struct quantity width, length;
    const char *w = part_field(info->part, "w"), *l = part_field(info->part, "l");

    if (w == NULL || l == NULL || !quantity_parse(w, QUANTITY_SPICE, UNIT_NONE, &width) ||
        !quantity_parse(l, QUANTITY_SPICE, UNIT_NONE, &length) || !(length.value > 0) ||
        !(width.value > 0))
        return 1;
    return width.value / length.value;
}

/* A card that says P channel without numbers of its own still tells the polarity. The threshold of a junction gate is below 0 on
 * the card of either polarity, on a sheet above 0 for a P channel. */
static bool from_model(const struct recogniser *recogniser, struct part_info *info,
                       enum family *family)
{
    const struct model *model = find_model(recogniser, info);
    const struct model_type *type = find_model_type(model);
    double polarity;
    const char *why;

    if (type == NULL || !fits_kind(info, type->family))
        return false;
    *family = type->family;
    polarity = model_parameter(model, "pchan") != NULL ? -1 : type->polarity;
    why = arena_print(recogniser->arena, ".model %s", model->name);
    for (size_t i = 0; i < sizeof parameters / sizeof *parameters; i++) {
        const struct parameter_row *row = &parameters[i];
        double value;

        if (row->family != *family)
            continue;
        value = row->factor * parameter_value(recogniser, info, model, row);
        if (row->id == FIGURE_THRESHOLD_VOLTS && *family == JUNCTION_GATE)
            value *= polarity;
        if (row->id == FIGURE_TRANSCONDUCTANCE && *family == INSULATED_GATE)
            value *= channel_shape(info);
        set_given(recogniser, info, row->id, value, why);
    }
    set_given(recogniser, info, FIGURE_POLARITY, polarity, why);
    return true;
}

/* The word that TEXT fits; NULL if none. */
static const struct polarity_word *find_word(const struct part_info *info, const char *text)
{
    struct wording wording;

    if (text == NULL)
        return NULL;
    wording_start(&wording, text);
    for (size_t i = 0; i < sizeof words / sizeof *words && wording.length > 0; i++)
        if (fits_kind(info, words[i].family) &&
            pattern_matches(words[i].pattern, wording.text, wording.length))
            return &words[i];
    return NULL;
}

static const struct polarity_word *polarity_told(const struct part_info *info)
{
    const char *texts[] = {info->part->symbol, info->part->value, info->type};
    const struct polarity_word *word = NULL;

    for (size_t i = 0; i < sizeof texts / sizeof *texts && word == NULL; i++)
        word = find_word(info, texts[i]);
    return word;
}

static void assume_equation(const struct recogniser *recogniser, struct part_info *info,
                            enum family family)
{
    double polarity = part_figure_value(info, FIGURE_POLARITY, 1);

    for (size_t i = 0; i < sizeof generics / sizeof *generics; i++) {
        const struct generic_row *row = &generics[i];
        double sign = row->id == FIGURE_THRESHOLD_VOLTS ? polarity : 1;

        if (row->family == family && part_figure(info, row->id) == NULL)
            part_set_figure(recogniser->arena, info, row->id, sign * row->value,
                            fmin(sign * row->low, sign * row->high),
                            fmax(sign * row->low, sign * row->high), FIGURE_ASSUMED, row->why);
    }
}

static void set_constants(const struct recogniser *recogniser, struct part_info *info,
                          enum family family)
{
    for (size_t i = 0; i < sizeof constants / sizeof *constants; i++)
        if (constants[i].family == family && part_figure(info, constants[i].id) == NULL)
            part_set_figure(recogniser->arena, info, constants[i].id, constants[i].value,
                            constants[i].value, constants[i].value, FIGURE_FROM_LIBRARY,
                            "usual, no source; no rail depends on it");
}

/* A current that the netlist states stands for the transistor: it needs no equation. */
static bool is_stated(const struct part_info *info)
{
    const struct figure *amps = part_figure(info, FIGURE_IDLE_AMPS);

    return amps != NULL && amps->origin == FIGURE_FROM_NETLIST;
}

void transistor_figures(const struct recogniser *recogniser, struct part_info *info,
                        const struct type *type)
{
    const struct polarity_word *word = polarity_told(info);
    enum family family = info->kind == PART_TRANSISTOR ? BIPOLAR : INSULATED_GATE;
    bool modelled = from_model(recogniser, info, &family);

    ratings_from_type(recogniser, info, type);
    if (!modelled && type != NULL && family != BIPOLAR &&
        part_figure(info, FIGURE_SATURATION_AMPS) != NULL)
        family = JUNCTION_GATE;
    if (part_figure(info, FIGURE_POLARITY) == NULL && word != NULL)
        set_given(recogniser, info, FIGURE_POLARITY, word->polarity, "its symbol or type number");
    if (part_figure(info, FIGURE_POLARITY) == NULL || is_stated(info))
        return;
    if (!modelled && word != NULL && part_figure(info, FIGURE_THRESHOLD_VOLTS) == NULL)
        family = word->family;
    assume_equation(recogniser, info, family);
    set_constants(recogniser, info, family);
}
