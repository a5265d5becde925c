/* The `(export ...)` netlist in nested lists. */
#include "netlist/text_case.h"

static struct text_case c;

static void setup(void)
{
    text_case_start(&c);
}

static void teardown(void)
{
    text_case_end(&c);
}

static void read_text(const char *text)
{
    text_case_read(&c, text, strlen(text));
}

static const char old[] =
    "(export (version D)\r\n (design (sheet (number 1) (title_block (title) (company))))\r\n"
    " (components\r\n"
    "  (comp (ref F1) (value \"1A Slow\") (footprint C:\\Fuse) (fields (field (name Voltage) 16V)\r\n"
    "   (field (name \"Order code\"))) (libsource (lib mine-rescue) (part Fuse)) (tstamp 5A))\r\n"
    "  (comp (value 10000\xC2\xB5/16V) (ref V1) (libsource (lib Valve) (part 12AX7)))\r\n"
    "  (comp (ref #PWR01) (value GND)))\r\n"
    " (libparts (libpart (lib Valve) (part ECC83) (aliases (alias 12AX7))\r\n"
    "  (fields (field (name Reference) V)) (pins (pin (num 1) (name A) (type BiDi)) (pin (num 2) (name G)))))\r\n"
    " (nets (net (code 1) (name \"Net-(F1-Pad1)\") (node (ref F1) (pin 1)) (node (ref V1) (pin 1)))\r\n"
    "  (net (code 2) (name GND) (node (pin 2) (ref V1)) (node (ref #PWR01) (pin 1)) (node (ref F1) (pin 2)))))";

START_TEST(old_generation)
{
    const struct part *part;

    read_text(old);
    ck_assert_uint_eq(c.diags.count, 0);
    ck_assert_uint_eq(c.circuit->part_count, 2);
    part = circuit_find_part(c.circuit, "F1");
    ck_assert_str_eq(part->value, "1A Slow");
    ck_assert_str_eq(part->footprint, "C:\\Fuse");
    ck_assert_str_eq(part->library, "mine");
    ck_assert_str_eq(part_field(part, "voltage"), "16V");
    ck_assert_uint_eq(part->field_count, 2);
    ck_assert_uint_eq(part->place.line, 4);
    ck_assert_uint_eq(part->place.column, 3);
    part = circuit_find_part(c.circuit, "V1");
    ck_assert_str_eq(part->value, "10000\xC2\xB5/16V");
    ck_assert_str_eq(part->prefix, "V");
    ck_assert_str_eq(part_pin(part, "1")->name, "A");
    ck_assert_str_eq(part_pin(part, "1")->type, "bidirectional");
    ck_assert_str_eq(text_case_net(&c, "V1", "2"), "GND");
    ck_assert_str_eq(text_case_net(&c, "F1", "1"), "Net-(F1-Pad1)");
    ck_assert_uint_eq(circuit_find_net(c.circuit, "GND")->place.line, 11);
}
END_TEST

START_TEST(new_generation)
{
    const struct part *part;

    read_text("(export (version \"E\") (nets (net (name \"/a{slash}b\") (node (ref \"R1\") (pin \"1\")"
              " (pinfunction \"A_1\") (pintype \"passive\"))) (net (name \"unconnected-(R1-Pad2)\")"
              " (node (ref \"R1\") (pin \"2\") (pintype \"passive+no_connect\"))))"
              " (components (comp (ref \"R1\") (value \"a \\\"b\\\" \\\\ \"\"c\"\"\") (property (name \"dnp\"))"
              " (property (name \"Power\") (value \"1W\")))))");
    ck_assert_uint_eq(c.diags.count, 0);
    part = circuit_find_part(c.circuit, "R1");
    ck_assert_str_eq(part->value, "a \"b\" \\ \"c\"");
    ck_assert(part->not_fitted);
    ck_assert_str_eq(part_field(part, "power"), "1W");
    ck_assert_str_eq(text_case_net(&c, "R1", "1"), "/a/b");
    ck_assert_str_eq(part_pin(part, "1")->name, "A");
    ck_assert_str_eq(text_case_net(&c, "R1", "2"), "-");
}
END_TEST

START_TEST(cut_anywhere)
{
    text_case_cuts(old, 0);
}
END_TEST

START_TEST(contradictions)
{
    const struct diag *diag;

    read_text("(export (components (comp (ref R1)) (comp (ref R1)) (comp (value x)))\n(nets (net (name A)\n"
              "(node (ref R1) (pin 1)) (node (ref X9) (pin 1)))\n (net (name B)\n (node (ref R1) (pin 1)))\n"
              "(net (name A) (node (ref R1) (pin 2)) (node (ref R1) (pin 2)))))");
    diag = text_case_told(&c, LEVEL_ERROR, "pin 1 of R1 is in net A (line 3, column 1) and in net B");
    ck_assert_uint_eq(diag->place.line, 5);
    ck_assert_uint_eq(diag->place.column, 2);
    text_case_told(&c, LEVEL_ERROR, "the part R1 is listed a second time");
    text_case_told(&c, LEVEL_ERROR, "a part without a reference");
    text_case_told(&c, LEVEL_WARNING, "part X9 is connected but not listed");
    text_case_told(&c, LEVEL_WARNING, "two nets are called A");
    ck_assert_str_eq(text_case_net(&c, "R1", "1"), "A");
    ck_assert_uint_eq(c.diags.count, 5);
}
END_TEST

START_TEST(hostile)
{
    const char *deep = text_case_repeat(&c, "(comp ", 100000);
    const char *head = "(export (components (comp (ref R1))) (nets (net (name A) (node (ref R1)(pin 1)))) (x ";
    struct text text = {0};

    text_add(&text, head);
    text_add(&text, deep);
    read_text(text_bytes(&text));
    text_case_told(&c, LEVEL_ERROR, "lists inside lists are too deep");
    ck_assert_str_eq(text_case_net(&c, "R1", "1"), "A");
    circuit_free(c.circuit);
    text_free(&text);
    text_add(&text, head);
    text_add(&text, text_case_repeat(&c, "x", 100000));
    text_add(&text, "))");
    read_text(text_bytes(&text));
    text_case_told(&c, LEVEL_ERROR, "a text that is too long");
    circuit_free(c.circuit);
    read_text("(export (nets (net (name \"\x01%n%s\") (node (ref \"../../R1\") (pin \"\")) (node (ref %s%n) (pin 1)))))");
    text_case_told(&c, LEVEL_WARNING, "part %s%n is connected but not listed");
    circuit_free(c.circuit);
    read_text("(export (components (comp (ref R1))))(more)");
    text_case_told(&c, LEVEL_ERROR, "the file lists 1 part and no connections");
    text_case_told(&c, LEVEL_WARNING, "text after the end");
    text_free(&text);
}
END_TEST

START_TEST(encodings)
{
    static const char wide[] = "(\0e\0x\0p\0o\0r\0t\0(\0n\0e\0t\0s\0(\0n\0e\0t\0(\0n\0a\0m\0e\0 \0A\0)\0(\0n\0o\0d\0e\0"
                               "(\0r\0e\0f\0 \0R\0)\0(\0p\0i\0n\0 \0001\0)\0)\0)\0)\0)\0";

    text_case_read(&c, wide, sizeof wide - 1);
    ck_assert_str_eq(text_case_net(&c, "R", "1"), "A");
    circuit_free(c.circuit);
    read_text("\xEF\xBB\xBF (export (nets (net (name \xB5) (node (ref R)(pin 1)))))");
    ck_assert_str_eq(text_case_net(&c, "R", "1"), "\xC2\xB5");
}
END_TEST

Suite *check_export_suite(void);

Suite *check_export_suite(void)
{
    Suite *suite = suite_create("export");
    TCase *tests = tcase_create("lists");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, old_generation);
    tcase_add_test(tests, new_generation);
    tcase_add_test(tests, cut_anywhere);
    tcase_add_test(tests, contradictions);
    tcase_add_test(tests, hostile);
    tcase_add_test(tests, encodings);
    suite_add_tcase(suite, tests);
    return suite;
}
