/* Which reader takes a file. */
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

static int sure(const char *text)
{
    return spice_reader.detect(source_from_bytes(c.arena, "x", text, strlen(text)));
}

START_TEST(decks)
{
    ck_assert_int_eq(sure("title\nR1 a b 10k\n"), 2);
    ck_assert_int_eq(sure("title\n* note\n\n.subckt X a\n"), 2);
    ck_assert_int_eq(sure("title\nXV1A a g k 12AX7\n"), 2);
    ck_assert_int_eq(sure("R1 a b 10k\n"), 1); /* the title */
    ck_assert_int_eq(sure("some words\nand others\n"), 1);
    ck_assert_int_eq(sure(""), 1);
}
END_TEST

START_TEST(other_formats)
{
    ck_assert_int_eq(sure("<?xml version=\"1.0\"?>\n<export version=\"D\">\nR1 a b 10k\n"), 0);
    ck_assert_int_eq(sure("\n  (export (version D)\nR1 a b 10k\n"), 0);
    ck_assert_int_eq(sure("(edif x\n (edifVersion 2 0 0)\nR1 a b 10k"), 0);
    ck_assert_int_eq(sure("{\"a\": 1}\nR1 a b 10k"), 0);
}
END_TEST

START_TEST(the_surest_reads)
{
    const char *deck = "title\nR1 a 0 10k\n";
    struct read_input input = {c.arena, &c.diags,
                               source_from_bytes(c.arena, "x.net", deck, strlen(deck)), &c.options};

    c.circuit = netlist_read(&input);
    ck_assert_str_eq(c.circuit->format, "spice");
    assert_value(&c, "R1", "10k");
}
END_TEST

START_TEST(an_unknown_format_is_an_error)
{
    const char *text = "{\"parts\": []}\n";
    struct read_input input = {c.arena, &c.diags,
                               source_from_bytes(c.arena, "x.json", text, strlen(text)),
                               &c.options};
    const struct diag *diag;

    ck_assert_ptr_null(netlist_read(&input));
    diag = case_diag(&c, LEVEL_ERROR, 1, 1, "x.json is in no netlist format known here");
    ck_assert_ptr_nonnull(strstr(diag->expected, "SPICE deck"));
    ck_assert_ptr_nonnull(strstr(diag->expected, "XML"));
    ck_assert_str_eq(diag->excerpt, "{\"parts\": []}");
}
END_TEST

Suite *check_reader_suite(void);

Suite *check_reader_suite(void)
{
    Suite *suite = suite_create("reader");
    TCase *tests = tcase_create("choice");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, decks);
    tcase_add_test(tests, other_formats);
    tcase_add_test(tests, the_surest_reads);
    tcase_add_test(tests, an_unknown_format_is_an_error);
    suite_add_tcase(suite, tests);
    return suite;
}
