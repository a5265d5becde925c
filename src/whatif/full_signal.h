/* The output stages driven to clipping: what the supply then gives, and what each fuse then carries. */
#ifndef PREARC_WHATIF_FULL_SIGNAL_H
#define PREARC_WHATIF_FULL_SIGNAL_H

#include <stdbool.h>
#include <stddef.h>

#include "whatif/follower_stage.h"
#include "whatif/mean_current.h"
#include "whatif/output_stage.h"

struct arena;
struct network;
struct solution;
struct trace;

/* How far a stage is driven. */
enum signal {
    SIGNAL_SINE,   /* the sine that just brings the grids to their cathodes */
    SIGNAL_SQUARE, /* the same amplitude as a square wave: clipped right through */
    SIGNAL_COUNT
};

/* One stage under one signal. */
struct stage_signal {
    bool solved;
    struct cycle cycle;           /* currents and heat of one valve, W into the load */
    struct electrode_volts volts; /* means of the valves */
    double grid_peak;             /* V, of the grids about their mean; 0 where it was estimated */
};

/* The whole circuit under one signal in all of its stages at once. */
struct signal_state {
    struct solution *solution;  /* NULL: not found; then BLAME says at what it stuck, or is NULL */
    const char *blame;
    /* By branch: A RMS of the signal's alternating current, which comes on top of the solution's. */
    double *audio;
    struct stage_signal *stages; /* as in full_signal.stages */
    struct follower_signal *followers; /* as in full_signal.followers */
};

/* What could not be said of a part at full signal, and what would settle it. */
struct full_gap {
    const char *part, *what, *need;
};

struct full_signal {
    struct output_stages stages;
    struct follower_stages followers;
    struct valve_amps *idle;             /* by stage: mean of its valves in the healthy circuit, A */
    struct electrode_volts *idle_volts;  /* by stage */
    struct signal_state states[SIGNAL_COUNT];
    struct stage_notes notes;            /* what the figures rest on */
    struct full_gap *gaps;
    size_t gap_count, gap_capacity;
};

/* HEALTHY: the steady state without a signal. Never NULL; without output stages both solutions are NULL. */
struct full_signal *full_signal_find(struct arena *arena, const struct network *network,
                                     const struct trace *trace, const struct solution *healthy);

/* A RMS of a branch, the signal's share included; NAN: not known. */
double full_signal_rms(const struct full_signal *full, enum signal signal, size_t branch);

#endif
