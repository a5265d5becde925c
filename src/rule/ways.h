/* Ways for direct current between nodes: how many ohms lie along the shortest, and which nodes hang together. */
#ifndef PREARC_RULE_WAYS_H
#define PREARC_RULE_WAYS_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct network;
struct ways;

/* Resistances, fuses and chokes are always ways; these only if asked for. */
enum way {
    WAY_CONTACT = 1,  /* closed contacts */
    WAY_WINDING = 2,  /* windings, by their resistance */
    WAY_ALL = WAY_CONTACT | WAY_WINDING
};

/* A node is firm if it is the reference, an end of a source, or a capacitor of this and more stands between it and the
 * reference, F, or two of them in series with nothing but resistors or a winding between: what keeps the volts of rails and
 * bias supplies, not what couples signals. Common practice, no source. */
#define WAYS_FIRM_FARADS 1e-6

struct ways *ways_new(struct arena *arena, const struct network *network);

/* Ohm of the shortest way between two nodes that does not go through the reference; INFINITY: none. ALSO: enum way, or'd. */
double ways_ohms(struct ways *ways, size_t from, size_t to, unsigned also);
/* The same from one node to every other, by node; it lasts until the next question. Beyond LIMIT, in ohm, nothing is looked at. */
const double *ways_from(struct ways *ways, size_t from, unsigned also, double limit);
/* The same to the nearest firm node; 0 if FROM is one. */
double ways_firm_ohms(struct ways *ways, size_t from, unsigned also);
/* The node with volts firmly held that ways_firm_ohms found last; SIZE_MAX: none. */
size_t ways_firm_node(const struct ways *ways);

bool ways_is_firm(const struct ways *ways, size_t node);
/* Some way of any sort, diodes and the main paths of transistors and loads other than valves included, joins the two. */
bool ways_joined(const struct ways *ways, size_t a, size_t b);
/* Ohm of one branch as a way; NAN: it is none. */
double ways_branch_ohms(const struct network *network, size_t branch);

/* The branches at NODE: their indices, how many in *COUNT. */
const size_t *ways_branches(const struct ways *ways, size_t node, size_t *count);

#endif
