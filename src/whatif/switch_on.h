/* What every fuse carries at switch-on, and whether it stands that for years. */
#ifndef PREARC_WHATIF_SWITCH_ON_H
#define PREARC_WHATIF_SWITCH_ON_H

#include <stdbool.h>
#include <stddef.h>

#include "fuselink/fuselink.h"
#include "solve/solve.h"

struct arena;
struct assumption;
struct network;
struct solution;
struct trace;
struct whatif;

/* The pulse of one fuse at the worst of the ways of switching on that were tried.
 *
 * J(t) is the I2t from switch-on to t less what the fuse carries at the end of it all for as long. It is compared with M(t), what
 * the link stands for t seconds (marking_pulse_i2t), at every t: a heater's inrush of seconds and the charging of a reservoir
 * are judged by the same measure. */
struct fuse_switch_on {
    enum solve_status status;
    const char *blame;    /* net or part where it failed, or NULL */
    const char *event;    /* "mains" or "standby": which switch was closed */
    double i2t;           /* A2s: largest J */
    double seconds;       /* s: by when J has reached 95 % of that */
    double peak;          /* A: largest magnitude */
    bool judged;          /* the fuse's rating is known; else nothing of what follows is */
    bool printed;         /* its melting I2t is; else the gates alone speak */
    double stands;        /* A2s: M where the share is largest */
    double share;         /* largest J/M; INFINITY: the link is not sure to stand anything */
    struct pulse_point *points; /* J by t, of all ways of switching on that were tried, in stretches of time */
    size_t point_count, point_capacity;
    double count;         /* switchings it is good for: pulse_count */
    const struct assumption **rests; /* what was assumed for it */
    size_t rest_count;
    const char *missing;  /* refs of transformers whose inrush is not in it, or NULL */
};

struct switch_on {
    struct fuse_switch_on *fuses; /* whatif->fuses, same order */
    size_t fuse_count;
    struct assumption *assumptions;
    size_t assumption_count;
};

/* The mains comes at its zero crossing, with the inrush of the cores, and at its crest, with none: the one is worst for cores,
 * the other for capacitors. Where there are a standby switch and a rectifier valve, the reservoirs are also taken to be empty
 * when the switch is closed on a warm rectifier. NULL if HEALTHY is not a solution: nothing can be said then. */
struct switch_on *switch_on_run(struct arena *arena, const struct network *network,
                                const struct trace *trace, const struct solution *healthy,
                                const struct whatif *whatif);

#endif
