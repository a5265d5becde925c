/* The right link for a place: cases worked out by hand from the gates of IEC 60127-2 and the makers' melting
 * I2t, and properties over needs at random. */
#include "check_prearc.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "fuselink/recommend.h"

#define COUNT_OF(table) (sizeof(table) / sizeof(table)[0])

/* Nothing known but a current at full signal, 230 V alternating, ahead of a reservoir, 4 A in the worst
 * short. */
static struct fuse_need need_of(double full_amps)
{
    return (struct fuse_need){.idle_amps = NAN,
                              .full_amps = full_amps,
                              .clipped_amps = NAN,
                              .pulse_i2t = NAN,
                              .pulse_seconds = NAN,
                              .pulses = 1e4,
                              .link_ohms = NAN,
                              .winding_amps = NAN,
                              .winding_ratio = NAN,
                              .volts = 230,
                              .prospective_amps = 4,
                              .surges = true};
}

static void expect(const struct fuse_need *need, const char *marking)
{
    struct recommendation got = need_recommend(need);
    char buffer[40];

    ck_assert_msg(got.reason == RECOMMENDATION_FOUND, "%s: %s", marking, no_recommendation_id(got.reason));
    ck_assert_str_eq(recommendation_print(&got, buffer, sizeof buffer), marking);
    ck_assert_uint_eq(need_misfit(need, &got.marking), 0);
    ck_assert_uint_eq(got.missed, SIZE_MAX);
}

static struct recommendation expect_none(const struct fuse_need *need, enum no_recommendation reason)
{
    struct recommendation got = need_recommend(need);

    ck_assert_msg(got.reason == reason, "%s, not %s",
                  got.reason == RECOMMENDATION_FOUND ? "found" : no_recommendation_id(got.reason),
                  no_recommendation_id(reason));
    return got;
}

/* 1.5 x 0.2 A = 0.3 A at full signal; 2 x 0.2 A = 0.4 A where only idle is known; the bound for a clipped
 * signal without margin. */
START_TEST(carries_with_a_margin)
{
    struct fuse_need need = need_of(0.2);

    expect(&need, "T315mAL250V");
    need.clipped_amps = 0.35;
    expect(&need, "T400mAL250V");
    need.clipped_amps = need.full_amps = NAN;
    need.idle_amps = 0.2;
    expect(&need, "T400mAL250V");
    need.full_amps = 0.1; /* less than idle: the larger of both */
    expect(&need, "T315mAL250V");
    need.volts = NAN;
    expect(&need, "T315mAL");
}
END_TEST

/* A short of 4 A is 12.7 times 315 mA: sheet 3 says at most 0.3 s x (10 / 12.7)^2 = 0.186 s, sheet 5 half of
 * it. */
START_TEST(clears_in_time)
{
    struct need_fault fault = {4, 0.19, true};
    struct fuse_need need = need_of(0.2);

    need.faults = &fault;
    need.fault_count = 1;
    expect(&need, "T315mAL250V");
    fault.withstand = 0.18; /* sheet 5: 0.15 s */
    expect(&need, "T315mAH250V");
    fault.withstand = 0.09;
    expect_none(&need, NO_FAULT_CURRENT);
    need.surges = false; /* F: 20 ms at 10 In */
    expect(&need, "F315mAL250V");
}
END_TEST

/* 1.5 A asks for T1.6A, which need not open below 3.36 A; sheet 3 has 2 min at 2.1 In, so 300 s is no further
 * limit. */
START_TEST(fault_current_too_small)
{
    struct need_fault faults[] = {{50, INFINITY, true}, {3.3, INFINITY, true}};
    struct fuse_need need = need_of(1);
    struct recommendation got;

    need.faults = faults;
    need.fault_count = 2;
    need.prospective_amps = 30;
    got = expect_none(&need, NO_FAULT_CURRENT);
    assert_within(got.marking.amps, 1.6, 1e-9);
    ck_assert_uint_eq(got.missed, 1);
    faults[1].amps = 3.37;
    expect(&need, "T1.6AL250V");
    faults[1].withstand = 60;
    expect_none(&need, NO_FAULT_CURRENT);
    /* Above 35 A the letter is H, sheet 5: 30 min at 2.1 In, 300 s from 2.1 x (2.75 / 2.1)^(ln 6 / ln 22.5)
     * = 2.45 In. */
    faults[1] = (struct need_fault){2.44 * 1.6, INFINITY, true};
    need.prospective_amps = 50;
    expect_none(&need, NO_FAULT_CURRENT);
    faults[1].amps = 2.46 * 1.6;
    expect(&need, "T1.6AH250V");
}
END_TEST

/* Of 1.3 A2s a T L link withstands 10,000 if its melting I2t is 4.48 A2s: of those tabled 1 A (19.2), below
 * it 0.9 and 1.6. That link needs 2.1 A to open. */
START_TEST(switch_on_pulse_too_large)
{
    struct need_fault fault = {2.0, INFINITY, true};
    struct fuse_need need = need_of(0.2);

    need.pulse_i2t = 1.3;
    need.pulse_seconds = 0.05;
    expect(&need, "T1AL250V");
    need.faults = &fault;
    need.fault_count = 1;
    expect_none(&need, NO_SWITCH_ON);
    need.pulse_i2t = 0.1; /* 0.345 A2s: Bel 5ST has 0.46 at 315 mA */
    expect(&need, "T315mAL250V");
    need.pulses = 1e6; /* no figure goes so far */
    expect_none(&need, NO_SWITCH_ON);
}
END_TEST

/* Without a table the gates decide: sheet 3 holds 10 In for 20 ms, of which 10,000 pulses may have 5.8 ms; no
 * melting I2t of T8AL was seen. */
START_TEST(pulse_by_the_gates)
{
    struct fuse_need need = need_of(5);

    need.prospective_amps = 50;
    need.pulse_seconds = 0.0058;
    need.pulse_i2t = 79 * 79 * 0.0058;
    expect(&need, "T8AL250V");
    need.pulse_i2t = 81 * 81 * 0.0058;
    ck_assert_uint_eq(need_misfit(&need, &(struct marking){.rated = true, .amps = 8, .speed = SPEED_T,
                                                           .breaking = BREAKING_LOW}), MISFIT_PULSE);
}
END_TEST

/* 230 V: L 35 A, H 1500 A; above 250 V the links seen break 100 A; to UL 248-14 at 250 V 35 A up to 1 A. */
START_TEST(breaking_capacity_of_the_place)
{
    struct fuse_need need = need_of(0.5);

    need.prospective_amps = 35;
    expect(&need, "T800mAL250V");
    need.prospective_amps = 36;
    expect(&need, "T800mAH250V");
    need.prospective_amps = 1500;
    expect(&need, "T800mAH250V");
    need.prospective_amps = NAN;
    expect(&need, "T800mAH250V");
    need.prospective_amps = 1501;
    expect_none(&need, NO_BREAKING);
    need.volts = 300;
    need.prospective_amps = 100;
    expect(&need, "T800mAH500V");
    need.prospective_amps = 101;
    expect_none(&need, NO_BREAKING);
    need.volts = 230;
    need.american = true;
    need.full_amps = 0.3; /* 0.45 A is 75 % of 0.6 A */
    need.prospective_amps = 35;
    expect(&need, "600mA slo-blo 3AG 250V");
    need.prospective_amps = 1500;
    expect_none(&need, NO_BREAKING);
    need.volts = 120;
    expect(&need, "600mA slo-blo 3AG 125V");
}
END_TEST

/* Direct: up to 125 V half an alternating rating; to 400 V links of 0.5 A and up, others on no list seen;
 * beyond none. */
START_TEST(direct_volts)
{
    struct need_fault fault = {0.9, INFINITY, true};
    struct fuse_need need = need_of(0.1);
    struct recommendation got;

    need.dc = true;
    need.volts = -60;
    expect(&need, "T160mAL250V");
    need.volts = 380;
    expect(&need, "T500mAH400VDC");
    ck_assert_ptr_nonnull(need_recommend(&need).offer);
    need.faults = &fault; /* 500 mA need not open below 1.05 A */
    need.fault_count = 1;
    expect(&need, "T160mAH400VDC");
    ck_assert_ptr_null(need_recommend(&need).offer);
    need.volts = 450;
    got = expect_none(&need, NO_VOLTAGE);
    assert_within(got.marking.amps, 0.16, 1e-9);
    ck_assert_double_eq(got.marking.volts, 0);
    need.dc = false;
    need.volts = 501;
    expect_none(&need, NO_VOLTAGE);
}
END_TEST

/* 500 mA is on a list for 380 V direct, but is 50 times 10 mA: only a fault that it alone clears allows it.
 */
START_TEST(many_times_the_idle_current)
{
    struct need_fault fault = {4, INFINITY, false};
    struct fuse_need need = need_of(NAN);

    need.idle_amps = 0.01;
    need.dc = true;
    need.volts = 380;
    expect(&need, "T125mAH400VDC");
    need.faults = &fault;
    need.fault_count = 1;
    expect(&need, "T125mAH400VDC");
    fault.alone = true;
    expect(&need, "T500mAH400VDC");
    fault.alone = false;
    need.idle_amps = 0.0625;
    expect(&need, "T500mAH400VDC");
}
END_TEST

/* A link of 160 mA has 4.4 ohm (Bel 5ST): of
 * 4.3 ohm more the 682 ohm of the short make 687, and of 0.337 A 0.335, which is below 2.1 In. */
START_TEST(own_resistance_counts)
{
    struct need_fault fault = {0.337, INFINITY, true}; /* 2.106 In */
    struct fuse_need need = need_of(0.1);
    struct marking link = {.rated = true, .amps = 0.16, .speed = SPEED_T, .breaking = BREAKING_LOW};

    need.faults = &fault;
    need.fault_count = 1;
    expect(&need, "T160mAL250V");
    need.link_ohms = 0.1;
    assert_within(need_fault_amps(&need, &fault, &link), 230 / (230 / 0.337 + 4.3), 1e-3);
    expect_none(&need, NO_FAULT_CURRENT);
    need.link_ohms = 100;
    expect(&need, "T160mAL250V");
}
END_TEST

/* 0.8 A through the fuse is 1.28 A in the winding; twice 0.2 A is allowed, twice 0.65 A enough. */
START_TEST(winding_rating)
{
    struct fuse_need need = need_of(0.5);

    need.winding_amps = 0.2;
    need.winding_ratio = 1.6;
    expect_none(&need, NO_WINDING);
    need.winding_amps = 0.65;
    expect(&need, "T800mAL250V");
    need.winding_ratio = NAN;
    need.winding_amps = 0.4;
    expect(&need, "T800mAL250V");
}
END_TEST

START_TEST(rating_outside_series)
{
    struct fuse_need need = need_of(10 / NEED_MARGIN_FULL);

    need.prospective_amps = 90;
    expect(&need, "T10AL250V");
    need.full_amps *= 1.01;
    expect_none(&need, NO_RATING);
}
END_TEST

START_TEST(unknown_current)
{
    static const double amps[] = {NAN, 0, 1e-9, INFINITY};

    for (size_t i = 0; i < COUNT_OF(amps); i++) {
        struct fuse_need need = need_of(amps[i]);

        expect_none(&need, NO_CURRENT);
        ck_assert_uint_ne(need_misfit(&need, &(struct marking){.rated = true, .amps = 1}), 0);
    }
}
END_TEST

/* Quick-acting where nothing surges and the pulse is known; time-lag where it is not known, or does not pass.
 */
START_TEST(speed_by_place)
{
    struct fuse_need need = need_of(0.2);

    need.surges = false;
    expect(&need, "T315mAL250V");
    need.pulse_i2t = 0.001;
    expect(&need, "F315mAL250V");
    need.pulse_i2t = 0.1; /* the tables have 0.06 to 0.08 A2s there for F L */
    expect(&need, "T315mAL250V");
    need.surges = true;
    need.pulse_i2t = 0.001;
    expect(&need, "T315mAL250V");
}
END_TEST

START_TEST(every_reason_has_words)
{
    ck_assert_ptr_null(no_recommendation_id(RECOMMENDATION_FOUND));
    for (int reason = RECOMMENDATION_FOUND + 1; reason < NO_RECOMMENDATION_COUNT; reason++) {
        ck_assert_ptr_nonnull(no_recommendation_id((enum no_recommendation)reason));
        ck_assert_uint_gt(strlen(no_recommendation_help((enum no_recommendation)reason)), 20);
    }
}
END_TEST

/* ---- at random ---- */

enum { FAULTS = 4, ROUNDS = 4000 };

static double draw(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u;
    return (*state >> 8) / 16777216.0;
}

static double draw_log(uint32_t *state, double low, double high)
{
    return low * pow(high / low, draw(state));
}

static double perhaps(uint32_t *state, double value)
{
    return draw(state) < 0.4 ? NAN : value;
}

static struct fuse_need random_need(uint32_t *state, struct need_fault *faults)
{
    double idle = draw_log(state, 0.005, 8);
    struct fuse_need need = {.idle_amps = idle, .faults = faults};

    need.fault_count = (size_t)(draw(state) * (FAULTS + 1));
    for (size_t i = 0; i < need.fault_count; i++)
        faults[i] = (struct need_fault){idle * draw_log(state, 2, 200),
                                        draw(state) < 0.5 ? INFINITY : draw_log(state, 0.01, 1000),
                                        draw(state) < 0.7};
    need.full_amps = perhaps(state, idle * (0.9 + 2 * draw(state)));
    need.clipped_amps = perhaps(state, idle * (1 + 4 * draw(state)));
    need.pulse_i2t = perhaps(state, idle * idle * draw_log(state, 0.01, 300));
    need.pulse_seconds = draw_log(state, 0.005, 0.5);
    need.pulses = draw_log(state, 10, 1e5);
    need.link_ohms = perhaps(state, draw_log(state, 0.01, 30));
    need.winding_amps = perhaps(state, idle * draw_log(state, 0.8, 10));
    need.winding_ratio = perhaps(state, 0.6 + 1.4 * draw(state));
    need.volts = perhaps(state, draw_log(state, 5, 450));
    need.dc = draw(state) < 0.4;
    need.prospective_amps = perhaps(state, draw_log(state, 1, 2000));
    need.surges = draw(state) < 0.6;
    need.american = draw(state) < 0.2;
    return need;
}

/* What fuse-undersized and fuse-oversized ask, said again. */
static void check_passes(const struct fuse_need *need, const struct marking *marking)
{
    const char *assumed;
    const struct gates *gates = gates_for(marking, &assumed);
    double continuous = marking->amps * (marking->american ? 0.75 : 1);
    bool proven = false;

    ck_assert_ptr_nonnull(gates);
    ck_assert_double_le(need->idle_amps, continuous);
    ck_assert(isnan(need->full_amps) || need->full_amps <= continuous);
    ck_assert_double_lt(need->idle_amps, gates_opening_amps(gates, marking->amps));
    for (size_t i = 0; i < need->fault_count; i++) {
        double opens = gates_opens_by(gates, marking->amps, need->faults[i].amps);

        ck_assert_double_ge(need->faults[i].amps, gates_opening_amps(gates, marking->amps) * (1 - 1e-9));
        ck_assert(opens <= 300 && opens <= need->faults[i].withstand && opens >= 0);
        proven = proven || need->faults[i].alone;
    }
    ck_assert(proven || marking->amps <= 0.25 || marking->amps <= 8 * fmax(need->idle_amps, need->full_amps));
    if (isfinite(need->winding_amps))
        ck_assert_double_le(marking->amps * (isnan(need->winding_ratio) ? 1 : need->winding_ratio),
                            2 * need->winding_amps);
    ck_assert(rating_series(marking->amps) == RATING_R10 || marking->american);
    ck_assert(!need->surges || marking->speed == SPEED_T);
}

/* No smaller rating of that speed, with either letter, fits and is on the same footing. */
static void check_smallest(const struct fuse_need *need, const struct recommendation *found)
{
    size_t count;
    const double *ratings = rating_list(found->marking.american ? RATING_AMERICAN : RATING_R10, &count);

    for (size_t i = 0; i < count && ratings[i] < found->marking.amps * 0.999; i++) {
        struct marking smaller = found->marking;
        const char *offer;

        smaller.amps = ratings[i];
        if (found->offer != NULL && !smaller.american &&
            !fuselink_is_offered(&smaller, isnan(need->volts) ? 0 : need->volts, need->dc, &offer))
            continue;
        if (smaller.american || fuselink_is_offered(&smaller, 0, false, &offer))
            ck_assert_uint_ne(need_misfit(need, &smaller), 0);
    }
}

/* Nothing in the whole list fits. */
static void check_none(const struct fuse_need *need, const struct recommendation *none)
{
    static const enum fuse_breaking letters[] = {BREAKING_LOW, BREAKING_HIGH};
    size_t count;
    const double *ratings = rating_list(RATING_R10, &count);

    if (need->american || none->reason == NO_VOLTAGE)
        return;
    for (size_t i = 0; i < count; i++)
        for (size_t b = 0; b < 2; b++) {
            struct marking marking = {.rated = true,
                                      .amps = ratings[i],
                                      .speed = SPEED_T,
                                      .breaking = letters[b],
                                      .volts = none->marking.volts};

            const char *offer;

            if (!fuselink_is_offered(&marking, 0, false, &offer))
                continue;
            if (letters[b] == BREAKING_LOW &&
                (fabs(need->volts) > 250 || (need->dc && fabs(need->volts) > 125)))
                continue;
            ck_assert_uint_ne(need_misfit(need, &marking), 0);
        }
}

/* --fitted reads it as it was meant. */
static void check_printed(const struct recommendation *found)
{
    struct marking read;
    char buffer[40];

    ck_assert(marking_parse(recommendation_print(found, buffer, sizeof buffer), &read));
    ck_assert_msg(read.rated && within(read.amps, found->marking.amps, 1e-9) &&
                      read.speed == found->marking.speed && read.breaking == found->marking.breaking &&
                      read.american == found->marking.american && read.volts == found->marking.volts &&
                      read.dc_volts == found->marking.dc_volts,
                  "%s", buffer);
}

START_TEST(recommended_links_pass)
{
    uint32_t state = 7;
    size_t counts[NO_RECOMMENDATION_COUNT] = {0};

    for (size_t round = 0; round < ROUNDS; round++) {
        struct need_fault faults[FAULTS];
        struct fuse_need need = random_need(&state, faults);
        struct recommendation got = need_recommend(&need);

        counts[got.reason]++;
        if (got.reason != RECOMMENDATION_FOUND) {
            check_none(&need, &got);
            continue;
        }
        check_passes(&need, &got.marking);
        check_smallest(&need, &got);
        check_printed(&got);
    }
    for (int reason = RECOMMENDATION_FOUND; reason < NO_CURRENT; reason++)
        ck_assert_msg(counts[reason] > 5, "reason %d came up %zu times", reason, counts[reason]);
}
END_TEST

static bool is_proven(const struct fuse_need *need)
{
    for (size_t i = 0; i < need->fault_count; i++)
        if (need->faults[i].alone)
            return true;
    return false;
}

/* A larger normal current never asks for a smaller link, nor makes one fit where none did (but in proportion
 * to it, and to UL 248-14, where larger links break more). */
START_TEST(monotonic_in_normal_current)
{
    uint32_t state = 11;

    for (size_t round = 0; round < ROUNDS / 40; round++) {
        struct need_fault faults[FAULTS];
        struct fuse_need need = random_need(&state, faults);
        double amps = 0;
        bool found = true;

        for (size_t step = 0; step < 25; step++) {
            struct recommendation got = need_recommend(&need);
            bool now = got.reason == RECOMMENDATION_FOUND;

            ck_assert(found || !now || need.american || !is_proven(&need));
            ck_assert_msg(!now || got.marking.amps >= amps, "%g A after %g A", got.marking.amps, amps);
            found = now;
            amps = now ? got.marking.amps : amps;
            need.idle_amps *= 1.25;
            need.full_amps *= 1.25;
        }
    }
}
END_TEST

Suite *check_recommend_suite(void);

Suite *check_recommend_suite(void)
{
    Suite *suite = suite_create("recommend");
    TCase *tests = tcase_create("recommend");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, carries_with_a_margin);
    tcase_add_test(tests, clears_in_time);
    tcase_add_test(tests, fault_current_too_small);
    tcase_add_test(tests, switch_on_pulse_too_large);
    tcase_add_test(tests, pulse_by_the_gates);
    tcase_add_test(tests, breaking_capacity_of_the_place);
    tcase_add_test(tests, direct_volts);
    tcase_add_test(tests, many_times_the_idle_current);
    tcase_add_test(tests, own_resistance_counts);
    tcase_add_test(tests, winding_rating);
    tcase_add_test(tests, rating_outside_series);
    tcase_add_test(tests, unknown_current);
    tcase_add_test(tests, speed_by_place);
    tcase_add_test(tests, every_reason_has_words);
    tcase_add_test(tests, recommended_links_pass);
    tcase_add_test(tests, monotonic_in_normal_current);
    suite_add_tcase(suite, tests);
    return suite;
}
