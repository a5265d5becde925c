/* The statements of a bench file, each checked by the table of bench_words.c. */
#include "bench/bench.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/map.h"
#include "base/nearest.h"
#include "base/text.h"
#include "bench/bench_line.h"
#include "bench/bench_words.h"
#include "parts/parts.h"

struct bench *bench_new(struct arena *arena, struct diags *diags)
{
    struct bench *bench = arena_alloc(arena, sizeof *bench);

    bench->arena = arena;
    bench->diags = diags;
    bench->subjects = map_new();
    return bench;
}

void bench_free(struct bench *bench)
{
    if (bench != NULL)
        map_free(bench->subjects);
}

const struct bench_value *statement_value(const struct statement *statement, const char *key)
{
    for (size_t i = 0; i < statement->value_count; i++)
        if (strcmp(statement->values[i].key, key) == 0)
            return &statement->values[i];
    return NULL;
}

const char *statement_text(const struct statement *statement, const char *key)
{
    const struct bench_value *value = statement_value(statement, key);

    return value != NULL ? value->text : NULL;
}

bool statement_quantity(const struct statement *statement, const char *key, enum unit unit,
                        double *value)
{
    const char *text = statement_text(statement, key);
    struct quantity quantity;
    bool minus;

    if (text == NULL)
        return false;
    minus = *text == '-';
    if (!quantity_parse(text + strspn(text, "+-"), QUANTITY_SCHEMATIC, unit, &quantity))
        return false;
    *value = minus ? -quantity.value : quantity.value;
    return true;
}

static const char *all_words(struct arena *arena)
{
    struct text text = {0};
    const char *words;

    for (size_t i = 0; i < statement_row_count; i++)
        text_print(&text, "%s%s", i > 0 ? ", " : "", statement_rows[i].name);
    words = arena_copy(arena, text_bytes(&text));
    text_free(&text);
    return words;
}

static bool refuse_word(const struct bench_line *line, const char *word, struct place place)
{
    struct nearest nearest = nearest_start(word, strlen(word));

    for (size_t i = 0; i < statement_row_count; i++)
        nearest_offer(&nearest, statement_rows[i].name);
    diag_input(line->bench->diags, LEVEL_ERROR, place, word, all_words(line->bench->arena),
               "there is no statement %.100s; the nearest is %s", word, nearest.name);
    return false;
}

static bool refuse_key(const struct bench_line *line, const struct statement_row *row,
                       const struct bench_value *value)
{
    struct nearest nearest = nearest_start(value->key, strlen(value->key));

    for (const struct bench_key *key = row->keys; key->name != NULL; key++)
        nearest_offer(&nearest, key->name);
    diag_input(line->bench->diags, LEVEL_ERROR, value->key_place, value->name, row->example,
               "%s has no key %.100s; the nearest is %s", row->name, value->name, nearest.name);
    return false;
}

static bool refuse_form(const struct bench_line *line, const struct bench_key *key,
                        const struct bench_value *value)
{
    struct nearest nearest = nearest_start(value->text, strlen(value->text));

    for (int i = 1; key->form == FORM_KIND && i < PART_KIND_COUNT; i++)
        nearest_offer(&nearest, part_kind_name((enum part_kind)i));
    diag_input(line->bench->diags, LEVEL_ERROR, value->place, value->text,
               bench_form_expected(key->form), "%s cannot be %.100s%s%s", value->name, value->text,
               nearest.name != NULL ? "; the nearest is " : "",
               nearest.name != NULL ? nearest.name : "");
    return false;
}

static bool check_value(const struct bench_line *line, const struct statement *statement,
                        struct bench_value *value)
{
    const struct bench_key *key;

    value->key = statement_key_usual(statement->row, value->key);
    key = statement_key_find(statement->row, value->key);
    if (key == NULL && !statement->row->any_key)
        return refuse_key(line, statement->row, value);
    if (key != NULL && !bench_form_fits(key->form, value->text))
        return refuse_form(line, key, value);
    if (statement_value(statement, value->key) != NULL) {
        diag_input(line->bench->diags, LEVEL_ERROR, value->key_place, value->name, NULL,
                   "%s is told twice in one statement", value->name);
        return false;
    }
    return true;
}

/* All values of the line; false, after an input error, if one is wrong. */
static bool read_values(struct bench_line *line, struct statement *statement)
{
    struct arena *arena = line->bench->arena;

    while (bench_line_more(line)) {
        struct bench_value value = {0};

        if (!bench_line_value(line, &value) || !check_value(line, statement, &value))
            return false;
        if (statement->value_count == BENCH_VALUES_LARGEST) {
            diag_input(line->bench->diags, LEVEL_ERROR, value.key_place, value.name, NULL,
                       "more than %d values in one statement", BENCH_VALUES_LARGEST);
            return false;
        }
        statement->values = arena_grow(arena, statement->values, &statement->value_capacity,
                                       statement->value_count, sizeof *statement->values);
        statement->values[statement->value_count++] = value;
    }
    return true;
}

/* One of the keys named in CHOICE is there. */
static bool has_choice(const struct statement *statement, const char *choice)
{
    for (size_t i = 0; choice != NULL && i < statement->value_count; i++) {
        const char *key = statement->values[i].key, *found = strstr(choice, key);
        size_t length = strlen(key);

        if (found != NULL && (found == choice || found[-1] == ' ') &&
            (found[length] == ' ' || found[length] == '\0'))
            return true;
    }
    return choice == NULL;
}

static bool is_complete(const struct bench *bench, const struct statement *statement)
{
    const struct statement_row *row = statement->row;

    for (const struct bench_key *key = row->keys; key->name != NULL; key++)
        if (key->needed && statement_value(statement, key->name) == NULL) {
            diag_input(bench->diags, LEVEL_ERROR, statement->place, NULL, row->example,
                       "%s needs %s=", row->name, key->name);
            return false;
        }
    if (has_choice(statement, row->choice))
        return true;
    diag_input(bench->diags, LEVEL_ERROR, statement->place, NULL, row->example,
               "%s needs one of: %s", row->name, row->choice);
    return false;
}

static const char *subject_key(const struct bench *bench, const struct statement *statement)
{
    struct text text = {0};
    char *key;

    text_add(&text, statement->row->group);
    for (size_t i = 0; i < 4 && statement->row->subjects[i] != NULL; i++) {
        const char *value = statement_text(statement, statement->row->subjects[i]);

        text_print(&text, "\n%s", value != NULL ? value : "");
    }
    key = arena_copy(bench->arena, text_bytes(&text));
    text_free(&text);
    for (char *c = key; *c != '\0'; c++)
        *c = (char)tolower((unsigned char)*c);
    return key;
}

/* Two statements about one thing: which of them holds is not for us to guess. */
static bool is_first(struct bench *bench, struct statement *statement)
{
    const char *key = subject_key(bench, statement);
    const struct statement *other = map_get(bench->subjects, key);

    if (other == NULL)
        return map_add(bench->subjects, key, statement);
    diag_input(bench->diags, LEVEL_ERROR, statement->place, statement->text,
               "one statement about one thing",
               "line %u of %s says this already: %.200s", other->place.line,
               other->place.source->name, other->text);
    return false;
}

static void read_statement(struct bench_line *line)
{
    struct bench *bench = line->bench;
    struct statement *statement = arena_alloc(bench->arena, sizeof *statement);
    const char *word = bench_line_word(line, &statement->place);

    statement->row = statement_row_find(word);
    if (statement->row == NULL) {
        refuse_word(line, word, statement->place);
        return;
    }
    statement->word = statement->row->word;
    if (!read_values(line, statement) || !is_complete(bench, statement))
        return;
    statement->text = bench_line_text(line);
    if (!is_first(bench, statement))
        return;
    if (bench->count == BENCH_STATEMENTS_LARGEST) {
        diag_input(bench->diags, LEVEL_ERROR, statement->place, NULL, NULL,
                   "more than %d statements", BENCH_STATEMENTS_LARGEST);
        return;
    }
    bench->items = arena_grow(bench->arena, bench->items, &bench->capacity, bench->count,
                              sizeof *bench->items);
    bench->items[bench->count++] = statement;
}

/* A byte that no text has, or NULL. */
static const char *find_control(const struct bench_line *line)
{
    for (const char *at = line->start; at < line->end; at++)
        if (((unsigned char)*at < 0x20 && *at != '\t') || *at == 0x7F)
            return at;
    return NULL;
}

static void read_line(struct bench_line *line)
{
    const char *control = find_control(line);

    if (control != NULL)
        diag_input(line->bench->diags, LEVEL_ERROR, bench_line_place(line, control), NULL,
                   "plain text", "a control character (code %u)", (unsigned char)*control);
    else if (line->end - line->start > BENCH_LINE_LARGEST)
        diag_input(line->bench->diags, LEVEL_ERROR, bench_line_place(line, line->start), NULL,
                   NULL, "a line of more than %d bytes", BENCH_LINE_LARGEST);
    else if (bench_line_more(line))
        read_statement(line);
}

void bench_read(struct bench *bench, const struct source *source)
{
    const char *at = source->text, *limit = source->text + source->length;

    for (unsigned number = 1; at < limit; number++) {
        const char *next = memchr(at, '\n', (size_t)(limit - at));
        const char *end = next != NULL ? next : limit;
        struct bench_line line = {.bench = bench, .source = source, .number = number,
                                  .start = at, .at = at, .end = end};

        if (number > BENCH_LINES_LARGEST) {
            diag_input(bench->diags, LEVEL_ERROR, bench_line_place(&line, at), NULL, NULL,
                       "more than %d lines", BENCH_LINES_LARGEST);
            return;
        }
        if (line.end > line.start && line.end[-1] == '\r')
            line.end--;
        read_line(&line);
        at = next != NULL ? next + 1 : limit;
    }
}
