/* The conduction graph of a network: its nodes, its branches, and how many ohms lie along each. */
#ifndef PREARC_TRACE_CONDUCTION_H
#define PREARC_TRACE_CONDUCTION_H

#include <stdbool.h>
#include <stddef.h>

#include "circuit/graph.h"
#include "parts/parts.h"

struct arena;
struct branch;
struct network;

struct conduction {
    struct arena *arena;
    const struct network *network;
    struct graph_edge *edges;     /* one a branch; length in ohm */
    struct graph *graph;
    bool *open;                   /* by branch: no DC goes through: capacitor, opened branch */
    bool *wire;                   /* by branch: fuse, closed contact, source of zero volts */
    bool *riding;                 /* by branch: winding that carries the output of the valve it heats */
    bool *beside;                 /* by branch: resistor or capacitor across a diode (balancing, snubber) */
    struct graph_search *search, *second;
    bool *skip, *barred;          /* scratch of whoever runs a search; clear between uses (barred), copy of open (skip) */
    double *least;                /* scratch of loops_measure, node_count of them */
    double hertz;                 /* at which capacitors are rated as a way for current */
};

struct conduction *conduction_new(struct arena *arena, const struct network *network);

/* What is known of a branch's part; NULL in a network without recognised parts. */
const struct part_info *conduction_info(const struct conduction *conduction, size_t branch);
enum part_kind conduction_kind(const struct conduction *conduction, size_t branch);

/* Does a current of a supply walk BRANCH on its way to a load: wire, resistor, choke? */
bool conduction_passive(const struct conduction *conduction, size_t branch);
/* A resistance of at most CONDUCTION_SMALL_OHMS. */
bool conduction_small(const struct conduction *conduction, size_t branch);
/* What draws its rated current: the heater of a valve, a lamp, a relay's coil. It is no way for a fault's current. */
bool conduction_is_rated_load(const struct conduction *conduction, size_t branch);
/* What a regulator passes on: a rail goes on behind it. */
bool conduction_regulates(const struct branch *branch);
bool conduction_is_capacitor(const struct conduction *conduction, size_t branch);
/* Nodes of the two ends. */
size_t conduction_other(const struct conduction *conduction, size_t branch, size_t node);
bool conduction_is_ground(const struct conduction *conduction, size_t node);
const char *conduction_node_name(const struct conduction *conduction, size_t node);

/* Largest resistance that is still part of a return or of the way from an inlet to a primary (back-bias resistor,
 * inrush limiter, lamp limiter, ground lift) and not a load or divider. Common practice, no source. */
#define CONDUCTION_SMALL_OHMS 1000.0

#endif
