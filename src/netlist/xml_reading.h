/* One reading of a document by a dialect; shared by the files xml_join.c, xml_components.c and
 * xml_connections.c, called in that order by xml.c. */
#ifndef PREARC_NETLIST_XML_READING_H
#define PREARC_NETLIST_XML_READING_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>

#include "base/diag.h"
#include "netlist/part_pins.h"

struct arena;
struct circuit;
struct map;
struct part;
struct read_input;
struct xml_choices;
struct xml_dialect;
struct xml_document;
struct xml_pin;
struct xml_table;

/* A row of a table; its cells are evaluated when asked for. */
struct xml_row {
    const xmlNode *element;
    const char **cells; /* per column */
    bool *known;        /* per column */
};

/* What a connection's key leads to. */
struct xml_component {
    struct part *part;      /* NULL: excluded, its connections are dropped */
    const xmlNode *element; /* where it is said first; NULL if only connections name it */
    size_t set;             /* which <components> */
    struct part_pins pins;  /* as its connections are joined */
    struct xml_row **rows;  /* per table that depends on the component alone */
    bool *looked_up;        /* per table */
};

struct xml_reading {
    const struct read_input *input;
    const struct xml_document *document;
    const struct xml_dialect *dialect;
    struct circuit *circuit;
    struct arena *scratch;  /* ends with the reading */
    struct map *components; /* struct xml_component by key */
    struct map **indexes;   /* per table: struct xml_row by key; NULL until used */
};

/* --- xml_join.c --- */

/* The row of TABLE for COMPONENT and NODE (NULL while components are read); NULL if none. */
struct xml_row *xml_join_find(struct xml_reading *reading, const struct xml_table *table,
                              struct xml_component *component, const xmlNode *node);

/* The first of CHOICES that gives a text (xml_choices_value: one that is not a sentinel either),
 * with CONTEXT as context node; NODE is the connection or NULL. In the run's arena, or NULL. */
const char *xml_choices_text(struct xml_reading *reading, const struct xml_choices *choices,
                             const xmlNode *context, struct xml_component *component,
                             const xmlNode *node);
const char *xml_choices_value(struct xml_reading *reading, const struct xml_choices *choices,
                              const xmlNode *context, struct xml_component *component,
                              const xmlNode *node);
/* Whether any of CHOICES is true, or its text matches its pattern; COMPONENT may be NULL if none is a table's. */
bool xml_choices_test(struct xml_reading *reading, const struct xml_choices *choices,
                      const xmlNode *context, struct xml_component *component);

/* Whether TEXT is one of the dialect's sentinels for "empty". */
bool xml_is_empty(const struct xml_dialect *dialect, const char *text);

/* An input error or oddity at NODE, with its start tag as excerpt. */
void xml_complain(struct xml_reading *reading, enum level level, const xmlNode *node,
                  const char *expected, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* --- xml_components.c --- */

/* Makes the parts with their values and fields. */
void xml_components_read(struct xml_reading *reading);

/* The component KEY, for the connection NODE; one that no component list holds is made, with a
 * warning. */
struct xml_component *xml_component_find(struct xml_reading *reading, const char *key,
                                         const xmlNode *node);

/* --- xml_connections.c --- */

/* Makes the nets and the pins. False, with a diagnostic, if nothing is connected. */
bool xml_connections_read(struct xml_reading *reading);

#endif
