#include "check_prearc.h"

#include <string.h>

#include <libxml/parser.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "rule/schematron.h"

static struct arena *arena;
static struct diags diags;
static xmlDoc *document;
static struct schematron *schema;
static struct schematron_results results;

static const char facts[] =
    "<facts version='1'><fuse ref='F1' amps='0.5'/><fuse ref='F2' amps='2'/>"
    "<rail name='HT'><node net='a'/><node net='b'/></rail></facts>";

static const char head[] =
    "<schema xmlns='http://purl.oclc.org/dsdl/schematron'>\n<title>t</title><p class='why'>w</p>"
    "<p class='fix'>f</p><p class='source'>s</p>\n";

static void setup(void)
{
    arena = arena_new();
    diags = diags_start(arena);
    document = xmlReadMemory(facts, (int)strlen(facts), "facts", NULL, 0);
    schema = NULL;
    results = (struct schematron_results){0};
}

static void teardown(void)
{
    schematron_free(schema);
    xmlFreeDoc(document);
    arena_free(arena);
}

static void load_text(const char *text)
{
    schema = schematron_load(arena, &diags, source_from_bytes(arena, "x.sch", text, strlen(text)));
}

/* A schema of the usual head and BODY, loaded and run. */
static void run(const char *body)
{
    load_text(arena_print(arena, "%s%s</schema>", head, body));
    ck_assert_ptr_nonnull(schema);
    schematron_run(schema, document, arena, &results);
}

static void assert_texts(const char *const *texts, size_t count)
{
    ck_assert_uint_eq(results.count, count);
    for (size_t i = 0; i < count; i++)
        ck_assert_str_eq(results.items[i].text, texts[i]);
}

START_TEST(head_is_read)
{
    run("<pattern/>");
    ck_assert_uint_eq(diags.count, 0);
    ck_assert_str_eq(schema->title, "t");
    ck_assert_str_eq(schema->why, "w");
    ck_assert_str_eq(schema->fix, "f");
    ck_assert_str_eq(schema->cited, "s");
}
END_TEST

START_TEST(assert_and_report)
{
    static const char *const texts[] = {"report F1", "assert F2"};

    run("<pattern><rule context='fuse'>"
        "<assert test='number(@amps) &lt; 1' role='error'>assert <value-of select='@ref'/></assert>"
        "<report test='number(@amps) &lt; 1' role='note'>report <value-of select='@ref'/></report>"
        "</rule></pattern>");
    assert_texts(texts, 2);
    ck_assert_int_eq(results.items[0].assertion->level, LEVEL_NOTE);
    ck_assert_int_eq(results.items[1].assertion->level, LEVEL_ERROR);
}
END_TEST

START_TEST(first_matching_rule_wins)
{
    static const char *const texts[] = {"two F2", "any F1", "other F1", "other F2"};

    run("<pattern><rule context=\"fuse[@ref='F2']\"><report test='true()' role='error'>two "
        "<value-of select='@ref'/></report></rule>"
        "<rule context='fuse'><report test='true()' role='error'>any <value-of select='@ref'/>"
        "</report></rule></pattern>"
        "<pattern><rule context='fuse'><report test='true()' role='error'>other "
        "<value-of select='@ref'/></report></rule></pattern>");
    assert_texts(texts, 4);
}
END_TEST

START_TEST(second_run_finds_the_same)
{
    run("<pattern><rule context='fuse'><report test='true()' role='error'>x</report></rule>"
        "</pattern>");
    ck_assert_uint_eq(results.count, 2);
    schematron_run(schema, document, arena, &results);
    ck_assert_uint_eq(results.count, 4);
}
END_TEST

START_TEST(lets_of_every_scope)
{
    static const char *const texts[] = {"2 3 F1", "2 3 F2"};

    run("<let name='s' value='count(//fuse)'/><pattern><let name='p' value='$s + 1'/>"
        "<rule context='fuse'><let name='r' value='string(@ref)'/>"
        "<report test='$s = 2 and $p = 3' role='error'><value-of select='$s'/> "
        "<value-of select='$p'/> <value-of select='$r'/></report></rule></pattern>");
    ck_assert_uint_eq(diags.count, 0);
    assert_texts(texts, 2);
}
END_TEST

START_TEST(let_ends_with_its_rule)
{
    run("<pattern><rule context='fuse'><let name='r' value='1'/>"
        "<report test='$r = 2' role='error'>x</report></rule>"
        "<rule context='node'><report test='$r = 1' role='error'>y</report></rule></pattern>");
    ck_assert_uint_eq(diags.count, 1); /* $r is not known in the second rule */
    ck_assert_uint_eq(results.count, 0);
}
END_TEST

START_TEST(alternatives_of_a_context)
{
    static const char *const texts[] = {"fuse", "fuse", "rail", "node", "node"};

    run("<pattern><rule context=\"fuse[@ref != '|'] | rail/node | /facts/rail\">"
        "<report test='true()' role='error'><name/></report></rule></pattern>");
    assert_texts(texts, 5);
}
END_TEST

START_TEST(attribute_and_root_contexts)
{
    static const char *const texts[] = {"F1", "F2", "0.5 <"};

    run("<pattern><rule context='@ref'><report test='true()' role='error'><value-of select='.'/>"
        "</report></rule><rule context='/'><report test='true()' role='error'>"
        "<value-of select='//fuse[1]/@amps'/> &lt;</report></rule></pattern>");
    assert_texts(texts, 3);
}
END_TEST

START_TEST(message_pieces)
{
    static const char *const texts[] = {"A very small fuse F1 of facts end"};

    run("<pattern><rule context=\"fuse[@ref='F1']\"><assert test='false()' role='error'>\n  A "
        "<emph>very</emph>\n\t<span class='x'>small</span> <name/> <value-of select='@ref'/> of "
        "<name path='..'/> <!-- no --> <![CDATA[end]]> \n</assert></rule></pattern>");
    ck_assert_uint_eq(diags.count, 0);
    assert_texts(texts, 1);
}
END_TEST

START_TEST(namespaces)
{
    run("<ns prefix='q' uri='urn:q'/><pattern><rule context='facts'>"
        "<assert test='q:x' role='error'>none</assert></rule></pattern>");
    ck_assert_uint_eq(diags.count, 0);
    ck_assert_uint_eq(results.count, 1);
}
END_TEST

/* One bad thing on line 4 of a file whose other check still works. */
struct bad {
    const char *line;
    const char *in_message;
};

static const struct bad bads[] = {
    {"<rule context='fuse['><report test='true()' role='error'>x</report></rule>",
     "context of rule"},
    {"<rule><report test='true()' role='error'>x</report></rule>", "rule without context"},
    {"<rule context='1'><report test='true()' role='error'>x</report></rule>", "context of rule"},
    {"<rule context='//fuse = 1'><report test='true()' role='error'>x</report></rule>",
     "not a path"},
    {"<rule context='facts'><report test='1 +' role='error'>x</report></rule>", "test of report"},
    {"<rule context='facts'><report test='nosuch(1)' role='error'>x</report></rule>",
     "test of report"},
    {"<rule context='facts'><report test='$nosuch' role='error'>x</report></rule>",
     "test of report"},
    {"<rule context='facts'><report test='q:x' role='error'>x</report></rule>", "test of report"},
    {"<rule context='facts'><report role='error'>x</report></rule>", "report without test"},
    {"<rule context='facts'><report test='true()'>x</report></rule>", "report without role"},
    {"<rule context='facts'><report test='true()' role='grave'>x</report></rule>",
     "role of report"},
    {"<rule context='facts'><let name='a' value=')'/></rule>", "value of let"},
    {"<rule context='facts'><extends rule='r'/></rule>", "not supported"},
    {"<rule context='node'><report test='false()' role='note'><b xmlns=''/></report></rule>",
     "not understood"},
};

START_TEST(error_is_told_with_its_line)
{
    const struct bad *bad = &bads[_i];

    run(arena_print(arena,
                    "<pattern>\n%s\n</pattern>\n<pattern><rule context='rail'>"
                    "<report test='true()' role='error'>good</report></rule></pattern>",
                    bad->line));
    ck_assert_uint_eq(diags.count, 1);
    ck_assert_ptr_nonnull(strstr(diags.items[0].message, bad->in_message));
    ck_assert_uint_eq(diags.items[0].place.line, 4);
    ck_assert_uint_ge(diags.items[0].place.column, 1);
    ck_assert_uint_eq(results.count, 1);
    ck_assert_str_eq(results.items[0].text, "good");
}
END_TEST

START_TEST(missing_head_is_told)
{
    load_text("<schema xmlns='http://purl.oclc.org/dsdl/schematron'><title> </title></schema>");
    ck_assert_ptr_nonnull(schema);
    ck_assert_uint_eq(diags.count, 4);
}
END_TEST

START_TEST(start_tag_over_lines)
{
    load_text(arena_print(arena, "%s<pattern><rule context='facts'>\n  <report\n   role='error'\n"
                                 "  test='('>x</report></rule></pattern></schema>", head));
    ck_assert_uint_eq(diags.count, 1);
    ck_assert_uint_eq(diags.items[0].place.line, 4);
    ck_assert_uint_eq(diags.items[0].place.column, 3);
}
END_TEST

START_TEST(truncated_anywhere)
{
    const char *whole = arena_print(
        arena, "%s<pattern><rule context='fuse'><assert test='@a' role='error'>x<value-of "
               "select='@ref'/></assert></rule></pattern></schema>", head);
    size_t length = strlen(whole);

    for (size_t i = 0; i < length; i++) {
        size_t before = diags.count + diags.dropped;
        struct schematron *part =
            schematron_load(arena, &diags, source_from_bytes(arena, "x.sch", whole, i));

        ck_assert_ptr_null(part);
        ck_assert_uint_gt(diags.count + diags.dropped, before);
    }
}
END_TEST

START_TEST(other_languages_and_roots)
{
    load_text("<schema xmlns='http://purl.oclc.org/dsdl/schematron' queryBinding='xslt2'/>");
    ck_assert_str_eq(diags.items[0].message, "query language is not supported");
    schematron_free(schema);
    load_text("<schema/>");
    ck_assert_ptr_null(schema);
    ck_assert_str_eq(diags.items[diags.count - 1].message, "not a Schematron schema");
}
END_TEST

/* Deep nesting, in an expression and in the file: told, not crashed on. */
START_TEST(deep_nesting)
{
    enum { DEPTH = 100000 };
    char *deep = arena_alloc(arena, DEPTH + 1);

    memset(deep, '(', DEPTH);
    load_text(arena_print(arena, "%s<let name='x' value='%s'/></schema>", head, deep));
    ck_assert_uint_eq(diags.count, 1);
    for (size_t i = 0; i + 3 <= DEPTH; i += 3)
        memcpy(deep + i, "<p>", 3);
    load_text(arena_print(arena, "%s%s", head, deep));
    ck_assert_uint_eq(diags.count, 2);
}
END_TEST

Suite *check_schematron_suite(void);

Suite *check_schematron_suite(void)
{
    Suite *suite = suite_create("schematron");
    TCase *tests = tcase_create("engine");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, head_is_read);
    tcase_add_test(tests, assert_and_report);
    tcase_add_test(tests, first_matching_rule_wins);
    tcase_add_test(tests, second_run_finds_the_same);
    tcase_add_test(tests, lets_of_every_scope);
    tcase_add_test(tests, let_ends_with_its_rule);
    tcase_add_test(tests, alternatives_of_a_context);
    tcase_add_test(tests, attribute_and_root_contexts);
    tcase_add_test(tests, message_pieces);
    tcase_add_test(tests, namespaces);
    tcase_add_loop_test(tests, error_is_told_with_its_line, 0, sizeof bads / sizeof *bads);
    tcase_add_test(tests, missing_head_is_told);
    tcase_add_test(tests, start_tag_over_lines);
    tcase_add_test(tests, truncated_anywhere);
    tcase_add_test(tests, other_languages_and_roots);
    tcase_add_test(tests, deep_nesting);
    suite_add_tcase(suite, tests);
    return suite;
}
