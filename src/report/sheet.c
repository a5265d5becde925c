#include "config.h"

#include "report/sheet.h"

#include <stdarg.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "report/fold.h"
#include "report/glyph.h"

static const char *const escapes[] = {
    [SHEET_PLAIN] = "", [SHEET_STRONG] = "\033[1m", [SHEET_LINED] = "\033[4m",
    [SHEET_ALARM] = "\033[1;7m",
};

static void pad(struct text *out, size_t columns)
{
    for (size_t i = 0; i < columns; i++)
        text_add_char(out, ' ');
}

/* Lines of COLUMNS, each after the first behind a margin of INDENT. */
static void add_folded(const struct sheet *sheet, const char *plain, size_t columns, size_t indent)
{
    const char *rest = plain;
    struct fold line;
    bool first = true;

    while (fold_next(&rest, columns, &line)) {
        if (!first)
            pad(sheet->out, indent);
        text_add_span(sheet->out, line.bytes, line.length);
        text_add_char(sheet->out, '\n');
        first = false;
    }
    if (first)
        text_add_char(sheet->out, '\n');
}

/* LABEL set flush right in the margin, with a colon; one that is wider than the margin has lines of its own. */
static void add_label(const struct sheet *sheet, enum sheet_style style, const char *label)
{
    bool styled = sheet->styled && style != SHEET_PLAIN;
    struct text plain = {0};
    size_t width;

    if (label == NULL) {
        pad(sheet->out, SHEET_MARGIN);
        return;
    }
    glyph_add_plain(&plain, label, strnlen(label, SHEET_CELL_LONGEST));
    width = glyph_width(text_bytes(&plain), plain.length);
    pad(sheet->out, width + 2 < SHEET_MARGIN ? SHEET_MARGIN - 2 - width : 0);
    if (styled)
        text_add(sheet->out, escapes[style]);
    if (width + 2 > SHEET_MARGIN) {
        text_add_char(&plain, ':');
        add_folded(sheet, text_bytes(&plain), SHEET_COLUMNS, 0);
    } else {
        text_add(sheet->out, text_bytes(&plain));
    }
    if (styled)
        text_add(sheet->out, "\033[0m");
    if (width + 2 > SHEET_MARGIN)
        pad(sheet->out, SHEET_MARGIN);
    else
        text_add(sheet->out, ": ");
    text_free(&plain);
}

void sheet_item(const struct sheet *sheet, enum sheet_style style, const char *label,
                const char *format, ...)
{
    struct arena *arena = arena_new();
    struct text plain = {0};
    const char *raw;
    va_list args;

    va_start(args, format);
    raw = arena_vprint(arena, format, args);
    va_end(args);
    glyph_add_plain(&plain, raw, strnlen(raw, SHEET_LONGEST));
    if (strnlen(raw, SHEET_LONGEST + 1) > SHEET_LONGEST)
        text_add(&plain, " ... (cut)");
    add_label(sheet, style, label);
    add_folded(sheet, text_bytes(&plain), SHEET_COLUMNS - SHEET_MARGIN, SHEET_MARGIN);
    text_free(&plain);
    arena_free(arena);
}

void sheet_heading(const struct sheet *sheet, const char *title)
{
    text_add_char(sheet->out, '\n');
    if (sheet->styled)
        text_add(sheet->out, escapes[SHEET_STRONG]);
    text_add(sheet->out, title);
    if (sheet->styled)
        text_add(sheet->out, "\033[0m");
    text_add_char(sheet->out, '\n');
}

void sheet_blank(const struct sheet *sheet)
{
    text_add_char(sheet->out, '\n');
}

/* Where to start so that the character at COLUMN shows with some 40 characters before it. */
static const char *window_start(const char *line, const char *limit, unsigned column)
{
    const char *at = line;
    struct glyph glyph;

    for (unsigned i = 41; i < column && glyph_next(&at, limit, &glyph); i++)
        ;
    return at;
}

void sheet_excerpt(const struct sheet *sheet, const char *line, size_t length, unsigned column)
{
    const char *limit = line + length, *at = window_start(line, limit, column);
    unsigned character = column > 41 ? column - 40 : 1;
    size_t room = SHEET_COLUMNS - SHEET_MARGIN - 6, used = 0, caret = 0;
    struct text shown = {0};
    struct glyph glyph;

    if (at > line) {
        text_add(&shown, "...");
        used = 3;
    }
    while (used < room && glyph_next(&at, limit, &glyph)) {
        if (character++ == column)
            caret = used + 1;
        glyph_add_plain(&shown, glyph.bytes, glyph.length);
        used = glyph_width(text_bytes(&shown), shown.length);
    }
    if (column != 0 && caret == 0) /* just past the end of the line */
        caret = used + 1;
    if (at < limit)
        text_add(&shown, "...");
    pad(sheet->out, SHEET_MARGIN);
    text_add_span(sheet->out, text_bytes(&shown), shown.length);
    text_add_char(sheet->out, '\n');
    if (caret > 0) {
        pad(sheet->out, SHEET_MARGIN + caret - 1);
        text_add(sheet->out, "^\n");
    }
    text_free(&shown);
}
