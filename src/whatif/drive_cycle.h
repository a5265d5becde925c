/* One cycle of a signal through an output stage, quasi-static: at each phase the valves and
 * their load line agree. */
#ifndef PREARC_WHATIF_DRIVE_CYCLE_H
#define PREARC_WHATIF_DRIVE_CYCLE_H

#include <stdbool.h>
#include <stddef.h>

#include "whatif/valve_probe.h"

/* Levels of the grid's swing about its mean, -1 to 1, each for as long as every other. */
enum { DRIVE_LEVELS_LARGEST = 30 };
struct drive {
    double levels[DRIVE_LEVELS_LARGEST];
    size_t count;
};

/* A sine of PEAK, 1 being that which just brings the grid to the cathode's volts: 30 phases of
 * half a cycle, the other half being the same again. */
struct drive drive_sine(double peak);
/* A square wave that reaches the cathode's volts: what a stage far beyond clipping comes to. */
struct drive drive_square(void);

/* The valves of one side, alike and in parallel. */
struct cycle_side {
    const struct element *valve; /* its equation */
    double valves;
};

/* What is around them. */
struct cycle_circuit {
    struct cycle_side sides[2];
    size_t side_count;   /* 2: push-pull, 1: single-ended */
    double load_ohms;    /* anode to anode; single-ended: anode to supply */
    /* share of the anode's swing that the screens see: 0 pentode, 1 joined to the anode */
    double tap;
    double screen_ohms;  /* in series with each screen, without a capacitor behind it */
    double common_ohms;  /* the same for all screens together */
};

/* Ohms between the source volts that the cycle starts from and the mean volts of the electrodes:
 * what it costs that currents have a mean. A rise of the screen current of one valve, all being
 * alike, lowers its mean volts by SCREEN. */
struct cycle_ohms {
    double anode_by_anode, anode_by_screen; /* V of the anode by each valve's anode and screen current */
    double screen_by_anode, screen_by_screen;
};
struct cycle_ohms cycle_mean_ohms(const struct cycle_circuit *circuit);

struct cycle {
    bool solved;
    double anode, screen;             /* A, mean of one valve */
    double watts;                     /* W into the load, the transformer's losses included */
    double anode_watts, screen_watts; /* W, mean heat of one valve's */
    bool cuts_off;                    /* some valve stops conducting at some level */
    double anode_amps[2][DRIVE_LEVELS_LARGEST]; /* A of one valve of each side by level */
    double screen_amps[2][DRIVE_LEVELS_LARGEST];
};

/* SOURCE: volts of anode and screen supply against the cathode (what the electrodes had if they
 * drew nothing), and the mean of the grid, which must be negative. */
struct cycle drive_cycle(const struct cycle_circuit *circuit, const struct drive *drive,
                         struct electrode_volts source);

/* The peak of the sine at which the stage begins to clip: 1, the grid then being at the
 * cathode's volts, or less if the anodes reach their knee before. */
double drive_clipping(const struct cycle_circuit *circuit, struct electrode_volts source);

#endif
