/* What the stages say of each fuse, gathered once so that no section looks through everything for each. */
#ifndef PREARC_RULE_FUSE_INDEX_H
#define PREARC_RULE_FUSE_INDEX_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct cover;
struct judge;

struct fuse_entry {
    const struct cover **covers;  /* by this fuse, in the order of the trace */
    size_t cover_count, cover_capacity;
    const struct cover *cover;    /* the first that is its own (not through the transformer), else the last; NULL: none */
    size_t *faults;               /* in judge->faults, ascending: it protects the node, or its current is told */
    size_t fault_count, fault_capacity;
    bool in_mains;                /* in a conductor of a mains inlet */
    bool in_rail;                 /* behind a rectifier or on direct volts, on the way to a node of a rail */
};

/* One entry for each of JUDGE's fuses, same order. Both in ARENA. */
struct fuse_entry *fuse_index_new(struct arena *arena, const struct judge *judge);

#endif
