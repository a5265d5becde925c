/* The parts of a network that know nothing of each other. */
#ifndef PREARC_SOLVE_ISLAND_H
#define PREARC_SOLVE_ISLAND_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct element;
struct network;

/* Islands: elements that hang together when the network is cut at its fixed nodes, those whose volts nothing can change.
 * Fixed are the reference; one node of every piece without a conductive or capacitive way to the reference (which node is
 * counted from is of no consequence there); and what ideal sources, without resistance, hold against a fixed node. The cut is exact:
 * each island solved by itself gives what the whole would. The current of a holding source is the sum of what the
 * islands at it draw. */
struct islands {
    const struct network *network;
    size_t *of_element;  /* island of each element; SIZE_MAX: opened, or a source that holds a node */
    size_t *of_node;     /* island of each node; SIZE_MAX: fixed, or nothing is connected to it */
    bool *is_reference;  /* by node: 0 V by definition */
    const struct element **holders; /* by node: the ideal source that holds it; NULL: none */
    size_t *first;       /* by island, in elements; one more for the end */
    size_t *elements;    /* element indices by island, rising within each */
    size_t count;
    size_t *local_nodes; /* workspace of excerpt_new, by node: SIZE_MAX between calls */
};

struct islands islands_find(struct arena *arena, const struct network *network);
/* Gives ISLANDS, a copy, a workspace of its own in ARENA: for another thread. */
void islands_part(struct arena *arena, struct islands *islands);

#endif
