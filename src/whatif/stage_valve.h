/* One valve section of an output stage: its branches, its equation, the ways of its currents. */
#ifndef PREARC_WHATIF_STAGE_VALVE_H
#define PREARC_WHATIF_STAGE_VALVE_H

#include <stdbool.h>
#include <stddef.h>

#include "whatif/audio_path.h"
#include "whatif/valve_probe.h"

struct arena;
struct element;
struct network;
struct part;
struct part_info;
struct solution;

struct stage_valve {
    const struct part *part;
    size_t side;            /* 0 or 1 */
    size_t anode, screen;   /* network branches; screen SIZE_MAX: it has none */
    /* Node that its drive is counted from: the grid's, or the reference if the grid has no way
     * for direct current. */
    size_t grid;
    struct element *model;  /* its equation; NULL: the type has no constants */
    /* V added to the grid's volts so that the equation gives the idle current; 0 where the
     * network itself has the equation. */
    double grid_shift;
    struct audio_path anode_path, screen_path, cathode_path; /* screen: not found where there is none */
};

/* What valves are looked for with. */
struct stage_valve_search {
    struct arena *arena;
    const struct network *network;
    const struct solution *healthy;
    struct audio_net net;
    size_t *direct;     /* what direct current ties together; see device/direct_path.h */
    bool *primary;      /* by node: a winding's end */
    bool *screen_stops; /* primary or still */
};

/* Ohms that may lie between an anode and its winding, and between a screen, a winding or a
 * cathode and where its current is taken over. */
#define STAGE_ANODE_OHMS 1e3
#define STAGE_SUPPLY_OHMS 1e5

/* UNIT of a valve from branch START on. False: its anode is not near a winding, or was not solved. */
bool stage_valve_find(const struct stage_valve_search *search, const struct part_info *info,
                      size_t unit, size_t start, struct stage_valve *valve);

/* Mean volts of a valve's electrodes against its cathode, the shift of its grid included; A of its screen. */
struct electrode_volts stage_valve_volts(const struct network *network,
                                         const struct stage_valve *valve,
                                         const struct solution *solution);
double stage_valve_screen_amps(const struct stage_valve *valve, const struct solution *solution);

#endif
