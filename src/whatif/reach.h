/* What a rail feeds through little resistance: there a short draws a current that a fuse may see. */
#ifndef PREARC_WHATIF_REACH_H
#define PREARC_WHATIF_REACH_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct network;
struct part;
struct rail;
struct trace;

struct reach {
    const struct network *network;
    size_t *first, *links; /* branches at each node: links[first[node]] and so on up to first[node + 1] */
    double *ohms;          /* by node: resistance of the way from a node of a rail that lies behind less than
                              WHATIF_DROPPER_OHMS, that way included; INFINITY: as much or more, or no way */
    size_t *rail;          /* by node: the rail of that way; SIZE_MAX: none */
    bool *is_rail_node;    /* by node: a node of some rail that is not fed with alternating current, or a return */
};

/* In time in proportion to the network. */
struct reach reach_find(struct arena *arena, const struct network *network, const struct trace *trace);

/* Ohms of the droppers between RAIL's output and its node NODE (an index in its nodes). */
double reach_dropper_ohms(const struct network *network, const struct rail *rail, size_t node);

/* The one of them with the most; NULL: there is none. */
const struct part *reach_dropper(const struct network *network, const struct rail *rail, size_t node);

#endif
