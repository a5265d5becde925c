/* The circuit as the netlist gives it: parts, pins, nets. Built by the readers, read-only afterwards. */
#ifndef PREARC_CIRCUIT_CIRCUIT_H
#define PREARC_CIRCUIT_CIRCUIT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/quantity.h"
#include "base/source.h"

struct arena;
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
    size_t index;       /* in part->pins */
};

struct field {
    const char *name;  /* as written */
    const char *key;   /* lower case, blanks, dashes, underscores removed: "idlecurrent" */
    const char *value; /* as written */
};

struct part {
    const char *ref;
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
    struct place place;
    size_t index;      /* in circuit->nets */
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

/* The value of the field whose key is KEY ("rating", "idlecurrent"); NULL if absent or empty. */
const char *part_field(const struct part *part, const char *key);
const char *model_parameter(const struct model *model, const char *name);
struct pin *part_pin(const struct part *part, const char *number);

/* A field name reduced to its key: lower case, only letters, digits and '.'. */
char *field_key(struct arena *arena, const char *name);

#endif
