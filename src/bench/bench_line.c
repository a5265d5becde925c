#include "bench/bench_line.h"

#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "circuit/circuit.h"

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

struct place bench_line_place(const struct bench_line *line, const char *point)
{
    struct place place = {.source = line->source, .line = line->number, .column = 1};

    for (const char *at = line->start; at < point; at++)
        place.column += ((unsigned char)*at & 0xC0) != 0x80;
    return place;
}

static void skip_blanks(struct bench_line *line)
{
    while (line->at < line->end && is_blank(*line->at))
        line->at++;
}

bool bench_line_more(struct bench_line *line)
{
    skip_blanks(line);
    return line->at < line->end && *line->at != '#';
}

static const char *take(struct bench_line *line, const char *stops)
{
    const char *start = line->at;

    while (line->at < line->end && !is_blank(*line->at) && strchr(stops, *line->at) == NULL)
        line->at++;
    return arena_copy_span(line->bench->arena, start, (size_t)(line->at - start));
}

const char *bench_line_word(struct bench_line *line, struct place *place)
{
    *place = bench_line_place(line, line->at);
    return take(line, "=#");
}

static bool complain(const struct bench_line *line, const char *point, const char *excerpt,
                     const char *expected, const char *what)
{
    diag_input(line->bench->diags, LEVEL_ERROR, bench_line_place(line, point), excerpt, expected,
               "%s", what);
    return false;
}

/* The text between two equal quotes; NULL if the second is missing. */
static const char *take_quoted(struct bench_line *line)
{
    const char *start = line->at + 1;
    const char *close = memchr(start, *line->at, (size_t)(line->end - start));

    if (close == NULL)
        return NULL;
    line->at = close + 1;
    return arena_copy_span(line->bench->arena, start, (size_t)(close - start));
}

static bool take_value(struct bench_line *line, struct bench_value *value)
{
    const char *start = line->at;
    bool quoted = line->at < line->end && (*line->at == '"' || *line->at == '\'');

    value->place = bench_line_place(line, start);
    value->text = quoted ? take_quoted(line) : take(line, "#\"");
    if (value->text == NULL)
        return complain(line, start, NULL, "a closing quote on the same line",
                        "a quote that is not closed");
    if (value->text[strspn(value->text, " \t")] == '\0')
        return complain(line, start, value->name, "a value, such as part=F2",
                        "nothing stands after the =");
    if (line->at < line->end && !is_blank(*line->at) && *line->at != '#')
        return complain(line, line->at, NULL, "a blank between a value and the next key",
                        "a value goes on where it should end");
    return true;
}

bool bench_line_value(struct bench_line *line, struct bench_value *value)
{
    const char *start = line->at;

    value->name = take(line, "=#");
    value->key = field_key(line->bench->arena, value->name);
    value->key_place = bench_line_place(line, start);
    skip_blanks(line);
    if (value->key[0] == '\0' || line->at >= line->end || *line->at != '=')
        return complain(line, start, value->name, "key=value, such as part=F2",
                        "this is no key with a value");
    line->at++;
    skip_blanks(line);
    return take_value(line, value);
}

const char *bench_line_text(const struct bench_line *line)
{
    const char *start = line->start, *end = line->at;

    while (start < end && is_blank(*start))
        start++;
    while (end > start && is_blank(end[-1]))
        end--;
    return arena_copy_span(line->bench->arena, start, (size_t)(end - start));
}
