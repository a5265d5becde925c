/* Integration over one period of the sources. */
#ifndef PREARC_SOLVE_PERIOD_H
#define PREARC_SOLVE_PERIOD_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct solution;
struct system;

/* Amps of the last branches, from number FIRST on, at the end of each step: row by step. */
struct record {
    size_t first, width, steps;
    double *amps;
};

struct period {
    struct system *system;
    double seconds;
    size_t steps;
    double *start, *end;       /* energy states, state_count of each */
    double *largest;           /* magnitude each state reached in the period */
    double *sensitivity;       /* d end/d start, column by column, state_count squared; NULL: not wanted */
    struct solution *gather;   /* gets the waveforms; NULL: not wanted */
    struct record *record;     /* filled while waveforms are gathered; NULL: not wanted */
    /* workspace */
    double *now, *middle, *history, *amps;
    double *columns, *before, *between;
    bool condensed;            /* the last stage was solved condensed */
};

/* Workspace in ARENA, with room for a sensitivity if SENSITIVE. */
struct period period_new(struct arena *arena, struct system *system, double seconds,
                         bool sensitive);
/* Steps a period from now on. */
void period_set_steps(struct period *period, struct arena *arena, size_t steps);
/* Steps of H seconds from now on. */
void period_set_step(struct period *period, double h);
/* One step of H seconds, to which the step was set, of the states NOW from TIME on, divided if need be. False: it did not
 * converge. */
bool period_step(struct period *period, double time, double h);
/* The system's x in full, at the end of the last step. */
void period_complete(struct period *period);
/* ROW of it alone; STAMP_GROUND: nothing to do. */
void period_complete_row(struct period *period, int row);
/* Integrates from START to END. False: a step did not converge even when divided. */
bool period_run(struct period *period, bool sensitive);

#endif
