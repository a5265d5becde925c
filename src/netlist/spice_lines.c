#include "netlist/spice_lines.h"

#include <string.h>

#include "base/arena.h"
#include "base/text.h"

/* A physical line, without its end. */
struct physical {
    const char *text;
    size_t length;
    unsigned line;
};

bool spice_is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\f' || c == '\v' || c == '\0';
}

struct spice_cursor spice_cursor_start(const struct source *source)
{
    return (struct spice_cursor){.source = source, .line = 1};
}

static bool next_physical(struct spice_cursor *cursor, struct physical *out)
{
    const struct source *source = cursor->source;
    const char *start = source->text + cursor->at, *end;
    size_t left = source->length - cursor->at;

    if (left == 0)
        return false;
    end = memchr(start, '\n', left);
    *out = (struct physical){.text = start, .line = cursor->line,
                             .length = end != NULL ? (size_t)(end - start) : left};
    cursor->at += out->length + (end != NULL);
    cursor->line++;
    while (out->length > 0 && spice_is_blank(out->text[out->length - 1]))
        out->length--;
    return true;
}

const char *spice_title_line(struct arena *arena, struct spice_cursor *cursor)
{
    struct physical first;
    char *title;

    if (!next_physical(cursor, &first))
        return "";
    title = arena_copy_span(arena, first.text, first.length);
    for (size_t i = 0; i < first.length; i++)
        if (title[i] == '\0')
            title[i] = ' ';
    return title;
}

/* Names such as $N_0001 and $G_DPWR are nets some schematic editors write; other '$' after a blank
 * start a comment. */
static bool is_dollar_net(const char *text, size_t left)
{
    return left >= 3 && (text[1] == 'N' || text[1] == 'G') && text[2] == '_';
}

static bool starts_comment(const char *text, size_t at, size_t length)
{
    bool after_blank = at == 0 || spice_is_blank(text[at - 1]) || text[at - 1] == ',';

    if (text[at] == ';')
        return true;
    if (!after_blank)
        return false;
    return (text[at] == '$' && !is_dollar_net(text + at, length - at)) ||
           (text[at] == '/' && at + 1 < length && text[at + 1] == '/');
}

/* Cuts blanks in front, a comment and blanks at the end. *QUOTED: inside "...", where nothing is a
 * comment; carried from one physical line to its continuation. */
static void strip(struct physical *line, bool *quoted)
{
    size_t front = 0, length = 0;

    while (front < line->length && spice_is_blank(line->text[front]))
        front++;
    line->text += front;
    line->length -= front;
    if (!*quoted && line->length > 0 && line->text[0] == '*')
        line->length = 0;
    while (length < line->length) {
        if (!*quoted && starts_comment(line->text, length, line->length))
            break;
        if (line->text[length] == '"')
            *quoted = !*quoted;
        length++;
    }
    line->length = length;
    while (line->length > 0 && spice_is_blank(line->text[line->length - 1]))
        line->length--;
}

/* A line that ends with two backslashes goes on in the next; they are cut off. */
static bool cut_backslashes(struct physical *line)
{
    if (line->length < 2 || memcmp(line->text + line->length - 2, "\\\\", 2) != 0)
        return false;
    line->length -= 2;
    return true;
}

/* Characters of UTF-8 from START to END. */
static unsigned characters(const char *start, const char *end)
{
    unsigned count = 0;

    for (; start < end; start++)
        count += (*start & 0xC0) != 0x80;
    return count;
}

static unsigned column_of(const struct source *source, const char *at)
{
    const char *start = at;

    while (start > source->text && start[-1] != '\n')
        start--;
    return characters(start, at) + 1;
}

static void add_piece(struct arena *arena, struct spice_line *line, struct text *joined,
                      const struct physical *physical)
{
    struct spice_piece *piece;

    if (joined->length > 0)
        text_add_char(joined, ' ');
    line->pieces = arena_grow(arena, line->pieces, &line->piece_capacity, line->piece_count,
                              sizeof *line->pieces);
    piece = &line->pieces[line->piece_count++];
    *piece = (struct spice_piece){.offset = joined->length, .physical = physical->text,
                                  .line = physical->line,
                                  .column = column_of(line->source, physical->text)};
    text_add_span(joined, physical->text, physical->length);
}

/* The next continuation of a logical line, if there is one; comments before it are read over. */
static bool next_continuation(struct spice_cursor *cursor, bool joined_by_backslash, bool *quoted,
                              struct physical *out)
{
    for (;;) {
        struct spice_cursor before = *cursor;
        size_t front = 0;

        if (!next_physical(cursor, out))
            return false;
        while (front < out->length && spice_is_blank(out->text[front]))
            front++;
        if (joined_by_backslash || (front < out->length && out->text[front] == '+')) {
            front += front < out->length && out->text[front] == '+';
            out->text += front;
            out->length -= front;
            strip(out, quoted);
            return true;
        }
        if (front < out->length && out->text[front] != '*' &&
            !starts_comment(out->text, front, out->length)) {
            *cursor = before;
            return false;
        }
    }
}

static void finish(struct arena *arena, struct spice_line *line, struct text *joined)
{
    char *text = arena_copy_span(arena, text_bytes(joined), joined->length);

    for (size_t i = 0; i < joined->length; i++)
        if (spice_is_blank(text[i]))
            text[i] = ' ';
    line->text = text;
    line->length = joined->length;
    text_free(joined);
}

const struct spice_line *spice_next_line(struct arena *arena, struct spice_cursor *cursor)
{
    struct spice_line *line;
    struct text joined = {0};
    struct physical physical;
    bool quoted = false, backslash;

    do {
        if (!next_physical(cursor, &physical))
            return NULL;
        quoted = false;
        strip(&physical, &quoted);
    } while (physical.length == 0);
    line = arena_alloc(arena, sizeof *line);
    line->source = cursor->source;
    do {
        backslash = cut_backslashes(&physical);
        add_piece(arena, line, &joined, &physical);
    } while (next_continuation(cursor, backslash, &quoted, &physical));
    finish(arena, line, &joined);
    return line;
}

struct place spice_place(const struct spice_line *line, size_t offset)
{
    size_t low = 0, high = line->piece_count;
    const struct spice_piece *piece;
    const char *at;

    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;

        if (line->pieces[middle].offset <= offset)
            low = middle;
        else
            high = middle;
    }
    piece = &line->pieces[low];
    at = piece->physical + (offset - piece->offset);
    return (struct place){.source = line->source, .line = piece->line,
                          .column = piece->column + characters(piece->physical, at)};
}
