/* Ways through one or more rectifiers in series, from the AC side of a source to the DC side or back. */
#ifndef PREARC_TRACE_CHAINS_H
#define PREARC_TRACE_CHAINS_H

#include "trace/tracing.h"

/* All chains of one source that share their far node and sense. */
struct chain_group {
    size_t far;             /* DC side node: what they fill (positive) or empty */
    bool positive;
    bool pumped;            /* they start behind a feed capacitor */
    bool used;
    struct indices labels;  /* terminals of the source they start from, each once */
    struct indices cells;   /* pumped cells they start from */
    struct indices branches;
    struct indices ahead;   /* nodes between the rectifiers and FAR, if chains meet behind their diodes */
};

struct chain_groups {
    struct chain_group *items;
    size_t count, capacity;
};

/* The groups of every source, by source index. In the trace's arena. */
struct chain_groups *chains_find(struct tracing *tracing);

#endif
