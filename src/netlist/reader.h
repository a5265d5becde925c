/* The table of netlist readers: one file a format, one row a format. */
#ifndef PREARC_NETLIST_READER_H
#define PREARC_NETLIST_READER_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct circuit;
struct diags;
struct source;

struct read_options {
    const char *data_dir;     /* where rules/ is: dialects come from DATA_DIR/dialects */
    const char *dialect_file; /* a dialect of the user's, tried first, or NULL */
    bool include_anywhere;    /* .include may leave the deck's folder */
};

struct read_input {
    struct arena *arena;
    struct diags *diags;
    const struct source *source;
    const struct read_options *options;
};

struct reader {
    const char *name; /* "spice", "xml" */
    const char *help; /* one line: what files it reads */
    /* How sure it is that SOURCE is its format: 0 no, 1 could be (last resort), 2 yes. */
    int (*detect)(const struct source *source);
    /* Reads the whole netlist; input errors go to diags and reading goes on after them.
     * NULL only if nothing could be read. circuit_finish has been called. */
    struct circuit *(*read)(const struct read_input *input);
};

extern const struct reader brackets_reader; /* netlist/brackets.c */
extern const struct reader edif_reader;     /* netlist/edif.c */
extern const struct reader export_reader;   /* netlist/export.c */
extern const struct reader packages_reader; /* netlist/packages.c */
extern const struct reader spice_reader;    /* netlist/spice.c */
extern const struct reader stamped_reader;  /* netlist/stamped.c */
extern const struct reader xml_reader;      /* netlist/xml.c */

/* Reads with the reader that is surest; NULL, with a diagnostic, if none knows the format. */
struct circuit *netlist_read(const struct read_input *input);

#endif
