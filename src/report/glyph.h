/* Characters of UTF-8 text one by one, and text from a netlist made harmless to a terminal. */
#ifndef PREARC_REPORT_GLYPH_H
#define PREARC_REPORT_GLYPH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct text;

struct glyph {
    const char *bytes;
    size_t length;    /* bytes; at least 1 */
    uint32_t code;    /* code point; the byte itself when not valid */
    bool valid;       /* a UTF-8 sequence (RFC 3629) */
};

/* The character at *AT, which moves past it; false at LIMIT. A stray byte is one character. */
bool glyph_next(const char **at, const char *limit, struct glyph *glyph);

/* Columns it takes on a terminal: 0 a combining mark, 2 an East Asian wide one, else 1. */
unsigned glyph_columns(const struct glyph *glyph);

/* Columns of a whole string that holds nothing harmful. */
size_t glyph_width(const char *string, size_t length);

/* Adds BYTES with nothing in it that moves the cursor, hides or turns text: line ends and tabs
 * become a blank each; control codes, direction marks, invisible characters and stray bytes are
 * spelt out as <U+202E> or <0x9B>. */
void glyph_add_plain(struct text *out, const char *bytes, size_t length);

#endif
