/* The periodic steady state of one island. */
#ifndef PREARC_SOLVE_STEADY_H
#define PREARC_SOLVE_STEADY_H

struct arena;
struct network;
struct record;
struct solution;
struct solve_options;

/* NETWORK has an AC source. The solution and all workspace live in ARENA. RECORD->first is given; the rest is filled in from the
 * last period, on success. */
struct solution *steady_solve(struct arena *arena, const struct network *network,
                              const struct solve_options *options, struct record *record);

#endif
