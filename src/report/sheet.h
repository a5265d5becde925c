/* The page the text report is set on: labels in a margin, text folded beside them, tables,
 * excerpts.
 * Everything that comes in is made harmless here, so nothing above has to think of it. */
#ifndef PREARC_REPORT_SHEET_H
#define PREARC_REPORT_SHEET_H

#include <stdbool.h>
#include <stddef.h>

struct text;

/* Columns of the page, and of the margin with the blanks after it. */
enum { SHEET_COLUMNS = 100, SHEET_MARGIN = 13, SHEET_CELLS = 8 };

/* Bytes of one item, and of a table's cell, past which it is cut. */
enum { SHEET_LONGEST = 8000, SHEET_CELL_LONGEST = 1000 };

/* How a label stands out on a terminal: by weight, not by hue, so that it reads on any ground. */
enum sheet_style { SHEET_PLAIN, SHEET_STRONG, SHEET_LINED, SHEET_ALARM };

struct sheet {
    struct text *out;
    bool styled; /* terminal escapes allowed */
};

/* A label in the margin (NULL: none) and text folded beside it. */
void sheet_item(const struct sheet *sheet, enum sheet_style style, const char *label,
                const char *format, ...) __attribute__((format(printf, 4, 5)));

/* A heading line, a blank line before it. */
void sheet_heading(const struct sheet *sheet, const char *title);

void sheet_blank(const struct sheet *sheet);

/* The part of LINE round character COLUMN (1-based) with a caret under it; 0: without caret. */
void sheet_excerpt(const struct sheet *sheet, const char *line, size_t length, unsigned column);

struct table_row {
    const char *cells[SHEET_CELLS]; /* NULL: empty */
};

/* COUNT rows of COLUMNS cells, the first is the head. Wide cells are folded within their column. */
void sheet_table(const struct sheet *sheet, const struct table_row *rows, size_t count,
                 size_t columns);

#endif
