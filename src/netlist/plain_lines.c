#include "netlist/plain_lines.h"

#include <string.h>
#include <strings.h>

#include "netlist/assembly.h"

static bool is_blank(char c)
{
    return c == ' ' || (c >= '\t' && c <= '\r') || c == '\0';
}

struct plain_lines plain_lines_start(const struct source *source)
{
    return (struct plain_lines){.source = source};
}

struct plain_span plain_part(const struct plain_span *span, size_t from, size_t count)
{
    struct plain_span part = *span;

    part.text += from;
    part.length = count;
    for (size_t i = 0; i < from; i++)
        part.place.column += (span->text[i] & 0xC0) != 0x80;
    while (part.length > 0 && is_blank(*part.text)) {
        part.text++;
        part.length--;
        part.place.column++;
    }
    while (part.length > 0 && is_blank(part.text[part.length - 1]))
        part.length--;
    return part;
}

bool plain_line(struct plain_lines *lines, struct plain_span *line)
{
    const struct source *source = lines->source;
    const char *start = source->text + lines->at, *end;
    size_t left = source->length - lines->at;
    struct plain_span whole = {.text = start};

    if (left == 0)
        return false;
    end = memchr(start, '\n', left);
    whole.length = end != NULL ? (size_t)(end - start) : left;
    whole.place = (struct place){.source = source, .line = ++lines->line, .column = 1};
    lines->at += whole.length + (end != NULL);
    *line = plain_part(&whole, 0, whole.length);
    return true;
}

bool plain_word(struct plain_span *line, struct plain_span *word)
{
    size_t length = 0;

    while (length < line->length && !is_blank(line->text[length]))
        length++;
    *word = plain_part(line, 0, length);
    *line = plain_part(line, length, line->length - length);
    return length > 0;
}

bool plain_is(const struct plain_span *span, const char *text)
{
    return span->length == strlen(text) && strncasecmp(span->text, text, span->length) == 0;
}

bool plain_starts(const struct plain_span *span, const char *text)
{
    return span->length >= strlen(text) && strncasecmp(span->text, text, strlen(text)) == 0;
}

bool plain_split(struct assembly *assembly, const struct plain_span *text, char mark,
                 const char **ref, const char **pin)
{
    enum { LONGEST = 2 * ASSEMBLY_NAME_LONGEST + 1 }; /* and no more marks are tried */
    size_t best = 0;

    for (size_t at = text->length < LONGEST ? text->length : LONGEST; at-- > 1;) {
        if (text->text[at] != mark || at + 1 == text->length)
            continue;
        if (best == 0)
            best = at;
        if (assembly_has(assembly, assembly_text(assembly, text->text, at))) {
            best = at;
            break;
        }
    }
    if (best == 0)
        return false;
    *ref = assembly_text(assembly, text->text, best);
    *pin = assembly_text(assembly, text->text + best + 1, text->length - best - 1);
    return **ref != '\0' && **pin != '\0';
}
