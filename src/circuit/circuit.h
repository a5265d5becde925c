/* The circuit as the netlist gives it: parts, pins, nets. Built by the readers, read-only afterwards. */
#ifndef PREARC_CIRCUIT_CIRCUIT_H
#define PREARC_CIRCUIT_CIRCUIT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/quantity.h"
#include "base/source.h"

struct arena;
struct circuit_file;
struct diags;
struct map;
struct net;
struct part;

struct pin {
    const char *number; /* "1", "A1"; never NULL */
    const char *name;   /* "A", "K", "+", or NULL */
    const char *type;   /* electrical type as written, or NULL */
    struct part *part;
    struct net *net;    /* NULL: not connected */
    bool wired;         /* a deck that goes with this netlist wires it */
    size_t index;       /* in part->pins */
};

struct field {
    const char *name;  /* as written */
    const char *key;   /* lower case, blanks, dashes, underscores removed: "idlecurrent" */
    const char *value; /* as written */
};

struct part {
    const char *ref;         /* unique in the circuit */
    const char *own_ref;     /* as its netlist has it: without what tells several netlists apart */
    const struct circuit_file *home; /* its netlist, of several that make the circuit; else NULL */
    const char *value;       /* as written, NULL if none or a placeholder for empty */
    const char *library;     /* symbol library, or NULL */
    const char *symbol;      /* symbol, .subckt or .model name, or NULL */
    const char *prefix;      /* the symbol's own reference prefix, or NULL */
    const char *footprint;   /* or NULL */
    const char *description; /* or NULL */
    const char *sheet;       /* or NULL */
    char letter;             /* SPICE element letter in upper case, 0 in other formats */
    enum quantity_dialect dialect; /* how its quantities are written */
    bool not_fitted;         /* do not place */
    struct field *fields;
    size_t field_count, field_capacity;
    struct pin *pins;        /* stable only when the circuit is finished */
    size_t pin_count, pin_capacity;
    struct place place;
    size_t index;            /* in circuit->parts */
};

struct net {
    const char *name;  /* unique in the circuit */
    const char *leaf;  /* the last component of a hierarchical name: "/psu/HT" -> "HT" */
    struct pin **pins; /* filled by circuit_finish */
    size_t pin_count;
    bool inner;        /* inside an instance of a subcircuit: no other netlist can mean it */
    struct net *same;  /* the net that it is joined to, or NULL */
    struct place place;
    size_t index;      /* in circuit->nets */
};

/* Another name of a net. */
struct net_alias {
    const char *name;
    struct net *net;
    bool inner;
    struct place place;
};

/* One of several netlists that make the circuit. */
struct circuit_file {
    const struct source *source;
    const char *name;         /* what qualifies its references: "preamp" of preamp.xml */
    const char *format;
    bool wires;               /* a deck that names pins of the others */
    size_t part_count, wired; /* parts; pins of them that decks wire */
    const char *ground;       /* its net named as ground, as the netlist has it; NULL: none is */
    const struct net *net;    /* the circuit's net that it is */
    bool grounded;            /* that is the circuit's ground */
};

/* Inductors coupled to each other (a K line). */
struct coupling {
    const char *ref;
    const char **inductors; /* refs, as circuit_find_part knows them */
    size_t inductor_count;
    double coefficient;     /* 0 < k <= 1 */
    struct place place;
};

/* A .model card: parameters by lower-case name. */
struct model {
    const char *name; /* as written */
    const char *type; /* upper case: "D", "NPN" */
    struct field *parameters;
    size_t parameter_count, parameter_capacity;
    struct place place;
};

struct circuit {
    struct arena *arena;
    const struct source *source; /* the main file */
    const char *format;          /* the reader's name: "spice", "xml export" */
    const char *title;           /* or NULL */
    struct part **parts;
    size_t part_count, part_capacity;
    struct net **nets;
    size_t net_count, net_capacity;
    struct net_alias *aliases;
    size_t alias_count, alias_capacity;
    struct circuit_file *files; /* if several netlists make the circuit */
    size_t file_count;
    struct coupling *couplings;
    size_t coupling_count, coupling_capacity;
    struct model **models;
    size_t model_count, model_capacity;
    struct map *parts_by_ref, *nets_by_name, *models_by_name; /* lower-case keys for models */
};

struct circuit *circuit_new(struct arena *arena, const struct source *source);
void circuit_free(struct circuit *circuit);

/* The net NAME, made if it is not there. */
struct net *circuit_net(struct circuit *circuit, const char *name, struct place place);

/* Makes one net of two when the circuit is finished: OTHER's name becomes another of KEPT's (but
 * net 0 keeps its name). */
void circuit_join_nets(struct circuit *circuit, struct net *kept, struct net *other);
/* NAME finds NET too, unless there is a net of that name. */
void circuit_alias_net(struct circuit *circuit, const char *name, struct net *net, struct place place);
/* REF finds PART too, unless there is a part of that reference. */
void circuit_alias_part(struct circuit *circuit, const char *ref, struct part *part);

/* A new part; NULL if REF is taken. Strings are not copied: they must live in the arena. */
struct part *circuit_add_part(struct circuit *circuit, const char *ref, struct place place);

/* Joins pin NUMBER of PART to NET (NULL: not connected). The same pin on the same net again is ignored.
 * False, and nothing changed, if that pin is on another net already. NAME and TYPE may be NULL. */
bool circuit_connect(struct circuit *circuit, struct part *part, const char *number,
                     const char *name, const char *type, struct net *net);

void circuit_add_field(struct circuit *circuit, struct part *part, const char *name,
                       const char *value);

/* Likewise, but for a field of that name which PART has already (of its first 64): an empty one takes VALUE, one that says the same or
 * where VALUE is empty stays. NULL; or the field that says something else, which stays too. */
const struct field *circuit_merge_field(struct circuit *circuit, struct part *part, const char *name,
                                        const char *value);

struct model *circuit_add_model(struct circuit *circuit, const char *name, const char *type,
                                struct place place);
void circuit_add_parameter(struct circuit *circuit, struct model *model, const char *name,
                           const char *value);
struct coupling *circuit_add_coupling(struct circuit *circuit, const char *ref, double coefficient,
                                      struct place place);
void circuit_couple(struct circuit *circuit, struct coupling *coupling, const char *inductor);

/* Ends building: fills nets' pins. Nets and parts keep the order in which they came. */
void circuit_finish(struct circuit *circuit);

/* NULL if not there. Refs and net names match as written, then ignoring case if that is unambiguous. */
struct part *circuit_find_part(const struct circuit *circuit, const char *ref);
struct net *circuit_find_net(const struct circuit *circuit, const char *name);
const struct model *circuit_find_model(const struct circuit *circuit, const char *name);
/* The model NAME that PART may use: that of its own netlist first. */
const struct model *circuit_part_model(const struct circuit *circuit, const struct part *part,
                                       const char *name);
/* "preamp:J1, power:J1", in ARENA: the parts that their netlists all call REF; NULL if fewer than two are. */
const char *circuit_same_refs(const struct circuit *circuit, struct arena *arena, const char *ref);

/* The net that volts are counted from: one named so, of several alike the one with most pins; else the one with
 * most pins. NULL if there are no nets. *NAMED: by its name. */
const struct net *circuit_ground(const struct circuit *circuit, bool *named);

/* The value of the field whose key is KEY ("rating", "idlecurrent"); NULL if absent or empty. */
const char *part_field(const struct part *part, const char *key);
const char *model_parameter(const struct model *model, const char *name);
struct pin *part_pin(const struct part *part, const char *number);

/* A field name reduced to its key: lower case, only letters, digits and '.'. */
char *field_key(struct arena *arena, const char *name);

#endif
