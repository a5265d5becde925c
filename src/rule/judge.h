/* What the computed shorts say of every fuse and rail, from the stages' results. */
#ifndef PREARC_RULE_JUDGE_H
#define PREARC_RULE_JUDGE_H

#include <stdbool.h>
#include <stddef.h>

#include "trace/trace.h"

struct arena;
struct cover;
struct fault;
struct findings_of_stages;
struct fuse_state;

/* One computed short. */
struct fault_view {
    const struct fault *fault;
    bool solved;
    bool dropper; /* resistors between the source and the short drop at least half of its
                   * volts: they are the victims, and no fuse can be asked to see such a current */
    bool source_known; /* solved, and nothing is missing of the source that feeds it */
    bool cleared; /* some fuse is guaranteed to open and end it */
    bool judged;  /* solved, and cleared, or else every fuse that could end it has a known
                   * marking and nothing is missing of the source that feeds it */
};

/* One rail over its nodes where something can fail short: a capacitor or a load is on them. A
 * node of wire alone, such as the way from a rectifier to the fuse behind it, counts only if the
 * rail has no other. */
struct rail_view {
    const bool *counts;          /* by node of the rail: it is one of those */
    enum protection worst, best; /* of those nodes */
    size_t weakest;              /* the first node (index in rail->nodes) with the worst
                                  * protection */
    const struct fault_view *fault; /* the short, among the least protected nodes and not behind
                                     * a dropper, that is worst off: not cleared with the least
                                     * current, else cleared last; NULL: none solved */
    const struct fault_view *bare; /* the worst short, judged and not cleared, of a node of wire
                                    * alone that no fuse of its own protects; NULL: none */
    size_t unsolved;             /* shorts of those nodes that could not be solved */
    size_t dropper;              /* shorts of those nodes that are behind a dropper */
    const struct fault_view *limited; /* the one of them with the largest current; NULL: none */
    double watts;                /* W drawn from it in normal use; NAN: not known */
};

/* One fuse over the shorts in its zone: nodes that it protects fully by itself, not through the
 * transformer. */
struct fuse_view {
    size_t branch;                  /* network branch index */
    const struct fuse_state *state; /* NULL: nothing known */
    const struct fault_view *least; /* least current through it among those that it alone must
                                     * clear; NULL: none */
    double least_amps;              /* A RMS through it in that short */
    const struct fault_view *uncleared; /* judged, not cleared, least current through it; NULL:
                                         * none */
    double uncleared_amps;
    const struct fault_view *slowest; /* cleared last; NULL: none */
    const struct fault_view *largest; /* judged, most current through it; NULL: none */
    double largest_amps;
    size_t opens;                   /* shorts in its zone in which it is itself sure to open */
    size_t unjudged;                /* shorts in its zone of which nothing can be said */
};

struct judge {
    const struct findings_of_stages *stages;
    struct fault_view *faults;      /* the shorts of rails, first in whatif->faults, same order */
    size_t fault_count;
    struct rail_view *rails;        /* trace->rails, same order */
    size_t rail_count;
    struct fuse_view *fuses;        /* every fuse branch of the network */
    size_t fuse_count;
    const struct cover **covers;    /* sorted by rail, node */
    size_t cover_count;
};

/* The stages but circuit, parts and network may be NULL. */
struct judge *judge_stages(struct arena *arena, const struct findings_of_stages *stages);

/* The covers of NODE on RAIL: the first in the judge's covers, how many in *COUNT. */
const struct cover *const *judge_covers(const struct judge *judge, size_t rail, size_t node,
                                        size_t *count);

/* NULL if branch FUSE is no fuse of the network. */
const struct fuse_view *judge_fuse(const struct judge *judge, size_t fuse);

/* The source gives volts in the computed circuit; else what it feeds has no figures. */
bool judge_source_solved(const struct findings_of_stages *stages, size_t source);

/* Volts of the rail in normal use between output and return: mean, or RMS where there is no
 * rectifier. NAN: not known. */
double judge_rail_volts(const struct findings_of_stages *stages, const struct rail *rail);
/* The same for one node of it. */
double judge_node_volts(const struct findings_of_stages *stages, const struct rail *rail,
                        size_t node);
/* Amps likewise, that the rail's source or rectifier delivers. */
double judge_rail_amps(const struct findings_of_stages *stages, const struct rail *rail);

#endif
