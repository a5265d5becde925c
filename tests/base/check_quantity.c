/* Values as people write them. The spellings were counted in public netlists of amplifiers; IEC
 * 60062 has the letters used as decimal marks and the tolerance letters. */
#include "check_prearc.h"

#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/quantity.h"

#define COUNT_OF(table) (sizeof(table) / sizeof(table)[0])

struct one {
    const char *text;
    enum unit expected;
    double value;
    enum unit unit;
};

static const struct one schematic_values[] = {
    {"4.7k", UNIT_OHM, 4700, UNIT_OHM},
    {"4k7", UNIT_OHM, 4700, UNIT_OHM},
    {"5M1", UNIT_OHM, 5.1e6, UNIT_OHM},
    {"6K34", UNIT_OHM, 6340, UNIT_OHM},
    {"100k", UNIT_OHM, 100e3, UNIT_OHM},
    {"100K", UNIT_OHM, 100e3, UNIT_OHM},
    {"1M", UNIT_OHM, 1e6, UNIT_OHM},
    {"1Meg", UNIT_OHM, 1e6, UNIT_OHM},
    {"1MEG", UNIT_OHM, 1e6, UNIT_OHM},
    {"100R", UNIT_OHM, 100, UNIT_OHM},
    {"8R", UNIT_OHM, 8, UNIT_OHM},
    {"1R0", UNIT_OHM, 1, UNIT_OHM},
    {"0R22", UNIT_OHM, 0.22, UNIT_OHM},
    {"100Ohm", UNIT_OHM, 100, UNIT_OHM},
    {"10 k\xCE\xA9", UNIT_OHM, 10e3, UNIT_OHM},
    {"10k\xE2\x84\xA6", UNIT_OHM, 10e3, UNIT_OHM},
    {"374\xCE\xA9", UNIT_OHM, 374, UNIT_OHM},
    {"2,2k", UNIT_OHM, 2200, UNIT_OHM},
    {"470", UNIT_OHM, 470, UNIT_OHM},
    {"8.2", UNIT_OHM, 8.2, UNIT_OHM},
    {"1e6", UNIT_OHM, 1e6, UNIT_OHM},
    {" 4k7 ", UNIT_OHM, 4700, UNIT_OHM},
    {"4k7J", UNIT_OHM, 4700, UNIT_OHM},
    {"1M-A", UNIT_OHM, 1e6, UNIT_OHM},
    {"1MA", UNIT_OHM, 1e6, UNIT_OHM},
    {"250kA", UNIT_OHM, 250e3, UNIT_OHM},
    {"500kB", UNIT_OHM, 500e3, UNIT_OHM},
    {"100klog", UNIT_OHM, 100e3, UNIT_OHM},
    {"4k7", UNIT_NONE, 4700, UNIT_NONE},
    {"4,7 кОм", UNIT_OHM, 4700, UNIT_OHM},
    {"8 Ом", UNIT_NONE, 8, UNIT_OHM},
    {"10Гн", UNIT_NONE, 10, UNIT_HENRY},
    {"47мкФ", UNIT_NONE, 47e-6, UNIT_FARAD},
    {"0,5 А", UNIT_NONE, 0.5, UNIT_AMP},
    {"0u1", UNIT_FARAD, 0.1e-6, UNIT_FARAD},
    {".022u", UNIT_FARAD, 22e-9, UNIT_FARAD},
    {"0,1", UNIT_FARAD, 0.1, UNIT_FARAD},
    {"0,022u", UNIT_FARAD, 22e-9, UNIT_FARAD},
    {"22n", UNIT_FARAD, 22e-9, UNIT_FARAD},
    {"22nF", UNIT_FARAD, 22e-9, UNIT_FARAD},
    {"4n7", UNIT_FARAD, 4.7e-9, UNIT_FARAD},
    {"47pF", UNIT_FARAD, 47e-12, UNIT_FARAD},
    {"10uF", UNIT_FARAD, 10e-6, UNIT_FARAD},
    {"10UF", UNIT_FARAD, 10e-6, UNIT_FARAD},
    {"4U7", UNIT_FARAD, 4.7e-6, UNIT_FARAD},
    {"47\xC2\xB5" "F", UNIT_FARAD, 47e-6, UNIT_FARAD},
    {"47\xCE\xBC" "F", UNIT_FARAD, 47e-6, UNIT_FARAD},
    {"680\xC2\xB5", UNIT_FARAD, 680e-6, UNIT_FARAD},
    {"20 mfd", UNIT_FARAD, 20e-6, UNIT_FARAD},
    {"10H", UNIT_HENRY, 10, UNIT_HENRY},
    {"20 Hy", UNIT_HENRY, 20, UNIT_HENRY},
    {"16V", UNIT_VOLT, 16, UNIT_VOLT},
    {"1kV", UNIT_VOLT, 1000, UNIT_VOLT},
    {"120VAC", UNIT_VOLT, 120, UNIT_VOLT},
    {"6V3", UNIT_VOLT, 6.3, UNIT_VOLT},
    {"-50V", UNIT_VOLT, -50, UNIT_VOLT},
    {"+450V", UNIT_VOLT, 450, UNIT_VOLT},
    {"150mA", UNIT_AMP, 0.15, UNIT_AMP},
    {"\xC2\xBE A", UNIT_AMP, 0.75, UNIT_AMP},
    {"1\xC2\xBD" "A", UNIT_AMP, 1.5, UNIT_AMP},
    {"1/2 A", UNIT_AMP, 0.5, UNIT_AMP},
    {"\xC2\xBD W", UNIT_WATT, 0.5, UNIT_WATT},
    {"1/4W", UNIT_WATT, 0.25, UNIT_WATT},
    {"1/4", UNIT_WATT, 0.25, UNIT_WATT},
    {"2W", UNIT_WATT, 2, UNIT_WATT},
    {"100 VA", UNIT_VOLTAMP, 100, UNIT_VOLTAMP},
    {"50Hz", UNIT_HERTZ, 50, UNIT_HERTZ},
    {"20ms", UNIT_SECOND, 0.02, UNIT_SECOND},
    {"5%", UNIT_NONE, 5, UNIT_PERCENT},
};

static const struct one spice_values[] = {
    {"10uF", UNIT_FARAD, 10e-6, UNIT_FARAD},
    {"10UF", UNIT_FARAD, 10e-6, UNIT_FARAD},
    {"1kohm", UNIT_OHM, 1000, UNIT_OHM},
    {"8R", UNIT_OHM, 8, UNIT_OHM},
    {"100Ohm", UNIT_OHM, 100, UNIT_OHM},
    {"1Meg", UNIT_OHM, 1e6, UNIT_OHM},
    {"1MEG", UNIT_OHM, 1e6, UNIT_OHM},
    {"2.2megohm", UNIT_OHM, 2.2e6, UNIT_OHM},
    {"1M", UNIT_OHM, 1e-3, UNIT_OHM},
    {"1m", UNIT_OHM, 1e-3, UNIT_OHM},
    {"1MIL", UNIT_NONE, 25.4e-6, UNIT_NONE},
    {"6K34", UNIT_OHM, 6340, UNIT_OHM},
    {"4k7", UNIT_OHM, 4700, UNIT_OHM},
    {"4R7", UNIT_OHM, 4.7, UNIT_OHM},
    {"1e-6", UNIT_FARAD, 1e-6, UNIT_FARAD},
    {"1.5E3", UNIT_OHM, 1500, UNIT_OHM},
    {"1e3k", UNIT_OHM, 1e6, UNIT_OHM},
    {".022u", UNIT_FARAD, 22e-9, UNIT_FARAD},
    {"10\xC2\xB5", UNIT_FARAD, 10e-6, UNIT_FARAD},
    {"47", UNIT_OHM, 47, UNIT_OHM},
    {"-50", UNIT_VOLT, -50, UNIT_VOLT},
    {"325V", UNIT_VOLT, 325, UNIT_VOLT},
    {"250 V", UNIT_VOLT, 250, UNIT_VOLT},
    {"1f", UNIT_FARAD, 1e-15, UNIT_FARAD},
    {"2T", UNIT_OHM, 2e12, UNIT_OHM},
    {"3G", UNIT_OHM, 3e9, UNIT_OHM},
    {"5p", UNIT_FARAD, 5e-12, UNIT_FARAD},
};

static void check_one(const struct one *row, enum quantity_dialect dialect)
{
    struct quantity got = {0, UNIT_NONE};
    bool parsed = quantity_parse(row->text, dialect, row->expected, &got);

    ck_assert_msg(parsed, "\"%s\" is not read", row->text);
    ck_assert_msg(within(got.value, row->value, 1e-9), "\"%s\": %.17g, want %.17g", row->text,
                  got.value, row->value);
    ck_assert_msg(got.unit == row->unit, "\"%s\": unit %s, want %s", row->text,
                  unit_symbol(got.unit), unit_symbol(row->unit));
}

START_TEST(schematic_spellings)
{
    check_one(&schematic_values[_i], QUANTITY_SCHEMATIC);
}
END_TEST

START_TEST(spice_spellings)
{
    check_one(&spice_values[_i], QUANTITY_SPICE);
}
END_TEST

struct refused {
    const char *text;
    enum unit expected;
};

/* Refused rather than guessed. */
static const struct refused not_quantities[] = {
    {"", UNIT_OHM}, {" ", UNIT_OHM}, {"*", UNIT_OHM}, {"~", UNIT_OHM}, {"TBD", UNIT_OHM},
    {"R", UNIT_OHM}, {"C", UNIT_FARAD}, {"CP", UNIT_FARAD}, {"k", UNIT_OHM}, {"nan", UNIT_OHM},
    {"inf", UNIT_OHM}, {"infinity", UNIT_OHM}, {"0x10", UNIT_OHM}, {"1e999", UNIT_OHM},
    {"1e-999", UNIT_OHM}, {"1e99999999999", UNIT_OHM}, {"1.2.3", UNIT_OHM}, {"10,000", UNIT_FARAD},
    {"1,000,000", UNIT_OHM}, {"--5", UNIT_OHM}, {"5-", UNIT_VOLT}, {"10-20H", UNIT_HENRY},
    {"345-0-345V", UNIT_VOLT}, {"1N4007", UNIT_OHM}, {"1N4007", UNIT_FARAD}, {"1N914", UNIT_NONE},
    {"2N3055", UNIT_AMP}, {"12AX7", UNIT_OHM}, {"12AX7", UNIT_AMP}, {"6V6GT", UNIT_VOLT},
    {"5U4GB", UNIT_NONE}, {"5Y3GT", UNIT_OHM}, {"EL34", UNIT_OHM}, {"500MA", UNIT_AMP},
    {"20MF", UNIT_FARAD}, {"10k1W", UNIT_OHM}, {"4k7 2W", UNIT_OHM}, {"5x20", UNIT_AMP},
    {"{Rk*2}", UNIT_OHM}, {"4 T", UNIT_AMP}, {"100 (est)", UNIT_OHM},
    {"1e", UNIT_OHM}, {"k47", UNIT_OHM}, {"R1", UNIT_OHM},
};

START_TEST(refuses)
{
    const struct refused *row = &not_quantities[_i];
    struct quantity out = {42, UNIT_HERTZ};

    ck_assert_msg(!quantity_parse(row->text, QUANTITY_SCHEMATIC, row->expected, &out),
                  "\"%s\" is read as %g %s", row->text, out.value, unit_symbol(out.unit));
    ck_assert_double_eq(out.value, 42);
    ck_assert_int_eq(out.unit, UNIT_HERTZ);
}
END_TEST

struct several {
    const char *text;
    enum unit expected;
    size_t count;
    struct quantity want[4];
};

static const struct several scans[] = {
    {"47\xC2\xB5" "F/400V", UNIT_FARAD, 2, {{47e-6, UNIT_FARAD}, {400, UNIT_VOLT}}},
    {"1nF/450V", UNIT_FARAD, 2, {{1e-9, UNIT_FARAD}, {450, UNIT_VOLT}}},
    {"100nF / 63V", UNIT_FARAD, 2, {{100e-9, UNIT_FARAD}, {63, UNIT_VOLT}}},
    {"20u 600V", UNIT_FARAD, 2, {{20e-6, UNIT_FARAD}, {600, UNIT_VOLT}}},
    {"1u, 100V", UNIT_FARAD, 2, {{1e-6, UNIT_FARAD}, {100, UNIT_VOLT}}},
    {"20u\xC2\xB7" "600V", UNIT_FARAD, 2, {{20e-6, UNIT_FARAD}, {600, UNIT_VOLT}}},
    {"0,22x250V", UNIT_FARAD, 2, {{0.22, UNIT_FARAD}, {250, UNIT_VOLT}}},
    {"47,0 x 450V", UNIT_FARAD, 2, {{47, UNIT_FARAD}, {450, UNIT_VOLT}}},
    {"10\xC3\x97" "350V", UNIT_FARAD, 2, {{10, UNIT_FARAD}, {350, UNIT_VOLT}}},
    {"10000\xC2\xB5/16V", UNIT_FARAD, 2, {{10e-3, UNIT_FARAD}, {16, UNIT_VOLT}}},
    {"50+50u", UNIT_FARAD, 2, {{50e-6, UNIT_FARAD}, {50e-6, UNIT_FARAD}}},
    {"25u+25u", UNIT_FARAD, 2, {{25e-6, UNIT_FARAD}, {25e-6, UNIT_FARAD}}},
    {"40+20+20uF/450V", UNIT_FARAD, 4,
     {{40e-6, UNIT_FARAD}, {20e-6, UNIT_FARAD}, {20e-6, UNIT_FARAD}, {450, UNIT_VOLT}}},
    {"2x50u", UNIT_FARAD, 2, {{50e-6, UNIT_FARAD}, {50e-6, UNIT_FARAD}}},
    {"345+345V", UNIT_VOLT, 2, {{345, UNIT_VOLT}, {345, UNIT_VOLT}}},
    {"470 1W", UNIT_OHM, 2, {{470, UNIT_OHM}, {1, UNIT_WATT}}},
    {"470 1/2W", UNIT_OHM, 2, {{470, UNIT_OHM}, {0.5, UNIT_WATT}}},
    {"10k/2W", UNIT_OHM, 2, {{10e3, UNIT_OHM}, {2, UNIT_WATT}}},
    {"330, 1/4W", UNIT_OHM, 2, {{330, UNIT_OHM}, {0.25, UNIT_WATT}}},
    {"220k \xC2\xBD W", UNIT_OHM, 2, {{220e3, UNIT_OHM}, {0.5, UNIT_WATT}}},
    {"4k7 2W", UNIT_OHM, 2, {{4700, UNIT_OHM}, {2, UNIT_WATT}}},
    {"100k (est)", UNIT_OHM, 1, {{100e3, UNIT_OHM}}},
    {"1M (est)", UNIT_OHM, 1, {{1e6, UNIT_OHM}}},
    {"1M-A", UNIT_OHM, 1, {{1e6, UNIT_OHM}}},
    {"1M A", UNIT_OHM, 1, {{1e6, UNIT_OHM}}},
    {"250kA", UNIT_OHM, 1, {{250e3, UNIT_OHM}}},
    {"10k \xC2\xB1" "5%", UNIT_OHM, 2, {{10e3, UNIT_OHM}, {5, UNIT_PERCENT}}},
    {"400V/25A", UNIT_NONE, 2, {{400, UNIT_VOLT}, {25, UNIT_AMP}}},
    {"320V_AC", UNIT_NONE, 1, {{320, UNIT_VOLT}}},
    {"8k p-p / 20W", UNIT_OHM, 2, {{8e3, UNIT_OHM}, {20, UNIT_WATT}}},
    {"SE 5k:8", UNIT_OHM, 2, {{5e3, UNIT_OHM}, {8, UNIT_NONE}}},
    {"Speaker 4\xCE\xA9", UNIT_NONE, 1, {{4, UNIT_OHM}}},
    {"~110 (choke)", UNIT_OHM, 1, {{110, UNIT_OHM}}},
    {"CAP Alum 1000uF 63V [Radial 16mm]", UNIT_FARAD, 2,
     {{1e-3, UNIT_FARAD}, {63, UNIT_VOLT}}},
    {"2.2k\xCE\xA9 Resistor", UNIT_OHM, 1, {{2200, UNIT_OHM}}},
    {"*", UNIT_OHM, 0, {{0, UNIT_NONE}}},
    {"TBD", UNIT_OHM, 0, {{0, UNIT_NONE}}},
    {"~", UNIT_OHM, 0, {{0, UNIT_NONE}}},
    {"", UNIT_OHM, 0, {{0, UNIT_NONE}}},
    {"R", UNIT_OHM, 0, {{0, UNIT_NONE}}},
    {"4 x 1N4007", UNIT_NONE, 0, {{0, UNIT_NONE}}},
    {"12AX7 CF", UNIT_NONE, 0, {{0, UNIT_NONE}}},
    {"280-0-280 V", UNIT_VOLT, 0, {{0, UNIT_NONE}}},
    {"{a + 5}", UNIT_OHM, 0, {{0, UNIT_NONE}}},
    {"5x20", UNIT_AMP, 0, {{0, UNIT_NONE}}},
};

START_TEST(scans_all)
{
    const struct several *row = &scans[_i];
    struct quantity got[8];
    size_t count = quantity_scan(row->text, QUANTITY_SCHEMATIC, row->expected, got, 8);

    ck_assert_msg(count == row->count, "\"%s\": %zu, want %zu", row->text, count, row->count);
    for (size_t i = 0; i < count; i++) {
        ck_assert_msg(within(got[i].value, row->want[i].value, 1e-9), "\"%s\" [%zu]: %g, want %g",
                      row->text, i, got[i].value, row->want[i].value);
        ck_assert_msg(got[i].unit == row->want[i].unit, "\"%s\" [%zu]: unit %s", row->text, i,
                      unit_symbol(got[i].unit));
    }
}
END_TEST

START_TEST(scan_keeps_to_its_limit)
{
    struct quantity got[3] = {{0, UNIT_NONE}, {0, UNIT_NONE}, {7, UNIT_HERTZ}};

    ck_assert_uint_eq(quantity_scan("1+2+3+4u", QUANTITY_SCHEMATIC, UNIT_FARAD, got, 2), 2);
    ck_assert_uint_eq(quantity_scan("4x50u", QUANTITY_SCHEMATIC, UNIT_FARAD, got, 2), 2);
    ck_assert_double_eq(got[2].value, 7);
    ck_assert_uint_eq(quantity_scan("4k7", QUANTITY_SCHEMATIC, UNIT_OHM, got, 0), 0);
}
END_TEST

START_TEST(finds_by_unit)
{
    double value = 0;

    ck_assert(quantity_find("47\xC2\xB5" "F/400V", QUANTITY_SCHEMATIC, UNIT_FARAD, UNIT_VOLT,
                            &value));
    assert_within(value, 400, 1e-9);
    ck_assert(quantity_find("10k/2W", QUANTITY_SCHEMATIC, UNIT_OHM, UNIT_WATT, &value));
    assert_within(value, 2, 1e-9);
    ck_assert(!quantity_find("10k", QUANTITY_SCHEMATIC, UNIT_OHM, UNIT_WATT, &value));
}
END_TEST

/* A million digits, and a million quantities: neither a crash nor a hang. */
START_TEST(bears_long_texts)
{
    size_t length = 1000000;
    char *text = malloc(length + 1);
    struct quantity got[4];

    ck_assert_ptr_nonnull(text);
    memset(text, '9', length);
    text[length] = '\0';
    ck_assert(!quantity_parse(text, QUANTITY_SCHEMATIC, UNIT_OHM, got));
    ck_assert(!quantity_parse(text, QUANTITY_SPICE, UNIT_OHM, got));
    ck_assert_uint_eq(quantity_scan(text, QUANTITY_SCHEMATIC, UNIT_OHM, got, 4), 0);
    for (size_t i = 0; i < length; i++)
        text[i] = "a+1x "[i % 5];
    quantity_scan(text, QUANTITY_SCHEMATIC, UNIT_OHM, got, 4);
    memset(text, '+', length);
    ck_assert_uint_eq(quantity_scan(text, QUANTITY_SCHEMATIC, UNIT_OHM, got, 4), 0);
    memset(text, ' ', length);
    ck_assert(!quantity_parse(text, QUANTITY_SCHEMATIC, UNIT_OHM, got));
    free(text);
}
END_TEST

START_TEST(numbers_are_exact)
{
    static const struct {
        const char *text;
        double value;
    } rows[] = {
        {"0.1", 0.1}, {"3.15", 3.15}, {"123456789012345678", 123456789012345678.0},
        {"1e22", 1e22}, {"1.7976931348623157e308", 1.7976931348623157e308}, {"0.000", 0},
        {"0e5", 0},
    };

    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        const char *p = rows[i].text;
        double value = -1;

        ck_assert(number_scan(&p, false, &value));
        ck_assert_double_eq(value, rows[i].value);
        ck_assert_str_eq(p, "");
    }
}
END_TEST

START_TEST(locale_does_not_count)
{
    static const char *const names[] = {"de_DE.UTF-8", "fr_FR.UTF-8", "de_DE"};
    struct quantity got = {0, UNIT_NONE};
    char buffer[40];
    size_t i = 0;

    while (i < COUNT_OF(names) && setlocale(LC_ALL, names[i]) == NULL)
        i++;
    if (i == COUNT_OF(names))
        fprintf(stderr, "SKIPPED: no locale with a decimal comma is installed\n");
    ck_assert(quantity_parse("4.7k", QUANTITY_SCHEMATIC, UNIT_OHM, &got));
    assert_within(got.value, 4700, 1e-9);
    ck_assert_str_eq(quantity_print(buffer, sizeof buffer, 4700, UNIT_OHM), "4.7 k\xCE\xA9");
    setlocale(LC_ALL, "C");
}
END_TEST

static const struct {
    double value;
    enum unit unit;
    const char *text;
} prints[] = {
    {4700, UNIT_OHM, "4.7 k\xCE\xA9"},
    {0.315, UNIT_AMP, "315 mA"},
    {47e-6, UNIT_FARAD, "47 \xC2\xB5" "F"},
    {1e6, UNIT_OHM, "1 M\xCE\xA9"},
    {333.33, UNIT_VOLT, "333 V"},
    {-50.04, UNIT_VOLT, "-50 V"},
    {999.6, UNIT_VOLT, "1 kV"},
    {0.9996, UNIT_AMP, "1 A"},
    {0, UNIT_VOLT, "0 V"},
    {3600, UNIT_SECOND, "3600 s"},
    {0.02, UNIT_SECOND, "20 ms"},
    {5, UNIT_PERCENT, "5 %"},
    {0.25, UNIT_PERCENT, "0.25 %"},
    {12.345, UNIT_NONE, "12.3"},
    {2e-15, UNIT_FARAD, "0.002 pF"},
    {22e-12, UNIT_FARAD, "22 pF"},
    {1e3, UNIT_VOLT, "1 kV"},
    {1e-3, UNIT_AMP, "1 mA"},
    {INFINITY, UNIT_SECOND, "infinite"},
    {NAN, UNIT_VOLT, "unknown"},
};

START_TEST(prints_three_digits)
{
    char buffer[64];

    ck_assert_str_eq(quantity_print(buffer, sizeof buffer, prints[_i].value, prints[_i].unit),
                     prints[_i].text);
}
END_TEST

START_TEST(prints_into_short_buffers)
{
    char buffer[8] = "zzzzzzz";

    quantity_print(buffer, 3, 4700, UNIT_OHM);
    ck_assert_str_eq(buffer, "4.");
    ck_assert_int_eq(buffer[3], 'z');
    quantity_print(buffer, sizeof buffer, 1e308, UNIT_SECOND);
    quantity_print(buffer, sizeof buffer, 5e-324, UNIT_VOLT);
    ck_assert(strlen(buffer) < sizeof buffer);
}
END_TEST

Suite *check_quantity_suite(void);

Suite *check_quantity_suite(void)
{
    Suite *suite = suite_create("quantity");
    TCase *tests = tcase_create("spellings");

    tcase_set_timeout(tests, 60);
    tcase_add_loop_test(tests, schematic_spellings, 0, COUNT_OF(schematic_values));
    tcase_add_loop_test(tests, spice_spellings, 0, COUNT_OF(spice_values));
    tcase_add_loop_test(tests, refuses, 0, COUNT_OF(not_quantities));
    tcase_add_loop_test(tests, scans_all, 0, COUNT_OF(scans));
    tcase_add_test(tests, scan_keeps_to_its_limit);
    tcase_add_test(tests, finds_by_unit);
    tcase_add_test(tests, bears_long_texts);
    tcase_add_test(tests, numbers_are_exact);
    tcase_add_test(tests, locale_does_not_count);
    tcase_add_loop_test(tests, prints_three_digits, 0, COUNT_OF(prints));
    tcase_add_test(tests, prints_into_short_buffers);
    suite_add_tcase(suite, tests);
    return suite;
}
