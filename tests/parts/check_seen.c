/* Parts of every kind as editors write them, one a line of seen.list: each is told for what it is. */
#include <config.h>

#include "made_circuit.h"

enum { COLUMNS = 8, LINE_LARGEST = 400, ROWS_LARGEST = 1500 };

enum column { KIND, REF, VALUE, LIBRARY, SYMBOL, PREFIX, FOOTPRINT, PINS };

static const char *or_null(const char *text)
{
    return *text != '\0' ? text : NULL;
}

/* Splits LINE at bars, in place; false if it has not as many columns as it should. */
static bool split(char *line, char *columns[COLUMNS])
{
    size_t count = 0;

    line[strcspn(line, "\n")] = '\0';
    for (char *at = line; at != NULL && count < COLUMNS; count++) {
        columns[count] = at;
        at = strchr(at, '|');
        if (at != NULL)
            *at++ = '\0';
    }
    return count == COLUMNS;
}

/* The part of a line; references are those of the line, which may come again. */
static void add_part(struct made *made, char *columns[COLUMNS])
{
    struct part *part = made_part(made, arena_print(made->arena, "%s (%zu)", columns[REF], made->circuit->part_count),
                                  or_null(columns[VALUE]), or_null(columns[SYMBOL]));

    part->own_ref = arena_copy(made->arena, columns[REF]);
    if (*columns[LIBRARY] != '\0')
        part->library = arena_copy(made->arena, columns[LIBRARY]);
    if (*columns[PREFIX] != '\0')
        part->prefix = arena_copy(made->arena, columns[PREFIX]);
    if (*columns[FOOTPRINT] != '\0')
        part->footprint = arena_copy(made->arena, columns[FOOTPRINT]);
    for (char *at = columns[PINS]; *at != '\0'; at++)
        *at = *at == ',' ? ' ' : *at;
    made_pins(made, part, columns[PINS]);
}

START_TEST(seen_parts_are_told)
{
    struct made made = made_start();
    const char *wanted[ROWS_LARGEST];
    char line[LINE_LARGEST], *columns[COLUMNS];
    FILE *file = fopen(source_path("tests/parts/seen.list"), "r");
    size_t wrong = 0;

    ck_assert_ptr_nonnull(file);
    while (fgets(line, sizeof line, file) != NULL) {
        if (line[0] == '#')
            continue;
        ck_assert_uint_lt(made.circuit->part_count, ROWS_LARGEST);
        ck_assert_msg(split(line, columns), "a line of %s has no %d columns", columns[REF], COLUMNS);
        wanted[made.circuit->part_count] = arena_copy(made.arena, columns[KIND]);
        add_part(&made, columns);
    }
    fclose(file);
    made_recognise(&made);
    ck_assert_uint_gt(made.parts->count, 700);
    for (size_t i = 0; i < made.parts->count; i++) {
        const struct part_info *info = &made.parts->items[i];

        if (strcmp(part_kind_name(info->kind), wanted[i]) == 0)
            continue;
        wrong++;
        fprintf(stderr, "%s value \"%s\" symbol \"%s\": got %s, want %s\n", info->part->ref,
                info->part->value != NULL ? info->part->value : "", info->part->symbol != NULL ? info->part->symbol : "",
                part_kind_name(info->kind), wanted[i]);
    }
    ck_assert_uint_eq(wrong, 0);
    made_end(&made);
}
END_TEST

Suite *check_seen_suite(void);

Suite *check_seen_suite(void)
{
    Suite *suite = suite_create("seen");
    TCase *tests = tcase_create("list");

    tcase_add_test(tests, seen_parts_are_told);
    suite_add_tcase(suite, tests);
    return suite;
}
