/* What the files of this stage share while one trace is made, and what trace_coverage needs afterwards. */
#ifndef PREARC_TRACE_TRACING_H
#define PREARC_TRACE_TRACING_H

#include "trace/conduction.h"
#include "trace/trace.h"

/* A set of indices that grows. */
struct indices {
    size_t *items;
    size_t count, capacity;
};

enum conductor { CONDUCTOR_NONE, CONDUCTOR_LIVE, CONDUCTOR_NEUTRAL, CONDUCTOR_EARTH };

struct rail_extra {
    bool capacitive;          /* fed through capacitors: doubler, cascade */
    bool alternating;         /* direct from an AC source */
    size_t raw;               /* node where the rectifier or tap itself returns; often BACK */
    size_t *ahead;            /* nodes between the rectifier and the output */
    size_t ahead_count;
    size_t *zero;             /* nodes that are the return but for a wire */
    size_t zero_count;
};

struct source_extra {
    bool alternating;
    size_t *terminals;        /* ends and taps of its sections, node indices */
    size_t terminal_count;
    bool *grounded;           /* by terminal: joined to ground by wires */
    bool *near_ground;        /* by terminal: joined to ground by wires and one small resistance */
    size_t *around;           /* nodes of its AC side; capacitors there are the feed of a doubler or cascade */
    size_t around_count;
    bool rectified;           /* a rectifier hangs on it */
    bool drives;              /* it feeds the primary of a transformer */
    bool rides;               /* it heats a rectifier valve and stands on that valve's output */
};

/* A fuse without which source SOURCE does not drive the primary of a transformer. */
struct upstream_cover {
    size_t fuse, source;
    enum coverage coverage;
};

struct upstream_list {
    struct upstream_cover *items;
    size_t count, capacity;
};

/* The windings on one core. */
struct core {
    struct indices branches;
    size_t feeder;                 /* source that drives its primary, SIZE_MAX: none */
    struct upstream_list upstream; /* fuses between that source and the primary */
};

struct tracing {
    struct trace trace;       /* first: a trace is a tracing */
    struct conduction *conduction;
    struct source_extra *source_extras;
    struct rail_extra *rail_extras;
    size_t source_capacity, source_extra_capacity, rectifier_capacity, rail_capacity,
        rail_extra_capacity, cover_capacity, doubt_capacity, doubt_part_capacity;
    struct core *cores;       /* transformers */
    size_t core_count, core_capacity;
    size_t *core_of;          /* by element: its core, SIZE_MAX: no winding */
    bool *primary;            /* by branch: section of a fed primary */
    size_t *zone;             /* by node: source index + 1 of the AC side it belongs to */
    size_t *label;            /* by node: terminal index in that source */
    size_t *pumped;           /* by node: number of its cell if it is on the AC side only through a capacitor */
    size_t cell_count;
    struct indices bled;      /* cells that a resistor to ground serves in the place of one diode */
    bool *direct;             /* by node: on the DC side of some rectifier */
    size_t *conductor;        /* by node: enum conductor of the mains it belongs to */
    struct indices fuses;     /* every fuse */
    bool *on_loop;            /* by branch; scratch, all false between uses */
    size_t *block;            /* by branch: block in the graph of wires, windings and small resistances */
};

void indices_add(struct arena *arena, struct indices *set, size_t item);
bool indices_have(const struct indices *set, size_t item);

/* PART may be NULL: the circuit as a whole. */
void tracing_doubt(struct tracing *tracing, const char *part, const char *sentence);

/* Is the end at which a section is positive in its source's first half-cycle TO, not FROM? */
bool branch_is_reversed(const struct branch *branch);
/* Sources with their sections, terminals and feeders. */
void sources_find(struct tracing *tracing);
/* AC sides, rectifiers, and their rails' outputs and returns. */
void zones_find(struct tracing *tracing);
/* Takes the AC sides of heater windings that stand on a valve rectifier's output back. */
void riding_find(struct tracing *tracing);
void rectifiers_find(struct tracing *tracing);
/* Sources that feed without a rectifier. */
void direct_rails_find(struct tracing *tracing);
/* Nodes, loads and name of each rail whose output and return are set. */
void rails_fill(struct tracing *tracing);
void upstream_find(struct tracing *tracing);
/* All fuses upstream of a source, through every transformer before it. */
const struct upstream_list *upstream_of(struct tracing *tracing, size_t source);
void coverage_find(struct tracing *tracing);
void mains_find(struct tracing *tracing);
void roles_find(struct tracing *tracing);
void doubts_find(struct tracing *tracing);

/* A new rail of a source, OUTPUT and BACK set; RECTIFIER may be SIZE_MAX. Returns its index. */
size_t rail_add(struct tracing *tracing, size_t source, size_t rectifier, size_t output,
                size_t back, bool negative);
/* The most telling name among its nodes. */
const char *rail_telling_name(const struct tracing *tracing, const struct rail *rail);
/* Makes every rail's name its own. */
void rails_tell_apart(struct tracing *tracing);
/* Does a part of a supply: heater, lamp, relay coil, hang between the AC terminals of a source? */
bool source_heats(const struct tracing *tracing, size_t source);
bool name_is_made_up(const char *name);

#endif
