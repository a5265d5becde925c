/* Melting I2t and cold resistance. The figures are makers' data sheets', named beside each. */
#include "check_prearc.h"

#include <math.h>

#include "fuselink/fuselink.h"
#include "fuselink/melting_table.h"

#define COUNT_OF(table) (sizeof(table) / sizeof(table)[0])

struct range {
    const char *marking;
    double low, high;
};

static const struct range ranges[] = {
    {"F32mAL250V", 0.000047, 0.000047}, /* Eaton S500 */
    {"F1AL250V", 0.60, 0.60},           /* Eaton S500 */
    {"F1AH250V", 0.146, 0.18},          /* Eaton S501, Littelfuse 216SP */
    {"F1A", 0.146, 0.60},               /* both */
    {"F6.3AL", 69, 69},                 /* Eaton S500 */
    {"F6.3AH", 56.43, 56.43},           /* Littelfuse 216SP */
    {"T63mAL", 0.008, 0.021},           /* Bel 5ST, 10 ms and 10 In */
    {"T315mAL250V", 0.46, 1.14},        /* Bel 5ST, Littelfuse 213 */
    {"T200mAL", 0.15, 0.70},            /* Bel 5ST, SIBA 179120 */
    {"T800mAL", 1.6, 9.42},             /* Bel 5ST, Littelfuse 213 */
    {"T1AL", 19.2, 19.2},               /* Littelfuse 213 */
    {"T1AH", 1.28, 1.7},                /* Eaton S505H, Bel 5HT */
    {"T1A", 1.28, 19.2},                /* all of these */
    {"T1AE", 1.28, 19.2},
    {"T2AH", 9.7, 11.68},               /* Bel 5HT, Littelfuse 215SP */
    {"T10AH", 333.6, 812},              /* Littelfuse 215, Bel 5HT */
    {"1A", 0.146, 19.2},                /* F and T */
    {"100mA 3AG fast", 0.00102, 0.00171}, /* Littelfuse 312, two prints */
    {"2.5A 3AG slo-blo", 130, 130},     /* Littelfuse 313 */
    {"1A slo-blo 5x20", 1.28, 19.2},    /* the above and Bussmann GMD, 12 */
};

START_TEST(ranges_as_printed)
{
    struct marking marking;
    double low = 0, high = 0;

    ck_assert(marking_parse(ranges[_i].marking, &marking));
    ck_assert_msg(marking_melting_i2t(&marking, &low, &high), "%s", ranges[_i].marking);
    assert_within(low, ranges[_i].low, 1e-6);
    assert_within(high, ranges[_i].high, 1e-6);
}
END_TEST

/* Medium links are tabled to UL 248-14 only: Littelfuse 233. */
START_TEST(medium_is_american)
{
    struct marking marking = {.rated = true, .amps = 2, .speed = SPEED_M, .american = true};
    double low = 0, high = 0;

    ck_assert(marking_melting_i2t(&marking, &low, &high));
    assert_within(low, 9.97, 1e-9);
    assert_within(high, 9.97, 1e-9);
    marking.american = false;
    ck_assert(!marking_melting_i2t(&marking, &low, &high));
}
END_TEST

/* S500 at 250 mA and 315 mA look misprinted (0.28, 0.58): read between 200 mA and 400 mA instead. */
START_TEST(misprints_are_bridged)
{
    struct marking marking = {
        .rated = true, .amps = sqrt(0.2 * 0.4), .speed = SPEED_F, .breaking = BREAKING_LOW};
    double low = 0, high = 0;

    ck_assert(marking_melting_i2t(&marking, &low, &high));
    assert_within(low, sqrt(0.016 * 0.18), 1e-6);
    assert_within(high, low, 1e-9);
    marking.amps = 0.25;
    ck_assert(marking_melting_i2t(&marking, &low, &high));
    ck_assert(low > 0.016 && high < 0.18);
}
END_TEST

START_TEST(silent_outside_the_tables)
{
    static const char *const texts[] = {"T16AL", "F10AL", "T32mAL", "T1A 6.3x32", "FF1A", "TT1A",
                                        "20A", "1A 3AG slo-blo", "M1A", "F20mAL"};
    double low = 7, high = 7;

    for (size_t i = 0; i < COUNT_OF(texts); i++) {
        struct marking marking;

        ck_assert(marking_parse(texts[i], &marking));
        ck_assert_msg(!marking_melting_i2t(&marking, &low, &high), "%s", texts[i]);
    }
    ck_assert(!marking_melting_i2t(&(struct marking){.speed = SPEED_T}, &low, &high));
    ck_assert_double_eq(low, 7);
}
END_TEST

/* At every printed figure the range holds it. */
START_TEST(ranges_hold_every_cell)
{
    const struct melting_column *column = &melting_table[_i];

    for (size_t i = 0; i < column->count; i++) {
        const struct melting_cell *cell = &column->cells[i];
        struct marking marking = {.rated = true, .amps = cell->amps, .speed = column->speed,
                                  .breaking = column->breaking,
                                  .american = column->breaking == BREAKING_UNKNOWN,
                                  .size = column->small ? "5x20" : "3AG"};
        double low, high;

        ck_assert(i == 0 || cell->amps > column->cells[i - 1].amps);
        ck_assert(cell->low <= cell->high);
        if (cell->low <= 0)
            continue;
        ck_assert(marking_melting_i2t(&marking, &low, &high));
        ck_assert_double_le(low, cell->low);
        ck_assert_double_ge(high, cell->high);
    }
}
END_TEST

/* One maker each: Eaton S500 at 63 mA, Bel 5ST at 63 mA; two: Eaton S505H 0.006 and Bel 5HT
 * 0.007, Littelfuse 215 0.0066, Eaton S505SC 0.005 at 10 A (geometric mean). */
START_TEST(cold_resistance)
{
    struct marking marking;

    marking_parse("F63mAL", &marking);
    assert_within(marking_cold_ohms(&marking), 12.9, 1e-6);
    marking_parse("T63mAL", &marking);
    assert_within(marking_cold_ohms(&marking), 23.9, 1e-6);
    marking_parse("T10AH", &marking);
    assert_within(marking_cold_ohms(&marking), pow(0.006 * 0.007 * 0.0066 * 0.005, 0.25), 1e-6);
    marking_parse("Fuse", &marking);
    assert_within(marking_cold_ohms(&marking), 0.1, 1e-9);
}
END_TEST

/* A value to solve with for every rating, speed and size, falling as the rating rises over a
 * decade. */
START_TEST(cold_resistance_is_always_there)
{
    static const char *const sizes[] = {NULL, "5x20", "6.3x32", "3AG"};

    for (int speed = SPEED_UNKNOWN; speed <= SPEED_TT; speed++)
        for (int breaking = BREAKING_UNKNOWN; breaking <= BREAKING_HIGH; breaking++)
            for (size_t s = 0; s < COUNT_OF(sizes); s++)
                for (double amps = 0.01; amps < 40; amps *= 1.07) {
                    struct marking marking = {.rated = true, .amps = amps, .size = sizes[s],
                                              .speed = (enum fuse_speed)speed,
                                              .breaking = (enum fuse_breaking)breaking};
                    double ohms = marking_cold_ohms(&marking);

                    ck_assert_msg(ohms > 0.02 / amps && ohms < 100 / (amps * amps) + 1 / amps,
                                  "%g A: %g ohm", amps, ohms);
                    marking.amps *= 10;
                    ck_assert(marking_cold_ohms(&marking) < ohms);
                }
}
END_TEST

Suite *check_melting_suite(void);

Suite *check_melting_suite(void)
{
    Suite *suite = suite_create("melting");
    TCase *tests = tcase_create("tables");

    tcase_add_loop_test(tests, ranges_as_printed, 0, COUNT_OF(ranges));
    tcase_add_test(tests, medium_is_american);
    tcase_add_test(tests, misprints_are_bridged);
    tcase_add_test(tests, silent_outside_the_tables);
    tcase_add_loop_test(tests, ranges_hold_every_cell, 0, (int)melting_table_count);
    tcase_add_test(tests, cold_resistance);
    tcase_add_test(tests, cold_resistance_is_always_there);
    suite_add_tcase(suite, tests);
    return suite;
}
