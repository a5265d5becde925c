/* Capacitor. Nodes: plus, minus. figures[0]: capacitance, F. State: V from plus to minus. */
#include "device/device.h"

#include "base/text.h"
#include "device/network.h"
#include "device/spelling.h"

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static size_t one(const struct element *element)
{
    (void)element;
    return 1;
}

/* Companion of an implicit stage: i = C/step (v - v_before). Open at an operating point. */
static double companion(const struct element *element, const struct stamp *stamp)
{
    return stamp->step > 0 ? element->figures[0] / stamp->step : 0;
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    double siemens = companion(element, stamp);

    stamp_conductance(stamp, rows->nodes[0], rows->nodes[1], siemens);
    stamp_current(stamp, rows->nodes[0], rows->nodes[1],
                  -siemens * (siemens > 0 ? stamp->history[rows->state] : 0));
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    double siemens = companion(element, stamp);
    double volts = stamp_volts(stamp, rows->nodes[0]) - stamp_volts(stamp, rows->nodes[1]);

    amps[0] = siemens > 0 ? siemens * (volts - stamp->history[rows->state]) : 0;
}

static void store_it(const struct element *element, const struct element_rows *rows,
                     const double *unknowns, double *states)
{
    const int *nodes = rows->nodes;

    (void)element;
    states[rows->state] = (nodes[0] == STAMP_GROUND ? 0 : unknowns[nodes[0]]) -
                          (nodes[1] == STAMP_GROUND ? 0 : unknowns[nodes[1]]);
}

static void spell(const struct element *element, const struct spelling *spelling)
{
    text_print(spelling->out, "C%s %s %s " SPELL_FIGURE " IC=" SPELL_FIGURE "\n", spelling->name,
               spelling->nodes[0], spelling->nodes[1], element->figures[0], spelling->start[0]);
}

const struct device device_capacitor = {
    .name = "capacitor",
    .unknowns = none,
    .states = one,
    .stamp = stamp_it,
    .amps = find_amps,
    .store = store_it,
    .spell = spell,
    .linear = true,
};
