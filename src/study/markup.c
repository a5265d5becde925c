#include "study/markup.h"

#include <string.h>

#include "base/text.h"
#include "report/glyph.h"

static void add_escaped(struct text *out, const char *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++)
        switch (bytes[i]) {
        case '&': text_add(out, "&amp;"); break;
        case '<': text_add(out, "&lt;"); break;
        case '>': text_add(out, "&gt;"); break;
        case '"': text_add(out, "&quot;"); break;
        case '\'': text_add(out, "&#39;"); break;
        default: text_add_char(out, bytes[i]);
        }
}

void markup_add(struct text *out, const char *text)
{
    struct text plain = {0};

    glyph_add_plain(&plain, text, strlen(text));
    add_escaped(out, text_bytes(&plain), plain.length);
    text_free(&plain);
}

void markup_add_short(struct text *out, const char *text, size_t columns)
{
    struct text plain = {0};
    const char *at, *limit;
    struct glyph glyph;
    size_t used = 0;

    glyph_add_plain(&plain, text, strlen(text));
    at = text_bytes(&plain);
    limit = at + plain.length;
    if (glyph_width(at, plain.length) <= columns) {
        add_escaped(out, at, plain.length);
    } else {
        while (glyph_next(&at, limit, &glyph) && (used += glyph_columns(&glyph)) < columns)
            add_escaped(out, glyph.bytes, glyph.length);
        text_add(out, "\xE2\x80\xA6");
    }
    text_free(&plain);
}
