#include "report/fold.h"

#include <string.h>

#include "report/glyph.h"

static const char *skip_blanks(const char *at)
{
    return at + strspn(at, " ");
}

/* The end of the longest piece of AT that fits, by characters. At least one character. */
static const char *hard_end(const char *at, const char *limit, size_t columns)
{
    const char *start = at, *end = at;
    struct glyph glyph;
    size_t used = 0;

    while (glyph_next(&at, limit, &glyph)) {
        used += glyph_columns(&glyph);
        if (used > columns && end > start)
            break;
        end = at;
    }
    return end;
}

/* Moves END back to the last blank after START; to END itself if there is none. */
static const char *soft_end(const char *start, const char *end)
{
    for (const char *at = end; at > start; at--)
        if (*at == ' ')
            return at;
    return end;
}

bool fold_next(const char **rest, size_t columns, struct fold *line)
{
    const char *start = skip_blanks(*rest), *limit = start + strlen(start), *end;

    if (start == limit)
        return false;
    end = hard_end(start, limit, columns);
    if (end < limit)
        end = soft_end(start, end);
    *rest = end;
    while (end > start && end[-1] == ' ')
        end--;
    line->bytes = start;
    line->length = (size_t)(end - start);
    line->columns = glyph_width(start, line->length);
    return true;
}
