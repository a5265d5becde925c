/* Some islands of a network as a network of its own, numbered anew. */
#ifndef PREARC_SOLVE_EXCERPT_H
#define PREARC_SOLVE_EXCERPT_H

#include <stddef.h>

struct arena;
struct islands;
struct network;
struct solution;

struct excerpt {
    struct network *network; /* node 0 is the reference and stands for all references of the whole */
    size_t *nodes;           /* by node: the node of the whole; of node 0 its ground */
    size_t *branches;        /* by branch: the branch of the whole */
    size_t own_branches;     /* those from here on are of holding sources, perhaps of other islands too */
};

/* What an excerpt is to contain: islands by number, and nodes of the whole besides, with what holds them. */
struct excerpt_wish {
    const size_t *islands;
    size_t island_count;
    const size_t *nodes;
    size_t node_count;
};

/* In time and space in proportion to what is wished. */
struct excerpt excerpt_new(struct arena *arena, const struct islands *islands,
                           const struct excerpt_wish *wish);
/* Node of the excerpt that stands for NODE of the whole; SIZE_MAX: none does. */
size_t excerpt_node(const struct excerpt *excerpt, const struct islands *islands, size_t node);
/* Energy states of WHOLE for a warm start of the excerpt; NULL if it was not solved there. */
struct solution *excerpt_start(struct arena *arena, const struct excerpt *excerpt,
                               const struct solution *whole);

#endif
