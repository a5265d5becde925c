#include "check_prearc.h"

#include <string.h>

#include "base/arena.h"
#include "base/source.h"

static struct arena *arena;

static void setup(void)
{
    arena = arena_new();
}

static void teardown(void)
{
    arena_free(arena);
}

static const struct source *decoded(const char *bytes, size_t length)
{
    return source_from_bytes(arena, "test", bytes, length);
}

START_TEST(utf8_stays)
{
    const struct source *source = decoded("4,7k\xCE\xA9\n", 7);

    ck_assert_str_eq(source->encoding, "UTF-8");
    ck_assert_str_eq(source->text, "4,7k\xCE\xA9\n");
}
END_TEST

START_TEST(byte_order_mark_is_dropped)
{
    const struct source *source = decoded("\xEF\xBB\xBFR1", 5);

    ck_assert_str_eq(source->text, "R1");
}
END_TEST

START_TEST(latin1_micro)
{
    const struct source *source = decoded("47\xB5" "F", 4);

    ck_assert_str_eq(source->encoding, "ISO-8859-1");
    ck_assert_str_eq(source->text, "47\xC2\xB5" "F");
}
END_TEST

START_TEST(utf16_without_mark)
{
    const struct source *source = decoded("R\0" "1\0" " \0" "\xB5\0" "a\0", 10);

    ck_assert_str_eq(source->encoding, "UTF-16LE");
    ck_assert_str_eq(source->text, "R1 \xC2\xB5" "a");
}
END_TEST

START_TEST(overlong_utf8_is_not_utf8)
{
    const struct source *source = decoded("a\xC0\x80", 3);

    ck_assert_str_eq(source->encoding, "ISO-8859-1");
}
END_TEST

START_TEST(lines_lose_their_ends)
{
    const struct source *source = decoded("one\r\ntwo\nthree", 14);
    size_t length;
    const char *line = source_line(source, 2, &length);

    ck_assert_uint_eq(length, 3);
    ck_assert(strncmp(line, "two", 3) == 0);
    ck_assert_ptr_nonnull(source_line(source, 1, &length));
    ck_assert_uint_eq(length, 3);
    ck_assert_ptr_null(source_line(source, 4, &length));
}
END_TEST

Suite *check_source_suite(void);

Suite *check_source_suite(void)
{
    Suite *suite = suite_create("source");
    TCase *tests = tcase_create("encodings");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, utf8_stays);
    tcase_add_test(tests, byte_order_mark_is_dropped);
    tcase_add_test(tests, latin1_micro);
    tcase_add_test(tests, utf16_without_mark);
    tcase_add_test(tests, overlong_utf8_is_not_utf8);
    tcase_add_test(tests, lines_lose_their_ends);
    suite_add_tcase(suite, tests);
    return suite;
}
