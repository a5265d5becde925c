/* Valve sections that a rail feeds without a dropper: what fails short in them, and what they draw when their
 * grids change. */
#ifndef PREARC_WHATIF_POWER_VALVES_H
#define PREARC_WHATIF_POWER_VALVES_H

#include <stddef.h>

#include "device/network.h"

struct arena;
struct device;
struct part_info;
struct reach;
struct solution;

struct power_valve {
    const struct part_info *info;
    size_t unit;
    size_t anode, cathode, screen, grid; /* nodes; SIZE_MAX: none connected */
    size_t anode_branch, screen_branch;  /* SIZE_MAX: none */
    /* Its equation, where the network has the current it is said to draw in place of it; NULL: the network has the
     * equation, or nobody has. */
    const struct device *model;
    double figures[ELEMENT_FIGURES];
    double grid_shift; /* V added to the grid's so that the equation gives that current */
};

struct power_valves {
    struct power_valve *items;
    size_t count, capacity;
    size_t passed_over; /* sections whose anode lies behind WHATIF_DROPPER_OHMS or more */
    size_t *of_branch;  /* by branch: the valve whose anode branch it is; SIZE_MAX: none */
};

struct power_valves power_valves_find(struct arena *arena, const struct network *network,
                                      const struct reach *reach, const struct solution *healthy);

/* Puts the equation in place of the told current: the loads of branches ANODE and SCREEN (SIZE_MAX: none) of NETWORK, a
 * copy, conduct no more, and a valve steered by node GRID comes at its end. */
void power_valve_put(struct network *network, const struct power_valve *valve, size_t anode, size_t screen,
                     size_t grid);

/* W, mean volts times mean current of VALVE's anode: node FROM to node TO, in SOLUTION of NETWORK. */
double power_valve_watts(const struct network *network, const struct solution *solution,
                         const struct power_valve *valve, size_t anode, size_t cathode);

#endif
