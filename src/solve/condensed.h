/* A system condensed to the rows that nonlinear elements touch. For a given step all other unknowns are linear functions of
 * those, of the energy states and of the sources; a stage is then a small dense Newton iteration, and its new energy states a
 * product with small dense matrices. The iterates are those of the whole system but for rounding. */
#ifndef PREARC_SOLVE_CONDENSED_H
#define PREARC_SOLVE_CONDENSED_H

#include <stdbool.h>

struct arena;
struct condensed;
struct system;

/* NULL where it would not be worth it: too many such rows or energy states. Lives in ARENA; end with condensed_free. */
struct condensed *condensed_new(struct arena *arena, struct system *system);
void condensed_free(struct condensed *condensed);

/* The step of the system was set: what was condensed no longer holds. */
void condensed_renew(struct condensed *condensed);
/* Solves one stage at TIME from HISTORY, which must stay until the next one, into STATES (other than HISTORY); x of the system is the start, and only
 * its active rows the result. False: not usable at this step, or not converged within a few plain steps; nothing is lost, the
 * whole system can be solved instead. */
bool condensed_solve(struct condensed *condensed, double time, const double *history,
                     double *states);
/* Fills in the rest of x after condensed_solve. */
void condensed_complete(struct condensed *condensed);
/* Fills in ROW alone. */
void condensed_complete_row(struct condensed *condensed, int row);
/* What the last stage makes of the derivative of its history: HISTORY and OUT, state_count squared, column by column; they may be
 * the same. */
void condensed_differentiate(struct condensed *condensed, const double *history, double *out);

#endif
