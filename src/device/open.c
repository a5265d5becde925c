/* An opened element: conducts nothing. Any number of nodes; no figures. */
#include "device/device.h"

#include "device/network.h"
#include "device/spelling.h"

static size_t none(const struct element *element)
{
    (void)element;
    return 0;
}

static void stamp_it(const struct element *element, const struct element_rows *rows,
                     struct stamp *stamp)
{
    (void)element;
    (void)rows;
    (void)stamp;
}

static void find_amps(const struct element *element, const struct element_rows *rows,
                      const struct stamp *stamp, double *amps)
{
    (void)rows;
    (void)stamp;
    for (size_t i = 0; i < element->branch_count; i++)
        amps[i] = 0;
}

/* Nothing: the deck says elsewhere what was left out. */
static void spell(const struct element *element, const struct spelling *spelling)
{
    (void)element;
    (void)spelling;
}

const struct device device_open = {
    .name = "open",
    .unknowns = none,
    .states = none,
    .stamp = stamp_it,
    .amps = find_amps,
    .spell = spell,
    .linear = true,
};
