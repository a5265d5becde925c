/* Breaking capacity, direct current, continuous and pulse loading, lists of what is offered. */
#include "check_prearc.h"

#include <math.h>
#include <string.h>

#include "fuselink/fuselink.h"

#define COUNT_OF(table) (sizeof(table) / sizeof(table)[0])

#define L BREAKING_LOW
#define E BREAKING_ENHANCED
#define H BREAKING_HIGH

static struct marking read(const char *text)
{
    struct marking marking;

    ck_assert_msg(marking_parse(text, &marking) && marking.rated, "%s", text);
    return marking;
}

/* L: 35 A or 10 In, the greater (Eaton S500, Littelfuse 617 data sheets: 40 A at 4 A, 63 A at 6.3
 * A, 100 A at 10 A); E 150 A (Bel 5ET); H 1500 A (Eaton S501, S505). */
START_TEST(breaking_capacity)
{
    static const struct {
        struct marking marking;
        double amps;
    } rows[] = {
        {{.rated = true, .amps = 0.315, .breaking = L}, 35},
        {{.rated = true, .amps = 3.15, .breaking = L}, 35},
        {{.rated = true, .amps = 4, .breaking = L}, 40},
        {{.rated = true, .amps = 6.3, .breaking = L}, 63},
        {{.rated = true, .amps = 10, .breaking = L}, 100},
        {{.rated = true, .amps = 16, .breaking = L}, 100},
        {{.breaking = L}, 35},
        {{.rated = true, .amps = 2, .breaking = E}, 150},
        {{.rated = true, .amps = 2, .breaking = H}, 1500},
        {{.rated = true, .amps = 2}, 0},
    };

    for (size_t i = 0; i < COUNT_OF(rows); i++)
        assert_within(marking_breaking_amps(&rows[i].marking), rows[i].amps, 1e-9);
}
END_TEST

/* UL 248-14, Littelfuse fuseology selection guide p. 12. */
START_TEST(american_breaking_capacity)
{
    static const struct {
        const char *text;
        double amps;
    } rows[] = {
        {"3AG 1A slo-blo 125V", 10000},
        {"3AG 1A slo-blo 250V", 35},
        {"3AG 1/2A 250V", 35},
        {"3AG 1.25A 250V", 100},
        {"3AG 3.5A 250V", 100},
        {"3AG 4A 250V", 200},
        {"3AG 10A 250V", 200},
        {"3AG 15A 250V", 750},
        {"3AG 30A 250V", 1500},
        {"3AG 2A", 100},
        {"3AG 35A 250V", 0},
        {"3AG 1A 500V", 0},
        {"1A slo-blo 250V", 0}, /* may be to either standard */
    };

    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        struct marking marking = read(rows[i].text);

        ck_assert_msg(marking_breaking_amps(&marking) == rows[i].amps, "%s", rows[i].text);
    }
}
END_TEST

/* Without a letter at least what L asks. */
START_TEST(least_breaking_capacity)
{
    struct marking marking = read("T2A");

    assert_within(marking_least_breaking_amps(&marking), 35, 1e-9);
    marking = read("6.3A");
    assert_within(marking_least_breaking_amps(&marking), 63, 1e-9);
    marking = read("T2AH");
    assert_within(marking_least_breaking_amps(&marking), 1500, 1e-9);
    ck_assert_double_eq(marking_least_breaking_amps(&(struct marking){0}), 0);
}
END_TEST

START_TEST(direct_current)
{
    static const struct {
        const char *text;
        double volts, prospective;
        enum dc_use use;
    } rows[] = {
        {"T500mAH500V/400VDC", 380, 100, DC_OK},
        {"T500mAH500V/400VDC", -400, NAN, DC_OK},
        {"T500mAH500V/400VDC", 401, NAN, DC_VOLTS_EXCEEDED},
        {"T500mAH500V/400VDC", 380, 1501, DC_AMPS_EXCEEDED},
        {"T500mAL250V", 380, 5, DC_VOLTS_EXCEEDED},
        {"T500mAL250V", 240, 5, DC_AC_RATING},
        {"T500mAL250V", 126, NAN, DC_AC_RATING},
        {"T500mAL250V", 125, 5, DC_OK_BY_THUMB}, /* half of 250 V */
        {"T500mAL250V", 60, 36, DC_AMPS_EXCEEDED}, /* 35 A */
        {"T500mA 250V", 60, 34, DC_OK_BY_THUMB},
        {"T500mA", 60, 5, DC_UNKNOWN},
        {"T500mAL250V", NAN, 5, DC_UNKNOWN},
    };

    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        struct marking marking = read(rows[i].text);
        struct dc_verdict verdict = marking_dc_use(&marking, rows[i].volts, rows[i].prospective);

        ck_assert_msg(verdict.use == rows[i].use, "%s at %g V: %s", rows[i].text, rows[i].volts,
                      dc_use_name(verdict.use));
        ck_assert((verdict.source == NULL) == (verdict.use == DC_UNKNOWN));
    }
}
END_TEST

/* Littelfuse fuseology selection guide, p. 12; between the figures the share of the next more pulses. */
START_TEST(pulse_share)
{
    static const double rows[][2] = {{1, 0.48}, {100, 0.48}, {101, 0.38}, {1000, 0.38}, {5000, 0.29},
                                     {10000, 0.29}, {100000, 0.22}, {100001, 0}};

    for (size_t i = 0; i < COUNT_OF(rows); i++)
        ck_assert_double_eq(fuselink_pulse_share(rows[i][0]), rows[i][1]);
    ck_assert_double_eq(fuselink_pulse_share(NAN), 0);
}
END_TEST

/* IEC 100 %, UL 75 %: makers' guides. */
START_TEST(continuous_loading)
{
    struct marking iec = read("T2AL250V"), ul = read("3AG 2A slo-blo"), bare = read("2A");

    assert_within(marking_continuous_amps(&iec), 2, 1e-9);
    assert_within(marking_continuous_amps(&ul), 1.5, 1e-9);
    assert_within(marking_continuous_amps(&bare), 2, 1e-9);
    ck_assert(isnan(marking_continuous_amps(&(struct marking){0})));
}
END_TEST

START_TEST(offers)
{
    static const struct {
        const char *text;
        double volts;
        bool dc, offered;
    } rows[] = {
        {"F32mAL", 250, false, true},  {"F32mAH", 250, false, false}, {"F50mAH", 250, false, true},
        {"T100mAH", 250, false, false}, {"T125mAH", 250, false, true}, {"T315mAL", 250, false, true},
        {"T315mAH", 300, false, false}, {"T500mAH", 500, false, true}, {"T500mAH", 501, false, false},
        {"T500mAH", 400, true, true},  {"T400mAH", 400, true, false}, {"T500mAL", 126, true, false},
        {"T500mAL", 125, true, true},  {"F1AH", 400, true, false},    {"T1AE", 250, false, false},
    };

    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        struct marking marking = read(rows[i].text);
        const char *source = NULL;

        ck_assert_msg(fuselink_is_offered(&marking, rows[i].volts, rows[i].dc, &source) == rows[i].offered,
                      "%s at %g V", rows[i].text, rows[i].volts);
        ck_assert((source != NULL) == rows[i].offered);
    }
    ck_assert_double_eq(fuselink_volts_at_least(230, false), 250);
    ck_assert_double_eq(fuselink_volts_at_least(300, false), 500);
    ck_assert_double_eq(fuselink_volts_at_least(501, false), 0);
    ck_assert_double_eq(fuselink_volts_at_least(60, true), 125);
    ck_assert_double_eq(fuselink_volts_at_least(380, true), 400);
    ck_assert_double_eq(fuselink_volts_at_least(401, true), 0);
}
END_TEST

Suite *check_breaking_suite(void);

Suite *check_breaking_suite(void)
{
    Suite *suite = suite_create("breaking");
    TCase *tests = tcase_create("breaking");

    tcase_add_test(tests, breaking_capacity);
    tcase_add_test(tests, american_breaking_capacity);
    tcase_add_test(tests, least_breaking_capacity);
    tcase_add_test(tests, direct_current);
    tcase_add_test(tests, pulse_share);
    tcase_add_test(tests, continuous_loading);
    tcase_add_test(tests, offers);
    suite_add_tcase(suite, tests);
    return suite;
}
