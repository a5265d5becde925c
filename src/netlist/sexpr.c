#include "netlist/sexpr.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"

static bool is_blank(char c)
{
    return c == ' ' || (c >= '\t' && c <= '\r') || c == '\0';
}

static bool ends_atom(char c)
{
    return is_blank(c) || c == '(' || c == ')' || c == '"';
}

/* Bytes of a byte order mark that was read as Latin-1. */
static size_t mark_length(const struct source *source)
{
    if (source->length >= 3 && strcmp(source->encoding, "ISO-8859-1") == 0 &&
        memcmp(source->raw, "\xEF\xBB\xBF", 3) == 0)
        return strlen("\xC3\xAF\xC2\xBB\xC2\xBF");
    return 0;
}

void sexpr_start(struct sexpr *sexpr, const struct source *source, struct diags *diags,
                 enum sexpr_strings strings)
{
    *sexpr = (struct sexpr){.source = source, .diags = diags, .strings = strings, .line = 1,
                            .column = 1, .text = ""};
    sexpr->at = mark_length(source);
}

void sexpr_end(struct sexpr *sexpr)
{
    text_free(&sexpr->buffer);
}

/* Moves the place to byte AT. */
static void count_to(struct sexpr *sexpr, size_t at)
{
    const char *text = sexpr->source->text;

    for (; sexpr->counted < at; sexpr->counted++) {
        if (text[sexpr->counted] == '\n') {
            sexpr->line++;
            sexpr->column = 1;
        } else if ((text[sexpr->counted] & 0xC0) != 0x80) {
            sexpr->column++;
        }
    }
}

static struct place place_at(struct sexpr *sexpr, size_t at)
{
    count_to(sexpr, at);
    return (struct place){.source = sexpr->source, .line = sexpr->line, .column = sexpr->column};
}

const char *sexpr_excerpt(struct arena *arena, struct place place)
{
    size_t length = 0;
    const char *line = place.source != NULL ? source_line(place.source, place.line, &length) : NULL;
    const char *end;

    if (line == NULL)
        return NULL;
    end = line + length;
    for (unsigned column = place.column; column > 21 && line < end; line++)
        column -= (*line & 0xC0) != 0x80;
    while (line < end && (is_blank(*line) || (*line & 0xC0) == 0x80))
        line++;
    length = (size_t)(end - line);
    return arena_copy_span(arena, line, length < 240 ? length : 240);
}

static void complain(struct sexpr *sexpr, enum level level, struct place place,
                     const char *expected, const char *message)
{
    struct arena *arena = arena_new();

    diag_input(sexpr->diags, level, place, sexpr_excerpt(arena, place), expected, "%s",
               message);
    arena_free(arena);
}

/* The number of a %nn% whose first '%' is at AT, and its end; 0 if it is none. */
static unsigned long percent_code(const char *text, size_t at, size_t end, size_t *after)
{
    unsigned long code = 0;
    size_t digit = at + 1;

    for (; digit < end && digit < at + 8 && isdigit((unsigned char)text[digit]); digit++)
        code = code * 10 + (unsigned long)(text[digit] - '0');
    if (digit == at + 1 || digit >= end || text[digit] != '%' || code > 0x10FFFF ||
        (code >= 0xD800 && code < 0xE000))
        return 0;
    *after = digit + 1;
    return code;
}

static void add_code(struct text *buffer, unsigned long code)
{
    static const unsigned long limits[] = {0x80, 0x800, 0x10000};
    static const unsigned char leads[] = {0xC0, 0xE0, 0xF0};
    size_t more = 0;

    if (code < limits[0]) {
        text_add_char(buffer, code < ' ' ? ' ' : (char)code);
        return;
    }
    for (more = 1; more < 3 && code >= limits[more];)
        more++;
    text_add_char(buffer, (char)(leads[more - 1] | code >> 6 * more));
    while (more-- > 0)
        text_add_char(buffer, (char)(0x80 | (code >> 6 * more & 0x3F)));
}

/* What the character at AT, which is special in a string, adds to the buffer; returns its end. */
static size_t take_escape(struct sexpr *sexpr, size_t at)
{
    static const char letters[] = "\"\\nrt", meanings[] = "\"\\\n\r\t";
    const char *text = sexpr->source->text, *letter;
    size_t end = sexpr->source->length, after = at + 1;
    unsigned long code;

    if (text[at] == '%' && (code = percent_code(text, at, end, &after)) != 0) {
        add_code(&sexpr->buffer, code);
    } else if (text[at] == '\\' && at + 1 < end && text[at + 1] != '\0' &&
               (letter = strchr(letters, text[at + 1])) != NULL) {
        text_add_char(&sexpr->buffer, meanings[letter - letters]);
        after = at + 2;
    } else if (text[at] == '\0') {
        text_add_char(&sexpr->buffer, ' ');
    } else if (text[at] != '\n' && text[at] != '\r') {
        text_add_char(&sexpr->buffer, text[at]);
    }
    return after;
}

static bool is_special(const struct sexpr *sexpr, char c)
{
    if (c == '\0')
        return true;
    if (sexpr->strings == SEXPR_BACKSLASH)
        return c == '\\';
    return c == '%' || c == '\n' || c == '\r';
}

/* Reads the string whose quote is at AT. */
static void read_string(struct sexpr *sexpr)
{
    const char *text = sexpr->source->text;
    size_t end = sexpr->source->length, at = sexpr->at + 1, start = at;

    sexpr->buffer.length = 0;
    sexpr->quoted = true;
    while (at < end && (text[at] != '"' ||
                        (sexpr->strings == SEXPR_BACKSLASH && at + 1 < end && text[at + 1] == '"'))) {
        if (!is_special(sexpr, text[at]) && text[at] != '"') {
            at++;
            continue;
        }
        text_add_span(&sexpr->buffer, text + start, at - start);
        if (text[at] == '"') {
            text_add_char(&sexpr->buffer, '"');
            at += 2;
        } else {
            at = take_escape(sexpr, at);
        }
        start = at;
    }
    text_add_span(&sexpr->buffer, text + start, at - start);
    sexpr->text = text_bytes(&sexpr->buffer);
    sexpr->length = sexpr->buffer.length;
    if (at >= end)
        complain(sexpr, LEVEL_ERROR, sexpr->place, "a quote that closes it", "a string that is not closed");
    sexpr->at = at < end ? at + 1 : at;
}

static void read_bare(struct sexpr *sexpr)
{
    const char *text = sexpr->source->text;
    size_t start = sexpr->at;

    while (sexpr->at < sexpr->source->length && !ends_atom(text[sexpr->at]))
        sexpr->at++;
    sexpr->text = text + start;
    sexpr->length = sexpr->at - start;
    sexpr->quoted = false;
}

static void skip_blanks(struct sexpr *sexpr)
{
    while (sexpr->at < sexpr->source->length && is_blank(sexpr->source->text[sexpr->at]))
        sexpr->at++;
}

static void stop(struct sexpr *sexpr, const char *expected, const char *message)
{
    complain(sexpr, LEVEL_ERROR, sexpr->place, expected, message);
    sexpr->stopped = true;
}

static enum sexpr_event open_list(struct sexpr *sexpr)
{
    if (sexpr->depth == SEXPR_DEEPEST) {
        stop(sexpr, "at most 256 lists inside each other", "lists inside lists are too deep");
        return sexpr_next(sexpr);
    }
    sexpr->open[sexpr->depth++] = sexpr->place;
    sexpr->at++;
    skip_blanks(sexpr);
    read_bare(sexpr);
    return SEXPR_OPEN;
}

static enum sexpr_event read_atom(struct sexpr *sexpr)
{
    if (sexpr->source->text[sexpr->at] == '"')
        read_string(sexpr);
    else
        read_bare(sexpr);
    if (sexpr->length > SEXPR_TEXT_LONGEST) {
        complain(sexpr, LEVEL_ERROR, sexpr->place, "at most 65536 bytes", "a text that is too long: it is cut");
        sexpr->length = SEXPR_TEXT_LONGEST;
        while ((sexpr->text[sexpr->length] & 0xC0) == 0x80)
            sexpr->length--;
    }
    return SEXPR_ATOM;
}

static enum sexpr_event close_list(struct sexpr *sexpr)
{
    sexpr->depth--;
    sexpr->text = "";
    sexpr->length = 0;
    return SEXPR_CLOSE;
}

/* The file has ended, or reading has been stopped. */
static enum sexpr_event end(struct sexpr *sexpr)
{
    if (!sexpr->stopped && sexpr->depth > 0) {
        sexpr->place = place_at(sexpr, sexpr->source->length);
        stop(sexpr, "a parenthesis that closes the list",
             "the file ends inside a list: it is cut short");
    } else if (!sexpr->stopped && sexpr->tokens == 0) {
        sexpr->place = place_at(sexpr, sexpr->source->length);
        stop(sexpr, "a list in parentheses", "the file is empty");
    }
    return sexpr->depth > 0 ? close_list(sexpr) : SEXPR_END;
}

enum sexpr_event sexpr_next(struct sexpr *sexpr)
{
    for (;;) {
        skip_blanks(sexpr);
        if (sexpr->stopped || sexpr->at >= sexpr->source->length)
            return end(sexpr);
        sexpr->place = place_at(sexpr, sexpr->at);
        if (sexpr->tokens > 0 && sexpr->depth == 0) {
            complain(sexpr, LEVEL_WARNING, sexpr->place, "nothing after the last parenthesis",
                     "text after the end of the netlist is not read");
            sexpr->stopped = true;
            return SEXPR_END;
        }
        if (++sexpr->tokens > SEXPR_TOKENS_MOST) {
            stop(sexpr, "at most 50000000 lists and texts", "the file has too many lists and texts");
            continue;
        }
        switch (sexpr->source->text[sexpr->at]) {
        case '(':
            return open_list(sexpr);
        case ')':
            if (sexpr->depth > 0) {
                sexpr->at++;
                return close_list(sexpr);
            }
            stop(sexpr, "a list in parentheses", "a parenthesis that closes nothing");
            continue;
        default:
            return read_atom(sexpr);
        }
    }
}

bool sexpr_starts_with(const struct source *source, const char *word)
{
    const char *text = source->text + mark_length(source), *end = source->text + source->length;
    size_t length = strlen(word);

    while (text < end && is_blank(*text))
        text++;
    if (text >= end || *text++ != '(')
        return false;
    while (text < end && is_blank(*text))
        text++;
    return (size_t)(end - text) > length && strncasecmp(text, word, length) == 0 &&
           ends_atom(text[length]);
}
