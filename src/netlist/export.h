/* What an `(export ...)` netlist says, gathered before it is put together: its sections come in any order. */
#ifndef PREARC_NETLIST_EXPORT_H
#define PREARC_NETLIST_EXPORT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/source.h"
#include "netlist/assembly.h"

/* All strings are kept by the assembly; NULL: not said. */
struct export_field {
    const char *name, *value;
    struct place place;
};

struct export_component {
    const char *ref, *value, *footprint, *description, *library, *symbol, *symbol_description, *sheet;
    bool not_fitted;
    struct export_field *fields;
    size_t field_count, field_capacity;
    struct place place;
};

struct export_symbol {
    const char *library, *name, *prefix, *description;
    const char **aliases;
    size_t alias_count, alias_capacity;
    size_t index;
};

struct export_pin {
    const char *number, *name, *type;
};

struct export_node {
    const char *ref, *pin, *name, *type;
    struct place place;
};

struct export_net {
    const char *name;
    struct export_node *nodes;
    size_t node_count, node_capacity;
    struct place place;
};

struct export_reading {
    struct assembly assembly;
    struct arena *scratch; /* ends with the reading */
    struct export_component **components;
    size_t component_count, component_capacity;
    struct export_symbol **symbols;
    size_t symbol_count, symbol_capacity;
    struct export_net **nets;
    size_t net_count, net_capacity;
    struct map *pins; /* struct export_pin by its symbol's index and its number */
    const char *title;
    /* What is being read. */
    struct export_component *component;
    struct export_symbol *symbol;
    struct export_net *net;
    struct export_field field;
    struct export_pin pin;
    struct export_node node;
};

/* export_lists.c: reads all of SOURCE into READING, whose assembly has been started. */
void export_gather(struct export_reading *reading, const struct source *source);

#endif
