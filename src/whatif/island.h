/* The part of a network that a fault can be felt in. */
#ifndef PREARC_WHATIF_ISLAND_H
#define PREARC_WHATIF_ISLAND_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct network;

/* Islands: elements that hang together when the ground and the mains terminals are cut, for both are held stiffly
 * whatever happens elsewhere. */
struct islands {
    size_t *of_element; /* island of each element; SIZE_MAX: a mains source, in every island */
    size_t *of_node;    /* island of each node; SIZE_MAX: ground, a mains terminal or an unused node */
    size_t count;
};

struct islands islands_find(struct arena *arena, const struct network *network);

#endif
