/* Which source feeds what, through which rectifier, and which fuse protects it. Graph only: no numbers. */
#ifndef PREARC_TRACE_TRACE_H
#define PREARC_TRACE_TRACE_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct network;
struct part;

enum source_kind {
    SOURCE_INLET,   /* the mains */
    SOURCE_WINDING, /* a secondary winding (all its sections), or an AC source that stands for one */
    SOURCE_BATTERY,
    SOURCE_SUPPLY,  /* a DC voltage source */
    SOURCE_FEED     /* a connector that stands for a feed of unknown volts */
};

struct trace_source {
    const char *id;          /* "T1.HT", "J1", "V1" */
    enum source_kind kind;
    const struct part *part;
    const char *winding;     /* its name, or NULL */
    size_t *branches;        /* its sections in order, network branch indices */
    size_t branch_count;
    size_t feeder;           /* index of the source that feeds the transformer's primary; SIZE_MAX: none found */
};

enum topology {
    TOPOLOGY_DIRECT,        /* no rectifier: heater winding, DC supply */
    TOPOLOGY_HALF_WAVE,
    TOPOLOGY_CENTRE_TAP,    /* full wave from a centre-tapped winding, two anodes */
    TOPOLOGY_BRIDGE,
    TOPOLOGY_BRIDGE_SPLIT,  /* bridge, centre tap to the return, two rails */
    TOPOLOGY_DOUBLER,       /* full-wave (two diodes, two capacitors, one winding end at their joint) */
    TOPOLOGY_CASCADE        /* half-wave doubler and its multiples, or a capacitor-fed rectifier */
};

struct rectifier {
    const char *id;          /* "D1+D2" */
    enum topology topology;
    size_t source;           /* index in sources */
    size_t *branches;        /* its diodes, series diodes included */
    size_t branch_count;
    size_t plus, minus;      /* node indices of its DC output (for CENTRE_TAP minus is the tap's side) */
};

struct rail_node {
    size_t node;             /* node index: a net with a capacitor to the return, the output, or behind a fuse */
    size_t upstream;         /* index in the rail's nodes of the one it is fed from; SIZE_MAX: the output itself */
    size_t *path;            /* branches from there to here (dropper, choke, fuse, contact) */
    size_t path_count;
    size_t *capacitors;      /* branches of the capacitors to the return */
    size_t capacitor_count;
};

struct rail {
    const char *id;          /* "rail1" */
    const char *name;        /* the most telling net name on it: "HT", "B+", else its output's */
    size_t source;           /* index in sources */
    size_t rectifier;        /* index in rectifiers; SIZE_MAX: direct */
    size_t output, back;     /* node indices: output and its return */
    bool negative;           /* output is below the return */
    struct rail_node *nodes; /* nodes[0] is the output */
    size_t node_count;
    size_t *fed;             /* every node index that current from this rail reaches (droppers, anodes, ...) */
    size_t fed_count;
    size_t *loads;           /* branches that draw from it to the return: resistors, loads */
    size_t load_count;
};

enum coverage { COVERAGE_NONE, COVERAGE_PARTIAL, COVERAGE_FULL };

/* Fuse FUSE protects node NODE of rail RAIL against source SOURCE. NONE is not listed. */
struct cover {
    size_t fuse;             /* branch index */
    size_t node, rail, source;
    enum coverage coverage;
    bool upstream;           /* through the transformer: SOURCE is the feeder, not the rail's own source */
};

enum protection { PROTECTION_NONE, PROTECTION_UPSTREAM, PROTECTION_PARTIAL, PROTECTION_OWN };

enum net_role {
    NET_SIGNAL, NET_RAIL, NET_RETURN, NET_CHASSIS, NET_EARTH, NET_LIVE, NET_NEUTRAL, NET_HEATER,
    NET_BIAS
};

/* The mains side of one inlet (or one AC source that stands for it). */
struct mains {
    size_t source;           /* index in sources */
    bool conductors_told;    /* live and neutral could be told apart */
    bool live_fused, neutral_fused; /* every way from that pin to a load passes a fuse */
    size_t *live_fuses, *neutral_fuses, *earth_fuses; /* branch indices of fuses in each conductor */
    size_t live_fuse_count, neutral_fuse_count, earth_fuse_count;
    bool earth_pin;          /* it has an earth pin */
};

struct trace {
    const struct network *network;
    struct trace_source *sources;
    size_t source_count;
    struct rectifier *rectifiers;
    size_t rectifier_count;
    struct rail *rails;
    size_t rail_count;
    struct cover *covers;
    size_t cover_count;
    struct mains *mains;
    size_t mains_count;
    enum net_role *roles;          /* by node index */
    enum protection *protections;  /* by node index; meaningful for nodes fed by a rail */
    const char **doubts;           /* what could not be traced: sentences */
    const char **doubt_parts;      /* the part each is about, or NULL */
    size_t doubt_count;
};

struct trace *trace_network(struct arena *arena, const struct network *network);

/* The coverage of one node by one fuse for one rail's source; asks the graph anew (tests, `trace` command). */
enum coverage trace_coverage(const struct trace *trace, size_t fuse_branch, size_t rail, size_t node);

/* Branch indices of every fuse, in order; *COUNT gets how many. In TRACE's arena. */
size_t *trace_fuses(struct arena *arena, const struct network *network, size_t *count);

const char *topology_name(enum topology topology);       /* "full-wave-centre-tap" */
const char *source_kind_name(enum source_kind kind);
const char *net_role_name(enum net_role role);
const char *protection_name(enum protection protection); /* "none", "upstream", "partial", "own" */

#endif
