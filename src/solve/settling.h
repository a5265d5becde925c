/* How long a circuit takes from rest to its steady state. */
#ifndef PREARC_SOLVE_SETTLING_H
#define PREARC_SOLVE_SETTLING_H

#include <stdbool.h>

struct network;
struct solution;

/* Seconds (whole periods of NETWORK's lowest frequency; of 20 ms where there is none) from all capacitors
 * empty and all inductors without current until every energy state is within SHARE of what it reaches in a
 * period, from that of the steady state SETTLED, and moves by no more than SETTLING_MOVE of that from one
 * period to the next. False if MOST_SECONDS or the work of some ten steady states do not suffice, if it
 * cannot be integrated, or if part of it was not solved; then *SECONDS is not set. */
#define SETTLING_MOVE 3e-5
bool settling_from_rest(const struct network *network, const struct solution *settled, double share,
                        double most_seconds, double *seconds);

#endif
