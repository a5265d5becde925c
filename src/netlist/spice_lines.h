/* The logical lines of a SPICE deck, and the way back to the file. */
#ifndef PREARC_NETLIST_SPICE_LINES_H
#define PREARC_NETLIST_SPICE_LINES_H

#include <stdbool.h>
#include <stddef.h>

#include "base/source.h"

struct arena;

/* A run of a logical line that came from one physical line. */
struct spice_piece {
    size_t offset;        /* bytes from the start of the logical line */
    const char *physical; /* where it is in the source's text */
    unsigned line, column; /* of its first character */
};

/* A line with its continuations joined (a blank between) and its comments gone. */
struct spice_line {
    const struct source *source;
    const char *text; /* never starts with a blank; NUL bytes of the file have become blanks */
    size_t length;    /* bytes */
    struct spice_piece *pieces;
    size_t piece_count, piece_capacity;
};

/* Where reading of SOURCE has got to. */
struct spice_cursor {
    const struct source *source;
    size_t at;     /* bytes */
    unsigned line; /* of the physical line at AT, 1-based */
};

struct spice_cursor spice_cursor_start(const struct source *source);

/* The first physical line as it stands: a deck's title. "" if the source is empty. */
const char *spice_title_line(struct arena *arena, struct spice_cursor *cursor);

/* The next logical line that is not empty; NULL at the end. A line that starts with '+' is a
 * continuation of nothing. */
const struct spice_line *spice_next_line(struct arena *arena, struct spice_cursor *cursor);

/* Where byte OFFSET of LINE is in its file. */
struct place spice_place(const struct spice_line *line, size_t offset);

bool spice_is_blank(char c);

#endif
