/* Operating point and periodic steady state of a network. */
#ifndef PREARC_SOLVE_SOLVE_H
#define PREARC_SOLVE_SOLVE_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct network;

enum solve_status {
    SOLVE_OK,
    SOLVE_SINGULAR,       /* the matrix has no solution: blame names a net or part */
    SOLVE_NOT_CONVERGED,  /* Newton or the search for the steady state did not settle */
    SOLVE_TOO_LARGE,
    SOLVE_NOT_KNOWN       /* of a fault or a pulse only: what feeds it is not known (whatif/unknown_feed.h) */
};

/* One waveform over one period. At an operating point all but ripple equal the value. */
struct wave {
    double mean, rms, low, high; /* V or A */
};

struct solution {
    enum solve_status status; /* the worst of the network's islands */
    const char *blame;     /* net or part of the first island of that status, or NULL */
    double hertz;          /* of the period; 0: operating point only, there is no AC source */
    struct wave *nodes;    /* node volts against ground; network->node_count of them */
    struct wave *branches; /* branch amps FROM -> TO; network->branch_count of them */
    bool *node_solved;     /* by node: its island was solved, whatever became of others; else its wave means nothing */
    bool *branch_solved;   /* the same by branch */
    double *charge;        /* unused by rules; energy states at the period's start, for a warm start */
    size_t state_count;
    bool averaged;         /* in some island transistors had to follow the mean of what steers them: device/average.h */
    size_t periods;        /* periods integrated to get there */
};

struct solve_options {
    double relative;         /* of the steady state; 0: 1e-4 */
    size_t steps;            /* steps a period, 0: chosen */
    const struct solution *start; /* a solution of a network with the same elements to start from, or NULL */
    double effort;           /* share of the usual work after which a search is given up; 0: 1 */
};

/* DC operating point: AC sources at zero, inductors short, capacitors open. */
struct solution *solve_operating_point(struct arena *arena, const struct network *network);

/* Periodic steady state in the time domain, each island (see island.h) by itself; an operating point where there is no
 * AC source. Never NULL; look at status. No global state: two runs give the same bits. */
struct solution *solve_steady(struct arena *arena, const struct network *network,
                              const struct solve_options *options);

#endif
