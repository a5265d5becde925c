/* Nodes that nothing ties to the reference. */
#ifndef PREARC_SOLVE_FLOATING_H
#define PREARC_SOLVE_FLOATING_H

#include <stddef.h>

struct arena;
struct network;

/* One node of every island that has no conductive way to the reference (capacitors and the coupling between windings
 * do not conduct), lowest index first, into NODES (node_count of them); returns how many. */
size_t floating_nodes(struct arena *arena, const struct network *network, size_t *nodes);

#endif
