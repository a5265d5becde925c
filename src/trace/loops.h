/* Fault loops: ways for a source's current out to a shorted node, through the short, and back. */
#ifndef PREARC_TRACE_LOOPS_H
#define PREARC_TRACE_LOOPS_H

#include <stdbool.h>
#include <stddef.h>

#include "trace/conduction.h"
#include "trace/trace.h"

/* One half-cycle of one section of a source: current leaves it at OUT and comes back at IN. Sections of one source are in
 * phase: what they drive in one PHASE, 0 or 1, happens at the same time, and one loop in it is as good as another. */
struct half_cycle {
    size_t section; /* branch */
    size_t out, in; /* node indices */
    size_t phase;
};

enum { PHASES = 2 };

struct half_cycles {
    struct half_cycle *items;
    size_t count;
};

struct tracing;

/* The half-cycles of a source: two a section, one for a DC source. In the trace's arena. */
struct half_cycles half_cycles_list(struct tracing *tracing, size_t source);

/* A loop counts only if its series resistance is at most LOOPS_COUNTED times that of the least loop of the node: a
 * bleeder, balancing or bias resistor beside an opened fuse then passes less than about 1 % of the fault current, which
 * no fuse was meant to stop. The numeric solve draws its line at the same 1 %. Resistance on the way to the node itself
 * is in both figures, so a node behind a dropper is judged by the current the dropper lets through. To cover a loop is
 * to the credit of a fuse only if the loop is a main one, at most LOOPS_MAIN times the least: the others (through a
 * heater to the far end of its winding) carry little of the fault. */
#define LOOPS_COUNTED 100.0
#define LOOPS_MAIN 10.0

/* TIMES the ohms of a node's least loop; negative if LEAST is INFINITY: there is none. */
double loops_limit(double least, double times);

/* COUNT loops of one node, every fuse in (ALL) and one fuse out (LEFT): full if no loop that counts is left, none if every
 * main loop is, else partial. LOST, if not NULL, is set for every counted loop that went. Entries are STRIDE apart. */
enum coverage loops_compare(const double *all, const double *left, bool *lost, size_t count,
                            size_t stride);
/* The least of COUNT entries, STRIDE apart. */
double loops_least(const double *ohms, size_t count, size_t stride);

struct loop_query {
    struct half_cycle half;
    size_t back;          /* the far end of the short; the near end is each node asked for */
    bool negative;        /* the short's current runs from BACK to the node, not from the node to BACK */
    const size_t *nodes;  /* shorted one at a time */
    size_t count;
    const size_t *block;  /* by branch: where NODES and BACK are the ends of a branch, the blocks with it in: every loop lies in
                           * that of half.section, and nothing else is walked. NULL: everything is */
};

/* OHMS gets for every node the series resistance of the loop found, INFINITY if there is none. Branches set in
 * conduction->skip are not there. Both halves of a loop share no node: a current that came back to a node it had passed
 * would close its loop there and leave the short out. FUSES, if not NULL, gets the fuses on any loop found. True if an
 * exact search had to be given up: nodes it concerns are taken to have a loop of that of the least ohms possible. */
bool loops_measure(struct conduction *conduction, const struct loop_query *query, double *ohms,
                   bool *fuses);

#endif
