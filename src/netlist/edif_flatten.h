/* A design of an EDIF file while its hierarchy is filled in; shared by edif_flatten.c, edif_instances.c, edif_joins.c and
 * edif_nodes.c. */
#ifndef PREARC_NETLIST_EDIF_FLATTEN_H
#define PREARC_NETLIST_EDIF_FLATTEN_H

#include <stdbool.h>
#include <stddef.h>

#include "base/diag.h"
#include "netlist/edif.h"

struct map;
struct part;

/* A view filled in: the design itself or an instance. */
struct scope {
    const struct scope *parent; /* NULL: the design */
    struct edif_view *view;
    const char *path; /* "" or "A/B/" */
    size_t base;      /* of its nodes: its ports', then its nets' */
    size_t depth;
};

/* A member of a net or of a port. */
struct node {
    const struct edif_net *net;            /* NULL: a port's */
    const struct edif_net *inside, *outside; /* of a port: the nets it is joined to */
    const struct scope *scope;             /* NULL: a net of the whole design */
    const char *global;                    /* its name */
    size_t member;
};

/* What an instance of a scope became. */
struct made {
    struct edif_view *view;
    struct part **parts; /* per member; NULL: none */
    size_t base;         /* of the nodes, if it was filled in */
    bool filled, power;  /* POWER: a symbol that names a net of the whole design */
};

/* A pin and the node it is on. */
struct found_pin {
    struct assembly_pin pin;
    size_t node;
};

struct flattening {
    struct edif_file *file;
    struct node *nodes;
    size_t *parents; /* by node: its sets, base/forest.h */
    size_t node_count, node_capacity, parent_capacity;
    struct scope **stack; /* to be filled in */
    size_t stack_count, stack_capacity, scope_count;
    struct found_pin *pins;
    size_t pin_count, pin_capacity;
    struct map *globals; /* size_t in a struct: the node by name */
    struct map *by_name; /* struct edif_net by scope and name, in views of several pages */
    const struct scope *scope;
    struct made *made; /* per instance of the scope */
};

/* --- edif_flatten.c --- */

/* An input error or oddity at PLACE. */
void flat_complain(struct flattening *flat, enum level level, struct place place,
                   const char *expected, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* --- edif_instances.c --- */

/* Instances of the view are filled in with what it holds: it is no symbol. */
bool flat_is_filled(const struct edif_view *view);

/* The view WANTED of CELL (NULL: any), else one that can be filled in, else the first. */
struct edif_view *flat_choose_view(const struct edif_cell *cell, const char *wanted);

/* The cell NAME of the library LIBRARY (NULL: of HERE, else of any); NULL if there is none. */
struct edif_cell *flat_find_cell(struct flattening *flat, const char *name, const char *library,
                                 const struct edif_library *here);

/* Makes what INSTANCE of the scope is, flat->made. */
void flat_make_instance(struct flattening *flat, const struct edif_instance *instance);

/* The instance ID where NET is: names of instances are those of a page. */
const struct edif_instance *flat_find_instance(struct flattening *flat, const struct edif_net *net,
                                               const char *id);

/* --- edif_joins.c --- */

/* Joins what NET of the scope joins. */
void flat_join_net(struct flattening *flat, const struct edif_net *net);

/* --- edif_nodes.c --- */

/* Makes one set of the sets of two nodes. */
void flat_unite(struct flattening *flat, size_t a, size_t b);

/* Makes the nodes of a view filled in; returns the first. */
size_t flat_add_nodes(struct flattening *flat, const struct scope *scope);

/* The node of a member of NET of the scope. */
size_t flat_net_node(const struct flattening *flat, const struct edif_net *net, size_t member);

/* The node of the net NAME of the whole design. */
size_t flat_global_node(struct flattening *flat, const char *name);

/* Makes the circuit's nets of the sets that have pins, and joins the pins. */
void flat_make_nets(struct flattening *flat);

#endif
