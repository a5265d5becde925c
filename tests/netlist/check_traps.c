/* Netlists as real editors write them, one for each generation and form, with the quirks that were counted in public files:
 * every part with its kind, value and pins as the file FILE.expect lists them. */
#include "netlist/text_case.h"

#include <stdio.h>

#include "parts/parts.h"

static const char *const files[] = {
    "brackets.net", "export-first.xml", "export-newest.xml", "layers.xml", "lists-old.net", "net-centric.xml",
    "no-mark-utf16.cir", "no-models.cir", "pins.net", "renames.edf", "sections.net",
};
enum { FILES = sizeof files / sizeof *files };

static const char *or_empty(const char *text)
{
    return text != NULL ? text : "";
}

static void list_part(struct text *list, const struct part_info *info)
{
    const struct part *part = info->part;

    text_print(list, "%s|%s|%s%s\n", part->ref, part_kind_name(info->kind), or_empty(part->value),
               part->not_fitted ? "|not fitted" : "");
    for (size_t i = 0; i < part->pin_count; i++)
        text_print(list, " %s|%s|%s\n", part->pins[i].number, or_empty(part->pins[i].name),
                   part->pins[i].net != NULL ? part->pins[i].net->name : "-");
}

/* All bytes of FILE, in the arena. */
static const struct source *whole_file(struct text_case *c, const char *file)
{
    const struct source *source = source_read(c->arena, &c->diags, source_path(file));

    ck_assert_msg(source != NULL, "%s is missing", file);
    return source;
}

START_TEST(read_as_meant)
{
    struct text_case c;
    struct text list = {0};
    struct parts_options options;
    struct read_input input;
    const struct parts *parts;
    char file[200];

    text_case_start(&c);
    options = (struct parts_options){.data_dir = c.options.data_dir};
    snprintf(file, sizeof file, "tests/netlist/traps/%s", files[_i]);
    input = (struct read_input){.arena = c.arena, .diags = &c.diags, .options = &c.options,
                                .source = whole_file(&c, file)};
    c.circuit = netlist_read(&input);
    ck_assert_ptr_nonnull(c.circuit);
    ck_assert_uint_eq(text_case_errors(&c), 0);
    parts = parts_recognise(c.arena, &c.diags, c.circuit, &options);
    for (size_t i = 0; i < parts->count; i++)
        list_part(&list, &parts->items[i]);
    snprintf(file, sizeof file, "tests/netlist/traps/%s.expect", files[_i]);
    ck_assert_str_eq(text_bytes(&list), whole_file(&c, file)->text);
    text_free(&list);
    text_case_end(&c);
}
END_TEST

Suite *check_traps_suite(void);

Suite *check_traps_suite(void)
{
    Suite *suite = suite_create("traps");
    TCase *tests = tcase_create("files");

    tcase_add_loop_test(tests, read_as_meant, 0, FILES);
    suite_add_tcase(suite, tests);
    return suite;
}
