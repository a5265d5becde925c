/* A dialect: how one XML vocabulary says parts, fields, pins and nets. Loaded from a file whose
 * format rules/dialects/README.md describes; the structures here have the names used there. */
#ifndef PREARC_NETLIST_XML_DIALECT_H
#define PREARC_NETLIST_XML_DIALECT_H

#include <stdbool.h>
#include <stddef.h>

#include "base/source.h"

struct arena;
struct diags;
struct xml_path;
struct xml_paths;

/* What a text is compared with. */
struct xml_pattern {
    enum { XML_PREFIX, XML_SUFFIX, XML_EQUALS } kind;
    const char *text;
};

struct xml_patterns {
    struct xml_pattern *items;
    size_t count, capacity;
};

/* One way to get a text: an expression, or a column of a table. */
struct xml_choice {
    struct xml_path *path;
    const struct xml_table *table; /* with column; NULL if path is given */
    size_t column;
    const char *cut;   /* the text ends before this, in any case of letters; or NULL */
    const char *strip; /* this and the pin's number at the end are dropped; or NULL */
    bool split;        /* a pin's numbers, blanks between them */
    struct xml_pattern pattern; /* of a condition: what the text must match; text NULL: none */
};

/* Tried in order, the first that gives a text counts. */
struct xml_choices {
    struct xml_choice *items;
    size_t count, capacity;
};

enum xml_side { XML_SIDE_COMPONENT, XML_SIDE_NODE, XML_SIDE_TABLE };

/* One column of a table's key: what a row says, and what it must equal. */
struct xml_key {
    struct xml_path *row; /* each node it gives is one more key for the row */
    bool element;         /* the element that `row` gives is the key, not its text */
    enum xml_side side;
    struct xml_path *look_up;      /* XML_SIDE_COMPONENT, XML_SIDE_NODE */
    const struct xml_table *table; /* XML_SIDE_TABLE: the row found there for the component and node */
    size_t column;                 /* of that row, unless the key is an element */
};

struct xml_column {
    const char *name;
    struct xml_path *path; /* relative to the row */
};

/* Rows found by key: a join. */
struct xml_table {
    const char *name;
    size_t index; /* in dialect->tables */
    struct xml_path *rows;
    struct xml_key *keys;
    size_t key_count, key_capacity;
    struct xml_column *columns;
    size_t column_count, column_capacity;
    bool by_component; /* no key looks at the node */
    bool by_node;      /* no key looks at the component */
};

/* User fields: a set of nodes, name and value relative to each. */
struct xml_field {
    struct xml_path *select, *name, *value;
};

struct xml_components {
    struct xml_path *select;
    bool repeated; /* one part may be met many times; else that is an error */
    struct xml_choices exclude, not_fitted; /* any that is true */
    struct xml_choices key, ref, value, symbol, library, prefix, description, footprint, sheet;
    struct xml_field *fields;
    size_t field_count, field_capacity;
};

struct xml_connections {
    struct xml_path *select;
    struct xml_choices exclude;
    struct xml_choices net, net_element, net_hint, component, pin, pin_name, pin_type;
};

struct xml_word {
    const char *written, *means;
};

struct xml_dialect {
    const char *name;
    struct xml_paths *paths;
    struct xml_path *detect;
    struct xml_choices title;
    const char **empties; /* texts read as none */
    size_t empty_count, empty_capacity;
    struct xml_table **tables;
    size_t table_count, table_capacity;
    struct xml_components **components;
    size_t components_count, components_capacity;
    struct xml_connections **connections; /* the first that gives nodes counts */
    size_t connections_count, connections_capacity;
    struct xml_patterns unconnected_nets, unconnected_types;
    bool unconnected_nameless; /* a connection that names no net is none */
    struct xml_word *words; /* pin types */
    size_t word_count, word_capacity;
};

/* Reads the dialect in SOURCE. NULL, with diagnostics in that file, if anything in it is wrong. */
struct xml_dialect *xml_dialect_load(struct arena *arena, struct diags *diags,
                                     const struct source *source);
void xml_dialect_free(struct xml_dialect *dialect);

bool xml_pattern_matches(const struct xml_pattern *pattern, const char *text);

#endif
