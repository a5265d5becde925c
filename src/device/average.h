/* A network in which transistors follow the mean of what steers them, for where their full equations have no steady state. */
#ifndef PREARC_DEVICE_AVERAGE_H
#define PREARC_DEVICE_AVERAGE_H

#include <stdbool.h>

struct arena;
struct network;

/* Whether NETWORK has transistors. */
bool average_applies(const struct network *network);

/* A copy. Nodes and branches of BASE keep their indices; those of the means come after them. BASE must outlive it. */
struct network *average_network(struct arena *arena, const struct network *base);

#endif
