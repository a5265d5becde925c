/* The circuit as conduction: elements between nodes, each with its branches. Solver and tracer share it, so
 * that what is traced and what is solved are the same thing. */
#ifndef PREARC_DEVICE_NETWORK_H
#define PREARC_DEVICE_NETWORK_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct circuit;
struct device;
struct part;
struct parts;
struct section;

enum branch_kind {
    BRANCH_RESISTANCE,  /* resistor, potentiometer track, lamp, heater, relay coil, signal winding */
    BRANCH_CAPACITANCE,
    BRANCH_INDUCTANCE,  /* choke or inductor */
    BRANCH_WINDING,     /* one section of a transformer winding */
    BRANCH_FUSE,
    BRANCH_CONTACT,     /* a closed switch contact */
    BRANCH_RECTIFIER,   /* diode or rectifier valve, FROM anode TO cathode */
    BRANCH_LOAD,        /* valve, transistor or regulator standing for the current it draws, FROM plus TO minus */
    BRANCH_SOURCE,      /* ideal voltage source (with its series resistance), FROM plus TO minus */
    BRANCH_KIND_COUNT   /* also: conducts nothing, an opened branch */
};

/* A way for current through an element. Positive current flows FROM -> TO inside the element. */
struct branch {
    const struct element *element;
    size_t slot;             /* which of the element's branches */
    size_t from, to;         /* node indices */
    enum branch_kind kind;
    bool one_way;            /* conducts FROM -> TO only */
    const struct part *part; /* what it belongs to; never NULL */
    const struct section *section; /* windings of transformers, else NULL */
    size_t index;            /* in network->branches */
};

enum { ELEMENT_FIGURES = 8 };

struct element {
    const struct device *device;
    const struct part *part;  /* first part of a coupled group */
    size_t *nodes;            /* device->terminals of them, or 2 per winding section */
    size_t node_count;
    double figures[ELEMENT_FIGURES]; /* meaning and unit: at the top of the device's file */
    double *matrix;           /* coupled inductors: section_count squared, henry; else NULL */
    size_t section_count;     /* transformers: sections; else 1 */
    const double *turns, *ohms; /* transformers: per section, relative turns and resistance (ohm); else NULL */
    size_t first_branch, branch_count; /* in network->branches */
    size_t index;
};

struct node {
    const char *name;         /* the net's name, or REF.something for an inner node */
    const struct net *net;    /* NULL for an inner node */
};

/* A value not read from the netlist. */
struct assumption {
    const char *part;  /* ref, or NULL: the whole circuit */
    const char *what;  /* "magnetising-henries", "winding-ohms HT" */
    double value, low, high; /* SI */
    const char *reason;
};

struct network {
    struct arena *arena;
    const struct parts *parts;
    struct node *nodes;       /* node i < net count is circuit->nets[i] */
    size_t node_count, node_capacity;
    struct element **elements;
    size_t element_count, element_capacity;
    struct branch *branches;
    size_t branch_count, branch_capacity;
    size_t ground;            /* node index of the reference */
    double hertz;             /* lowest frequency of its AC sources; 0: none */
    struct assumption *assumptions;
    size_t assumption_count, assumption_capacity;
    const char **gaps;        /* sentences: what had to be left out and why ("T1: the volts of winding HT are not known") */
    const char **gap_parts;   /* the part each is about */
    size_t gap_count, gap_capacity;
};

/* Expands the recognised parts into elements: a bridge becomes four diodes, a double valve two loads and a heater, the
 * inlet a mains source. Parts without enough figures are left out and named in gaps. */
struct network *network_build(struct arena *arena, const struct parts *parts);

/* The same with INSTEAD (SI) in place of the value of one assumption; NULL: as assumed. Everything that
 * PART has of that name is changed in the ratio of INSTEAD to the value. */
struct alteration {
    const struct assumption *assumption;
    double instead;
};
struct network *network_build_altered(struct arena *arena, const struct parts *parts,
                                      const struct alteration *alteration);

/* Changes for what-if questions. */
enum change_kind {
    CHANGE_OPEN,   /* branch A no longer conducts */
    CHANGE_SHORT,  /* branch A replaced by NETWORK_SHORT_OHMS, both ways */
    CHANGE_BRIDGE  /* a new resistance of NETWORK_SHORT_OHMS between nodes A and B */
};
struct change {
    enum change_kind kind;
    size_t a, b;
};
#define NETWORK_SHORT_OHMS 1e-3 /* ohm: a bolted short, small against any winding */

/* A copy of BASE with CHANGES applied. Indices of nodes, elements and branches stay as in BASE; a bridge's
 * branch comes after them. BASE must outlive it. */
struct network *network_change(struct arena *arena, const struct network *base,
                               const struct change *changes, size_t count);

/* Building by hand (tests, network_build). */
size_t network_add_node(struct network *network, const char *name, const struct net *net);
struct element *network_add_element(struct network *network, const struct device *device,
                                    const struct part *part, const size_t *nodes,
                                    size_t node_count);
struct branch *network_add_branch(struct network *network, struct element *element, size_t from,
                                  size_t to, enum branch_kind kind, bool one_way);
void network_assume(struct network *network, const struct assumption *assumption);

#endif
