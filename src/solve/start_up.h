/* The transient after switch-on, from rest. */
#ifndef PREARC_SOLVE_START_UP_H
#define PREARC_SOLVE_START_UP_H

#include <stdbool.h>
#include <stddef.h>

#include "solve/solve.h"

struct arena;
struct network;
struct warming;

struct surge_point {
    double seconds; /* since switch-on */
    double i2t;     /* A2s since switch-on */
};

/* What one branch carries. */
struct surge {
    size_t branch;
    enum solve_status status;
    const char *blame;     /* net or part where it failed, or NULL */
    struct surge_point *points; /* in order of time, the first at 0 */
    size_t point_count, point_capacity;
    double peak;           /* largest magnitude, A */
    double settled_square; /* mean of the squared current over the last period, A2 */
};

struct start_up_options {
    const struct warming *warmings;
    size_t warming_count;
    double angle;          /* rad of the first AC source's sine at switch-on */
    double seconds;        /* no longer than this, s; 0: until nothing changes any more */
    bool until_smooth;     /* no longer than until periods first could be skipped */
};

/* Fills in SURGES, of which branch is given: SURGE_COUNT branches of elements without energy states (fuses). Every capacitor is
 * empty and no inductor carries current at the start. Points and blame live in ARENA. No global state: two runs give the same
 * bits. */
void start_up_run(struct arena *arena, const struct network *network,
                  const struct start_up_options *options, struct surge *surges,
                  size_t surge_count);

#endif
