/* Inside of the sweep: everything one fault needs. */
#ifndef PREARC_WHATIF_SWEEP_H
#define PREARC_WHATIF_SWEEP_H

#include <stdbool.h>
#include <stddef.h>

#include "solve/excerpt.h"
#include "solve/island.h"
#include "whatif/follower_stage.h"
#include "whatif/power_valves.h"
#include "whatif/reach.h"
#include "whatif/whatif.h"

struct arena;
struct change;
struct network;
struct solution;
struct trace;

struct sweep {
    struct arena *arena;   /* for what is kept */
    struct arena *scratch; /* for one fault's network and solution */
    struct excerpt excerpt; /* the islands that the fault is in */
    const struct network *network;
    const struct trace *trace;
    const struct solution *healthy;
    struct islands islands;
    struct reach reach;
    struct power_valves valves;
    struct follower_stages followers;
    size_t *fuse_of_branch; /* index in whatif->fuses; SIZE_MAX: no fuse */
    size_t *first_cover;    /* by rail, in covers; one more for the end */
    size_t *covers;         /* indices in trace->covers */
    struct whatif *whatif;
    /* Of the fault at hand: */
    const struct network *sound;    /* the excerpt, with the equations of valves where they are asked for */
    struct change *changes;         /* in the excerpt's numbers */
    size_t change_count, change_capacity;
    const struct network *faulted;  /* SOUND with CHANGES */
    const struct solution *solution;
    const bool *cold;               /* by part: a valve that has lost its heater; NULL: none has */
    bool direct;                    /* the solution is held_rails.h's */
};

/* Cuts out what FAULT concerns and puts it in; COLD, by part, or NULL: these valves conduct no more. */
void sweep_prepare(struct sweep *sweep, const struct fault *fault, const bool *cold);
/* The index in whatif->fuses of the fuse in branch LOCAL of the excerpt; SIZE_MAX: it is none. */
size_t sweep_fuse(const struct sweep *sweep, size_t local);
/* A RMS in health of branch LOCAL of the excerpt. */
double sweep_healthy_amps(const struct sweep *sweep, size_t local);
/* Solves SOUND with the changes, from START (NULL: from the healthy state). The solution is in SCRATCH. Of an open fuse, and of a
 * fuse that opens in a fault, the direct volts alone where no steady state is found: DIRECT says so. */
const struct solution *sweep_solve(struct sweep *sweep, const struct solution *start);
/* Adds the opening of branch LOCAL of the excerpt to the changes; false: no room. */
bool sweep_open(struct sweep *sweep, size_t local);
/* Whether the changes open BRANCH of the whole. */
bool sweep_is_open(const struct sweep *sweep, size_t branch);
/* Notes in FAULT, an open fuse, what the changes open besides it. */
void sweep_tell_follows(struct sweep *sweep, struct fault *fault);

/* clearing.c: which fuses open one after the other, and what is left. SWEEP's solution is that of FAULT. */
void clearing_follow(struct sweep *sweep, struct fault *fault);
/* worsening.c: what FAULT, solved, makes worse elsewhere. */
void sweep_add_worse(struct sweep *sweep, struct fault *fault, struct fault_worse worse);
void worsening_find(struct sweep *sweep, struct fault *fault);
/* The same of what is left once every fuse that must open has, in SWEEP's solution. */
void worsening_left(struct sweep *sweep, struct fault *fault);

#endif
