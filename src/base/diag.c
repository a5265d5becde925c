#include "base/diag.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

static const char *const level_names[] = {
    [LEVEL_NOTE] = "note",
    [LEVEL_UNVERIFIED] = "unverified",
    [LEVEL_WARNING] = "warning",
    [LEVEL_ERROR] = "error",
};

const char *level_name(enum level level)
{
    return level_names[level];
}

bool level_parse(const char *name, enum level *level)
{
    for (size_t i = 0; i < sizeof level_names / sizeof *level_names; i++) {
        if (strcmp(name, level_names[i]) == 0) {
            *level = (enum level)i;
            return true;
        }
    }
    return false;
}

struct diags diags_start(struct arena *arena)
{
    return (struct diags){.arena = arena};
}

void diag_add(struct diags *diags, const struct diag *diag)
{
    diags->items = arena_grow(diags->arena, diags->items, &diags->capacity, diags->count,
                              sizeof *diags->items);
    diags->items[diags->count++] = *diag;
}

/* The first 60 characters of TEXT, "..." after them if there were more. */
static const char *cut(struct arena *arena, const char *text)
{
    size_t bytes = 0, characters = 0;

    while (text[bytes] != '\0' && characters < 60) {
        bytes++;
        while ((text[bytes] & 0xC0) == 0x80)
            bytes++;
        characters++;
    }
    return arena_print(arena, "%.*s%s", (int)bytes, text, text[bytes] != '\0' ? "..." : "");
}

void diag_input(struct diags *diags, enum level level, struct place place, const char *excerpt,
                const char *expected, const char *format, ...)
{
    struct diag diag = {.level = level, .place = place};
    va_list args;

    if (diag_count_input(diags, LEVEL_NOTE) >= DIAG_INPUT_LARGEST) {
        diags->dropped++;
        return;
    }
    va_start(args, format);
    diag.message = arena_vprint(diags->arena, format, args);
    va_end(args);
    if (excerpt != NULL)
        diag.excerpt = cut(diags->arena, excerpt);
    if (expected != NULL)
        diag.expected = arena_copy(diags->arena, expected);
    diag_add(diags, &diag);
}

static size_t count(const struct diags *diags, enum level level, bool input)
{
    size_t found = 0;

    for (size_t i = 0; i < diags->count; i++) {
        const struct diag *diag = &diags->items[i];

        if ((diag->rule == NULL) == input && diag->level >= level && diag->accepted == NULL)
            found++;
    }
    return found;
}

size_t diag_count_input(const struct diags *diags, enum level level)
{
    return count(diags, level, true);
}

size_t diag_count_findings(const struct diags *diags, enum level level)
{
    return count(diags, level, false);
}

size_t diag_count_accepted(const struct diags *diags)
{
    size_t found = 0;

    for (size_t i = 0; i < diags->count; i++)
        found += diags->items[i].accepted != NULL;
    return found;
}

static int compare_text(const char *a, const char *b)
{
    return strcmp(a != NULL ? a : "", b != NULL ? b : "");
}

static int compare_place(const struct place *a, const struct place *b)
{
    int order = compare_text(a->source != NULL ? a->source->name : NULL,
                             b->source != NULL ? b->source->name : NULL);

    if (order != 0)
        return order;
    if (a->line != b->line)
        return a->line < b->line ? -1 : 1;
    return (a->column > b->column) - (a->column < b->column);
}

static int compare(const void *left, const void *right)
{
    const struct diag *a = left, *b = right;
    int order;

    if ((a->rule == NULL) != (b->rule == NULL))
        return a->rule == NULL ? -1 : 1;
    if (a->rule == NULL) {
        order = compare_place(&a->place, &b->place);
        return order != 0 ? order : compare_text(a->message, b->message);
    }
    if ((a->accepted == NULL) != (b->accepted == NULL))
        return a->accepted == NULL ? -1 : 1;
    if (a->level != b->level)
        return a->level > b->level ? -1 : 1;
    order = strcmp(a->rule, b->rule);
    if (order == 0 && a->object_count > 0 && b->object_count > 0)
        order = compare_text(a->objects[0].name, b->objects[0].name);
    return order != 0 ? order : compare_text(a->message, b->message);
}

void diags_sort(struct diags *diags)
{
    if (diags->count > 1)
        qsort(diags->items, diags->count, sizeof *diags->items, compare);
}
