/* The mean currents of an output stage under drive, and how they follow the mean volts of its electrodes. */
#ifndef PREARC_WHATIF_MEAN_CURRENT_H
#define PREARC_WHATIF_MEAN_CURRENT_H

#include <stdbool.h>

#include "whatif/drive_cycle.h"

struct output_stage;

/* Currents of one valve of the stage, A. */
struct valve_amps {
    double anode, screen;
};

/* A mean current as c0 + by_anode Va + by_screen Vs + by_grid Vg, volts being means against the cathode. */
struct mean_tangent {
    double amps, by_anode, by_screen, by_grid; /* A, S */
};

struct mean_current {
    bool solved;
    struct mean_tangent anode, screen; /* of one valve */
    struct cycle cycle;                /* at the volts that it was taken at */
    double grid_peak;                  /* V, of the grids about their mean; 0 where it was estimated */
};

/* At mean electrode volts VOLTS. LAST: the mean currents last known (idle ones to begin with),
 * which tell what the source volts of the cycle are; IDLE: those without a signal, for stages
 * whose valves have no equation. SQUARE: the wave, else a sine. */
struct mean_current mean_current_find(const struct output_stage *stage,
                                      struct electrode_volts volts, struct valve_amps last,
                                      struct valve_amps idle, bool square);

double mean_tangent_amps(const struct mean_tangent *tangent, struct electrode_volts volts);

/* What the estimate takes for the anode's swing as a share of its volts, and for the screens'
 * share of the anodes' current, with their ranges. */
struct estimate_share {
    double value, low, high;
    const char *what, *reason;
};
extern const struct estimate_share estimate_swing, estimate_screen;

#endif
