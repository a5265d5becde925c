/* An input file in memory, and places in it. */
#ifndef PREARC_BASE_SOURCE_H
#define PREARC_BASE_SOURCE_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct diags;

struct source {
    const char *name;  /* as given on the command line; "<stdin>" for "-" */
    const char *raw;   /* the bytes as they are in the file, NUL added after the end */
    size_t raw_length; /* bytes */
    const char *text;  /* the same as UTF-8, NUL added; NUL bytes of the input are kept */
    size_t length;     /* bytes of text */
    const char *encoding; /* what it was: "UTF-8", "UTF-16LE", "UTF-16BE", "ISO-8859-1" */
};

/* Line and column are 1-based, columns count characters; line 0 means no place. */
struct place {
    const struct source *source;
    unsigned line, column;
};

/* The largest input taken, bytes. */
enum { SOURCE_LARGEST = 256 * 1024 * 1024 };

/* Reads PATH ("-" is standard input) and makes UTF-8 of it: UTF-16 with or without byte order mark
 * (without: told by alternating NUL bytes), else UTF-8 if valid, else ISO-8859-1.
 * NULL, with a diagnostic, if it cannot be read or is too large. */
const struct source *source_read(struct arena *arena, struct diags *diags, const char *path);

/* A source from bytes in memory, which must outlive it. */
const struct source *source_from_bytes(struct arena *arena, const char *name, const char *bytes,
                                       size_t length);

/* Line LINE (1-based) without its end; *LENGTH gets its bytes. NULL if there is no such line. */
const char *source_line(const struct source *source, unsigned line, size_t *length);

#endif
