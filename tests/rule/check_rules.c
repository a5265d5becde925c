/* Every check over its fixtures: tests/rule/facts/ID/bad-LEVEL-why.xml must give findings of ID
 * at LEVEL and at no other, good-why.xml none. */
#include "config.h"

#include "check_prearc.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <libxml/parser.h>
#include <libxml/relaxng.h>

#include "base/arena.h"
#include "base/diag.h"
#include "rule/rules.h"

static struct arena *arena;
static struct diags diags;
static struct rules *rules;

static void setup(void)
{
    const char *directory = source_path("rules/checks");

    arena = arena_new();
    diags = diags_start(arena);
    rules = rules_load(arena, &diags, &directory, 1);
}

static void teardown(void)
{
    rules_free(rules);
    arena_free(arena);
}

START_TEST(table_is_whole)
{
    ck_assert_uint_eq(diags.count, 0);
    ck_assert_uint_ge(rules->count, 12);
    for (size_t i = 0; i < rules->count; i++) {
        const struct rule *rule = &rules->items[i];

        ck_assert_msg(*rule->title != '\0' && *rule->why != '\0' && *rule->fix != '\0' &&
                          *rule->source != '\0',
                      "%s", rule->id);
        ck_assert_uint_eq(strspn(rule->id, "abcdefghijklmnopqrstuvwxyz-"), strlen(rule->id));
        ck_assert_ptr_eq(rules_find(rules, rule->id), rule);
        ck_assert(i == 0 || strcmp(rules->items[i - 1].id, rule->id) < 0);
    }
    ck_assert_ptr_null(rules_find(rules, "no-such-check"));
}
END_TEST

/* What a fixture's name says: the level wanted, or none. False if it is no fixture's name. */
static bool wanted_level(const char *name, bool *good, enum level *level)
{
    char word[16];

    *good = strncmp(name, "good-", 5) == 0;
    return *good ||
           (sscanf(name, "bad-%15[a-z]-", word) == 1 && level_parse(word, level));
}

static void check_fixture(const struct rule *rule, const char *path, const char *name)
{
    bool good;
    enum level level = LEVEL_NOTE;
    struct diags found = diags_start(arena);
    xmlDoc *facts = xmlReadFile(path, NULL, XML_PARSE_NONET);
    size_t own = 0;

    ck_assert_msg(facts != NULL && wanted_level(name, &good, &level), "%s", path);
    rules_run(rules, facts, arena, &found);
    for (size_t i = 0; i < found.count; i++) {
        if (strcmp(found.items[i].rule, rule->id) != 0)
            continue;
        own++;
        ck_assert_msg(!good, "%s: %s", path, found.items[i].message);
        ck_assert_msg(found.items[i].level == level, "%s: %s", path, found.items[i].message);
        ck_assert_msg(strstr(found.items[i].message, "NaN") == NULL, "%s", found.items[i].message);
        ck_assert_msg(strstr(found.items[i].message, "  ") == NULL, "%s", found.items[i].message);
        ck_assert_str_eq(found.items[i].fix, rule->fix);
    }
    ck_assert_msg(good || own > 0, "%s: no finding", path);
    xmlFreeDoc(facts);
}

static void check_folder(const struct rule *rule)
{
    const char *folder = arena_print(arena, "%s/%s", source_path("tests/rule/facts"), rule->id);
    DIR *stream = opendir(folder);
    const struct dirent *entry;
    size_t goods = 0, bads = 0;

    ck_assert_msg(stream != NULL, "no fixtures of %s", rule->id);
    while ((entry = readdir(stream)) != NULL) {
        if (entry->d_name[0] == '.')
            continue;
        goods += entry->d_name[0] == 'g';
        bads += entry->d_name[0] == 'b';
        check_fixture(rule, arena_print(arena, "%s/%s", folder, entry->d_name), entry->d_name);
    }
    closedir(stream);
    ck_assert_msg(goods > 0 && bads > 0, "%s wants a good and a bad fixture", rule->id);
}

START_TEST(fixtures)
{
    for (size_t i = 0; i < rules->count; i++)
        check_folder(&rules->items[i]);
}
END_TEST

static xmlDoc *read_fixture(const char *file)
{
    xmlDoc *facts = xmlReadFile(source_path(arena_print(arena, "tests/rule/facts/%s", file)), NULL,
                                XML_PARSE_NONET);

    ck_assert_msg(facts != NULL, "%s", file);
    return facts;
}

/* The finding of rule ID, the only one. */
static const struct diag *only(const struct diags *found, const char *id)
{
    const struct diag *diag = NULL;

    for (size_t i = 0; i < found->count; i++) {
        if (strcmp(found->items[i].rule, id) != 0)
            continue;
        ck_assert_ptr_null(diag);
        diag = &found->items[i];
    }
    ck_assert_ptr_nonnull(diag);
    return diag;
}

START_TEST(objects_and_place)
{
    xmlDoc *facts = read_fixture("fuse-oversized/bad-error-short-below-opening.xml");
    struct diags found = diags_start(arena);
    const struct diag *diag;

    rules_run(rules, facts, arena, &found);
    diag = only(&found, "fuse-oversized");
    ck_assert_uint_eq(diag->object_count, 2);
    ck_assert_str_eq(diag->objects[0].kind, "part");
    ck_assert_str_eq(diag->objects[0].name, "F2");
    ck_assert_str_eq(diag->objects[1].kind, "net");
    ck_assert_str_eq(diag->objects[1].name, "ht");
    ck_assert_str_eq(diag->place.source->name, "fixture.cir");
    ck_assert_uint_eq(diag->place.line, 9);
    ck_assert_str_eq(diag->message,
                     "A short at ht drives 1.8 A RMS through fuse F2 (2 A rated), which need not "
                     "open below 4.2 A, and no other fuse is sure to clear it. Meanwhile T1 D1 D2 "
                     "carry the fault.");
    xmlFreeDoc(facts);
}
END_TEST

START_TEST(place_of_the_part_named)
{
    xmlDoc *facts = read_fixture("fuse-in-protective-earth/bad-error-fuse-in-earth.xml");
    struct diags found = diags_start(arena);
    const struct diag *diag;

    rules_run(rules, facts, arena, &found);
    diag = only(&found, "fuse-in-protective-earth");
    ck_assert_str_eq(diag->objects[0].name, "F3");
    ck_assert_uint_eq(diag->place.line, 12);
    xmlFreeDoc(facts);
}
END_TEST

static void write_file(const char *directory, const char *name, const char *text)
{
    FILE *file = fopen(arena_print(arena, "%s/%s", directory, name), "w");

    ck_assert_ptr_nonnull(file);
    fputs(text, file);
    ck_assert_int_eq(fclose(file), 0);
}

#define OWN_HEAD                                                                                   \
    "<schema xmlns='http://purl.oclc.org/dsdl/schematron'><title>t</title><p class='why'>w</p>"    \
    "<p class='fix'>f</p><p class='source'>s</p>"

/* A check of one's own, one that replaces a built-in one, one that is broken: no C is touched. */
START_TEST(rules_of_another_directory)
{
    char directory[] = P_tmpdir "/prearc-rules-XXXXXX";
    const char *directories[] = {source_path("rules/checks"), directory};
    xmlDoc *facts = read_fixture("live-unfused/bad-error-no-fuse.xml");
    struct diags found = diags_start(arena), errors = diags_start(arena);
    struct rules *both;

    ck_assert_ptr_nonnull(mkdtemp(directory));
    write_file(directory, "my-own.sch",
               OWN_HEAD "<pattern><rule context='fuse'><report test='true()' role='warning'>mine"
                        "</report></rule></pattern></schema>");
    write_file(directory, "live-unfused.sch", OWN_HEAD "</schema>");
    write_file(directory, "broken.sch", "<schema>\n<oops");
    both = rules_load(arena, &errors, directories, 2);
    ck_assert_uint_eq(both->count, rules->count + 1);
    ck_assert_uint_eq(errors.count, 1);
    ck_assert_uint_eq(errors.items[0].place.line, 2);
    ck_assert_int_eq(rules_find(both, "my-own")->level, LEVEL_WARNING);
    rules_run(both, facts, arena, &found);
    ck_assert_str_eq(only(&found, "my-own")->message, "mine");
    for (size_t i = 0; i < found.count; i++)
        ck_assert_str_ne(found.items[i].rule, "live-unfused");
    rules_free(both);
    xmlFreeDoc(facts);
    unlink(arena_print(arena, "%s/my-own.sch", directory));
    unlink(arena_print(arena, "%s/live-unfused.sch", directory));
    unlink(arena_print(arena, "%s/broken.sch", directory));
    rmdir(directory);
}
END_TEST

START_TEST(directory_that_is_not_there)
{
    const char *directory = "/nonexistent/rules";
    struct diags errors = diags_start(arena);
    struct rules *none = rules_load(arena, &errors, &directory, 1);

    ck_assert_uint_eq(none->count, 0);
    ck_assert_uint_eq(errors.count, 1);
}
END_TEST

Suite *check_rules_suite(void);

Suite *check_rules_suite(void)
{
    Suite *suite = suite_create("rules");
    TCase *tests = tcase_create("checks");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, table_is_whole);
    tcase_add_test(tests, fixtures);
    tcase_add_test(tests, objects_and_place);
    tcase_add_test(tests, place_of_the_part_named);
    tcase_add_test(tests, rules_of_another_directory);
    tcase_add_test(tests, directory_that_is_not_there);
    suite_add_tcase(suite, tests);
    return suite;
}
