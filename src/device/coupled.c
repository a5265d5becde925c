/* Inductors coupled to each other. Nodes: start and end of each, 2 * section_count. matrix: mutual
 * inductances, H, section_count squared, row by row; ohms: series resistance of each, ohm. No figures.
 * Unknowns and states: the current of each from start to end, A. */
#include "device/device.h"

#include "device/network.h"

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

const struct device device_coupled = {
    .name = "coupled inductors",
    .unknowns = sections,
    .states = sections,
    .stamp = stamp_it,
    .amps = find_amps,
    .store = store_it,
    .linear = true,
};
