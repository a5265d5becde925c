/* The gates of fuse-links. The figures below are written down a second time, from the makers'
 * data sheets named, and not taken from the table under test: IEC 60127-2 sheet 1: Eaton S501,
 * Littelfuse 216SP; sheet 2: Eaton S500, Littelfuse 617; sheet 3: Littelfuse 218, 213, 618, Bel
 * 5ST; sheet 5: Littelfuse 215, 477, Eaton S505; sheet 6: Bel 5ET (the minimum at 2.75 In is
 * damaged there and from memory). */
#include "check_prearc.h"

#include <math.h>
#include <string.h>

#include "fuselink/fuselink.h"
#include "fuselink/gates_table.h"

#define COUNT_OF(table) (sizeof(table) / sizeof(table)[0])

#define T SPEED_T
#define F SPEED_F
#define L BREAKING_LOW
#define E BREAKING_ENHANCED
#define H BREAKING_HIGH

/* Seconds; a dash in the sheet is 0. */
struct printed {
    const char *standard;
    enum fuse_speed speed;
    enum fuse_breaking breaking;
    double first_amps, last_amps;
    double hold_1_5, open_2_1, hold_2_75, open_2_75, hold_4, open_4, hold_10, open_10;
};

static const struct printed printed[] = {
    {"IEC 60127-2 sheet 1", F, H, 0.05, 4, 3600, 1800, 0.010, 2, 0.003, 0.300, 0, 0.020},
    {"IEC 60127-2 sheet 1", F, H, 5, 6.3, 3600, 1800, 0.010, 3, 0.003, 0.300, 0, 0.020},
    {"IEC 60127-2 sheet 1", F, H, 8, 10, 1800, 1800, 0.040, 20, 0.010, 1, 0, 0.030},
    {"IEC 60127-2 sheet 2", F, L, 0.032, 0.1, 3600, 1800, 0.010, 0.500, 0.003, 0.100, 0, 0.020},
    {"IEC 60127-2 sheet 2", F, L, 0.125, 6.3, 3600, 1800, 0.050, 2, 0.010, 0.300, 0, 0.020},
    {"IEC 60127-2 sheet 2", F, L, 8, 10, 1800, 1800, 0.050, 2, 0.010, 0.400, 0, 0.040},
    {"IEC 60127-2 sheet 3", T, L, 0.032, 0.1, 3600, 120, 0.200, 10, 0.040, 3, 0.010, 0.300},
    {"IEC 60127-2 sheet 3", T, L, 0.125, 6.3, 3600, 120, 0.600, 10, 0.150, 3, 0.020, 0.300},
    {"IEC 60127-2 sheet 3", T, L, 8, 16, 1800, 120, 0.600, 10, 0.150, 3, 0.020, 0.300},
    {"IEC 60127-2 sheet 5", T, H, 0.125, 0.8, 3600, 1800, 0.250, 80, 0.050, 5, 0.005, 0.150},
    {"IEC 60127-2 sheet 5", T, H, 1, 3.15, 3600, 1800, 0.750, 80, 0.095, 5, 0.010, 0.150},
    {"IEC 60127-2 sheet 5", T, H, 4, 6.3, 3600, 1800, 0.750, 80, 0.150, 5, 0.010, 0.150},
    {"IEC 60127-2 sheet 5", T, H, 8, 20, 1800, 1800, 0.750, 80, 0.150, 5, 0.010, 0.150},
    {"IEC 60127-2 sheet 6", T, E, 1, 12, 3600, 120, 0.600, 10, 0.150, 3, 0.020, 0.300},
};

static const struct gates *gates_of(enum fuse_speed speed, enum fuse_breaking breaking, double amps,
                                    const char **assumed)
{
    struct marking marking = {.rated = true, .amps = amps, .speed = speed, .breaking = breaking};
    const struct gates *gates = gates_for(&marking, assumed);

    ck_assert_ptr_nonnull(gates);
    return gates;
}

static void check_opens(const struct gates *gates, double rated, double multiple, double seconds)
{
    assert_within(gates_opens_by(gates, rated, multiple * rated), seconds, 1e-6);
}

static void check_holds(const struct gates *gates, double rated, double multiple, double seconds)
{
    assert_within(gates_holds(gates, rated, multiple * rated), seconds, 1e-6);
}

static void check_printed(const struct printed *row, double rated)
{
    const char *assumed = "";
    const struct gates *gates = gates_of(row->speed, row->breaking, rated, &assumed);

    ck_assert_msg(assumed == NULL, "%g A: %s", rated, assumed);
    ck_assert_str_eq(gates->standard, row->standard);
    check_holds(gates, rated, 1.5, row->hold_1_5);
    check_opens(gates, rated, 2.1, row->open_2_1);
    check_holds(gates, rated, 2.75, row->hold_2_75);
    check_opens(gates, rated, 2.75, row->open_2_75);
    check_holds(gates, rated, 4, row->hold_4);
    check_opens(gates, rated, 4, row->open_4);
    check_holds(gates, rated, 10, row->hold_10);
    check_opens(gates, rated, 10, row->open_10);
    ck_assert(isinf(gates_opens_by(gates, rated, 2.0999 * rated)));
    assert_within(gates_opening_amps(gates, rated), 2.1 * rated, 1e-6);
}

START_TEST(cells_as_printed)
{
    const struct printed *row = &printed[_i];

    check_printed(row, row->first_amps);
    check_printed(row, row->last_amps);
    check_printed(row, sqrt(row->first_amps * row->last_amps));
}
END_TEST

/* A dash at 10 In promises no hold from there on. */
START_TEST(quick_links_promise_no_hold_at_ten_times)
{
    const char *assumed;

    ck_assert_double_eq(gates_holds(gates_of(F, L, 1, &assumed), 1, 10), 0);
    ck_assert_double_eq(gates_holds(gates_of(F, H, 1, &assumed), 1, 5), 0);
}
END_TEST

/* Whatever the table: later or equal opening and hold at less current, no hold beyond the
 * opening. */
START_TEST(curves_are_monotonic)
{
    const struct gates *gates = &gates_table[_i].gates;
    double opens_before = INFINITY, holds_before = INFINITY, rated = 0.315;

    for (double multiple = 0.5; multiple < 200; multiple *= 1.003) {
        double opens = gates_opens_by(gates, rated, multiple * rated);
        double holds = gates_holds(gates, rated, multiple * rated);

        ck_assert_msg(opens <= opens_before && opens > 0, "%s at %g", gates->standard, multiple);
        ck_assert_msg(holds <= holds_before && holds >= 0, "%s at %g", gates->standard, multiple);
        ck_assert_msg(holds <= opens, "%s at %g: holds %g, opens by %g", gates->standard, multiple,
                      holds, opens);
        opens_before = opens;
        holds_before = holds;
    }
}
END_TEST

START_TEST(opening_amps_is_where_opening_is_promised)
{
    const struct gates *gates = &gates_table[_i].gates;
    double amps = gates_opening_amps(gates, 0.315);

    if (isinf(amps)) {
        ck_assert(isinf(gates_opens_by(gates, 0.315, 1e6)));
        return;
    }
    ck_assert(isfinite(gates_opens_by(gates, 0.315, amps)));
    ck_assert(isinf(gates_opens_by(gates, 0.315, amps * 0.9999)));
}
END_TEST

START_TEST(rows_are_in_order_and_sourced)
{
    const struct gates_row *row = &gates_table[_i];
    const struct gates *gates = &row->gates;

    ck_assert_uint_gt(strlen(gates->standard), 0);
    ck_assert_uint_gt(strlen(gates->source), 0);
    ck_assert(gates->least_amps < gates->largest_amps);
    ck_assert_uint_le(gates->count, COUNT_OF(gates->gates));
    for (size_t i = 1; i < gates->count; i++)
        ck_assert(gates->gates[i].multiple > gates->gates[i - 1].multiple);
    if (_i > 0 && row[-1].group == row->group)
        ck_assert(gates->least_amps > row[-1].gates.largest_amps);
}
END_TEST

START_TEST(carries_its_rating_for_ever)
{
    const char *assumed;
    const struct gates *gates = gates_of(T, L, 0.315, &assumed);

    ck_assert(isinf(gates_holds(gates, 0.315, 0.315)));
    ck_assert(isinf(gates_holds(gates, 0.315, 0)));
    ck_assert_double_eq(gates_holds(gates, 0.315, 0.4), 3600);
    ck_assert(isinf(gates_opens_by(gates, 0.315, 0)));
    ck_assert(isinf(gates_opens_by(gates, 0.315, NAN)));
    ck_assert_double_eq(gates_opens_by(gates, 0.315, INFINITY), 0);
}
END_TEST

/* Straight in log-log: half way between 2.75 (10 s) and 4 (3 s) in the logarithm is the geometric
 * mean. Beyond 10 In I2t stays. */
START_TEST(between_and_beyond_the_gates)
{
    const char *assumed;
    const struct gates *gates = gates_of(T, L, 2, &assumed);

    assert_within(gates_opens_by(gates, 2, 2 * sqrt(2.75 * 4)), sqrt(10.0 * 3), 1e-6);
    assert_within(gates_holds(gates, 2, 2 * sqrt(2.75 * 4)), sqrt(0.6 * 0.15), 1e-6);
    assert_within(gates_opens_by(gates, 2, 40), 0.3 / 4, 1e-6);
    assert_within(gates_holds(gates, 2, 40), 0.02 / 4, 1e-6);
}
END_TEST

/* Every sheet that a marking may mean, and what is promised when it does not say which: the
 * latest opening of all. */
struct doubtful {
    enum fuse_speed speed;
    enum fuse_breaking breaking;
    const char *sheets; /* the digits of the sheets it may be */
};

static const struct doubtful doubtful[] = {
    {F, BREAKING_UNKNOWN, "12"},
    {F, E, "12"},
    {T, BREAKING_UNKNOWN, "356"},
    {SPEED_UNKNOWN, L, "23"},
    {SPEED_UNKNOWN, H, "12356"},
    {SPEED_UNKNOWN, BREAKING_UNKNOWN, "12356"},
    {SPEED_M, L, "12356"},
};

static bool may_be(const struct doubtful *row, const struct printed *sheet, double amps)
{
    return strchr(row->sheets, sheet->standard[strlen(sheet->standard) - 1]) != NULL &&
           amps >= sheet->first_amps * 0.999 && amps <= sheet->last_amps * 1.001;
}

static void check_worst(const struct doubtful *row, double rated)
{
    const char *assumed = NULL;
    const struct gates *gates = gates_of(row->speed, row->breaking, rated, &assumed);
    double open[4] = {0}, hold[4] = {INFINITY, INFINITY, INFINITY, INFINITY};

    ck_assert_ptr_nonnull(assumed);
    for (size_t i = 0; i < COUNT_OF(printed); i++) {
        const struct printed *sheet = &printed[i];

        if (!may_be(row, sheet, rated))
            continue;
        open[0] = fmax(open[0], sheet->open_2_1);
        open[1] = fmax(open[1], sheet->open_2_75);
        open[2] = fmax(open[2], sheet->open_4);
        open[3] = fmax(open[3], sheet->open_10);
        hold[0] = fmin(hold[0], sheet->hold_1_5);
        hold[1] = fmin(hold[1], sheet->hold_2_75);
        hold[2] = fmin(hold[2], sheet->hold_4);
        hold[3] = fmin(hold[3], sheet->hold_10);
    }
    check_opens(gates, rated, 2.1, open[0]);
    check_opens(gates, rated, 2.75, open[1]);
    check_opens(gates, rated, 4, open[2]);
    check_opens(gates, rated, 10, open[3]);
    ck_assert_double_le(gates_holds(gates, rated, 1.5 * rated), hold[0] * 1.000001);
    ck_assert_double_le(gates_holds(gates, rated, 2.75 * rated), hold[1] * 1.000001);
    ck_assert_double_le(gates_holds(gates, rated, 4 * rated), hold[2] * 1.000001);
    ck_assert_double_le(gates_holds(gates, rated, 10 * rated), hold[3] * 1.000001);
}

START_TEST(doubt_takes_the_latest_opening)
{
    static const double ratings[] = {0.05, 0.063, 0.1, 0.125, 0.315, 0.8, 1, 2, 3.15, 4, 5, 6.3,
                                     8, 10};

    for (size_t i = 0; i < COUNT_OF(ratings); i++)
        check_worst(&doubtful[_i], ratings[i]);
}
END_TEST

/* UL 248-14 as quoted in the Littelfuse fuseology selection guide, p. 12: 135 % opens within 1 h,
 * 200 % within 2 min to 30 A, 4 min from 35 A. Slow links hold 200 % for 5 s: Littelfuse 313 and
 * 239, Bussmann GMD data sheets. */
START_TEST(american_links)
{
    struct marking marking;
    const char *assumed;
    const struct gates *gates;

    marking_parse("3AG 2A slo-blo", &marking);
    gates = gates_for(&marking, &assumed);
    ck_assert_ptr_null(assumed);
    assert_within(gates_opening_amps(gates, 2), 2.7, 1e-6);
    check_opens(gates, 2, 1.35, 3600);
    check_opens(gates, 2, 2, 120);
    check_holds(gates, 2, 2, 5);
    marking_parse("3AG 40A", &marking);
    gates = gates_for(&marking, &assumed);
    check_opens(gates, 40, 2, 240);
    ck_assert_double_eq(gates_holds(gates, 40, 60), 0);
}
END_TEST

/* "slo-blo" alone may be either: no earlier than a time-lag link to IEC 60127-2, nor than one to
 * UL 248-14. */
START_TEST(american_or_not)
{
    static const char *const texts[] = {"2A slo-blo", "3/4 A", "1A 6.3x32", "F1A 6.3x32", "1A SB"};

    for (size_t i = 0; i < COUNT_OF(texts); i++) {
        struct marking marking, slow = {.rated = true, .speed = T};
        const char *assumed = NULL, *unused;
        const struct gates *gates, *iec, *ul;
        struct marking american = {.rated = true, .american = true, .size = "3AG"};

        ck_assert(marking_parse(texts[i], &marking));
        slow.amps = american.amps = marking.amps;
        gates = gates_for(&marking, &assumed);
        iec = gates_for(&slow, &unused);
        ul = gates_for(&american, &unused);
        ck_assert_ptr_nonnull(assumed);
        for (double multiple = 1.1; multiple < 50; multiple *= 1.01) {
            double amps = multiple * marking.amps;
            double opens = gates_opens_by(gates, marking.amps, amps) * 1.000001;

            ck_assert_double_ge(opens, gates_opens_by(iec, marking.amps, amps));
            ck_assert_double_ge(opens, gates_opens_by(ul, marking.amps, amps));
        }
    }
}
END_TEST

START_TEST(nothing_is_promised_off_the_sheets)
{
    const char *assumed = NULL;
    struct marking unrated = {.speed = T, .breaking = L};
    const struct gates *gates = gates_of(T, L, 25, &assumed);

    ck_assert_ptr_nonnull(assumed);
    ck_assert(isinf(gates_opening_amps(gates, 25)));
    ck_assert(isinf(gates_opens_by(gates, 25, 1e4)));
    ck_assert_double_eq(gates_holds(gates, 25, 30), 0);
    ck_assert(isinf(gates_opening_amps(gates_of(F, L, 0.01, &assumed), 0.01)));
    ck_assert(isinf(gates_opening_amps(gates_of(SPEED_TT, L, 1, &assumed), 1)));
    ck_assert_ptr_nonnull(assumed);
    ck_assert_ptr_null(gates_for(&unrated, &assumed));
    ck_assert_ptr_null(assumed);
}
END_TEST

/* Ratings between two rows, and below a sheet's first. */
START_TEST(odd_ratings)
{
    const char *assumed = NULL;
    const struct gates *gates = gates_of(T, L, 7, &assumed);

    ck_assert_double_eq(gates_holds(gates, 7, 10), 1800);
    gates = gates_of(T, H, 0.063, &assumed); /* none so small was seen: T L, and said so */
    ck_assert_ptr_nonnull(assumed);
    check_opens(gates, 0.063, 2.1, 120);
    gates = gates_of(F, H, 0.032, &assumed);
    ck_assert_ptr_nonnull(assumed);
    check_opens(gates, 0.032, 2.75, 2);
}
END_TEST

/* Every rating of every sheet: more current never opens later nor holds longer, and the three regions follow
 * in time. */
START_TEST(every_rating_of_every_sheet)
{
    const struct printed *sheet = &printed[_i];
    size_t count;
    const double *ratings = rating_list(RATING_R10, &count);

    for (size_t i = 0; i < count; i++) {
        const char *assumed;
        const struct gates *gates;
        double opens_before = INFINITY, holds_before = INFINITY;

        if (ratings[i] < sheet->first_amps * 0.999 || ratings[i] > sheet->last_amps * 1.001)
            continue;
        gates = gates_of(sheet->speed, sheet->breaking, ratings[i], &assumed);
        for (double multiple = 0.9; multiple < 60; multiple *= 1.01) {
            double amps = multiple * ratings[i], opens = gates_opens_by(gates, ratings[i], amps);
            double holds = gates_holds(gates, ratings[i], amps);

            ck_assert(opens <= opens_before && holds <= holds_before && holds <= opens);
            if (holds > 0 && isfinite(holds))
                ck_assert(gates_region(gates, ratings[i], amps, holds * 0.999) == REGION_HOLDS);
            if (holds * 1.002 < opens)
                ck_assert(gates_region(gates, ratings[i], amps, holds * 1.001) == REGION_MAY_OPEN);
            if (isfinite(opens))
                ck_assert(gates_region(gates, ratings[i], amps, opens) == REGION_OPENS);
            opens_before = opens;
            holds_before = holds;
        }
    }
}
END_TEST

Suite *check_gates_suite(void);

Suite *check_gates_suite(void)
{
    Suite *suite = suite_create("gates");
    TCase *tests = tcase_create("gates");
    int rows = (int)gates_table_count;

    tcase_add_loop_test(tests, cells_as_printed, 0, COUNT_OF(printed));
    tcase_add_test(tests, quick_links_promise_no_hold_at_ten_times);
    tcase_add_loop_test(tests, curves_are_monotonic, 0, rows);
    tcase_add_loop_test(tests, opening_amps_is_where_opening_is_promised, 0, rows);
    tcase_add_loop_test(tests, rows_are_in_order_and_sourced, 0, rows);
    tcase_add_test(tests, carries_its_rating_for_ever);
    tcase_add_test(tests, between_and_beyond_the_gates);
    tcase_add_loop_test(tests, doubt_takes_the_latest_opening, 0, COUNT_OF(doubtful));
    tcase_add_test(tests, american_links);
    tcase_add_test(tests, american_or_not);
    tcase_add_test(tests, nothing_is_promised_off_the_sheets);
    tcase_add_test(tests, odd_ratings);
    tcase_add_loop_test(tests, every_rating_of_every_sheet, 0, COUNT_OF(printed));
    suite_add_tcase(suite, tests);
    return suite;
}
