/* Tables of the text report. */
#include "config.h"

#include "report/sheet.h"

#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "report/fold.h"
#include "report/glyph.h"

enum { GAP = 2, NARROWEST = 6 };

static const char *plain(struct arena *arena, const char *cell)
{
    struct text text = {0};
    const char *copy;

    if (cell == NULL)
        return "";
    glyph_add_plain(&text, cell, strnlen(cell, SHEET_CELL_LONGEST));
    if (strnlen(cell, SHEET_CELL_LONGEST + 1) > SHEET_CELL_LONGEST)
        text_add(&text, " ... (cut)");
    copy = arena_copy_span(arena, text_bytes(&text), text.length);
    text_free(&text);
    return copy;
}

static size_t sum(const size_t *widths, size_t columns)
{
    size_t total = (columns - 1) * GAP;

    for (size_t i = 0; i < columns; i++)
        total += widths[i];
    return total;
}

static size_t widest(const size_t *widths, size_t columns)
{
    size_t found = 0;

    for (size_t i = 1; i < columns; i++)
        if (widths[i] > widths[found])
            found = i;
    return found;
}

/* The width of every column: its longest cell, then the widest made narrower until all fit. */
static void measure(const struct table_row *rows, size_t count, size_t columns, size_t *widths)
{
    for (size_t k = 0; k < columns; k++) {
        widths[k] = 0;
        for (size_t i = 0; i < count; i++) {
            size_t width = glyph_width(rows[i].cells[k], strlen(rows[i].cells[k]));

            widths[k] = width > widths[k] ? width : widths[k];
        }
        if (widths[k] > SHEET_COLUMNS)
            widths[k] = SHEET_COLUMNS;
    }
    while (sum(widths, columns) > SHEET_COLUMNS - GAP) {
        size_t at = widest(widths, columns);

        if (widths[at] <= NARROWEST)
            return;
        widths[at]--;
    }
}

/* One line of a row: what of each cell comes next. False when every cell has ended. */
static bool add_line(const struct sheet *sheet, const char **rest, const size_t *widths,
                     size_t columns)
{
    struct text line = {0};
    bool any = false;
    size_t owed = GAP;

    for (size_t k = 0; k < columns; k++) {
        struct fold fold = {0};
        bool more = fold_next(&rest[k], widths[k], &fold);

        for (; more && owed > 0; owed--)
            text_add_char(&line, ' ');
        if (more)
            text_add_span(&line, fold.bytes, fold.length);
        owed += widths[k] + GAP - fold.columns;
        any |= more;
    }
    if (any) {
        text_add_span(sheet->out, text_bytes(&line), line.length);
        text_add_char(sheet->out, '\n');
    }
    text_free(&line);
    return any;
}

void sheet_table(const struct sheet *sheet, const struct table_row *rows, size_t count,
                 size_t columns)
{
    struct arena *arena = arena_new();
    struct table_row *clean = arena_array(arena, count, sizeof *clean);
    size_t widths[SHEET_CELLS];

    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < columns; k++)
            clean[i].cells[k] = plain(arena, rows[i].cells[k]);
    measure(clean, count, columns, widths);
    for (size_t i = 0; i < count; i++) {
        const char *rest[SHEET_CELLS];

        memcpy(rest, clean[i].cells, sizeof rest);
        while (add_line(sheet, rest, widths, columns))
            ;
    }
    arena_free(arena);
}
