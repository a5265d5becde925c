/* Files that a deck takes in, and those it must not. */
#define _XOPEN_SOURCE 700 /* mkdtemp, symlink */
#include <unistd.h>

#include "netlist/spice_case.h"

static struct spice_case c;

static void setup(void)
{
    case_start(&c);
}

static void teardown(void)
{
    case_end(&c);
}

static void read_file(const char *path)
{
    case_read(&c, source_read(c.arena, &c.diags, path));
    ck_assert_ptr_nonnull(c.circuit);
}

static const char *ends_with(const char *text, const char *end)
{
    size_t length = strlen(text), wanted = strlen(end);

    return length >= wanted ? text + length - wanted : "";
}

START_TEST(files_below_the_deck)
{
    read_file(source_path("tests/netlist/spice/including.cir"));
    assert_value(&c, "R1", "10k");
    assert_value(&c, "R3", "22k");
    assert_value(&c, "R4", "33k");
    assert_value(&c, "R6", "2");
    assert_no_part(&c, "R2"); /* after .end of the file */
    assert_no_part(&c, "R5"); /* of another section */
    assert_no_part(&c, "R99"); /* outside */
    assert_value(&c, "V1", "9"); /* the .end of an included file ends that file alone */
    ck_assert_ptr_nonnull(circuit_find_model(c.circuit, "DFAST"));
    ck_assert_str_eq(ends_with(case_part(&c, "R3")->place.source->name, "/sub/deeper.inc"),
                     "/sub/deeper.inc");
    ck_assert_uint_eq(case_part(&c, "R3")->place.line, 1);
}
END_TEST

START_TEST(files_that_are_not_taken)
{
    read_file(source_path("tests/netlist/spice/including.cir"));
    case_diag(&c, LEVEL_WARNING, 4, 10, "../outside.inc is not read: it is outside");
    case_diag(&c, LEVEL_WARNING, 5, 10, "it is outside");
    case_diag(&c, LEVEL_WARNING, 6, 10, "there is no such file");
    case_diag(&c, LEVEL_WARNING, 7, 10, "there is no such file");
    case_diag(&c, LEVEL_ERROR, 8, 10, "it would include itself");
    case_diag(&c, LEVEL_ERROR, 2, 10, "loop.inc is not read: it would include itself");
    case_diag(&c, LEVEL_WARNING, 11, 1, "has no section third");
    ck_assert_uint_eq(c.diags.count, 7);
}
END_TEST

START_TEST(anywhere_if_asked)
{
    c.options.include_anywhere = true;
    read_file(source_path("tests/netlist/spice/including.cir"));
    assert_value(&c, "R99", "1k");
}
END_TEST

/* A folder with a deck and a link to a file outside it. */
START_TEST(links_do_not_lead_outside)
{
    char folder[] = P_tmpdir "/prearc-test-XXXXXX", deck[64], link[64], outside[64];
    FILE *file;

    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(outside, sizeof outside, "%s.inc", folder);
    snprintf(deck, sizeof deck, "%s/deck.cir", folder);
    snprintf(link, sizeof link, "%s/link.inc", folder);
    file = fopen(outside, "w");
    fputs("R99 a 0 1\n", file);
    fclose(file);
    ck_assert_int_eq(symlink(outside, link), 0);
    file = fopen(deck, "w");
    fputs("t\nR1 a 0 1\n.include link.inc\n.include .\n.end\n", file);
    fclose(file);
    read_file(deck);
    unlink(deck);
    unlink(link);
    unlink(outside);
    rmdir(folder);
    assert_no_part(&c, "R99");
    case_diag(&c, LEVEL_WARNING, 3, 10, "it is outside the deck's folder");
    ck_assert_uint_eq(c.diags.count, 2);
}
END_TEST

/* Every file includes the next: one too many for the reader. */
START_TEST(depth_is_limited)
{
    char folder[] = P_tmpdir "/prearc-test-XXXXXX", path[64];
    FILE *file;

    ck_assert_ptr_nonnull(mkdtemp(folder));
    for (int i = 0; i < 20; i++) {
        snprintf(path, sizeof path, "%s/%d.inc", folder, i);
        file = fopen(path, "w");
        fprintf(file, "%sR%d a 0 1\n.include %d.inc\n", i == 0 ? "t\n" : "", i, i + 1);
        fclose(file);
    }
    snprintf(path, sizeof path, "%s/0.inc", folder);
    read_file(path);
    for (int i = 0; i < 20; i++) {
        snprintf(path, sizeof path, "%s/%d.inc", folder, i);
        unlink(path);
    }
    rmdir(folder);
    ck_assert_uint_eq(c.circuit->part_count, 16);
    case_diag(&c, LEVEL_ERROR, 2, 10, "files include each other too deep");
}
END_TEST

START_TEST(nothing_to_include)
{
    case_read_text(&c, "t\nR1 a 0 1\n.include\n.lib\n.inc \"\"\n");
    case_diag(&c, LEVEL_ERROR, 3, 1, "nothing to include");
    case_diag(&c, LEVEL_ERROR, 4, 1, "nothing to include");
    ck_assert_uint_eq(c.diags.count, 3);
}
END_TEST

START_TEST(sections_nobody_asked_for)
{
    case_read_text(&c, "t\nR1 a 0 1\n.lib spare\nR2 a 0 1\n.endl\nR3 a 0 1\n");
    case_diag(&c, LEVEL_NOTE, 3, 1, "the section spare is not asked for");
    assert_no_part(&c, "R2");
    assert_value(&c, "R3", "1");
}
END_TEST

Suite *check_spice_include_suite(void);

Suite *check_spice_include_suite(void)
{
    Suite *suite = suite_create("spice includes");
    TCase *tests = tcase_create("includes");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, files_below_the_deck);
    tcase_add_test(tests, files_that_are_not_taken);
    tcase_add_test(tests, anywhere_if_asked);
    tcase_add_test(tests, links_do_not_lead_outside);
    tcase_add_test(tests, depth_is_limited);
    tcase_add_test(tests, nothing_to_include);
    tcase_add_test(tests, sections_nobody_asked_for);
    suite_add_tcase(suite, tests);
    return suite;
}
