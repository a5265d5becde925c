/* Windings on one core. Nodes: dotted end and other end of each section, 2 * section_count. turns: relative
 * turns of each section; ohms: resistance of each, ohm. figures[0]: magnetising inductance seen at section 0, H.
 * Unknowns: the current of each section into its dotted end, A, then the volts per relative turn. State: the
 * magnetising current in amp times relative turns. The core does not saturate; leakage is left out. DC through
 * a section flows in the magnetising branch, as in reality. */
#include "device/device.h"

#include "base/text.h"
#include "device/network.h"
#include "device/spelling.h"

/* As in an inductor: keeps currents defined, ohm. */
#define LEAST_OHMS 1e-6

static size_t unknowns(const struct element *element)
{
    return element->section_count + 1;
}

static size_t one(const struct element *element)
{
    (void)element;
    return 1;
}

/* Magnetising inductance at one relative turn, H. */
static double unit_henries(const struct element *element)
{
    return element->figures[0] / (element->turns[0] * element->turns[0]);
}

static double series(const struct element *element, size_t k)
{
    return element->ohms[k] > LEAST_OHMS ? element->ohms[k] : LEAST_OHMS;
}

/* v_k - R_k i_k - n_k e = 0 */
static void stamp_section(const struct element *element, const struct element_rows *rows,
                          struct stamp *stamp, size_t k)
{
    int start = rows->nodes[2 * k], end = rows->nodes[2 * k + 1], row = rows->current + (int)k;
    int core = rows->current + (int)element->section_count;

    stamp_add(stamp, start, row, 1);
    stamp_add(stamp, end, row, -1);
    stamp_add(stamp, row, start, 1);
    stamp_add(stamp, row, end, -1);
    stamp_add(stamp, row, row, -series(element, k));
    stamp_add(stamp, row, core, -element->turns[k]);
    stamp_add(stamp, core, row, stamp->step > 0 ? element->turns[k] : 0);
}

/* sum n_k i_k - step/L e = magnetising current before; at an operating point e = 0. */
static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    int core = rows->current + (int)element->section_count;

    for (size_t k = 0; k < element->section_count; k++)
        stamp_section(element, rows, stamp, k);
    stamp_add(stamp, core, core, stamp->step > 0 ? -stamp->step / unit_henries(element) : 1);
    stamp_rhs(stamp, core, stamp->step > 0 ? stamp->history[rows->state] : 0);
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    for (size_t k = 0; k < element->section_count; k++)
        amps[k] = stamp->guess[rows->current + (int)k];
}

static void store_it(const struct element *element, const struct element_rows *rows,
                     const double *solved, double *states)
{
    double magnetising = 0;

    for (size_t k = 0; k < element->section_count; k++)
        magnetising += element->turns[k] * solved[rows->current + (int)k];
    states[rows->state] = magnetising;
}

/* Each section: its resistance, then its turns times the volts per turn of the core; its current, times its turns, into
 * the core, where the magnetising inductance takes the sum. No coupling is nearly 1: this is exact. */
static void spell(const struct element *element, const struct spelling *spelling)
{
    const char *name = spelling->name;

    for (size_t k = 0; k < element->section_count; k++) {
        if (element->ohms[k] > LEAST_OHMS) {
            text_print(spelling->out, "R%s__%zu %s %s__%zu " SPELL_FIGURE "\n", name, k + 1,
                       spelling->nodes[2 * k], name, k + 1, element->ohms[k]);
            text_print(spelling->out, "V%s__%zu %s__%zu %s__%zui 0\n", name, k + 1, name, k + 1, name, k + 1);
        } else {
            text_print(spelling->out, "V%s__%zu %s %s__%zui 0\n", name, k + 1, spelling->nodes[2 * k], name,
                       k + 1);
        }
        text_print(spelling->out, "E%s__%zu %s__%zui %s %s__core 0 " SPELL_FIGURE "\n", name, k + 1,
                   name, k + 1, spelling->nodes[2 * k + 1], name, element->turns[k]);
        text_print(spelling->out, "F%s__%zu 0 %s__core V%s__%zu " SPELL_FIGURE "\n", name, k + 1,
                   name, name, k + 1, element->turns[k]);
    }
    text_print(spelling->out, "L%s__core %s__core 0 " SPELL_FIGURE " IC=" SPELL_FIGURE "\n", name,
               name, unit_henries(element), spelling->start[0]);
}

const struct device device_transformer = {
    .name = "transformer",
    .unknowns = unknowns,
    .states = one,
    .stamp = stamp_it,
    .amps = find_amps,
    .store = store_it,
    .spell = spell,
    .linear = true,
};
