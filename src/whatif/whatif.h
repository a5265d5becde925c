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
    double peak;             /* A, largest of either sign in a period */
};

struct fault_carrier {
    size_t branch;           /* carries the fault current meanwhile */
    double amps;             /* RMS */
};

enum fault_kind { FAULT_SHORT, FAULT_OPEN };

/* What fails. */
enum fault_site {
    SITE_RAIL,         /* a rail's node to its return: a reservoir or filter capacitor, or the wire */
    SITE_DIODE,        /* a diode of a rectifier */
    SITE_WINDING,      /* a winding's end to frame */
    SITE_HEATER,       /* a heater winding's end to chassis */
    SITE_VALVE,        /* two electrodes of a valve */
    SITE_PRIMARY,      /* an output transformer's primary to frame */
    SITE_COUPLING,     /* a capacitor before the grid of a power valve */
    SITE_REGULATOR,    /* input to output */
    SITE_TRANSISTOR,   /* main terminals of an output transistor */
    SITE_FUSE          /* a fuse-link open */
};

/* A fuse that is guaranteed to open, one after the other until nothing feeds the fault. */
struct fault_stage {
    size_t fuse;             /* index in whatif.fuses */
    double amps;             /* RMS in it, with the fuses of the stages before open */
    double opens_by;         /* s from the start of the fault; that of the stage before counts in full */
};

enum fault_outcome {
    OUTCOME_CLEARED,         /* the last stage leaves next to nothing flowing */
    OUTCOME_FED_ON,          /* no further fuse is guaranteed to open; of an open fuse: something is worse */
    OUTCOME_HARMLESS,        /* no part carries much more than in health, and nothing else was found worse */
    OUTCOME_UNKNOWN          /* not solved, or not with a fuse of some stage open */
};

/* What else a fault brings. */
enum worse_kind {
    WORSE_BIAS,              /* V, mean, grid to cathode of a power valve whose anode keeps its supply */
    WORSE_ANODE_WATTS,       /* W of a power valve's anode; limit: its rating */
    WORSE_SPEAKER,           /* V, mean, across a loudspeaker */
    WORSE_SUPPLY,            /* V, mean, at a regulator's output */
    WORSE_CAPACITOR,         /* V, mean, across a capacitor; limit: its rating */
    WORSE_STORED             /* V, mean, across a capacitor that no resistance discharges any more; limit: harmless volts */
};
struct fault_worse {
    enum worse_kind kind;
    const struct part *part;
    double before, after;
    double limit;            /* NAN: none known */
    double joules;           /* of WORSE_STORED; else NAN */
};

struct fault {
    const char *id;          /* "short-rail1-HT2" */
    enum fault_kind kind;
    enum fault_site site;
    const char *what;        /* in plain words: "C1 short", "V4 anode to cathode" */
    const struct part **parts; /* that it is about, each once */
    size_t part_count, part_capacity;
    size_t rail;             /* index in trace->rails; SIZE_MAX: not about a rail's node */
    size_t node, back;       /* a short: shorted nodes, of a rail a node and its return; an open fuse: its ends */
    size_t branch;           /* of the open fuse */
    bool direct;             /* solved for direct volts alone: whatif/held_rails.h */
    size_t valve;            /* SITE_COUPLING: index in the sweep's power valves; else SIZE_MAX */
    bool on_bias;            /* a short of a net that gives valves their bias */
    enum solve_status status;
    const char *blame;
    struct fault_through *through;
    size_t through_count;
    struct fault_carrier *carriers; /* winding sections, diodes, chokes, resistors that carry more than 10 % of it */
    size_t carrier_count;
    const struct part *limiter; /* a resistor that drops more than half of the node's volts meanwhile, so that it limits
                                   the current and is the victim; NULL: winding and rectifier alone limit it */
    double amps;             /* RMS through the short itself; 0 for an open fuse */
    double opens_by;         /* s: earliest guaranteed opening that ends it; INFINITY: nothing does. A rail's short: as the
                              * graph says who can end it; else the first stage's, if the fault is cleared at all */
    size_t opened_by;        /* index in fuses of that fuse; SIZE_MAX: none */
    struct stress *stresses; /* what suffers until it is cleared: whatif/stress.h */
    size_t stress_count;
    size_t *follows;         /* branches that an open fuse opens in turn: valves gone cold, contacts of relays that let go */
    size_t follow_count;
    struct fault_stage *stages;
    size_t stage_count;
    enum fault_outcome outcome;
    double cleared_by;       /* s: the last stage's; INFINITY unless OUTCOME_CLEARED */
    double left_amps;        /* RMS through the short after the last stage */
    size_t overloaded;       /* branch: the winding section that, fed on, carries the largest multiple of its rating, where that
                              * is more than 1 */
    double overload_amps;    /* RMS in it; 0: there is none */
    struct fault_worse *worse;
    size_t worse_count, worse_capacity;
};

struct power_valve;

struct whatif {
    struct fuse_state *fuses;
    size_t fuse_count;
    struct fault *faults;
    size_t fault_count, fault_capacity;
    size_t rail_faults;      /* so many of them, the first, are of SITE_RAIL */
    const struct power_valve *valves; /* power valves, valve_count of them */
    size_t valve_count;
    size_t behind_dropper;   /* rail nodes without a capacitor not shorted because of WHATIF_DROPPER_OHMS */
    size_t valves_passed_over; /* valve sections not shorted because of it */
};

/* A wire or valve behind droppers of this many ohms together is not shorted: the current there is the dropper's affair, far
 * below what any fuse-link of a rail opens at (500 V / 1 kohm = 0.5 A). Capacitors there are. Common practice, no source. */
#define WHATIF_DROPPER_OHMS 1e3

/* Tries, one at a time, everything that credibly fails short, and every fuse open (candidates.h), and solves each.
 * HEALTHY is the steady state of the sound circuit (its currents tell what a fault adds); where it was not solved no fault
 * is: such a fault has the status and blame of HEALTHY. */
struct whatif *whatif_run(struct arena *arena, const struct network *network,
                          const struct trace *trace, const struct solution *healthy,
                          const struct fitted *fitted, size_t fitted_count);
/* Only lists what there is to try and tries the fault whose id is ONE, or none if it is NULL. */
struct whatif *whatif_run_one(struct arena *arena, const struct network *network, const struct trace *trace,
                              const struct solution *healthy, const struct fitted *fitted, size_t fitted_count,
                              const char *one);

/* A copy of the sound NETWORK with FAULT of WHATIF, tried, in it. */
struct network *whatif_network(struct arena *arena, const struct whatif *whatif, const struct fault *fault,
                               const struct network *network);

const char *fault_kind_name(enum fault_kind kind);          /* "short", "open" */
const char *fault_site_name(enum fault_site site);          /* "rail", "diode", "winding", ... */
const char *fault_outcome_name(enum fault_outcome outcome); /* "cleared", "fed-on", "harmless", "unknown" */
const char *fault_worse_name(enum worse_kind kind);         /* "bias-volts", "stored-volts", ... */

#endif
