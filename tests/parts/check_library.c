#include <config.h>

#include "made_circuit.h"

#include <math.h>
#include <stdlib.h>
#include <unistd.h>

#include "parts/library.h"
#include "parts/wording.h"

START_TEST(every_entry_is_whole)
{
    struct made made = made_start();
    struct library *library = library_read(made.arena, &made.diags, source_path("rules/parts"));

    ck_assert_ptr_nonnull(library);
    ck_assert_uint_gt(library->type_count, 100);
    for (size_t i = 0; i < library->type_count; i++) {
        const struct type *type = library->list[i];

        ck_assert_int_ne(type->kind, PART_UNKNOWN);
        ck_assert_ptr_eq(library_find(library, type->name, strlen(type->name)), type);
        for (size_t k = 0; k < type->figure_count; k++) {
            ck_assert_msg(strlen(type->figures[k].source) > 3, "%s", type->name);
            ck_assert_msg(isfinite(type->figures[k].value), "%s", type->name);
            for (size_t m = k + 1; m < type->figure_count; m++)
                ck_assert_int_ne(type->figures[k].id, type->figures[m].id);
        }
    }
    for (size_t i = 0; i < library->base_count; i++) {
        ck_assert_uint_gt(library->bases[i]->pin_count, 1);
        ck_assert_uint_gt(strlen(library->bases[i]->source), 3);
    }
    for (size_t i = 0; i < library->word_count; i++)
        ck_assert_msg(library->words[i].kinds != 0, "%s", library->words[i].pattern);
    library_free(library);
    made_end(&made);
}
END_TEST

/* What every valve must have, besides a source for each figure. */
static const enum figure_id of_all[] = {FIGURE_HEATER_VOLTS, FIGURE_HEATER_AMPS};
static const enum figure_id of_amplifiers[] = {FIGURE_IDLE_AMPS, FIGURE_ANODE_VOLTS, FIGURE_ANODE_WATTS,
                                               FIGURE_HEATER_CATHODE_VOLTS};
static const enum figure_id of_pentodes[] = {FIGURE_SCREEN_AMPS, FIGURE_SCREEN_VOLTS,
                                             FIGURE_SCREEN_WATTS};
static const enum figure_id of_triode_pentodes[] = {FIGURE_TRIODE_MU, FIGURE_TRIODE_ANODE_VOLTS,
                                                    FIGURE_TRIODE_ANODE_WATTS,
                                                    FIGURE_TRIODE_CATHODE_AMPS};
static const enum figure_id of_rectifiers[] = {FIGURE_REVERSE_VOLTS, FIGURE_AVERAGE_AMPS,
                                               FIGURE_PEAK_AMPS, FIGURE_LARGEST_RESERVOIR,
                                               FIGURE_LEAST_SERIES_OHMS};

static void assert_figures(const struct part_info *info, const enum figure_id *ids, size_t count)
{
    for (size_t i = 0; i < count; i++)
        ck_assert_msg(part_figure(info, ids[i]) != NULL, "%s has no %s", info->part->value,
                      figure_rows[ids[i]].name);
}

#define ASSERT_FIGURES(info, ids) assert_figures(info, ids, sizeof(ids) / sizeof *(ids))

static struct made made_valves(const char *const *types, size_t count)
{
    struct made made = made_start();

    for (size_t i = 0; i < count; i++)
        made_part(&made, arena_print(made.arena, "V%zu", i + 1), types[i], NULL);
    made_recognise(&made);
    ck_assert_uint_eq(made.parts->count, count);
    return made;
}

START_TEST(every_valve_has_its_figures)
{
    static const char *const valves[] = {
        "12AX7", "12AT7", "12AU7", "12AY7", "6SN7GT", "6SL7GT", "EF86", "EL84", "EL34", "6V6GT",
        "6L6GC", "5881", "KT66", "KT88", "6550", "6AQ5", "ECL82", "ECL86", "7591", "6973"};
    struct made made = made_valves(valves, sizeof valves / sizeof *valves);

    for (size_t i = 0; i < made.parts->count; i++) {
        const struct part_info *info = &made.parts->items[i];

        ck_assert_msg(info->kind == PART_TRIODE || info->kind == PART_PENTODE, "%s",
                      info->part->value);
        ck_assert_msg(info->limits != NULL, "%s", info->part->value);
        ASSERT_FIGURES(info, of_all);
        ASSERT_FIGURES(info, of_amplifiers);
        ck_assert_msg(part_figure(info, FIGURE_TRIODE_MU) != NULL ||
                          part_figure(info, FIGURE_PENTODE_MU) != NULL,
                      "%s has no constants", info->part->value);
        if (info->kind == PART_PENTODE)
            ASSERT_FIGURES(info, of_pentodes);
        if (strncmp(info->part->value, "ECL", 3) == 0)
            ASSERT_FIGURES(info, of_triode_pentodes);
    }
    made_end(&made);
}
END_TEST

/* The perveance of those whose drop nobody prints is assumed; the gas rectifier has its arc's volts instead. */
START_TEST(every_rectifier_valve_has_its_figures)
{
    static const char *const rectifiers[] = {"GZ34", "5Y3GT", "5U4G", "5U4GB", "EZ80",
                                             "EZ81", "6X5GT", "6X4",  "5V4G"};
    struct made made = made_valves(rectifiers, sizeof rectifiers / sizeof *rectifiers);

    for (size_t i = 0; i < made.parts->count; i++) {
        const struct part_info *info = &made.parts->items[i];

        ck_assert_int_eq(info->kind, PART_RECTIFIER_VALVE);
        ASSERT_FIGURES(info, of_all);
        ASSERT_FIGURES(info, of_rectifiers);
        ck_assert_msg(part_figure(info, FIGURE_PERVEANCE) != NULL, "%s", info->part->value);
        ck_assert_msg(info->rating_count > 0, "%s", info->part->value);
        ck_assert_double_eq(info->ratings[info->rating_count - 1].ohms,
                            part_figure_value(info, FIGURE_LEAST_SERIES_OHMS, 0));
    }
    made_end(&made);
}
END_TEST

/* Of these less is printed, but they are there; the 83 only by its field, for "83" may mean anything. */
START_TEST(other_valves_are_known)
{
    static const char *const types[] = {"KT90", "GZ37", "5R4GY", "5T4", "5Z3",
                                        "KT77", "EL37", "6N2P",  "6DJ8"};
    struct made made = made_valves(types, sizeof types / sizeof *types);
    struct library *library = library_read(made.arena, &made.diags, source_path("rules/parts"));
    const struct type *mercury = library_find(library, "83", 2);

    for (size_t i = 0; i < made.parts->count; i++) {
        ck_assert_ptr_nonnull(made.parts->items[i].type);
        ASSERT_FIGURES(&made.parts->items[i], of_all);
    }
    ck_assert_ptr_nonnull(mercury);
    ck_assert_int_eq(mercury->kind, PART_RECTIFIER_VALVE);
    ck_assert(mercury->ambiguous);
    library_free(library);
    made_end(&made);
}
END_TEST

/* Valves of one family that stand more or less are not the same entry. */
START_TEST(limits_of_a_family_differ)
{
    static const struct {
        const char *type;
        double anode_watts;
    } rows[] = {{"6L6GC", 30}, {"6L6", 19}, {"6P3S-E", 19}, {"5881", 23}, {"6SN7GT", 2.5},
                {"6SN7GTB", 5}, {"6550", 35}, {"6550C", 42}};
    struct made made = made_start();

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        made_part(&made, arena_print(made.arena, "V%zu", i + 1), rows[i].type, NULL);
    made_recognise(&made);
    for (size_t i = 0; i < made.parts->count; i++)
        ck_assert_msg(part_figure_value(&made.parts->items[i], FIGURE_ANODE_WATTS, 0) ==
                          rows[i].anode_watts,
                      "%s", rows[i].type);
    made_end(&made);
}
END_TEST

static const struct name_row {
    const char *name, *type;
} names[] = {
    {"ecc83", "12AX7"}, {"6BQ5", "EL84"},     {"5AR4", "GZ34"},   {"EL34B", "EL34"},
    {"KT88SC", "KT88"}, {"6V6", "6V6GT"},     {"EL34XYZW", NULL}, {"1N4007X", NULL},
    {"", NULL},         {"EL3", NULL},        {"6CA7", "EL34"},   {"6AQ5A", "6AQ5"},
    {"5U4GB", "5U4GB"}, {"1n4007", "1N4007"},
};

START_TEST(types_are_found)
{
    struct made made = made_start();
    struct library *library = library_read(made.arena, &made.diags, source_path("rules/parts"));
    const struct type *type = library_find(library, names[_i].name, strlen(names[_i].name));

    ck_assert_msg((type != NULL) == (names[_i].type != NULL), "%s", names[_i].name);
    if (type != NULL)
        ck_assert_str_eq(type->name, names[_i].type);
    library_free(library);
    made_end(&made);
}
END_TEST

static const struct pattern_row {
    const char *pattern, *text;
    bool matches;
} patterns[] = {
    {"FUSE", "FUSE", true},     {"FUSE", "FUSES", false},   {"FUSE*", "FUSES", true},
    {"*FUSE", "MYFUSE", true},  {"1N4##7", "1N4007", true}, {"1N4##7", "1N4A07", false},
    {"*A*B*C", "XAYBZC", true}, {"*A*B*C", "XAYBZ", false}, {"?", "", false},
    {"*", "", true},            {"", "", true},             {"", "A", false},
    {"A**B", "AB", true},
};

START_TEST(patterns_fit)
{
    ck_assert_msg(
        pattern_matches(patterns[_i].pattern, patterns[_i].text, strlen(patterns[_i].text))
            == patterns[_i].matches,
        "%s %s", patterns[_i].pattern, patterns[_i].text);
}
END_TEST

/* Libraries with a mistake: none is taken, and the diagnostic names the file. */
static const char *const broken[] = {
    "",
    "<parts>",
    "<other/>",
    "<parts><part type='A1' kind='nothing'/></parts>",
    "<parts><part type='A1'/></parts>",
    "<parts><part kind='fuse'/></parts>",
    "<parts><part type='A1' kind='fuse' base='x'/></parts>",
    "<parts><part type='A1' kind='fuse'><figure name='ohms' value='1'/></part></parts>",
    "<parts><part type='A1' kind='fuse'><figure name='ohms' value='x' source='y'/></part></parts>",
    "<parts><part type='A1' kind='fuse'><figure name='x' value='1' source='y'/></part></parts>",
    "<parts><part type='A1' kind='fuse'><figure name='ohms' value='1e999' "
    "source='y'/></part></parts>",
    "<parts><part type='A1' alias='a1' kind='fuse'/></parts>",
    "<parts><base name='b' source='s'><pin number='1' role='x'/></base></parts>",
    "<parts><base name='b' source='s'><pin number='1' role='grid' unit='0'/></base></parts>",
    "<parts><word in='x' text='y' kind='fuse'/></parts>",
    "<parts><word in='value' kind='fuse'/></parts>",
    "<parts><word in='value' text='y' kind='x'/></parts>",
    "<parts><thing/></parts>",
    "<parts><part type='A1' kind='fuse'><thing/></part></parts>",
    "<parts><part type='A1' kind='fuse' limits='x'/></parts>",
    "<parts><part type='A1' kind='fuse'><rating volts='1' ohms='2'/></part></parts>",
    "<parts><part type='A1' kind='fuse'><rating volts='x' ohms='2' source='y'/></part></parts>",
    "<parts><part type='A1' kind='fuse'><rating volts='1' source='y'/></part></parts>",
    "<parts><part type='A1' kind='fuse'><rating volts='2' ohms='1' source='y'/>"
    "<rating volts='1' ohms='1' source='y'/></part></parts>",
    "<!DOCTYPE parts [<!ENTITY a 'aaaa'>]><parts><part type='A1' kind='&a;'/></parts>",
};

START_TEST(mistakes_are_reported)
{
    struct made made = made_start();
    char directory[] = P_tmpdir "/prearc-library-XXXXXX", path[64];
    FILE *file;

    ck_assert_ptr_nonnull(mkdtemp(directory));
    snprintf(path, sizeof path, "%s/a.xml", directory);
    file = fopen(path, "w");
    ck_assert_ptr_nonnull(file);
    fputs(broken[_i], file);
    fclose(file);
    ck_assert_msg(library_read(made.arena, &made.diags, directory) == NULL, "%s", broken[_i]);
    ck_assert_uint_gt(made.diags.count, 0);
    ck_assert_ptr_nonnull(strstr(made.diags.items[0].message, "a.xml"));
    unlink(path);
    rmdir(directory);
    made_end(&made);
}
END_TEST

START_TEST(no_library_is_an_error)
{
    struct made made = made_start();
    struct parts_options options = {.data_dir = "/nonexistent"};

    ck_assert_ptr_null(parts_recognise(made.arena, &made.diags, made.circuit, &options));
    ck_assert_uint_eq(made.diags.count, 1);
    made_end(&made);
}
END_TEST

START_TEST(names_go_both_ways)
{
    for (int i = 0; i < PART_KIND_COUNT; i++) {
        enum part_kind kind;

        ck_assert(part_kind_parse(part_kind_name((enum part_kind)i), &kind));
        ck_assert_int_eq(kind, i);
    }
    for (int i = 0; i < PIN_ROLE_COUNT; i++) {
        enum pin_role role;

        ck_assert(pin_role_parse(pin_role_name((enum pin_role)i), &role));
        ck_assert_int_eq(role, i);
    }
    for (int i = 0; i < FIGURE_COUNT; i++) {
        ck_assert_ptr_nonnull(figure_rows[i].name);
        ck_assert_ptr_nonnull(figure_rows[i].help);
    }
}
END_TEST

Suite *check_library_suite(void);

Suite *check_library_suite(void)
{
    Suite *suite = suite_create("library");
    TCase *tests = tcase_create("library");

    tcase_add_test(tests, every_entry_is_whole);
    tcase_add_test(tests, every_valve_has_its_figures);
    tcase_add_test(tests, every_rectifier_valve_has_its_figures);
    tcase_add_test(tests, other_valves_are_known);
    tcase_add_test(tests, limits_of_a_family_differ);
    tcase_add_loop_test(tests, types_are_found, 0, sizeof names / sizeof *names);
    tcase_add_loop_test(tests, patterns_fit, 0, sizeof patterns / sizeof *patterns);
    tcase_add_loop_test(tests, mistakes_are_reported, 0, sizeof broken / sizeof *broken);
    tcase_add_test(tests, no_library_is_an_error);
    tcase_add_test(tests, names_go_both_ways);
    suite_add_tcase(suite, tests);
    return suite;
}
