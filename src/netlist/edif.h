/* An EDIF 2 0 0 file as written: libraries of cells, their views with ports, instances and nets. Everything lives in
 * the scratch arena of one reading; names are kept once each by the assembly. */
#ifndef PREARC_NETLIST_EDIF_H
#define PREARC_NETLIST_EDIF_H

#include <stdbool.h>
#include <stddef.h>

#include "base/source.h"
#include "base/text.h"
#include "netlist/assembly.h"

/* Members of one array; instances inside instances; views filled in; nets of all of them. */
enum {
    EDIF_ARRAY_LARGEST = 4096, EDIF_NESTING_DEEPEST = 32, EDIF_SCOPES_MOST = 1000 * 1000,
    EDIF_NODES_MOST = 8 * 1000 * 1000
};

struct edif_name {
    const char *id;      /* what references use */
    const char *display; /* what the drawing says, or NULL */
};

/* What stands for all members in an index. */
#define EDIF_WHOLE ((size_t)-1)

struct edif_property {
    const char *name, *value; /* VALUE is never NULL */
    struct place place;
};

struct edif_properties {
    struct edif_property *items;
    size_t count, capacity;
};

struct edif_port {
    struct edif_name name;
    const char *designator, *type; /* the pin's number; "input" and so on; or NULL */
    size_t size;                   /* members, 1 if it is no array */
    size_t first;                  /* of its members among those of the view's ports */
};

struct edif_instance {
    struct edif_name name;
    const char *designator; /* or NULL */
    const char *view, *cell, *library; /* references, or NULL */
    struct edif_properties properties;
    size_t size;   /* members, 1 if it is no array */
    size_t number;   /* of all instances of the file */
    size_t position; /* among those of its view */
    struct place place;
};

/* A port, of an instance or of the view itself, on a net. */
struct edif_join {
    const char *port, *instance; /* INSTANCE NULL: the view's own port */
    size_t port_index, instance_index; /* of the member, or EDIF_WHOLE */
    bool global;                 /* PORT is the name of a net of the whole design */
    struct place place;
};

struct edif_net {
    struct edif_name name;
    struct edif_join *joins;
    size_t join_count, join_capacity;
    size_t size;  /* members, 1 if it is no array */
    size_t first; /* of its members among those of the view's nets */
    size_t page;  /* 0: on none */
    struct place place;
};

struct edif_view {
    struct edif_name name;
    struct edif_cell *cell;
    bool schematic;
    const char *prefix; /* the interface's designator, or NULL */
    struct edif_properties properties; /* of cell, view and interface: what instances do not say */
    struct edif_port **ports;
    size_t port_count, port_capacity, port_members;
    struct edif_instance **instances;
    size_t instance_count, instance_capacity;
    struct edif_net **nets;
    size_t net_count, net_capacity, net_members;
    size_t pages, number; /* NUMBER of all views of the file */
};

struct edif_cell {
    struct edif_name name;
    struct edif_library *library;
    struct edif_view **views;
    size_t view_count, view_capacity;
    struct edif_properties properties;
};

struct edif_library {
    struct edif_name name;
    struct edif_cell **cells;
    size_t cell_count, cell_capacity, number;
};

/* What edif_add has entered. */
struct edif_entry {
    const char *key;
    void *value;
};

struct edif_file {
    struct assembly assembly;
    struct arena *scratch;
    struct map *index; /* see edif_add */
    struct map *lower; /* of the first LOWERED entries by names in lower case; NULL until needed */
    struct edif_entry *entries;
    size_t entry_count, entry_capacity, lowered;
    struct text key;
    struct edif_library **libraries;
    size_t library_count, library_capacity, view_count, instance_count;
    const char *title;
    const char *top_cell, *top_library; /* what the design names, or NULL */
    struct place design;
    bool designated; /* an instance has a designator */
    bool numbered;   /* an instance gives numbers to its pins */
    bool refused;    /* of another version */
    /* What is being read. */
    struct edif_library *library;
    struct edif_cell *cell;
    struct edif_view *view;
    struct edif_port *port;
    struct edif_instance *instance;
    struct edif_net *net;
    struct edif_property property;
};

/* What a name can be in its owner, which is known by its number. */
enum edif_kind {
    EDIF_LIBRARY = 'l',   /* owner 0 */
    EDIF_CELL = 'c',      /* owner a library */
    EDIF_PORT = 'p',      /* owner a view */
    EDIF_INSTANCE = 'i',  /* owner a view */
    EDIF_NUMBER = 'n'     /* const char, the number of a pin; owner an instance, the name that of its port */
};

/* Enters ID; false if it is there already. */
bool edif_add(struct edif_file *file, size_t owner, enum edif_kind kind, const char *id, void *value);
/* As written, else in any case of letters; NULL if it is not there. */
void *edif_find(struct edif_file *file, size_t owner, enum edif_kind kind, const char *id);

/* What NAME is called: its display, else its id with what stands for characters in it replaced. */
const char *edif_called(struct edif_file *file, const struct edif_name *name);

/* edif_lists.c: reads the file into FILE, whose assembly has been started. */
void edif_gather(struct edif_file *file, const struct source *source);

/* edif_flatten.c: makes parts and nets of the design, its hierarchy filled in. */
void edif_flatten(struct edif_file *file);

/* edif_parts.c: the reference that one of PROPERTIES says, or NULL. */
const char *edif_reference(struct edif_file *file, const struct edif_properties *properties);

/* The part that INSTANCE of VIEW (NULL: its cell is not in the file) is, made, or met again as another
 * section of it. PATH is put before its reference; INDEX is that of an array's member or EDIF_WHOLE. NULL if there is
 * none. */
struct part *edif_make_part(struct edif_file *file, const char *path,
                            const struct edif_instance *instance, const struct edif_view *view,
                            size_t index);

#endif
