/* Resistor. Nodes: two ends. figures[0]: resistance, ohm. */
#include "device/device.h"

#include "device/network.h"
#include "device/spelling.h"

/* Below this a resistance only spoils the arithmetic, ohm. */
#define LEAST_OHMS 1e-6

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static double siemens(const struct element *element)
{
    return 1 / (element->figures[0] > LEAST_OHMS ? element->figures[0] : LEAST_OHMS);
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    stamp_conductance(stamp, rows->nodes[0], rows->nodes[1], siemens(element));
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    amps[0] = siemens(element) *
              (stamp_volts(stamp, rows->nodes[0]) - stamp_volts(stamp, rows->nodes[1]));
}

static void spell(const struct element *element, const struct spelling *spelling)
{
    spell_resistor(spelling, NULL, spelling->nodes[0], spelling->nodes[1], 1 / siemens(element));
}

const struct device device_resistor = {
    .name = "resistor",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
    .linear = true,
};
