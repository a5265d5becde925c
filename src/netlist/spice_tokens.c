#include "netlist/spice_tokens.h"

#include <ctype.h>
#include <string.h>

#include "base/arena.h"
#include "netlist/spice_lines.h"

static size_t skip_blanks(const struct spice_line *line, size_t at, size_t to)
{
    while (at < to && line->text[at] == ' ')
        at++;
    return at;
}

static size_t skip_separators(const struct spice_line *line, size_t at, size_t to)
{
    while (at < to && (line->text[at] == ' ' || line->text[at] == ','))
        at++;
    return at;
}

static bool ends_word(const struct spice_line *line, size_t at, size_t to, bool value)
{
    char c = line->text[at];

    if (c == ' ' || (c == '=' && !value))
        return true;
    return c == ',' && (!value || at + 1 >= to || line->text[at + 1] == ' ');
}

/* The end of '...' that starts at AT; 0 if it is not closed. */
static size_t quote_end(const struct spice_line *line, size_t at, size_t to)
{
    const char *close = memchr(line->text + at + 1, line->text[at], to - at - 1);

    return close != NULL ? (size_t)(close - line->text) + 1 : 0;
}

static size_t word_end(struct spice_tokens *tokens, const struct spice_line *line, size_t at,
                       size_t to, bool value)
{
    size_t depth = 0, opened = at, end;

    if (line->text[at] == '\'' && (end = quote_end(line, at, to)) != 0)
        return end;
    for (end = at; end < to; end++) {
        char c = line->text[end];

        if (depth == 0 && ends_word(line, end, to, value))
            break;
        if (c == '(' || c == '{' || c == '[') {
            if (depth++ == 0)
                opened = end;
        } else if ((c == ')' || c == '}' || c == ']') && depth > 0) {
            depth--;
        }
    }
    if (depth > 0 && !tokens->unclosed) {
        tokens->unclosed = true;
        tokens->unclosed_at = opened;
    }
    return end;
}

/* Reads a word or value at AT into TOKEN: its text, quoted or not. Returns where it ends. */
static size_t read_text(struct arena *arena, struct spice_tokens *tokens,
                        const struct spice_line *line, size_t at, size_t to,
                        struct spice_token *token)
{
    size_t end;

    if (at < to && line->text[at] == '"') {
        end = quote_end(line, at, to);
        token->quoted = true;
        if (end == 0) {
            tokens->unclosed = true;
            tokens->unclosed_at = at;
            token->text = arena_copy_span(arena, line->text + at + 1, to - at - 1);
            return to;
        }
        token->text = arena_copy_span(arena, line->text + at + 1, end - at - 2);
        return end;
    }
    end = at < to ? word_end(tokens, line, at, to, token->name != NULL) : at;
    token->text = arena_copy_span(arena, line->text + at, end - at);
    return end;
}

static bool is_name(const char *text)
{
    if (!isalpha((unsigned char)text[0]) && text[0] != '_')
        return false;
    return true;
}

/* Makes TOKEN a setting if '=' follows it at AT; returns where reading goes on. */
static size_t read_setting(struct arena *arena, struct spice_tokens *tokens,
                           const struct spice_line *line, size_t at, size_t to,
                           struct spice_token *token)
{
    size_t equals = skip_blanks(line, at, to);

    if (token->quoted || equals >= to || line->text[equals] != '=' || !is_name(token->text))
        return at;
    token->name = token->text;
    token->value = skip_blanks(line, equals + 1, to);
    return read_text(arena, tokens, line, token->value, to, token);
}

struct spice_tokens spice_tokenise(struct arena *arena, const struct spice_line *line, size_t from,
                                   size_t to)
{
    struct spice_tokens tokens = {0};
    size_t at = skip_separators(line, from, to);

    while (at < to) {
        struct spice_token token = {.offset = at, .value = at};

        if (line->text[at] == '=') { /* of nothing */
            at = skip_separators(line, at + 1, to);
            continue;
        }
        at = read_text(arena, &tokens, line, at, to, &token);
        at = read_setting(arena, &tokens, line, at, to, &token);
        token.end = at;
        tokens.items = arena_grow(arena, tokens.items, &tokens.capacity, tokens.count,
                                  sizeof *tokens.items);
        tokens.items[tokens.count++] = token;
        at = skip_separators(line, at, to);
    }
    return tokens;
}

const char *spice_word(struct arena *arena, const struct spice_line *line, size_t from)
{
    struct spice_tokens ignored = {0};
    struct spice_token token = {.name = ""}; /* read as a value: commas stay */

    if (from >= line->length)
        return "";
    read_text(arena, &ignored, line, from, line->length, &token);
    return token.text;
}
