/* The operating point of a system, as a start for more. */
#ifndef PREARC_SOLVE_OPERATING_POINT_H
#define PREARC_SOLVE_OPERATING_POINT_H

#include <stdbool.h>

struct arena;
struct network;
struct solution;
struct system;

/* Leaves the operating point in SYSTEM's x. False: not found; SYSTEM's worst row and singular tell. */
bool operating_point_find(struct system *system);

/* The operating point of one island, with its workspace in ARENA. */
struct solution *operating_point_solve(struct arena *arena, const struct network *network);

#endif
