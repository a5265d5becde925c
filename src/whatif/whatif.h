/* What happens when a rail is shorted: who carries it, which fuse opens, by when. */
#ifndef PREARC_WHATIF_WHATIF_H
#define PREARC_WHATIF_WHATIF_H

#include <stdbool.h>
#include <stddef.h>

#include "bench/fitted.h"
#include "fuselink/fuselink.h"
#include "solve/solve.h"

struct arena;
struct change;
struct network;
struct part;
struct stress;
struct trace;

/* The marking a fuse is judged by. */
struct fuse_state {
    size_t branch;           /* network branch index */
    const char *drawn;       /* marking as drawn, or NULL */
    const char *fitted;      /* marking said to be fitted, or NULL */
    struct marking marking;  /* of the fitted one if given, else the drawn */
    bool known;              /* marking.rated and gates found */
    const struct gates *gates;
    const char *assumed;     /* words about an assumed characteristic, or NULL */
};

struct fault_through {
    size_t fuse;             /* index in whatif.fuses */
    double amps;             /* RMS in the fuse while the fault lasts */
    double opens_by;         /* s; INFINITY if nothing is guaranteed */
};

struct fault_carrier {
    size_t branch;           /* carries the fault current meanwhile */
    double amps;             /* RMS */
};

struct fault {
    const char *id;          /* "short-rail1-HT2" */
    size_t rail;             /* index in trace->rails */
    size_t node, back;       /* shorted node and its return */
    enum solve_status status;
    const char *blame;
    struct fault_through *through;
    size_t through_count;
    struct fault_carrier *carriers; /* winding sections, diodes, chokes, resistors that carry more than 10 % of it */
    size_t carrier_count;
    const struct part *limiter; /* a resistor that drops more than half of the node's volts meanwhile, so that it limits
                                   the current and is the victim; NULL: winding and rectifier alone limit it */
    double amps;             /* RMS through the short itself */
    double opens_by;         /* s: earliest guaranteed opening that ends it; INFINITY: nothing does */
    size_t opened_by;        /* index in fuses of that fuse; SIZE_MAX: none */
    struct stress *stresses; /* what suffers until it is cleared: whatif/stress.h */
    size_t stress_count;
};

struct whatif {
    struct fuse_state *fuses;
    size_t fuse_count;
    struct fault *faults;
    size_t fault_count, fault_capacity;
    size_t behind_dropper;   /* rail nodes not shorted because of WHATIF_DROPPER_OHMS */
};

/* A node behind droppers of this many ohms together is not shorted: the current there is the dropper's affair, far below
 * what any fuse-link of a rail opens at (500 V / 1 kohm = 0.5 A). Common practice, no source. */
#define WHATIF_DROPPER_OHMS 1e3

/* Shorts to its return, one at a time, every rail node not behind a dropper, and solves each. HEALTHY is the steady state
 * of the sound circuit (its currents tell what a fault adds); where it was not solved no fault is: such a fault has the status and
 * blame of HEALTHY. */
struct whatif *whatif_run(struct arena *arena, const struct network *network,
                          const struct trace *trace, const struct solution *healthy,
                          const struct fitted *fitted, size_t fitted_count);

/* What FAULT changes in the sound network. */
struct change whatif_change(const struct fault *fault);

#endif
