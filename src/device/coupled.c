/* Inductors coupled to each other. Nodes: start and end of each, 2 * section_count. matrix: mutual
 * inductances, H, section_count squared, row by row; ohms: series resistance of each, ohm. No figures.
 * Unknowns and states: the current of each from start to end, A. */
#include "device/device.h"

#include <math.h>

#include "base/text.h"
#include "device/network.h"
#include "device/spelling.h"

/* As in an inductor: keeps currents defined, ohm. */
#define LEAST_OHMS 1e-6

static size_t sections(const struct element *element)
{
    return element->section_count;
}

static double series(const struct element *element, size_t k)
{
    return element->ohms[k] > LEAST_OHMS ? element->ohms[k] : LEAST_OHMS;
}

/* v_k - R_k i_k - sum_j M_kj/step (i_j - i_j before) = 0. */
static void stamp_section(const struct element *element, const struct element_rows *rows,
                          struct stamp *stamp, size_t k)
{
    const double *mutual = &element->matrix[k * element->section_count];
    int start = rows->nodes[2 * k], end = rows->nodes[2 * k + 1], row = rows->current + (int)k;
    double history = 0;

    stamp_add(stamp, start, row, 1);
    stamp_add(stamp, end, row, -1);
    stamp_add(stamp, row, start, 1);
    stamp_add(stamp, row, end, -1);
    stamp_add(stamp, row, row, -series(element, k));
    for (size_t j = 0; j < element->section_count; j++) {
        double reactive = stamp->step > 0 ? mutual[j] / stamp->step : 0;

        stamp_add(stamp, row, rows->current + (int)j, -reactive);
        if (stamp->step > 0)
            history += reactive * stamp->history[rows->state + (int)j];
    }
    stamp_rhs(stamp, row, -history);
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    for (size_t k = 0; k < element->section_count; k++)
        stamp_section(element, rows, stamp, k);
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    for (size_t k = 0; k < element->section_count; k++)
        amps[k] = stamp->guess[rows->current + (int)k];
}

static void store_it(const struct element *element, const struct element_rows *rows,
                     const double *unknowns, double *states)
{
    for (size_t k = 0; k < element->section_count; k++)
        states[rows->state + (int)k] = unknowns[rows->current + (int)k];
}

static double henries(const struct element *element, size_t row, size_t column)
{
    return element->matrix[row * element->section_count + column];
}

/* K lines: every pair, also where the circuit names fewer. */
static void spell_couplings(const struct element *element, const struct spelling *spelling)
{
    const char *name = spelling->name;

    for (size_t i = 0; i < element->section_count; i++)
        for (size_t j = i + 1; j < element->section_count; j++)
            if (henries(element, i, j) != 0)
                text_print(spelling->out, "K%s__%zu_%zu L%s__%zu L%s__%zu " SPELL_FIGURE "\n", name,
                           i + 1, j + 1, name, i + 1, name, j + 1,
                           henries(element, i, j) /
                               sqrt(henries(element, i, i) * henries(element, j, j)));
}

/* The nodes of section K's inductance, behind the WIRE if it has resistance. 1e-6 ohm would be worse than none: beside its
 * conductance the arithmetic of a simulator loses what leaks out of a floating winding. */
static void spell_ends(const struct spelling *spelling, size_t k, bool wire)
{
    if (wire)
        text_print(spelling->out, "%s__%zu ", spelling->name, k + 1);
    else
        text_print(spelling->out, "%s ", spelling->nodes[2 * k]);
    text_print(spelling->out, "%s ", spelling->nodes[2 * k + 1]);
}

static void spell(const struct element *element, const struct spelling *spelling)
{
    const char *name = spelling->name;

    for (size_t k = 0; k < element->section_count; k++) {
        bool wire = element->ohms[k] > LEAST_OHMS;

        if (wire)
            text_print(spelling->out, "R%s__%zu %s %s__%zu " SPELL_FIGURE "\n", name, k + 1,
                       spelling->nodes[2 * k], name, k + 1, element->ohms[k]);
        text_print(spelling->out, "L%s__%zu ", name, k + 1);
        spell_ends(spelling, k, wire);
        text_print(spelling->out, SPELL_FIGURE " IC=" SPELL_FIGURE "\n", henries(element, k, k),
                   spelling->start[k]);
    }
    spell_couplings(element, spelling);
}

const struct device device_coupled = {
    .name = "coupled inductors",
    .unknowns = sections,
    .states = sections,
    .stamp = stamp_it,
    .amps = find_amps,
    .store = store_it,
    .spell = spell,
    .linear = true,
};
