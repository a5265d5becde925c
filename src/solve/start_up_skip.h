/* Inside of start_up_run: a run as it stands, and the periods of it that are skipped. */
#ifndef PREARC_SOLVE_START_UP_SKIP_H
#define PREARC_SOLVE_START_UP_SKIP_H

#include <stdbool.h>
#include <stddef.h>

#include "solve/period.h"

struct arena;
struct network;
struct start_up_options;
struct surge;
struct system;
struct warming;

/* Of one island. */
struct start_up {
    struct arena *arena;          /* for the points */
    const struct start_up_options *options;
    double longest;               /* s: it is broken off then */
    struct network *network;      /* of the excerpt; its elements are its own */
    struct system *system;
    struct period period;
    struct warming *warmings;     /* elements of the excerpt */
    size_t warming_count;
    struct surge **surges;        /* those of the excerpt */
    size_t *branches;             /* of the excerpt, by surge */
    size_t surge_count;
    double *amps;                 /* workspace: branches of one element */
    double *last;                 /* by surge: amps at the end of the last step */
    double *square, *square_before; /* by surge: A2s of the last period and of the one before */
    double *scale;                /* by state: largest magnitude so far */
    double *capacity;             /* by state: F or H, of which it stores CAPACITY STATE^2 / 2; INFINITY: not looked at */
    double most_energy;           /* of one state so far: its CAPACITY STATE^2 */
    double *move, *move_before;   /* by state: over the last period and the one before */
    double offset;                /* s, of the sources' time at switch-on */
    double now;                   /* s since switch-on */
    size_t periods, since_skip;
    size_t skipped;               /* periods of a skip whose I2t is still to be counted */
};

/* Whether nothing changes any more. */
bool start_up_settled(const struct start_up *run);
/* Periods that may be skipped now; one is left to end on. */
size_t start_up_may_skip(const struct start_up *run);
/* Every state that moves slowly goes on geometrically for COUNT periods; the others are held. */
void start_up_skip(struct start_up *run, size_t count);

#endif
