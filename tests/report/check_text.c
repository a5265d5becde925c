/* The text report. */
#include "check_prearc.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "report/glyph.h"
#include "report/specimen.h"

static struct specimen specimen;

static const char facts[] =
    "<facts version='1' format='spice' solved='yes'>"
    "<assumption part='T1' what='magnetising-henries' value='20' low='5' high='80' reason='usual'/>"
    "<net name='HT' role='rail' volts='320'/><net name='0' role='return' volts='0'/>"
    "<part ref='F2' kind='fuse'/>"
    "<source id='T1.HT' kind='winding'/>"
    "<rail id='rail1' name='HT' source='T1.HT' volts='320' ripple-volts='4' amps='0.08'>"
    "<node net='HT' volts='320' joules='2.4' protection='own'/>"
    "<node net='B2' protection='none'/></rail>"
    "<fuse ref='F2' marking='T315mAL250V' placement='rail' idle-amps='0.11' opening-amps='0.66'>"
    "<protects net='HT' rail='rail1' coverage='full'/></fuse>"
    "<fault id='short-rail1-HT' solved='yes'/><fault id='short-rail1-B2' solved='no'/>"
    "<gap part='L1' what='its resistance is not known' need='measure it'/>"
    "</facts>";

static void setup(void)
{
    specimen = specimen_new();
}

static void teardown(void)
{
    specimen_free(&specimen);
}

static const char *report(void)
{
    return specimen_write(&specimen, &text_writer);
}

/* The same with each run of blanks and line ends as one blank: a cell that was folded in its column reads on. */
static const char *unfolded(const char *text)
{
    struct text out = {0};
    const char *copy;

    for (const char *c = text; *c != '\0'; c++)
        if (*c != ' ' && *c != '\n')
            text_add_char(&out, *c);
        else if (out.length > 0 && out.bytes[out.length - 1] != ' ')
            text_add_char(&out, ' ');
    copy = arena_copy(specimen.arena, text_bytes(&out));
    text_free(&out);
    return copy;
}

#define assert_says(text, words)                                                                   \
    ck_assert_msg(strstr(text, words) != NULL, "\"%s\" not in:\n%s", words, text)
#define assert_silent(text, words)                                                                 \
    ck_assert_msg(strstr(text, words) == NULL, "\"%s\" in:\n%s", words, text)

/* The number of columns of the longest line. */
static size_t widest(const char *text)
{
    size_t found = 0;

    for (const char *line = text; *line != '\0';) {
        size_t length = strcspn(line, "\n"), width = glyph_width(line, length);

        found = width > found ? width : found;
        line += length + (line[length] != '\0');
    }
    return found;
}

START_TEST(caution_comes_first)
{
    static const char start[] = "    caution: Mains and HT kill";

    specimen_facts(&specimen, facts);
    ck_assert_int_eq(strncmp(report(), start, sizeof start - 1), 0);
}
END_TEST

START_TEST(low_volts_need_no_caution)
{
    specimen_facts(&specimen, "<facts solved='yes'><source kind='battery'/>"
                              "<net name='a' volts='9'/></facts>");
    assert_silent(report(), "caution");
}
END_TEST

START_TEST(unknown_volts_need_caution)
{
    specimen_facts(&specimen, "<facts solved='yes'><source kind='battery'/>"
                              "<net name='a'/></facts>");
    assert_says(report(), "caution");
}
END_TEST

START_TEST(low_volts_without_a_source_prove_nothing)
{
    specimen_facts(&specimen, "<facts solved='yes'><net name='a' volts='0'/></facts>");
    assert_says(report(), "caution");
}
END_TEST

START_TEST(a_gap_needs_caution)
{
    specimen_facts(&specimen, "<facts solved='yes'><source kind='battery'/>"
                              "<gap part='T1' what='no volts'/><net name='a' volts='9'/></facts>");
    assert_says(report(), "caution");
}
END_TEST

START_TEST(a_winding_needs_caution)
{
    specimen_facts(&specimen, "<facts solved='yes'><source kind='battery'/>"
                              "<source kind='winding'/><net name='a' volts='9'/></facts>");
    assert_says(report(), "caution");
}
END_TEST

START_TEST(alternating_volts_are_rms)
{
    specimen_facts(&specimen, "<facts><net name='h' volts='0.00001' rms-volts='6.3'/><rail id='r'>"
                              "<node net='h' volts='0.00001'/></rail></facts>");
    assert_says(report(), "6.3 V AC");
}
END_TEST

START_TEST(fuse_before_the_transformer)
{
    specimen_facts(&specimen, "<facts><rail id='r'><node net='h' protection='upstream'/></rail>"
                              "<fuse ref='F1'><protects net='h' rail='r' coverage='full'"
                              " upstream='yes'/></fuse></facts>");
    assert_says(report(), "none of its own: F1 upstream");
    assert_says(report(), "all of r from upstream");
}
END_TEST

START_TEST(half_covered_rails_say_so)
{
    specimen_facts(&specimen, "<facts><rail id='r'><node net='a'/><node net='b'/></rail>"
                              "<fuse ref='F1'><protects net='a' rail='r' coverage='partial'/>"
                              "<protects net='b' rail='r' coverage='partial'/></fuse>"
                              "<fuse ref='F2'><protects net='b' rail='r' coverage='partial'/>"
                              "<protects net='x' rail='r' coverage='full'/></fuse></facts>");
    assert_says(unfolded(report()), "all of r, on one half-cycle only");
    assert_says(unfolded(report()), "of r: b (one half-cycle only)");
}
END_TEST

START_TEST(fuses_in_no_path_are_listed)
{
    specimen_facts(&specimen, "<facts><part ref='F1' kind='fuse'/><fuse ref='F2'/></facts>");
    assert_says(report(), "2 fuses");
    assert_says(report(), "  F1    in no current");
}
END_TEST

/* What should be in the holder; what was not known of normal use; why no link does. */
START_TEST(right_markings_are_told)
{
    specimen_facts(&specimen, "<facts><fuse ref='F1' recommended='T315mAL250V'/>"
                              "<fuse ref='F2' recommended='T1AL250V' recommended-unchecked='switch-on'/>"
                              "<fuse ref='F3' no-recommendation='winding-rating' recommended-why='Too weak.'/>"
                              "</facts>");
    assert_says(report(), "right marking");
    assert_says(report(), "T315mAL250V  ");
    assert_says(report(), "T1AL250V or");
    assert_says(unfolded(report()), "not known)");
    assert_says(report(), "none: see below");
    assert_says(report(), "F3: no right marking, winding-rating: Too weak.");
}
END_TEST

START_TEST(equal_assumptions_are_one)
{
    const char *text;

    specimen_facts(&specimen,
                   "<facts><assumption part='R1' what='watts' value='0.5' low='0.25' high='1'"
                   " reason='usual'/><assumption part='R2' what='watts' value='0.5' low='0.25'"
                   " high='1' reason='usual'/><assumption part='R3' what='watts' value='2' low='2'"
                   " high='2' reason='usual'/></facts>");
    text = report();
    assert_says(text, "assumed: R1, R2 watts = 0.5 (0.25 to 1): usual");
    assert_says(text, "R3 watts = 2: usual");
}
END_TEST

START_TEST(unsolved_needs_caution)
{
    specimen_facts(&specimen, "<facts solved='no' blame='T1'><net name='a' volts='1'/></facts>");
    assert_says(report(), "caution");
    assert_says(report(), "could not be solved, it stuck at T1");
}
END_TEST

START_TEST(worst_finding_first)
{
    const char *text;

    specimen_facts(&specimen, facts);
    specimen_find(&specimen, LEVEL_NOTE, "a-note", "R1", "small");
    specimen_find(&specimen, LEVEL_UNVERIFIED, "b-open", "R2", "unknown");
    specimen_find(&specimen, LEVEL_ERROR, "z-bad", "F2", "large");
    specimen.diags.items[2].rests_on = "T1 winding-ohms HT 50 (25 to 100) [assumption3]";
    text = report();
    assert_says(text, "rests on: assumed T1 winding-ohms HT 50 (25 to 100) [assumption3]");
    ck_assert(strstr(text, "error: z-bad, F2") < strstr(text, "unverified: b-open, R2"));
    ck_assert(strstr(text, "unverified: b-open, R2") < strstr(text, "note: a-note, R1"));
    assert_says(text, "do: do so");
    assert_says(text, "1 error, 0 warnings, 1 unverified, 1 note; 0 places misread");
}
END_TEST

START_TEST(tables_and_scope)
{
    const char *text;

    specimen_facts(&specimen, facts);
    text = report();
    assert_says(text, "2 nets, 1 fuse, 1 rail");
    assert_says(text, "T315mAL250V");
    assert_says(text, "of HT: HT");
    assert_says(text, "fuse of its own: F2");
    assert_says(text, "no fuse");
    assert_says(text, "2.4 J");
    assert_says(text, "2 failures worked out, 1 of them solved");
    assert_says(text, "T1 magnetising-henries = 20 (5 to 80): usual");
    assert_says(text, "not checked: L1: its resistance is not known; to settle it: measure it");
}
END_TEST

START_TEST(no_output_stage_says_so)
{
    specimen_facts(&specimen, facts);
    assert_says(report(), "full signal: no output stage was found");
    specimen_facts(&specimen, "<facts solved='no'/>");
    assert_silent(report(), "no output stage");
}
END_TEST

START_TEST(output_stages_have_a_table)
{
    specimen_facts(&specimen,
                   "<facts solved='yes'><fuse ref='F2' idle-amps='0.11' full-amps='0.234'/>"
                   "<output-stage id='stage1' parts='V1 V2' circuit='push-pull' class='AB' load-ohms='8000'"
                   " solved='yes' method='cycle' idle-amps='0.02' idle-screen-amps='0.002'"
                   " full-amps='0.091' full-screen-amps='0.013' full-watts='19.8'/></facts>");
    assert_says(report(), "234 mA");
    assert_says(report(), "push-pull, class AB");
    assert_says(report(), "91 mA + 13 mA");
    assert_says(report(), "19.8 W");
    assert_silent(report(), "no output stage");
}
END_TEST

START_TEST(nothing_read_says_so)
{
    assert_says(report(), "amp.cir: could not be read");
    assert_says(report(), "not checked: anything");
    assert_silent(report(), "FUSES");
}
END_TEST

START_TEST(hostile_names_are_spelt_out)
{
    const char *text;

    specimen_facts(&specimen, facts);
    specimen_find(&specimen, LEVEL_ERROR, "x", "\033[2J\xE2\x80\xAE" "F2\x9B", "a\nb\tc\xC2\x85");
    text = report();
    assert_says(text, "<U+001B>[2J<U+202E>F2<0x9B>");
    assert_says(text, "a b c<U+0085>");
    assert_silent(text, "\033");
    assert_silent(text, "\xE2\x80\xAE");
}
END_TEST

START_TEST(escapes_only_when_allowed)
{
    specimen_facts(&specimen, facts);
    specimen_find(&specimen, LEVEL_ERROR, "x", "F2", "m");
    assert_silent(report(), "\033");
    specimen.input.colour = true;
    assert_says(report(), "\033[1;7merror\033[0m: x");
}
END_TEST

START_TEST(page_is_100_columns)
{
    char *name = arena_alloc(specimen.arena, 3001);

    memset(name, 'N', 3000);
    specimen_facts(&specimen, facts);
    specimen_find(&specimen, LEVEL_ERROR, "x", name, "words and more words and words and words "
                  "and words and words and words and words and words and words and words");
    for (xmlNode *at = xmlDocGetRootElement(specimen.input.facts)->children; at; at = at->next)
        if (strcmp((const char *)at->name, "fuse") == 0)
            xmlSetProp(at, (const xmlChar *)"ref", (const xmlChar *)name);
    ck_assert_uint_le(widest(report()), 100);
}
END_TEST

/* The report of one input error at COLUMN of LINE, from the file's line on. */
static const char *problem(const char *line, unsigned column)
{
    const struct source *source =
        source_from_bytes(specimen.arena, "amp.cir", line, strlen(line));

    diag_input(&specimen.diags, LEVEL_ERROR, (struct place){source, 1, column}, "ex", "a number",
               "not a quantity");
    return strstr(report(), "amp.cir:1:");
}

/* Columns before the caret; -1: there is none. */
static int caret_at(const char *text)
{
    const char *caret = strstr(text, "^\n");
    const char *start = caret;

    while (caret != NULL && start > text && start[-1] != '\n')
        start--;
    return caret != NULL ? (int)(caret - start) : -1;
}

START_TEST(caret_under_the_character)
{
    const char *text = problem("R5 a b 4k7k", 8);

    assert_says(text, "amp.cir:1:8: not a quantity");
    assert_says(text, "             R5 a b 4k7k\n");
    ck_assert_int_eq(caret_at(text), 13 + 7);
    assert_says(text, "expected: a number");
}
END_TEST

START_TEST(caret_after_tabs)
{
    ck_assert_int_eq(caret_at(problem("R5\ta\tb\t4k7k", 8)), 13 + 7);
}
END_TEST

START_TEST(caret_after_utf8)
{
    ck_assert_int_eq(caret_at(problem("C1 \xC2\xB5 b \xCE\xA9 x", 8)), 13 + 7);
}
END_TEST

START_TEST(caret_after_wide_and_combining)
{
    ck_assert_int_eq(caret_at(problem("\xE6\xBC\xA2" "e\xCC\x81" "x", 4)), 13 + 3);
}
END_TEST

START_TEST(caret_after_spelt_out)
{
    ck_assert_int_eq(caret_at(problem("a\033x", 3)), 13 + 1 + 8);
}
END_TEST

START_TEST(caret_past_the_end)
{
    ck_assert_int_eq(caret_at(problem("abc", 9)), 13 + 3);
}
END_TEST

START_TEST(caret_in_a_long_line)
{
    char *line = arena_alloc(specimen.arena, 100001);
    const char *text;

    memset(line, '7', 100000);
    line[50000 - 1] = 'q';
    text = problem(line, 50000);
    text = strstr(text, "...7");
    ck_assert_int_eq(caret_at(text), (int)(strchr(text, 'q') - text) + 13);
    ck_assert_uint_le(widest(text), 100);
}
END_TEST

START_TEST(no_column_no_caret)
{
    ck_assert_int_eq(caret_at(problem("abc", 0)), -1);
}
END_TEST

START_TEST(dropped_errors_are_counted)
{
    specimen.diags.dropped = 7;
    problem("abc", 1);
    assert_says(report(), "and: 7 more that are not listed");
    assert_says(report(), "8 places misread");
}
END_TEST

Suite *check_text_suite(void);

Suite *check_text_suite(void)
{
    Suite *suite = suite_create("text report");
    TCase *tests = tcase_create("report"), *carets = tcase_create("input errors");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_checked_fixture(carets, setup, teardown);
    tcase_add_test(tests, caution_comes_first);
    tcase_add_test(tests, low_volts_need_no_caution);
    tcase_add_test(tests, unknown_volts_need_caution);
    tcase_add_test(tests, low_volts_without_a_source_prove_nothing);
    tcase_add_test(tests, a_gap_needs_caution);
    tcase_add_test(tests, a_winding_needs_caution);
    tcase_add_test(tests, alternating_volts_are_rms);
    tcase_add_test(tests, fuse_before_the_transformer);
    tcase_add_test(tests, half_covered_rails_say_so);
    tcase_add_test(tests, fuses_in_no_path_are_listed);
    tcase_add_test(tests, right_markings_are_told);
    tcase_add_test(tests, equal_assumptions_are_one);
    tcase_add_test(tests, unsolved_needs_caution);
    tcase_add_test(tests, worst_finding_first);
    tcase_add_test(tests, tables_and_scope);
    tcase_add_test(tests, no_output_stage_says_so);
    tcase_add_test(tests, output_stages_have_a_table);
    tcase_add_test(tests, nothing_read_says_so);
    tcase_add_test(tests, hostile_names_are_spelt_out);
    tcase_add_test(tests, escapes_only_when_allowed);
    tcase_add_test(tests, page_is_100_columns);
    tcase_add_test(carets, caret_under_the_character);
    tcase_add_test(carets, caret_after_tabs);
    tcase_add_test(carets, caret_after_utf8);
    tcase_add_test(carets, caret_after_wide_and_combining);
    tcase_add_test(carets, caret_after_spelt_out);
    tcase_add_test(carets, caret_past_the_end);
    tcase_add_test(carets, caret_in_a_long_line);
    tcase_add_test(carets, no_column_no_caret);
    tcase_add_test(carets, dropped_errors_are_counted);
    suite_add_tcase(suite, tests);
    suite_add_tcase(suite, carets);
    return suite;
}
