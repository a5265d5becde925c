/* Inductor with its winding resistance. Nodes: start, end. figures[0]: inductance, H; figures[1]: series
 * resistance, ohm. Unknown and state: current from start to end, A. */
#include "device/device.h"

#include "base/text.h"
#include "device/network.h"
#include "device/spelling.h"

/* Keeps the current defined when an inductor lies across an ideal source, ohm. */
#define LEAST_OHMS 1e-6

static size_t one(const struct element *element)
{
    (void)element;
    return 1;
}

/* v - R i - L/step (i - i_before) = 0; a plain resistance at an operating point. */
static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    double reactive = stamp->step > 0 ? element->figures[0] / stamp->step : 0;
    double ohms = element->figures[1] > LEAST_OHMS ? element->figures[1] : LEAST_OHMS;
    int i = rows->current;

    stamp_add(stamp, rows->nodes[0], i, 1);
    stamp_add(stamp, rows->nodes[1], i, -1);
    stamp_add(stamp, i, rows->nodes[0], 1);
    stamp_add(stamp, i, rows->nodes[1], -1);
    stamp_add(stamp, i, i, -ohms - reactive);
    stamp_rhs(stamp, i, reactive > 0 ? -reactive * stamp->history[rows->state] : 0);
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    (void)element;
    amps[0] = stamp->guess[rows->current];
}

static void store_it(const struct element *element, const struct element_rows *rows,
                     const double *unknowns, double *states)
{
    (void)element;
    states[rows->state] = unknowns[rows->current];
}

static void spell(const struct element *element, const struct spelling *spelling)
{
    const char *name = spelling->name, *end = spelling->nodes[1];

    if (element->figures[1] > LEAST_OHMS) {
        text_print(spelling->out, "R%s %s__wire %s " SPELL_FIGURE "\n", name, name, end,
                   element->figures[1]);
        text_print(spelling->out, "L%s %s %s__wire ", name, spelling->nodes[0], name);
    } else {
        text_print(spelling->out, "L%s %s %s ", name, spelling->nodes[0], end);
    }
    text_print(spelling->out, SPELL_FIGURE " IC=" SPELL_FIGURE "\n", element->figures[0],
               spelling->start[0]);
}

const struct device device_inductor = {
    .name = "inductor",
    .unknowns = one,
    .states = one,
    .stamp = stamp_it,
    .amps = find_amps,
    .store = store_it,
    .spell = spell,
    .linear = true,
};
