/* Lines of a text netlist, and the words on them. */
#ifndef PREARC_NETLIST_PLAIN_LINES_H
#define PREARC_NETLIST_PLAIN_LINES_H

#include <stdbool.h>
#include <stddef.h>

#include "base/source.h"

struct assembly;

struct plain_lines {
    const struct source *source;
    size_t at;     /* bytes: where the next line starts */
    unsigned line; /* of the line read last, 1-based */
};

/* A run of characters of one line, not NUL-terminated. */
struct plain_span {
    const char *text;
    size_t length;      /* bytes */
    struct place place; /* of its first character */
};

struct plain_lines plain_lines_start(const struct source *source);

/* The next line without its end and the blanks at both ends; false if there is none. */
bool plain_line(struct plain_lines *lines, struct plain_span *line);

/* Takes the first word off LINE: up to a blank; false if nothing is left. */
bool plain_word(struct plain_span *line, struct plain_span *word);

/* SPAN from byte FROM on, COUNT bytes, without the blanks at both ends. */
struct plain_span plain_part(const struct plain_span *span, size_t from, size_t count);

/* SPAN is exactly TEXT; starts with TEXT, in any case of letters. */
bool plain_is(const struct plain_span *span, const char *text);
bool plain_starts(const struct plain_span *span, const char *text);

/* Splits "REF-PIN" at MARK: a part may have MARK in its reference and a pin in its number, hence where a
 * listed part results, else at the last MARK with something on both sides. False if there is none. */
bool plain_split(struct assembly *assembly, const struct plain_span *text, char mark,
                 const char **ref, const char **pin);

#endif
