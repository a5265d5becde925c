/* Markings of fuse-links. Sources: IEC 60127-1 clause 6.1 and IEC 60127-2 clause 6.1 for the
 * printed forms; the other spellings were found in public netlists and parts lists of amplifiers. */
#include "check_prearc.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuselink/fuselink.h"

#define COUNT_OF(table) (sizeof(table) / sizeof(table)[0])

struct rated {
    const char *text;
    double amps;
    enum fuse_speed speed;
    enum fuse_breaking breaking;
    double volts;
    const char *size;
    bool american;
};

#define T SPEED_T
#define F SPEED_F
#define ANY SPEED_UNKNOWN
#define L BREAKING_LOW
#define E BREAKING_ENHANCED
#define H BREAKING_HIGH
#define NONE BREAKING_UNKNOWN

static const struct rated rated[] = {
    {"T315L250V", 0.315, T, L, 250, NULL, false}, /* IEC 60127-2 clause 6.1 */
    {"F4H250V", 4, F, H, 250, NULL, false},       /* IEC 60127-2 clause 6.1 */
    {"T1E250V", 1, T, E, 250, NULL, false},
    {"T250mAL250V", 0.25, T, L, 250, NULL, false},
    {"T2AL250V", 2, T, L, 250, NULL, false},
    {"T2AL250V 5x20", 2, T, L, 250, "5x20", false},
    {"T3.15AH250V", 3.15, T, H, 250, NULL, false},
    {"F500mAH250V", 0.5, F, H, 250, NULL, false},
    {"FF1A", 1, SPEED_FF, NONE, 0, NULL, false},
    {"TT2A", 2, SPEED_TT, NONE, 0, NULL, false},
    {"M500mA", 0.5, SPEED_M, NONE, 0, NULL, false},
    {"F3.15A H", 3.15, F, H, 0, NULL, false},
    {"F3.15A H 250V", 3.15, F, H, 250, NULL, false},
    {"T 3.15A", 3.15, T, NONE, 0, NULL, false},
    {"T 500 mA", 0.5, T, NONE, 0, NULL, false},
    {"T500 mA", 0.5, T, NONE, 0, NULL, false},
    {"T2 A", 2, T, NONE, 0, NULL, false},
    {"2A T", 2, T, NONE, 0, NULL, false},
    {"2AT", 2, T, NONE, 0, NULL, false},
    {"500mAT", 0.5, T, NONE, 0, NULL, false},
    {"T1A", 1, T, NONE, 0, NULL, false},
    {"T2A", 2, T, NONE, 0, NULL, false},
    {"T1.25A", 1.25, T, NONE, 0, NULL, false},
    {"T500mA", 0.5, T, NONE, 0, NULL, false},
    {"T250mA", 0.25, T, NONE, 0, NULL, false},
    {"F1.6A", 1.6, F, NONE, 0, NULL, false},
    {"F5A", 5, F, NONE, 0, NULL, false},
    {"3,15A", 3.15, ANY, NONE, 0, NULL, false},
    {"T3,15AL250V", 3.15, T, L, 250, NULL, false},
    {"3A15", 3.15, ANY, NONE, 0, NULL, false},
    {"T3A15H250V", 3.15, T, H, 250, NULL, false},
    {"3A15H250V", 3.15, ANY, H, 250, NULL, false},
    {"T6A3L", 6.3, T, L, 0, NULL, false},
    {"T3A250V", 3, T, NONE, 250, NULL, false},
    {"0.6A", 0.6, ANY, NONE, 0, NULL, false},
    {"200mA", 0.2, ANY, NONE, 0, NULL, false},
    {"200MA", 0.2, ANY, NONE, 0, NULL, false},
    {"1A", 1, ANY, NONE, 0, NULL, false},
    {"4A", 4, ANY, NONE, 0, NULL, false},
    {"3 A", 3, ANY, NONE, 0, NULL, false},
    {"2 amps", 2, ANY, NONE, 0, NULL, false},
    {"250mA 250V", 0.25, ANY, NONE, 250, NULL, false},
    {"T2A/250V", 2, T, NONE, 250, NULL, false},
    {"T2A250V", 2, T, NONE, 250, NULL, false},
    {"T1A H 250V", 1, T, H, 250, NULL, false},
    {"T1A L250V", 1, T, L, 250, NULL, false},
    {"T1AL 250 VAC", 1, T, L, 250, NULL, false},
    {"F_5A", 5, ANY, NONE, 0, NULL, false},
    {"F_10A", 10, ANY, NONE, 0, NULL, false},
    {"1A Slow", 1, T, NONE, 0, NULL, false},
    {"3A Slow", 3, T, NONE, 0, NULL, false},
    {"Slow 1A", 1, T, NONE, 0, NULL, false},
    {"1Aslow", 1, T, NONE, 0, NULL, false},
    {"1A SB", 1, T, NONE, 0, NULL, true},
    {"2A slo-blo", 2, T, NONE, 0, NULL, true},
    {"2 A slo-blo", 2, T, NONE, 0, NULL, true},
    {"3.15 A slow-blow", 3.15, T, NONE, 0, NULL, true},
    {"1A slow blow", 1, T, NONE, 0, NULL, true},
    {"3/4 A slo-blo", 0.75, T, NONE, 0, NULL, true},
    {"3/4A", 0.75, ANY, NONE, 0, NULL, true},
    {"\xC2\xBE A", 0.75, ANY, NONE, 0, NULL, true},
    {"\xC2\xBD A", 0.5, ANY, NONE, 0, NULL, true},
    {"1\xC2\xBD" "A", 1.5, ANY, NONE, 0, NULL, true},
    {"1 1/2 A", 1.5, ANY, NONE, 0, NULL, true},
    {"1-1/2A SB", 1.5, T, NONE, 0, NULL, true},
    {"1/2 A", 0.5, ANY, NONE, 0, NULL, true},
    {"2A 3AG", 2, ANY, NONE, 0, "3AG", true},
    {"3AG 2A slo-blo", 2, T, NONE, 0, "3AG", true},
    {"MDL 1A", 1, T, NONE, 0, "3AG", true},
    {"T2A 5x20", 2, T, NONE, 0, "5x20", false},
    {"5x20mm T2A", 2, T, NONE, 0, "5x20", false},
    {"T2A 5 x 20 mm", 2, T, NONE, 0, "5x20", false},
    {"T2A 5\xC3\x97" "20", 2, T, NONE, 0, "5x20", false},
    {"T2A5x20", 2, T, NONE, 0, "5x20", false},
    {"T1A6.3x32", 1, T, NONE, 0, "6.3x32", false},
    {"T1A 6,3x32", 1, T, NONE, 0, "6.3x32", false},
    {"1A fast", 1, F, NONE, 0, NULL, false},
    {"1A quick-acting", 1, F, NONE, 0, NULL, false},
    {"1A time-lag", 1, T, NONE, 0, NULL, false},
    {"1A anti-surge", 1, T, NONE, 0, NULL, false},
    {"1A antisurge", 1, T, NONE, 0, NULL, false},
    {"1A tr\xC3\xA4ge", 1, T, NONE, 0, NULL, false},
    {"1A tr\xC3\xA4ge 250V", 1, T, NONE, 250, NULL, false},
    {"1A flink", 1, F, NONE, 0, NULL, false},
    {"1A mitteltr\xC3\xA4ge", 1, SPEED_M, NONE, 0, NULL, false},
    {"Fuse 1A", 1, ANY, NONE, 0, NULL, false},
    {"Fuse_5A", 5, ANY, NONE, 0, NULL, false},
    {"T2A HBC", 2, T, H, 0, NULL, false},
    {"t315mal250v", 0.315, T, L, 250, NULL, false},
    {"1A 1A", 1, ANY, NONE, 0, NULL, false},
    {"T1A 1000mA", 1, T, NONE, 0, NULL, false},
    {"T2A\xC2\xB7" "250V", 2, T, NONE, 250, NULL, false},
    {"F2A slow", 2, ANY, NONE, 0, NULL, false}, /* the letter and the word differ */
    {"315", 0.315, ANY, NONE, 0, NULL, false},
    {"4", 4, ANY, NONE, 0, NULL, false},
    {"32", 0.032, ANY, NONE, 0, NULL, false},
    {"20", 20, ANY, NONE, 0, NULL, false},
    {"0.5", 0.5, ANY, NONE, 0, NULL, false},
    {"1,25", 1.25, ANY, NONE, 0, NULL, false},
    {"1000", 1, ANY, NONE, 0, NULL, false},
    {"315 250V", 0.315, ANY, NONE, 250, NULL, false},
    {"315/250V", 0.315, ANY, NONE, 250, NULL, false},
    {"315 T", 0.315, T, NONE, 0, NULL, false},
    {"T315", 0.315, T, NONE, 0, NULL, false},
    {"T1.25", 1.25, T, NONE, 0, NULL, false},
    {"T1L", 1, T, L, 0, NULL, false},
    {"T1 250V", 1, T, NONE, 250, NULL, false},
    {"T1 5x20", 1, T, NONE, 0, "5x20", false},
    {"4 slow", 4, T, NONE, 0, NULL, false},
    {"red green brown blue", 0.25, T, NONE, 0, NULL, false}, /* bands: IEC 60127-1 annex A */
    {"Red-Green-Brown-Blue 250V", 0.25, T, NONE, 250, NULL, false},
    {"rot/gr\xC3\xBCn/braun/rot", 0.25, F, NONE, 0, NULL, false},
    {"orange, marron, marron, noir", 0.315, SPEED_FF, NONE, 0, NULL, false},
    {"marr\xC3\xB3n negro rojo amarillo", 1, SPEED_M, NONE, 0, NULL, false},
    {"OG BN RD BU 5x20", 3.15, T, NONE, 0, "5x20", false},
    {"blu arancio nero grigio", 0.063, SPEED_TT, NONE, 0, NULL, false},
    {"orange green brown blue", 0.355, T, NONE, 0, NULL, false},
    {"orange red black red", 0.032, F, NONE, 0, NULL, false},
    {"T1AH 500V/400VDC", 1, T, H, 500, NULL, false},
    {"T1AH 400VDC", 1, T, H, 400, NULL, false},
    {"T500mAH500VAC 400 V DC", 0.5, T, H, 500, NULL, false},
};

START_TEST(reads_ratings)
{
    const struct rated *row = &rated[_i];
    struct marking got;

    ck_assert_msg(marking_parse(row->text, &got), "\"%s\" says nothing", row->text);
    ck_assert_msg(got.rated, "\"%s\" is not rated", row->text);
    ck_assert_msg(within(got.amps, row->amps, 1e-9), "\"%s\": %g A", row->text, got.amps);
    ck_assert_msg(got.speed == row->speed, "\"%s\": %s", row->text, speed_name(got.speed));
    ck_assert_msg(got.breaking == row->breaking, "\"%s\": %d", row->text, got.breaking);
    ck_assert_msg(got.volts == row->volts, "\"%s\": %g V", row->text, got.volts);
    ck_assert_msg(got.american == row->american, "\"%s\": american %d", row->text, got.american);
    ck_assert_msg((got.size == NULL) == (row->size == NULL) &&
                      (got.size == NULL || strcmp(got.size, row->size) == 0),
                  "\"%s\": size %s", row->text, got.size != NULL ? got.size : "none");
}
END_TEST

/* Whether the text says anything, and in no case a rating. */
static const struct {
    const char *text;
    bool says;
} unrated[] = {
    {"", false},
    {" ", false},
    {"~", false},
    {"*", false},
    {"Fuse", false},
    {"FUSE", false},
    {"F_Small", false},
    {"Fuse_Small", false},
    {"FUSE-HOLDER", false},
    {"F", false},
    {"T", false},
    {"F1", false},
    {"T1", false},
    {"T2", false},
    {"F100", false},
    {"T6.3", false},
    {"F12.6CT", false},
    {"F6.3CT", false},
    {"Fuse 1", false},
    {"25", false},
    {"31.5", false},
    {"30", false},
    {"83", false},
    {"12AX7", false},
    {"6V6GT", false},
    {"5Y3", false},
    {"5881", false},
    {"7119", false},
    {"2A3", false},
    {"EL34", false},
    {"GZ34", false},
    {"1N4007", false},
    {"10k", false},
    {"47u", false},
    {"4k7 2W", false},
    {"100nF/63V", false},
    {"250V", false},
    {"B++ (fuse)", false},
    {"Speaker 4", false},
    {"1/4 in", false},
    {"5x25", false},
    {"10%", false},
    {"1/4\" x 1-1/4\"", false},
    {"3557-2", false},
    {"1,000mA", false},
    {"1e3", false},
    {"450", false},
    {"{I}", false},
    {"10kA", false},
    {"slow", true},
    {"time-lag", true},
    {"5x20", true},
    {"3AG", true},
    {"1A/2A", true},
    {"1A or 2A", true},
    {"T1A?", true},
    {"T2A 230V / T4A 120V", true},
    {"HBC", true},
    {"Fuse slow 10-20A", true},
    {"red", false},
    {"red green brown", false},
    {"red violet brown blue", false}, /* 270 mA: no such rating */
    {"red green brown white", false},
    {"red green brown blue gold", false},
    {"red green brown blue red", false},
    {"redgreen brown blue black", false},
    {"brown black black blue", false},
    {"red green orange blue", false},
};

START_TEST(guesses_nothing)
{
    struct marking got;
    bool says = marking_parse(unrated[_i].text, &got);

    ck_assert_msg(!got.rated, "\"%s\": %g A", unrated[_i].text, got.amps);
    ck_assert_msg(got.amps == 0, "\"%s\": %g A", unrated[_i].text, got.amps);
    ck_assert_msg(says == unrated[_i].says, "\"%s\": says %d", unrated[_i].text, says);
}
END_TEST

/* IEC 60127-1 clause 6.1: speed, current (mA below 1 A), breaking capacity, voltage. */
START_TEST(prints_as_the_standard)
{
    static const struct {
        struct marking marking;
        const char *text;
    } rows[] = {
        {{true, 0.315, T, L, 250, false, NULL, 0}, "T315mAL250V"},
        {{true, 4, F, H, 250, false, NULL, 0}, "F4AH250V"},
        {{true, 1, T, NONE, 0, false, NULL, 0}, "T1A"},
        {{true, 0.999999, T, NONE, 0, false, NULL, 0}, "T1A"},
        {{true, 1.25, ANY, NONE, 250, false, NULL, 0}, "1.25A250V"},
        {{true, 0.75, SPEED_FF, E, 0, true, NULL, 0}, "FF750mAE"},
        {{true, 3.15, SPEED_TT, NONE, 0, false, NULL, 0}, "TT3.15A"},
        {{true, 0.5, SPEED_M, NONE, 0, false, NULL, 0}, "M500mA"},
        {{false, 0, T, L, 250, false, NULL, 0}, "T?L250V"},
        {{true, 1, T, H, 500, false, NULL, 400}, "T1AH500V/400VDC"},
        {{true, 1, T, H, 400, false, NULL, 400}, "T1AH400VDC"},
    };
    char buffer[32];

    for (size_t i = 0; i < COUNT_OF(rows); i++)
        ck_assert_str_eq(marking_print(&rows[i].marking, buffer, sizeof buffer), rows[i].text);
}
END_TEST

/* Whatever is printed is read back the same. */
START_TEST(reads_what_it_prints)
{
    struct marking first, second;
    char buffer[32];

    marking_parse(rated[_i].text, &first);
    ck_assert(marking_parse(marking_print(&first, buffer, sizeof buffer), &second));
    ck_assert_msg(second.rated && within(second.amps, first.amps, 0.01) &&
                      second.speed == first.speed && second.breaking == first.breaking &&
                      second.volts == first.volts,
                  "\"%s\" printed as \"%s\"", rated[_i].text, buffer);
}
END_TEST

/* Every list, speed, breaking capacity and voltage: what is printed is read back the same. */
START_TEST(reads_every_marking_it_prints)
{
    static const double volts[] = {0, 32, 125, 250, 400, 500, 600}, direct[] = {0, 60, 250, 400};
    static const double r20[] = {0.0355, 0.045, 0.112, 0.224, 0.355, 0.9, 1.12, 1.8, 2.24, 3.55, 7.1, 9};
    size_t counts[3] = {0, 0, COUNT_OF(r20)};
    const double *lists[3] = {rating_list(RATING_R10, &counts[0]), rating_list(RATING_AMERICAN, &counts[1]),
                              r20};
    size_t checked = 0;

    for (size_t list = 0; list < 3; list++)
        for (size_t i = 0; i < counts[list]; i++)
            for (int speed = SPEED_UNKNOWN; speed <= SPEED_TT; speed++)
                for (int breaking = BREAKING_UNKNOWN; breaking <= BREAKING_HIGH; breaking++)
                    for (size_t v = 0; v < COUNT_OF(volts) * COUNT_OF(direct); v++) {
                        struct marking first = {.rated = true, .amps = lists[list][i],
                                                .speed = (enum fuse_speed)speed,
                                                .breaking = (enum fuse_breaking)breaking,
                                                .volts = volts[v % COUNT_OF(volts)],
                                                .dc_volts = direct[v / COUNT_OF(volts)]};
                        struct marking second;
                        char buffer[32];

                        if (first.volts == 0)
                            first.volts = first.dc_volts;
                        ck_assert(marking_parse(marking_print(&first, buffer, sizeof buffer), &second));
                        ck_assert_msg(second.rated && within(second.amps, first.amps, 1e-9) &&
                                          second.speed == first.speed && second.breaking == first.breaking &&
                                          second.volts == first.volts && second.dc_volts == first.dc_volts &&
                                          !second.american && second.size == NULL,
                                      "printed as \"%s\"", buffer);
                        checked++;
                    }
    ck_assert_uint_gt(checked, 40000);
}
END_TEST

/* A number without unit between 20 and 32 may be either. */
START_TEST(no_unit_between_20_and_32)
{
    for (double bare = 20.01; bare < 31.995; bare += 0.01) {
        struct marking got;
        char text[16];

        snprintf(text, sizeof text, "%.2f", bare);
        ck_assert_msg(!marking_parse(text, &got) && !got.rated, "\"%s\"", text);
        snprintf(text, sizeof text, "T%.2fL250V", bare);
        marking_parse(text, &got);
        ck_assert_msg(!got.rated, "\"%s\"", text);
    }
}
END_TEST

/* Littelfuse 239, 312, 233 lists; R10 and R20 as above; 12.5, 16 and 20 A by makers. */
START_TEST(lists_of_ratings)
{
    static const struct {
        double amps;
        enum rating_series series;
    } rows[] = {
        {0.315, RATING_R10},     {10, RATING_R10},        {16, RATING_R10},        {0.355, RATING_R20},
        {1.8, RATING_R20},       {0.15, RATING_AMERICAN}, {0.3, RATING_AMERICAN},  {0.375, RATING_AMERICAN},
        {0.6, RATING_AMERICAN},  {0.7, RATING_AMERICAN},  {0.75, RATING_AMERICAN}, {1.5, RATING_AMERICAN},
        {1.75, RATING_AMERICAN}, {3, RATING_AMERICAN},    {3.2, RATING_AMERICAN},  {3.5, RATING_AMERICAN},
        {6, RATING_AMERICAN},    {7.5, RATING_AMERICAN},  {2.25, RATING_R20},      {1.7, RATING_NONE},
        {0.33, RATING_NONE},     {11, RATING_NONE},       {0, RATING_NONE},        {100, RATING_NONE}};
    size_t count;
    const double *list = rating_list(RATING_AMERICAN, &count);

    for (size_t i = 0; i < COUNT_OF(rows); i++)
        ck_assert_msg(rating_series(rows[i].amps) == rows[i].series, "%g A", rows[i].amps);
    for (size_t i = 1; i < count; i++)
        ck_assert_double_gt(list[i], list[i - 1]);
    list = rating_list(RATING_R10, &count);
    ck_assert_uint_eq(count, 26);
    for (size_t i = 1; i < count; i++)
        ck_assert_double_gt(list[i], list[i - 1]);
}
END_TEST

/* R10 of IEC 60127; R20 extras of IEC 60127-1 annex A. */
START_TEST(preferred_ratings)
{
    static const double preferred[] = {0.032, 0.05, 0.063, 0.315, 0.5, 0.63, 1, 1.25, 3.15, 6.3,
                                       10,    0.355, 0.45, 0.56,  0.71, 0.9, 1.12, 1.4, 1.8};
    static const double others[] = {0, -1, 0.01, 0.03, 0.3, 0.6, 0.75, 1.5, 3, 7.5, 16, 1e9};

    for (size_t i = 0; i < COUNT_OF(preferred); i++)
        ck_assert_msg(rating_is_preferred(preferred[i]), "%g", preferred[i]);
    for (size_t i = 0; i < COUNT_OF(others); i++)
        ck_assert_msg(!rating_is_preferred(others[i]), "%g", others[i]);
    ck_assert_double_eq(rating_at_least(0.3), 0.315);
    ck_assert_double_eq(rating_at_least(0.315), 0.315);
    ck_assert_double_eq(rating_at_least(0.316), 0.4);
    ck_assert_double_eq(rating_at_least(0), 0.032);
    ck_assert_double_eq(rating_at_least(8.5), 10);
    ck_assert_double_eq(rating_at_least(10.1), 0);
}
END_TEST

static void shuffle(char *text, size_t length, unsigned *seed)
{
    static const char alphabet[] = "TFMLEHAVmaxX0123456789.,/-_ \xC2\xB5\xBD?\"%slowbfuseAG";

    for (size_t i = 0; i < length; i++) {
        *seed = *seed * 1103515245 + 12345;
        text[i] = (*seed >> 28) == 0 ? (char)(*seed >> 16)
                                     : alphabet[(*seed >> 16) % (sizeof alphabet - 1)];
    }
    text[length] = '\0';
}

/* Random texts: nothing but sane results, under the sanitizers no error. */
START_TEST(bears_anything)
{
    unsigned seed = 1;

    for (int round = 0; round < 200000; round++) {
        size_t length = (size_t)round % 24;
        char *text = malloc(length + 1), buffer[32];
        struct marking got;

        ck_assert_ptr_nonnull(text);
        shuffle(text, length, &seed);
        marking_parse(text, &got);
        ck_assert_msg(!got.rated || (got.amps >= 0.001 && got.amps <= 100), "\"%s\"", text);
        ck_assert_msg(got.rated || got.amps == 0, "\"%s\"", text);
        marking_print(&got, buffer, sizeof buffer);
        free(text);
    }
}
END_TEST

START_TEST(bears_long_texts)
{
    static const char *const units[] = {"9", "T", "1A ", "F_", "1/", "\xC2", "- ", "5x", "slow "};
    size_t length = 1000000;
    char *text = malloc(length + 1);
    struct marking got;

    ck_assert_ptr_nonnull(text);
    for (size_t u = 0; u < COUNT_OF(units); u++) {
        for (size_t i = 0; i < length; i++)
            text[i] = units[u][i % strlen(units[u])];
        text[length] = '\0';
        marking_parse(text, &got);
        ck_assert(!got.rated || got.amps == 1);
    }
    free(text);
}
END_TEST

Suite *check_marking_suite(void);

Suite *check_marking_suite(void)
{
    Suite *suite = suite_create("marking");
    TCase *tests = tcase_create("spellings");

    tcase_set_timeout(tests, 60);
    tcase_add_loop_test(tests, reads_ratings, 0, COUNT_OF(rated));
    tcase_add_loop_test(tests, guesses_nothing, 0, COUNT_OF(unrated));
    tcase_add_test(tests, prints_as_the_standard);
    tcase_add_loop_test(tests, reads_what_it_prints, 0, COUNT_OF(rated));
    tcase_add_test(tests, reads_every_marking_it_prints);
    tcase_add_test(tests, no_unit_between_20_and_32);
    tcase_add_test(tests, lists_of_ratings);
    tcase_add_test(tests, preferred_ratings);
    tcase_add_test(tests, bears_anything);
    tcase_add_test(tests, bears_long_texts);
    suite_add_tcase(suite, tests);
    return suite;
}
