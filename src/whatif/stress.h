/* What parts are asked to stand, beside what they are rated for and how long they stand more. */
#ifndef PREARC_WHATIF_STRESS_H
#define PREARC_WHATIF_STRESS_H

#include <stdbool.h>
#include <stddef.h>

#include "whatif/withstand.h"

struct arena;
struct branch;
struct network;
struct part_info;
struct solution;

enum stress_what {
    STRESS_SURGE,         /* peak of a rectifier's pulses, A */
    STRESS_SURGE_I2T,     /* of one pulse, A2s */
    STRESS_AVERAGE,       /* mean current of a rectifier; of a bridge its output, A */
    STRESS_REVERSE,       /* V that a rectifier stands off, or a little more */
    STRESS_PEAK_ANODE,    /* peak of one anode of a rectifier valve, A */
    STRESS_WINDING,       /* A RMS in a section of a transformer's winding */
    STRESS_CHOKE,         /* A RMS in a choke */
    STRESS_DISSIPATION,   /* W in a resistor */
    STRESS_ANODE,         /* W at an anode */
    STRESS_SCREEN,        /* W at a screen grid */
    STRESS_COLLECTOR,     /* W in a transistor */
    STRESS_VOLTS,         /* V across a capacitor, its highest */
    STRESS_REVERSED,      /* V across a polarised capacitor the wrong way, mean */
    STRESS_RIPPLE,        /* A RMS through a capacitor */
    STRESS_WHAT_COUNT
};

enum stress_verdict { STRESS_WITHIN, STRESS_NOT_KNOWN, STRESS_EXCEEDED };

struct stress {
    size_t branch;               /* of the whole network */
    enum stress_what what;
    double value, limit;         /* SI; limit NAN: not known */
    struct withstand withstands; /* at that value; NAN: not known */
    enum stress_verdict verdict; /* of the seconds that it lasts */
    bool sure;                   /* exceeded even by the longest time that it may stand */
    const char *source;          /* of the limit, and by what the time is found; or what is not known */
};

/* A solved network, all of a circuit or an excerpt of it, and how long it lasts. */
struct stress_case {
    const struct network *whole;
    const struct network *solved;  /* branch i of it is branch branches[i] of WHOLE, node i node nodes[i] */
    const struct solution *solution;
    const size_t *branches, *nodes; /* NULL: the same numbers */
    size_t branch_count;           /* those of SOLVED that are looked at, the first ones */
    double seconds;                /* INFINITY: for ever */
};

/* What is assumed of every transformer and choke of known rating: A/m2 of copper_usual, from that of
 * copper_most to that of copper_least. */
#define STRESS_DENSITY "winding-current-density"

/* Room for what one branch can have. */
enum { STRESSES_OF_BRANCH = 4 };

/* The stresses of branch INDEX of the case, whatever their verdict: always the same ones in the same order
 * for one branch of WHOLE. Returns how many. Means of products are taken as products of means: what hums on
 * an electrode is left out. */
size_t stress_of_branch(struct arena *arena, const struct stress_case *at, size_t index,
                        struct stress stresses[STRESSES_OF_BRANCH]);

/* What suffers in the case AT, against the steady state HEALTHY of WHOLE: what is beyond its limit, or more
 * than half of the way to it, or of unknown limit and more than a trifle, and markedly more than in health.
 * In the order of branches. A pure function; *COUNT of them in ARENA. */
struct stress *stress_find(struct arena *arena, const struct stress_case *at,
                           const struct solution *healthy, size_t *count);

const char *stress_what_name(enum stress_what what);          /* "winding-amps" */
const char *stress_verdict_name(enum stress_verdict verdict); /* "within", "exceeded", "unknown" */

#endif
