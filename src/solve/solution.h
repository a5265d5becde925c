/* Making of the results. */
#ifndef PREARC_SOLVE_SOLUTION_H
#define PREARC_SOLVE_SOLUTION_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct network;
struct solution;
struct system;

struct solution *solution_new(struct arena *arena, const struct network *network);
/* False, with the status set, if the network is too large. */
bool solution_check_size(struct solution *solution, const struct network *network);
/* The system did not solve: status and blame. */
void solution_fail(struct solution *solution, const struct system *system);
/* Takes x for constant (an operating point). */
void solution_hold(struct solution *solution, struct system *system);

/* Energy states in a solution are kept by branch, so that they can be found again in a changed network: the
 * states of an element are at its first branch and the next ones. */
void solution_keep_states(struct solution *solution, const struct system *system,
                          const double *states);
/* Into STATES those that START knows; the others stay. */
void solution_find_states(const struct solution *start, const struct system *system,
                          double *states);

/* Gathering over a period: start, one call a step, end. */
void solution_start(struct solution *solution, const struct system *system);
void solution_add(struct solution *solution, struct system *system, const double *history,
                  double *amps);
void solution_end(struct solution *solution, const struct system *system, size_t steps);

#endif
