/* The three text forms: brackets, sections, one pin a line. */
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

static const char brackets[] = "[\r\nR1\r\nAXIAL0.4\r\n10k 1W\r\n\r\n\r\n]\r\n[\r\nA-1\r\n\r\n400V/25A\r\n]\r\n"
                               "(\r\nNet-(R1-1)\r\nR1-1\r\nA-1-2\r\nA-1--\r\n)\r\n(\r\nGND\r\nR1-2\r\nA-1-+\r\n)\r\n";
static const char packages[] = "$PACKAGES\nSIP ! 'R' ! '10k 1W' ! 5%; R1 R2,\n   R3\nTO!T!\n ; 'Mix Out'\n$NETS\n"
                               "GND; R1.1 R2.1,\n R3.1\n'a ;b'; R1.2 'Mix Out'.1.2\n$END\n";
static const char stamped[] = "# Netlist Version 1.1 created  today\n(\n ( /4A/5B $noname  R1 10k/2W {Lib=R big}\n"
                              "  (    1 GND )\n  (    B Net-(C1-Pad2) )\n )\n ( /6 cap C1 1u\n  (    1 ? )\n"
                              "  (2 Net-(C1-Pad2))\n )\n)\n*\n{ Allowed { nested } footprints\n$component C1\n( 9 X )\n}\n#End\n";

START_TEST(in_brackets)
{
    read_text(brackets);
    ck_assert_uint_eq(c.diags.count, 0);
    ck_assert_str_eq(circuit_find_part(c.circuit, "R1")->value, "10k 1W");
    ck_assert_str_eq(circuit_find_part(c.circuit, "R1")->footprint, "AXIAL0.4");
    ck_assert_ptr_null(circuit_find_part(c.circuit, "A-1")->footprint);
    ck_assert_str_eq(circuit_find_part(c.circuit, "A-1")->value, "400V/25A");
    ck_assert_str_eq(text_case_net(&c, "A-1", "2"), "Net-(R1-1)");
    ck_assert_str_eq(text_case_net(&c, "A-1", "-"), "Net-(R1-1)");
    ck_assert_str_eq(text_case_net(&c, "A-1", "+"), "GND");
    ck_assert_uint_eq(circuit_find_net(c.circuit, "GND")->place.line, 20);
}
END_TEST

START_TEST(in_sections)
{
    read_text("$PACKAGES\nSIP ! 'R' ! '10k 1W' ! 5%; R1 R2,\n   R3\nTO!T!X; 'Mix Out'\n$NETS\n"
              "GND; R1.1 R2.1,\n R3.1\n'a ;b'; R1.2 'Mix Out'.1.2\nNC_01; R2.2\n$END\n");
    ck_assert_uint_eq(c.diags.count, 0);
    ck_assert_str_eq(circuit_find_part(c.circuit, "R3")->value, "10k 1W");
    ck_assert_str_eq(circuit_find_part(c.circuit, "R3")->footprint, "SIP");
    ck_assert_str_eq(circuit_find_part(c.circuit, "Mix Out")->symbol, "T");
    ck_assert_str_eq(text_case_net(&c, "R3", "1"), "GND");
    ck_assert_str_eq(text_case_net(&c, "Mix Out", "1.2"), "a ;b");
    ck_assert_str_eq(text_case_net(&c, "R2", "2"), "-");
    circuit_free(c.circuit);
    read_text(packages);
    text_case_told(&c, LEVEL_ERROR, "a statement without a semicolon");
}
END_TEST

START_TEST(one_pin_a_line)
{
    read_text(stamped);
    ck_assert_uint_eq(c.diags.count, 0);
    ck_assert_uint_eq(c.circuit->part_count, 2);
    ck_assert_str_eq(circuit_find_part(c.circuit, "R1")->value, "10k/2W");
    ck_assert_str_eq(circuit_find_part(c.circuit, "R1")->symbol, "R big");
    ck_assert_ptr_null(circuit_find_part(c.circuit, "R1")->footprint);
    ck_assert_str_eq(text_case_net(&c, "R1", "B"), "Net-(C1-Pad2)");
    ck_assert_str_eq(text_case_net(&c, "C1", "2"), "Net-(C1-Pad2)");
    ck_assert_str_eq(text_case_net(&c, "C1", "1"), "-");
    circuit_free(c.circuit);
    read_text("( { netlist created today }\n ( /1 $noname R1 1k\n  ( 1 A )\n )\n)\n");
    ck_assert_uint_eq(c.diags.count, 0);
    ck_assert_str_eq(text_case_net(&c, "R1", "1"), "A");
}
END_TEST

START_TEST(contradictions)
{
    read_text("[\nR1\n]\n[\nR1\n]\n(\nA\nR1-1\n)\n(\nB\nR1-1\nR1\n)\n(\nA\nX-1\n)\n");
    text_case_told(&c, LEVEL_ERROR, "the part R1 is listed a second time: it is listed at line 2");
    ck_assert_uint_eq(text_case_told(&c, LEVEL_ERROR, "pin 1 of R1 is in net A (line 9, column 1)")->place.line, 13);
    text_case_told(&c, LEVEL_ERROR, "a connection that is none");
    text_case_told(&c, LEVEL_WARNING, "part X is connected but not listed");
    text_case_told(&c, LEVEL_WARNING, "two nets are called A");
}
END_TEST

START_TEST(cut_anywhere)
{
    const char *const whole[] = {brackets, "$PACKAGES\nSIP!R!10k;R1 R2,\n R3\n$NETS\nA;R1.1 R2.1\n'b'; R3.1\n$END",
                                 stamped};
    /* Before its first block is whole a file may look like a deck; a bracket form cut between nets is whole. */
    const size_t from[] = {0, 10, 40};

    if (_i > 0)
        text_case_cuts(whole[_i], from[_i]);
    for (size_t length = 3; _i == 0 && length < strlen(brackets) - 3; length++) {
        size_t last = length - 1; /* that is no blank */

        while (last > 0 && strchr("\r\n", brackets[last]) != NULL)
            last--;
        text_case_read(&c, brackets, length);
        ck_assert(brackets[last] == ']' || brackets[last] == ')' || text_case_errors(&c) > 0);
        teardown();
        setup();
    }
}
END_TEST

START_TEST(hostile)
{
    struct text text = {0};

    text_add(&text, "[\nR1\n");
    text_add(&text, text_case_repeat(&c, "[\n(\n", 100000));
    read_text(text_bytes(&text));
    text_case_told(&c, LEVEL_ERROR, "a block that is not closed");
    text_free(&text);
    teardown();
    setup();
    text_add(&text, "#\n(\n");
    text_add(&text, text_case_repeat(&c, "{ ", 100000));
    text_add(&text, text_case_repeat(&c, "( ", 100000));
    read_text(text_bytes(&text));
    ck_assert_uint_gt(text_case_errors(&c), 0);
    text_free(&text);
    teardown();
    setup();
    text_add(&text, "[\nR1\n]\n(\n");
    text_add(&text, text_case_repeat(&c, "-", 100000));
    text_add(&text, "\n");
    text_add(&text, text_case_repeat(&c, "R1-", 100000));
    text_add(&text, "\n)\n");
    read_text(text_bytes(&text));
    text_case_told(&c, LEVEL_ERROR, "a name of 100000 bytes is too long");
    text_free(&text);
}
END_TEST

START_TEST(which_reader)
{
    const struct {
        const char *text;
        const struct reader *reader;
    } files[] = {{"[\nR1\n", &brackets_reader}, {"(\nGND\nR1-1\n)\n", &brackets_reader},
                 {"{}\n$PACKAGES\n", &packages_reader}, {"# x\n(\n ( /1 a b c\n", &stamped_reader},
                 {"( { x }\n", &stamped_reader}, {"(\nEXPORT (", &export_reader}, {"(EDIF x)", &edif_reader}};

    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        ck_assert_int_eq(files[i].reader->detect(source_from_bytes(c.arena, "x", files[i].text,
                                                                   strlen(files[i].text))), 2);
    ck_assert_int_eq(brackets_reader.detect(source_from_bytes(c.arena, "x", "[\n{\"a\":1}\n]", 11)), 0);
}
END_TEST

Suite *check_text_forms_suite(void);

Suite *check_text_forms_suite(void)
{
    Suite *suite = suite_create("text forms");
    TCase *tests = tcase_create("forms");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, in_brackets);
    tcase_add_test(tests, in_sections);
    tcase_add_test(tests, one_pin_a_line);
    tcase_add_test(tests, contradictions);
    tcase_add_loop_test(tests, cut_anywhere, 0, 3);
    tcase_add_test(tests, hostile);
    tcase_add_test(tests, which_reader);
    suite_add_tcase(suite, tests);
    return suite;
}
