/* Reading bench files: what is taken, what is refused and where. */
#include "check_prearc.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "bench/bench.h"
#include "bench/bench_words.h"

static struct arena *arena;
static struct diags diags;
static struct bench *bench;

static void setup(void)
{
    arena = arena_new();
    diags = diags_start(arena);
    bench = bench_new(arena, &diags);
}

static void teardown(void)
{
    bench_free(bench);
    arena_free(arena);
}

static void read_bytes(const char *bytes, size_t length)
{
    bench_read(bench, source_from_bytes(arena, "amp.bench", bytes, length));
}

static void read_text(const char *text)
{
    read_bytes(text, strlen(text));
}

/* Every row's own example is read as what the row says. */
START_TEST(examples)
{
    const struct statement_row *row = &statement_rows[_i];

    read_text(row->example);
    ck_assert_msg(diags.count == 0, "%s: %s", row->example,
                  diags.count > 0 ? diags.items[0].message : "");
    ck_assert_uint_eq(bench->count, 1);
    ck_assert_int_eq(bench->items[0]->word, row->word);
    ck_assert_str_eq(bench->items[0]->text, row->example);
}
END_TEST

START_TEST(as_people_type)
{
    read_text("\xEF\xBB\xBF# notes of the evening\r\n"
              "\r\n"
              "  FITTED  Part = F2\tMARKING=\"T 315 mA L 250V\"   # read from the cap\r\n"
              "winding part=T1 name='HT' volts=300-0-305V ohms=55+58R\r\n"
              "fitted part=F3 marking=T1A where=\"inlet drawer\"#glued\r\n"
              "measured net=BIAS volts=-42.5");
    ck_assert_msg(diags.count == 0, "%s", diags.count > 0 ? diags.items[0].message : "");
    ck_assert_uint_eq(bench->count, 4);
    ck_assert_str_eq(statement_text(bench->items[0], "part"), "F2");
    ck_assert_str_eq(statement_text(bench->items[0], "marking"), "T 315 mA L 250V");
    ck_assert_uint_eq(bench->items[0]->place.line, 3);
    ck_assert_uint_eq(bench->items[0]->place.column, 3);
    ck_assert_str_eq(bench->items[0]->text, "FITTED  Part = F2\tMARKING=\"T 315 mA L 250V\"");
    ck_assert_str_eq(statement_text(bench->items[1], "name"), "HT");
    ck_assert_str_eq(statement_text(bench->items[2], "place"), "inlet drawer");
    ck_assert_ptr_null(statement_text(bench->items[3], "place"));
}
END_TEST

START_TEST(quantities)
{
    double value = 0;

    read_text("measured net=BIAS volts=-42.5\nload net=A amps=20mA\nmains volts=240 hertz=60Hz");
    ck_assert_uint_eq(diags.count, 0);
    ck_assert(statement_quantity(bench->items[0], "volts", UNIT_VOLT, &value));
    ck_assert_double_eq_tol(value, -42.5, 1e-9);
    ck_assert(statement_quantity(bench->items[1], "amps", UNIT_AMP, &value));
    ck_assert_double_eq_tol(value, 0.02, 1e-9);
    ck_assert(!statement_quantity(bench->items[0], "tolerance", UNIT_PERCENT, &value));
}
END_TEST

/* One wrong line each: where it is wrong, and words of the message and of what was expected. */
static const struct bad_row {
    const char *text;
    unsigned line, column;
    const char *message, *expected;
} bad[] = {
    {"fited part=F2 marking=T1A", 1, 1, "nearest is fitted", "fitted, holder, winding"},
    {"\n\n  fitted part=F2 marking=banana", 3, 26, "marking cannot be banana", "printed on the link"},
    {"fitted part=F2 markng=T1A", 1, 16, "no key markng; the nearest is marking", "fitted part="},
    {"fitted part=F2", 1, 1, "fitted needs marking=", "fitted part="},
    {"fitted part=F2 marking", 1, 16, "no key with a value", "key=value"},
    {"fitted part=F2 marking=", 1, 24, "nothing stands after the =", "a value"},
    {"fitted part=F2 marking=\"\"", 1, 24, "nothing stands after the =", "a value"},
    {"fitted part=F2 marking=\"T1A", 1, 24, "quote that is not closed", "closing quote"},
    {"fitted part=\"F2\"marking=T1A", 1, 17, "goes on where it should end", "a blank"},
    {"fitted part=F2 part=F3 marking=T1A", 1, 16, "told twice", NULL},
    {"fitted =F2", 1, 8, "no key", "key=value"},
    {"holder part=F9 marking=T1A", 1, 1, "one of: between at", "holder part="},
    {"holder part=F9 marking=T1A between=A", 1, 36, "between cannot be A", "two nets"},
    {"winding part=T1 volts=6.3", 1, 1, "one of: name pins", "winding part="},
    {"winding part=T1 name=HT volts=6.3A", 1, 31, "volts cannot be 6.3A", "volts, such as"},
    {"winding part=T1 name=HT ohms=-3", 1, 30, "ohms cannot be -3", "ohms, such as"},
    {"winding part=T1 name=HT ohms=5++5", 1, 30, "ohms cannot be", "ohms, such as"},
    {"winding part=T1 pins=3 volts=6", 1, 22, "pins cannot be 3", "two pins"},
    {"measured net=A volts=1e9", 1, 22, "volts cannot be", "volts, such as"},
    {"measured net=A volts=--4", 1, 22, "volts cannot be", "volts, such as"},
    {"measured net=A volts=5 reading=peak", 1, 32, "reading cannot be peak", "dc (the mean)"},
    {"measured net=A volts=5 tolerance=0", 1, 34, "tolerance cannot be 0", "per cent"},
    {"load net=A amps=-1mA", 1, 17, "amps cannot be -1mA", "amperes"},
    {"load net=A amps=nan", 1, 17, "amps cannot be nan", "amperes"},
    {"switch part=S1 state=ajar", 1, 22, "state cannot be ajar", "open or closed"},
    {"switch part=S1", 1, 1, "one of: state position", "switch part="},
    {"part ref=X1 is=fuze", 1, 16, "is cannot be fuze; the nearest is fuse", "a kind of part"},
    {"part ref=X1 is=unknown", 1, 16, "is cannot be unknown", "a kind of part"},
    {"accept rule=a part=F1 reason=x until=2027-02-29", 1, 38, "until cannot be", "a date"},
    {"accept rule=a part=F1 reason=x until=1.3.2027", 1, 38, "until cannot be", "a date"},
    {"accept rule=a part=F1", 1, 1, "accept needs reason=", "accept rule="},
    {"accept rule=a part=F1 reason=x level=high", 1, 38, "level cannot be high", "error, warning"},
    {"mains", 1, 1, "one of: volts hertz", "mains volts="},
    {"= = =", 1, 1, "there is no statement", "fitted, holder"},
    {"fitted part=F\x07 marking=T1A", 1, 14, "control character (code 7)", "plain text"},
    {"\xC3\xA9\xC3\xA9 part=F2", 1, 1, "there is no statement", NULL},
    {"fitted part=\xC3\xA9\xC3\xA9 marking=x", 1, 24, "marking cannot be x", NULL},
};

START_TEST(mistakes)
{
    const struct bad_row *row = &bad[_i];

    read_text(row->text);
    ck_assert_msg(diags.count == 1, "%s: %zu errors", row->text, diags.count);
    ck_assert_uint_eq(bench->count, 0);
    ck_assert_int_eq(diags.items[0].level, LEVEL_ERROR);
    ck_assert_msg(strstr(diags.items[0].message, row->message) != NULL, "%s: %s", row->text,
                  diags.items[0].message);
    ck_assert_msg(diags.items[0].place.line == row->line &&
                      diags.items[0].place.column == row->column,
                  "%s: %u:%u", row->text, diags.items[0].place.line, diags.items[0].place.column);
    ck_assert_str_eq(diags.items[0].place.source->name, "amp.bench");
    if (row->expected != NULL)
        ck_assert_msg(diags.items[0].expected != NULL &&
                          strstr(diags.items[0].expected, row->expected) != NULL,
                      "%s: %s", row->text, diags.items[0].expected);
}
END_TEST

/* Two statements about one thing contradict each other even where they agree. */
static const char *const twice[] = {
    "fitted part=F2 marking=T1A\nfitted part=f2 marking=T1A",
    "fitted part=F2 marking=T1A\nholder part=F2 between=A,B marking=T2A",
    "winding part=T1 name=HT volts=6\nwinding part=t1 name=ht volts=7",
    "measured net=A volts=6\nmeasured net=a volts=6",
    "drawn part=J1 amps=6mA\ndrawn part=J1 amps=7mA",
    "load net=A amps=6mA\nload net=A amps=7mA",
    "switch part=S1 state=open\nswitch part=S1 state=closed",
    "part ref=R1 value=1k\npart ref=R1 power=1W",
    "mains volts=230\nmains hertz=50",
    "accept rule=a part=F1 reason=x\naccept rule=a fuse=F1 reason=y",
};

START_TEST(contradictions)
{
    read_text(twice[_i]);
    ck_assert_msg(diags.count == 1, "%s", twice[_i]);
    ck_assert_uint_eq(bench->count, 1);
    ck_assert_uint_eq(diags.items[0].place.line, 2);
    ck_assert_msg(strstr(diags.items[0].message, "line 1 of amp.bench") != NULL, "%s",
                  diags.items[0].message);
}
END_TEST

/* A net measured both ways, or against another net, is two readings. */
START_TEST(no_contradictions)
{
    read_text("measured net=A volts=6\nmeasured net=A volts=6 reading=ac\n"
              "measured net=A to=B volts=6\nwinding part=T1 name=HT pins=3-4 volts=6\n"
              "winding part=T1 name=HT pins=4-5 volts=6\n"
              "accept rule=a part=F1 reason=x\naccept rule=b part=F1 reason=x");
    ck_assert_uint_eq(diags.count, 0);
    ck_assert_uint_eq(bench->count, 7);
}
END_TEST

static const char sample[] =
    "\xEF\xBB\xBF# bench\r\nfitted part=F2 marking=\"T315mA L 250V\" place='board'\r\n"
    "holder part=F9 at=J1 pin=L marking=T2AH250V # found\n"
    "winding part=T1 name=HT volts=300-0-305V ohms=55+58R amps=250mA\n"
    "measured net=HT_B volts=380 tolerance=5% to=0 reading=dc\n"
    "drawn part=J5 amps=80mA\nload net=HT2 amps=20mA return=GND\nswitch part=S2 position=2\n"
    "part ref=X1 is=fuse value=T1AL250V note=\"caf\xC3\xA9\"\nmains volts=240V hertz=50\n"
    "accept rule=rail-unprotected rail=HT reason=\"small\" until=2027-01-01 level=note\n";

/* What was taken is whole, whatever came before or after it. */
static void check_whole(void)
{
    for (size_t i = 0; i < bench->count; i++) {
        const struct statement *statement = bench->items[i];

        ck_assert_ptr_nonnull(statement->row);
        ck_assert_ptr_nonnull(statement->text);
        for (const struct bench_key *key = statement->row->keys; key->name != NULL; key++) {
            const char *text = statement_text(statement, key->name);

            ck_assert(text != NULL || !key->needed);
            ck_assert(text == NULL || bench_form_fits(key->form, text));
        }
    }
}

START_TEST(cut_anywhere)
{
    for (size_t length = 0; length < sizeof sample; length++) {
        char *copy = malloc(length + 1); /* of that size, so that a sanitizer sees a read past it */

        memcpy(copy, sample, length);
        copy[length] = '\0';
        read_bytes(copy, length);
        check_whole();
        ck_assert_uint_le(diags.count, 2);
        free(copy);
        teardown();
        setup();
    }
    read_bytes(sample, sizeof sample - 1);
    ck_assert_uint_eq(diags.count, 0);
    ck_assert_uint_eq(bench->count, 10);
}
END_TEST

START_TEST(damaged_anywhere)
{
    for (size_t i = 0; i + 1 < sizeof sample; i++)
        for (unsigned bit = 0; bit < 8; bit++) {
            char copy[sizeof sample];

            memcpy(copy, sample, sizeof sample);
            copy[i] = (char)(copy[i] ^ (1 << bit));
            read_bytes(copy, sizeof sample - 1);
            check_whole();
            teardown();
            setup();
        }
}
END_TEST

START_TEST(too_much)
{
    char *bytes = malloc(4000000);

    memset(bytes, 'x', 4000000);
    read_bytes(bytes, 4000000);
    ck_assert_uint_eq(diags.count, 1);
    ck_assert_ptr_nonnull(strstr(diags.items[0].message, "more than 1000 bytes"));
    for (size_t i = 0; i < 4000000; i += 2)
        memcpy(bytes + i, "x\n", 2);
    read_bytes(bytes, 4000000);
    ck_assert_uint_eq(diags.count, DIAG_INPUT_LARGEST);
    ck_assert_uint_gt(diags.dropped, 10000);
    ck_assert_uint_lt(diags.dropped, BENCH_LINES_LARGEST + 2);
    memset(bytes, '\0', 4000000);
    read_bytes(bytes, 4000000);
    free(bytes);
    ck_assert_uint_eq(bench->count, 0);
}
END_TEST

START_TEST(too_many)
{
    for (unsigned i = 0; i <= BENCH_STATEMENTS_LARGEST; i++)
        read_text(arena_print(arena, "part ref=R%u value=1k", i));
    ck_assert_uint_eq(bench->count, BENCH_STATEMENTS_LARGEST);
    ck_assert_uint_eq(diags.count, 1);
}
END_TEST

Suite *check_bench_read_suite(void);

Suite *check_bench_read_suite(void)
{
    Suite *suite = suite_create("reading bench files");
    TCase *tests = tcase_create("read");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_loop_test(tests, examples, 0, (int)statement_row_count);
    tcase_add_test(tests, as_people_type);
    tcase_add_test(tests, quantities);
    tcase_add_loop_test(tests, mistakes, 0, sizeof bad / sizeof *bad);
    tcase_add_loop_test(tests, contradictions, 0, sizeof twice / sizeof *twice);
    tcase_add_test(tests, no_contradictions);
    tcase_add_test(tests, cut_anywhere);
    tcase_add_test(tests, damaged_anywhere);
    tcase_add_test(tests, too_much);
    tcase_add_test(tests, too_many);
    suite_add_tcase(suite, tests);
    return suite;
}
