#include <math.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"

/* SPICE's own defaults for a .model that leaves a parameter out (SPICE3 manual, diode model). */
static const struct model_row {
    const char *name;
    enum figure_id id;
    double otherwise; /* 0 and not needed: no figure */
    bool needed;
} model_rows[] = {
    {"is", FIGURE_SATURATION_AMPS, 1e-14, true},
    {"n", FIGURE_EMISSION, 1, true},
    {"rs", FIGURE_SERIES_OHMS, 0, true},
    {"bv", FIGURE_REVERSE_VOLTS, 0, false},
    {"vpk", FIGURE_REVERSE_VOLTS, 0, false},
    {"iave", FIGURE_AVERAGE_AMPS, 0, false},
};

/* A silicon rectifier of unknown type: the 1N4000 series, from memory (0.77 V at 0.1 A, 0.91 V at 1
 * A). A red LED: 2.2 V at 20 mA (Kingbright, WP7113SEC-J3, 2011). */
static const struct generic_row {
    enum figure_id id;
    double value, low, high, led, led_low, led_high;
} generics[] = {
    {FIGURE_SATURATION_AMPS, 7e-9, 1e-9, 1e-7, 6.6e-21, 1e-24, 1e-17},
    {FIGURE_EMISSION, 1.8, 1.5, 2.1, 2.0, 1.8, 2.5},
    {FIGURE_SERIES_OHMS, 0.034, 0.005, 0.1, 2, 1, 10},
};

static bool from_model(const struct recogniser *recogniser, struct part_info *info)
{
    const struct part *part = info->part;
    const struct model *model =
        part->symbol != NULL ? circuit_part_model(recogniser->circuit, part, part->symbol) : NULL;
    const char *why;

    if (model == NULL)
        return false;
    why = arena_print(recogniser->arena, ".model %s", model->name);
    for (size_t i = 0; i < sizeof model_rows / sizeof *model_rows; i++) {
        const struct model_row *row = &model_rows[i];
        const char *text = model_parameter(model, row->name);
        struct quantity quantity = {.value = row->otherwise};

        if (text != NULL && !quantity_parse(text, QUANTITY_SPICE, UNIT_NONE, &quantity))
            part_doubt(recogniser->arena, info,
                       "%s of its .model %s is \"%.40s\", which is no number", row->name,
                       model->name, text);
        if (text == NULL && !row->needed)
            continue;
        part_set_figure(recogniser->arena, info, row->id, quantity.value, quantity.value,
                        quantity.value, FIGURE_FROM_NETLIST, why);
    }
    return true;
}

static void assume(const struct recogniser *recogniser, struct part_info *info)
{
    bool led = info->kind == PART_LED;
    const char *why = led ? "no model of it; a red LED is taken: 2.2 V at 20 mA"
                          : "no model of it; a silicon rectifier of the 1N4000 series is taken";

    for (size_t i = 0; i < sizeof generics / sizeof *generics; i++) {
        const struct generic_row *row = &generics[i];

        if (part_figure(info, row->id) != NULL)
            continue;
        part_set_figure(recogniser->arena, info, row->id, led ? row->led : row->value,
                        led ? row->led_low : row->low, led ? row->led_high : row->high,
                        FIGURE_ASSUMED, why);
    }
}

void diode_figures(const struct recogniser *recogniser, struct part_info *info,
                   const struct type *type)
{
    from_model(recogniser, info);
    ratings_from_type(recogniser, info, type);
    assume(recogniser, info);
}
