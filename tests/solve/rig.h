/* A network put together by hand. */
#ifndef PREARC_TESTS_SOLVE_RIG_H
#define PREARC_TESTS_SOLVE_RIG_H

#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/solve.h"

struct rig {
    struct arena *arena;
    struct network *network;
};

static inline struct rig rig_new(double hertz)
{
    struct rig rig = {.arena = arena_new()};

    rig.network = arena_alloc(rig.arena, sizeof *rig.network);
    rig.network->arena = rig.arena;
    rig.network->hertz = hertz;
    rig.network->ground = network_add_node(rig.network, "0", NULL);
    return rig;
}

/* The node NAME, made if it is not there. */
static inline size_t rig_node(struct rig *rig, const char *name)
{
    for (size_t i = 0; i < rig->network->node_count; i++)
        if (strcmp(rig->network->nodes[i].name, name) == 0)
            return i;
    return network_add_node(rig->network, name, NULL);
}

/* A two-terminal part; its branch runs from A to B. Returns the branch's index. */
static inline size_t rig_add(struct rig *rig, const char *ref, const struct device *device,
                             const char *a, const char *b, const double figures[5])
{
    struct part *part = arena_alloc(rig->arena, sizeof *part);
    size_t nodes[2] = {rig_node(rig, a), rig_node(rig, b)};
    struct element *element;

    part->ref = ref;
    element = network_add_element(rig->network, device, part, nodes, 2);
    memcpy(element->figures, figures, 5 * sizeof *figures);
    return network_add_branch(rig->network, element, nodes[0], nodes[1], BRANCH_RESISTANCE, false)
        ->index;
}

static inline size_t rig_resistor(struct rig *rig, const char *ref, const char *a, const char *b,
                                  double ohms)
{
    return rig_add(rig, ref, &device_resistor, a, b, (double[5]){ohms});
}

static inline size_t rig_capacitor(struct rig *rig, const char *ref, const char *a, const char *b,
                                   double farads)
{
    return rig_add(rig, ref, &device_capacitor, a, b, (double[5]){farads});
}

static inline size_t rig_inductor(struct rig *rig, const char *ref, const char *a, const char *b,
                                  double henries, double ohms)
{
    return rig_add(rig, ref, &device_inductor, a, b, (double[5]){henries, ohms});
}

/* A sine of the rig's frequency. */
static inline size_t rig_sine(struct rig *rig, const char *ref, const char *a, const char *b,
                              double peak, double phase, double ohms)
{
    return rig_add(rig, ref, &device_source, a, b,
                   (double[5]){0, peak, rig->network->hertz, phase, ohms});
}

static inline size_t rig_direct(struct rig *rig, const char *ref, const char *a, const char *b,
                                double volts)
{
    return rig_add(rig, ref, &device_source, a, b, (double[5]){volts});
}

static inline size_t rig_diode(struct rig *rig, const char *ref, const char *a, const char *b,
                               double saturation, double emission, double ohms)
{
    return rig_add(rig, ref, &device_diode, a, b, (double[5]){saturation, emission, ohms});
}

static inline size_t rig_load(struct rig *rig, const char *ref, const char *a, const char *b,
                              double amps, double knee)
{
    return rig_add(rig, ref, &device_load, a, b, (double[5]){amps, knee});
}

/* Windings on one core; ENDS are start and end of each section. */
static inline struct element *rig_transformer(struct rig *rig, const char *ref, size_t sections,
                                              const char *const *ends, const double *turns,
                                              const double *ohms, double henries)
{
    struct part *part = arena_alloc(rig->arena, sizeof *part);
    size_t *nodes = arena_array(rig->arena, 2 * sections, sizeof *nodes);
    double *kept = arena_array(rig->arena, 2 * sections, sizeof *kept);
    struct element *element;

    part->ref = ref;
    for (size_t i = 0; i < 2 * sections; i++)
        nodes[i] = rig_node(rig, ends[i]);
    for (size_t i = 0; i < sections; i++) {
        kept[i] = turns[i];
        kept[sections + i] = ohms[i];
    }
    element = network_add_element(rig->network, &device_transformer, part, nodes, 2 * sections);
    element->section_count = sections;
    element->turns = kept;
    element->ohms = kept + sections;
    element->figures[0] = henries;
    for (size_t i = 0; i < sections; i++)
        network_add_branch(rig->network, element, nodes[2 * i], nodes[2 * i + 1], BRANCH_WINDING,
                           false);
    return element;
}

static inline struct solution *rig_solve(struct rig *rig)
{
    return solve_steady(rig->arena, rig->network, NULL);
}

static inline const struct wave *rig_volts(struct rig *rig, const struct solution *solution,
                                           const char *name)
{
    return &solution->nodes[rig_node(rig, name)];
}

#endif
