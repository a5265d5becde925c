/* How far to go along a step of Newton's method. */
#ifndef PREARC_SOLVE_DESCENT_H
#define PREARC_SOLVE_DESCENT_H

struct system;

/* The share (0..1) of the step in SYSTEM's residual after which the co-content no longer falls; 1 if it falls, or nearly, all
 * the way. The system is linearised at x. */
double descent_share(struct system *system);

#endif
