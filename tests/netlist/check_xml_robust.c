/* XML files that are damaged or hostile: never a crash, never a silent reading. */
#include "check_prearc.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"

static struct arena *arena;
static struct diags diags;
static struct read_options options;
static struct circuit *circuit;

static void setup(void)
{
    arena = arena_new();
    diags = diags_start(arena);
    options = (struct read_options){.data_dir = arena_copy(arena, source_path("rules"))};
    circuit = NULL;
}

static void teardown(void)
{
    circuit_free(circuit);
    arena_free(arena);
}

static void read_bytes(const char *bytes, size_t length)
{
    struct read_input input = {arena, &diags, source_from_bytes(arena, "test.xml", bytes, length),
                               &options};

    circuit = xml_reader.read(&input);
}

/* Reads and ends TEXT. */
static void read_and_free(struct text *text)
{
    read_bytes(arena_copy_span(arena, text_bytes(text), text->length), text->length);
    text_free(text);
}

static void read_once(const char *bytes, size_t length)
{
    char *copy = memory_alloc(length + 1); /* so that a read past the end is seen */

    memcpy(copy, bytes, length);
    copy[length] = '\0';
    setup();
    read_bytes(copy, length);
    ck_assert(circuit == NULL || circuit->source->raw == copy);
    free(copy);
}

static const struct diag *told(enum level level, const char *text)
{
    for (size_t i = 0; i < diags.count; i++)
        if (diags.items[i].level == level && strstr(diags.items[i].message, text) != NULL)
            return &diags.items[i];
    ck_abort_msg("no %s saying '%s' among %zu (first: %s)", level_name(level), text, diags.count,
                 diags.count > 0 ? diags.items[0].message : "-");
    return NULL;
}

static const char small[] =
    "<?xml version='1.0' encoding='UTF-8'?><!-- c --><export version=\"E\"><components>"
    "<comp ref='R1'><value>1k &amp; 2 \xCE\xA9</value><libsource lib='d' part='R'/></comp>"
    "</components><libparts><libpart lib='d' part='R'><pins><pin num='1' name='A'/></pins></libpart>"
    "</libparts><nets><net name='A'><node ref='R1' pin='1'/></net></nets></export>";

START_TEST(whole)
{
    read_bytes(small, strlen(small));
    ck_assert_uint_eq(diags.count, 0);
    ck_assert_str_eq(circuit_find_part(circuit, "R1")->value, "1k & 2 \xCE\xA9");
}
END_TEST

START_TEST(truncated_anywhere)
{
    teardown();
    for (size_t length = 0; length < strlen(small); length++) {
        read_once(small, length);
        ck_assert_msg(diag_count_input(&diags, LEVEL_ERROR) > 0, "no error at %zu bytes", length);
        teardown();
    }
    setup();
}
END_TEST

START_TEST(any_byte_changed)
{
    static const char bytes[] = "\0<>&'\"/ \x1F\xFF\xC3";
    char copy[sizeof small];

    teardown();
    for (size_t at = 0; at < strlen(small); at++) {
        memcpy(copy, small, sizeof small);
        copy[at] = bytes[_i];
        read_once(copy, strlen(small));
        ck_assert(circuit == NULL || circuit->net_count > 0 ||
                  diag_count_input(&diags, LEVEL_ERROR) > 0);
        teardown();
    }
    setup();
}
END_TEST

START_TEST(truncated_utf16)
{
    char wide[2 * sizeof small];
    size_t length = 0;

    teardown();
    for (const char *c = strstr(small, "<export"); *c != '\0'; c++) {
        wide[length++] = (*c & 0x80) != 0 ? 'x' : *c;
        wide[length++] = '\0';
    }
    for (size_t cut = 0; cut < length - 1; cut++) {
        read_once(wide, cut);
        ck_assert_uint_gt(diag_count_input(&diags, LEVEL_ERROR), 0);
        teardown();
    }
    setup();
}
END_TEST

/* What can be read before the damage is read, and the damage is an error with its place. */
START_TEST(reading_goes_on)
{
    static const char damaged[] = "<export><components><comp ref='R1'/></components>\n<nets>"
                                  "<net name='A'><node ref='R1' pin='1'/></net>\n  </export>";
    const struct diag *diag;

    read_bytes(damaged, strlen(damaged));
    diag = told(LEVEL_ERROR, "XML: ");
    ck_assert_uint_eq(diag->place.line, 3);
    ck_assert_uint_gt(diag->place.column, 1);
    ck_assert_ptr_nonnull(strstr(diag->excerpt, "</export>"));
    ck_assert_str_eq(diag->expected, "the end tag of the element begun last");
    ck_assert_ptr_nonnull(circuit);
    ck_assert_ptr_nonnull(circuit_find_net(circuit, "A"));
}
END_TEST

START_TEST(entity_bomb)
{
    struct text text = {0};

    text_add(&text, "<?xml version='1.0'?>\n<!DOCTYPE export [\n<!ENTITY e0 'lol'>\n");
    for (int i = 1; i < 30; i++)
        text_print(&text, "<!ENTITY e%d '&e%d;&e%d;&e%d;'>\n", i, i - 1, i - 1, i - 1);
    text_add(&text, "]>\n<export><components><comp ref='R1'><value>&e29;</value></comp></components>"
                    "<nets><net name='&e29;'/></nets></export>");
    read_and_free(&text);
    ck_assert_ptr_null(circuit);
    ck_assert_uint_eq(told(LEVEL_ERROR, "declares its own DTD")->place.line, 2);
    ck_assert_uint_eq(diags.count, 1);
}
END_TEST

START_TEST(external_entity)
{
    static const char hostile[] =
        "<!DOCTYPE export [<!ENTITY x SYSTEM 'file:///etc/passwd'>]><export><components>"
        "<comp ref='R1'><value>&x;</value></comp></components></export>";

    read_bytes(hostile, strlen(hostile));
    ck_assert_ptr_null(circuit);
    told(LEVEL_ERROR, "declares its own DTD");
}
END_TEST

/* A DOCTYPE that only names a DTD elsewhere is harmless: nothing is fetched. */
START_TEST(external_dtd)
{
    static const char named[] =
        "<!DOCTYPE export SYSTEM 'http://localhost:9/x.dtd'><export><components><comp ref='R1'/>"
        "</components><nets><net name='A'><node ref='R1' pin='1'/></net></nets></export>";

    read_bytes(named, strlen(named));
    ck_assert_uint_eq(diags.count, 0);
    ck_assert_ptr_nonnull(circuit_find_net(circuit, "A"));
}
END_TEST

START_TEST(undeclared_entity)
{
    static const char named[] =
        "<export><components><comp ref='R1'><value>1&ohm;</value></comp></components>"
        "<nets><net name='A&b;'><node ref='R1' pin='1'/></net></nets></export>";

    read_bytes(named, strlen(named));
    told(LEVEL_ERROR, "Entity 'ohm'");
}
END_TEST

START_TEST(deep_nesting)
{
    struct text text = {0};

    for (int i = 0; i < 100000; i++)
        text_add(&text, _i == 0 ? "<export>" : "<export><components/>");
    read_and_free(&text);
    ck_assert_uint_gt(diag_count_input(&diags, LEVEL_ERROR), 0);
}
END_TEST

START_TEST(nul_bytes)
{
    static const char with[] = "<export><components><comp ref='R\0001'/></components><nets>"
                               "<net name='A'><node ref='R1' pin='1'/></net></nets></export>";

    read_bytes(with, sizeof with - 1);
    ck_assert_uint_gt(diag_count_input(&diags, LEVEL_ERROR), 0);
}
END_TEST

START_TEST(huge_attribute)
{
    struct text text = {0};
    size_t megabytes = (size_t)_i;

    text_add(&text, "<export><components><comp ref='R1'/></components><nets><net name='");
    for (size_t i = 0; i < megabytes * 65536; i++)
        text_add(&text, "AAAAAAAAAAAAAAAA");
    text_add(&text, "'><node ref='R1' pin='1'/></net></nets></export>");
    read_and_free(&text);
    if (megabytes > 9) { /* libxml2 takes 10 million bytes */
        ck_assert_uint_gt(diag_count_input(&diags, LEVEL_ERROR), 0);
    } else {
        ck_assert_uint_eq(diags.count, 0);
        ck_assert_uint_eq(strlen(circuit->nets[0]->name), megabytes << 20);
    }
}
END_TEST

START_TEST(very_many_attributes)
{
    struct text text = {0};

    text_add(&text, "<!-- <a ' -->\n<?p \"?><export><![CDATA[<a ']]><components");
    for (int i = 0; i < 300000; i++)
        text_print(&text, " a%d='>'", i);
    text_add(&text, "/></export>");
    read_and_free(&text);
    ck_assert_ptr_null(circuit);
    ck_assert_uint_eq(told(LEVEL_ERROR, "more attributes than any netlist")->place.line, 2);
}
END_TEST

/* A symbol with very many names and pins, a part with very many pins, very many errors: all
 * linear. */
START_TEST(very_many_of_everything)
{
    struct text text = {0};

    text_add(&text, "<export><components><comp ref='U1'><libsource lib='l' part='p'/>");
    for (int i = 0; i < 20000; i++)
        text_print(&text, "<property name='f%d' value='1'/>", i);
    text_add(&text, "</comp></components><libparts><libpart lib='l' part='p'><aliases>");
    for (int i = 0; i < 20000; i++)
        text_print(&text, "<alias>a%d</alias>", i);
    text_add(&text, "</aliases><pins>");
    for (int i = 0; i < 20000; i++)
        text_print(&text, "<pin num='%d' name='n%d'/>", i, i);
    text_add(&text, "</pins></libpart></libparts><nets>");
    for (int i = 0; i < 20000; i++)
        text_print(&text, "<net name='N%d'><node ref='U1' pin='%d'/><node ref='U1'/></net>", i, i);
    text_add(&text, "</nets></export>");
    read_and_free(&text);
    ck_assert_uint_eq(circuit_find_part(circuit, "U1")->pin_count, 20000);
    ck_assert_str_eq(circuit_find_part(circuit, "U1")->pins[19999].name, "n19999");
    told(LEVEL_WARNING, "too many names");
    ck_assert_uint_eq(diags.count, DIAG_INPUT_LARGEST);
    ck_assert_uint_gt(diags.dropped, 19000);
}
END_TEST

START_TEST(not_xml)
{
    static const char *const texts[] = {"", "<", "<>", "< export/>", "<!-- only -->", "<?xml?>",
                                        "hello", "<!DOCTYPE", "<![CDATA[", "\xEF\xBB\xBF"};

    read_bytes(texts[_i], strlen(texts[_i]));
    ck_assert_ptr_null(circuit);
    ck_assert_uint_gt(diag_count_input(&diags, LEVEL_ERROR), 0);
    ck_assert_ptr_nonnull(diags.items[0].expected);
}
END_TEST

Suite *check_xml_robust_suite(void);

Suite *check_xml_robust_suite(void)
{
    Suite *suite = suite_create("xml robustness");
    TCase *tests = tcase_create("damaged and hostile files");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, whole);
    tcase_add_test(tests, truncated_anywhere);
    tcase_add_loop_test(tests, any_byte_changed, 0, 11);
    tcase_add_test(tests, truncated_utf16);
    tcase_add_test(tests, reading_goes_on);
    tcase_add_test(tests, entity_bomb);
    tcase_add_test(tests, external_entity);
    tcase_add_test(tests, external_dtd);
    tcase_add_test(tests, undeclared_entity);
    tcase_add_loop_test(tests, deep_nesting, 0, 2);
    tcase_add_test(tests, nul_bytes);
    tcase_add_loop_test(tests, huge_attribute, 9, 11);
    tcase_add_test(tests, very_many_attributes);
    tcase_add_test(tests, very_many_of_everything);
    tcase_add_loop_test(tests, not_xml, 0, 10);
    suite_add_tcase(suite, tests);
    return suite;
}
