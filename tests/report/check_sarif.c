/* SARIF, read back. */
#include "check_prearc.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "base/arena.h"
#include "report/specimen.h"

static struct specimen specimen;
static json_t *log_json;

static void setup(void)
{
    specimen = specimen_new();
    log_json = NULL;
}

static void teardown(void)
{
    json_decref(log_json);
    specimen_free(&specimen);
}

/* The only run of what is written. */
static json_t *run(void)
{
    json_error_t error;

    json_decref(log_json);
    log_json = json_loads(specimen_write(&specimen, &sarif_writer), JSON_REJECT_DUPLICATES, &error);
    ck_assert_msg(log_json != NULL, "not JSON: %s", error.text);
    ck_assert_uint_eq(json_array_size(json_object_get(log_json, "runs")), 1);
    return json_array_get(json_object_get(log_json, "runs"), 0);
}

/* The value at a path of keys and indices: "results.0.ruleId". */
static json_t *at(json_t *json, const char *path)
{
    while (*path != '\0') {
        size_t length = strcspn(path, ".");
        char key[64];

        snprintf(key, sizeof key, "%.*s", (int)length, path);
        json = json_is_array(json) ? json_array_get(json, strtoul(key, NULL, 10))
                                   : json_object_get(json, key);
        path += length + (path[length] == '.');
    }
    return json;
}

static const char *string(json_t *json, const char *path)
{
    const char *value = json_string_value(at(json, path));

    return value != NULL ? value : "(absent)";
}

START_TEST(empty_run)
{
    json_t *json;

    specimen_facts(&specimen, "<facts solved='yes'/>");
    json = run();
    ck_assert_str_eq(string(log_json, "version"), "2.1.0");
    ck_assert_str_eq(string(json, "tool.driver.name"), "prearc");
    ck_assert_str_eq(string(json, "tool.driver.version"), "9.9");
    ck_assert_uint_eq(json_array_size(at(json, "results")), 0);
    ck_assert(json_is_true(at(json, "invocations.0.executionSuccessful")));
}
END_TEST

START_TEST(rules_are_described)
{
    json_t *rule = at(run(), "tool.driver.rules.0");

    ck_assert_str_eq(string(rule, "id"), "fuse-oversized");
    ck_assert_str_eq(string(rule, "shortDescription.text"),
                     "A fuse too large for what it protects");
    ck_assert_str_eq(string(rule, "fullDescription.text"),
                     "The winding burns before the fuse opens.");
    ck_assert_str_eq(string(rule, "help.text"), "Fit a smaller one.");
    ck_assert_str_eq(string(rule, "properties.source"), "IEC 60127-2");
    ck_assert_str_eq(string(rule, "defaultConfiguration.level"), "error");
}
END_TEST

START_TEST(failed_result)
{
    json_t *result;

    specimen_find(&specimen, LEVEL_ERROR, "fuse-oversized", "F2", "too large");
    specimen.diags.items[0].rests_on = "T1 winding-ohms HT 50 (25 to 100) [assumption3]";
    result = at(run(), "results.0");
    ck_assert_str_eq(string(result, "properties.restsOnAssumed"),
                     "T1 winding-ohms HT 50 (25 to 100) [assumption3]");
    ck_assert_str_eq(string(result, "ruleId"), "fuse-oversized");
    ck_assert_int_eq(json_integer_value(at(result, "ruleIndex")), 0);
    ck_assert(json_is_integer(at(result, "ruleIndex")));
    ck_assert_str_eq(string(result, "kind"), "fail");
    ck_assert_str_eq(string(result, "level"), "error");
    ck_assert_str_eq(string(result, "message.text"), "too large");
    result = at(result, "locations.0");
    ck_assert_str_eq(string(result, "logicalLocations.0.name"), "F2");
    ck_assert_str_eq(string(result, "logicalLocations.0.kind"), "part");
    ck_assert_str_eq(string(result, "logicalLocations.0.fullyQualifiedName"), "part/F2");
    ck_assert_str_eq(string(result, "physicalLocation.artifactLocation.uri"), "amp.cir");
}
END_TEST

START_TEST(unverified_is_open)
{
    json_t *result;

    specimen_find(&specimen, LEVEL_UNVERIFIED, "no-such-rule", "F2", "not known");
    result = at(run(), "results.0");
    ck_assert_str_eq(string(result, "kind"), "open");
    ck_assert_str_eq(string(result, "level"), "none");
    ck_assert_ptr_null(at(result, "ruleIndex"));
}
END_TEST

START_TEST(places_are_regions)
{
    const struct source *source = source_from_bytes(specimen.arena, "my amp/a:b%.cir", "x", 1);
    struct diag diag = {.level = LEVEL_NOTE, .rule = "x", .message = "m",
                        .place = {source, 12, 3}};
    json_t *place;

    diag_add(&specimen.diags, &diag);
    place = at(run(), "results.0.locations.0.physicalLocation");
    ck_assert_str_eq(string(place, "artifactLocation.uri"), "my%20amp/a%3Ab%25.cir");
    ck_assert_int_eq(json_integer_value(at(place, "region.startLine")), 12);
    ck_assert_int_eq(json_integer_value(at(place, "region.startColumn")), 3);
}
END_TEST

START_TEST(absolute_path_is_a_file_uri)
{
    specimen.input.netlist = "/srv/a b.cir";
    specimen_find(&specimen, LEVEL_NOTE, "x", "R1", "m");
    ck_assert_str_eq(string(run(), "results.0.locations.0.physicalLocation.artifactLocation.uri"),
                     "file:///srv/a%20b.cir");
}
END_TEST

START_TEST(input_errors_fail_the_run)
{
    const struct source *source = source_from_bytes(specimen.arena, "amp.cir", "x", 1);
    json_t *json;

    specimen_facts(&specimen, "<facts/>");
    diag_input(&specimen.diags, LEVEL_ERROR, (struct place){source, 1, 1}, "4k7k", "a number",
               "bad");
    json = run();
    ck_assert(json_is_false(at(json, "invocations.0.executionSuccessful")));
    ck_assert_str_eq(string(json, "invocations.0.toolExecutionNotifications.0.level"), "error");
    ck_assert_str_eq(string(json, "invocations.0.toolExecutionNotifications.0.message.text"),
                     "bad: 4k7k; expected a number");
    ck_assert_uint_eq(json_array_size(at(json, "results")), 0);
}
END_TEST

START_TEST(oddities_do_not_fail_the_run)
{
    specimen_facts(&specimen, "<facts/>");
    diag_input(&specimen.diags, LEVEL_WARNING, (struct place){0}, NULL, NULL, "odd");
    ck_assert(json_is_true(at(run(), "invocations.0.executionSuccessful")));
}
END_TEST

START_TEST(unread_netlist_fails_the_run)
{
    ck_assert(json_is_false(at(run(), "invocations.0.executionSuccessful")));
}
END_TEST

START_TEST(dropped_errors_fail_the_run)
{
    specimen_facts(&specimen, "<facts/>");
    specimen.diags.dropped = 3;
    ck_assert(json_is_false(at(run(), "invocations.0.executionSuccessful")));
    ck_assert_str_eq(string(log_json, "runs.0.invocations.0.toolExecutionNotifications.0.level"),
                     "error");
}
END_TEST

START_TEST(stray_bytes_are_spelt_out)
{
    specimen_find(&specimen, LEVEL_ERROR, "x", "F\xFF", "\xC0\x80\x1B a\xED\xA0\x80");
    ck_assert_str_eq(string(run(), "results.0.locations.0.logicalLocations.0.name"),
                     "F<0xFF>");
    ck_assert_str_eq(string(log_json, "runs.0.results.0.message.text"),
                     "<0xC0><0x80><U+001B> a<0xED><0xA0><0x80>");
}
END_TEST

START_TEST(braces_and_links_are_literal)
{
    specimen_find(&specimen, LEVEL_ERROR, "x", "F", "net {0} [here](http://x)");
    ck_assert_str_eq(string(run(), "results.0.message.text"), "net {{0}} \\[here\\](http://x)");
}
END_TEST

START_TEST(assumptions_and_gaps_are_kept)
{
    specimen_facts(&specimen,
                   "<facts><gap part='L1' what='w'/><assumption what='h' value='2'/></facts>");
    ck_assert_str_eq(string(run(), "properties.gaps.0.part"), "L1");
    ck_assert_str_eq(string(log_json, "runs.0.properties.assumptions.0.value"), "2");
}
END_TEST

START_TEST(two_netlists_are_two_runs)
{
    struct report_input inputs[2];
    struct text text = {0};

    specimen_write(&specimen, &sarif_writer);
    inputs[0] = inputs[1] = specimen.input;
    sarif_writer.write(inputs, 2, &text);
    log_json = json_loads(text_bytes(&text), 0, NULL);
    text_free(&text);
    ck_assert_uint_eq(json_array_size(json_object_get(log_json, "runs")), 2);
}
END_TEST

Suite *check_sarif_suite(void);

Suite *check_sarif_suite(void)
{
    Suite *suite = suite_create("sarif");
    TCase *tests = tcase_create("document");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, empty_run);
    tcase_add_test(tests, rules_are_described);
    tcase_add_test(tests, failed_result);
    tcase_add_test(tests, unverified_is_open);
    tcase_add_test(tests, places_are_regions);
    tcase_add_test(tests, absolute_path_is_a_file_uri);
    tcase_add_test(tests, input_errors_fail_the_run);
    tcase_add_test(tests, oddities_do_not_fail_the_run);
    tcase_add_test(tests, unread_netlist_fails_the_run);
    tcase_add_test(tests, dropped_errors_fail_the_run);
    tcase_add_test(tests, stray_bytes_are_spelt_out);
    tcase_add_test(tests, braces_and_links_are_literal);
    tcase_add_test(tests, assumptions_and_gaps_are_kept);
    tcase_add_test(tests, two_netlists_are_two_runs);
    suite_add_tcase(suite, tests);
    return suite;
}
