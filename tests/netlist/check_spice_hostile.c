/* Decks cut short, damaged, or meant to do harm: read without a crash, a hang or silence. */
#include "base/text.h"
#include "netlist/spice_case.h"

static struct spice_case c;

static void setup(void)
{
    case_start(&c);
}

static void teardown(void)
{
    case_end(&c);
}

/* Every pin must be joined to a net that knows it. */
static void assert_consistent(void)
{
    size_t joined = 0, known = 0;

    ck_assert_ptr_nonnull(c.circuit);
    for (size_t i = 0; i < c.circuit->part_count; i++)
        for (size_t k = 0; k < c.circuit->parts[i]->pin_count; k++)
            joined += c.circuit->parts[i]->pins[k].net != NULL;
    for (size_t i = 0; i < c.circuit->net_count; i++)
        known += c.circuit->nets[i]->pin_count;
    ck_assert_uint_eq(joined, known);
    for (size_t i = 0; i < c.diags.count; i++)
        ck_assert_uint_ge(c.diags.items[i].place.line, 1);
}

static void read_again(const char *bytes, size_t length)
{
    teardown();
    setup();
    spice_reader.detect(source_from_bytes(c.arena, "deck.cir", bytes, length));
    case_read_bytes(&c, bytes, length);
    assert_consistent();
}

static const struct source *everything(struct arena *arena)
{
    struct diags diags = diags_start(arena);
    const struct source *source =
        source_read(arena, &diags, source_path("tests/netlist/spice/everything.cir"));

    ck_assert_ptr_nonnull(source);
    return source;
}

START_TEST(everything_at_once)
{
    struct arena *arena = arena_new();
    const struct source *source = everything(arena);

    read_again(source->raw, source->raw_length);
    ck_assert_uint_eq(c.circuit->part_count, 35);
    assert_value(&c, "R1", "14");
    assert_value(&c, "R4", "650");
    assert_value(&c, "X2.R1", "32500");
    assert_value(&c, "X2.X1.R1", "5");
    assert_field(&c, "XT1", "power", "60");
    ck_assert_uint_eq(diag_count_input(&c.diags, LEVEL_ERROR), 0);
    arena_free(arena);
}
END_TEST

START_TEST(cut_at_every_byte)
{
    struct arena *arena = arena_new();
    const struct source *source = everything(arena);

    for (size_t length = 0; length <= source->raw_length; length++)
        read_again(source->raw, length);
    arena_free(arena);
}
END_TEST

/* The same sequence on every machine. */
static unsigned next_random(unsigned *state)
{
    *state = *state * 1103515245u + 12345u;
    return *state >> 16;
}

START_TEST(bytes_changed)
{
    static const char awkward[] = "(){}[]\"'=,;$*+.\\\n\r\t &/0aXK\xC2\xFF";
    struct arena *arena = arena_new();
    const struct source *source = everything(arena);
    unsigned state = 1;

    for (int round = 0; round < 2000; round++) {
        char *copy = arena_copy_span(arena, source->raw, source->raw_length);
        unsigned changes = 1 + next_random(&state) % 8;

        for (unsigned i = 0; i < changes; i++)
            copy[next_random(&state) % source->raw_length] =
                awkward[next_random(&state) % sizeof awkward]; /* the last one is NUL */
        read_again(copy, source->raw_length);
    }
    arena_free(arena);
}
END_TEST

START_TEST(nul_bytes)
{
    read_again("t\nR1 a\0b 10k\n\0\nR2 a 0 1\n", 25);
    assert_value(&c, "R1", "10k");
    assert_value(&c, "R2", "1");
    case_diag(&c, LEVEL_WARNING, 1, 0, "NUL bytes");
}
END_TEST

static void add_many(struct text *text, const char *what, size_t times)
{
    for (size_t i = 0; i < times; i++)
        text_add(text, what);
}

static void read_built(struct text *text)
{
    read_again(text_bytes(text), text->length);
    text_free(text);
}

START_TEST(deep_parentheses)
{
    struct text deck = {0};

    text_add(&deck, "t\n.param x='");
    add_many(&deck, "(", 100000);
    text_add(&deck, "1");
    add_many(&deck, ")", 100000);
    text_add(&deck, "'\nR1 a 0 {");
    add_many(&deck, "(", 100000);
    text_add(&deck, "\nR2 a 0 {x}\nR3 a 0 ");
    add_many(&deck, "{", 100000);
    add_many(&deck, "}", 100000);
    text_add(&deck, "\nR4 a 0 {");
    add_many(&deck, "-", 100000);
    text_add(&deck, "1}\n.model M D");
    add_many(&deck, "(", 100000);
    text_add(&deck, "\n");
    read_built(&deck);
    assert_value(&c, "R2", "{x}"); /* unknown, not wrong */
    case_diag(&c, LEVEL_ERROR, 3, 8, "{ is never closed");
    case_diag(&c, LEVEL_WARNING, 6, 1, "nested too deep");
}
END_TEST

START_TEST(long_words)
{
    struct text deck = {0};

    text_add(&deck, "t\nR1 a 0 ");
    add_many(&deck, "7", 1000000);
    text_add(&deck, "\nR2 a 0 {");
    add_many(&deck, "7", 1000000);
    text_add(&deck, "}\nR3 ");
    add_many(&deck, "n", 1000000);
    text_add(&deck, " 0 1\nR");
    add_many(&deck, "4", 1000000);
    text_add(&deck, " a 0 1\nX1 a ");
    add_many(&deck, "s", 1000000);
    text_add(&deck, "\n.param ");
    add_many(&deck, "p", 1000000);
    text_add(&deck, "=1\n.");
    add_many(&deck, "q", 1000000);
    text_add(&deck, "\nR5 a 0 1\n");
    read_built(&deck);
    ck_assert_uint_eq(strlen(value_of(&c, "R1")), 1000000);
    case_diag(&c, LEVEL_WARNING, 3, 1, "R2: the value is not known");
    case_diag(&c, LEVEL_ERROR, 4, 4, "a name of 1000000 characters");
    case_diag(&c, LEVEL_ERROR, 5, 1, "a name of 1000001 characters");
    case_diag(&c, LEVEL_ERROR, 6, 1, "X1 lacks something");
    assert_value(&c, "R5", "1");
}
END_TEST

START_TEST(many_of_everything)
{
    struct text deck = {0};

    text_add(&deck, "t\nR1 a 0 1\n");
    add_many(&deck, "R1 a 0 1\n", 20000);
    text_add(&deck, "U1");
    add_many(&deck, " a", 100000);
    text_add(&deck, "\nX1");
    add_many(&deck, " a", 100000);
    text_add(&deck, "\nL1 a 0 1\nK1");
    add_many(&deck, " L1", 100000);
    text_add(&deck, " 1\n.subckt S");
    add_many(&deck, " p", 100000);
    text_add(&deck, "\n.ends\nR2 a 0 5");
    add_many(&deck, " x=1", 50000);
    add_many(&deck, "\n+", 50000);
    add_many(&deck, "\n.param x={x+1}", 20000);
    add_many(&deck, "\n.model M D(IS=1)", 20000);
    read_built(&deck);
    ck_assert_uint_eq(c.circuit->part_count, 20003);
    ck_assert_uint_gt(c.diags.dropped, 0);
}
END_TEST

START_TEST(growth_is_limited)
{
    struct text deck = {0};

    text_add(&deck, "t\nX1 a S0\n");
    for (int i = 0; i < 25; i++) {
        text_print(&deck, ".subckt S%d p\n", i);
        for (int k = 0; k < 10; k++)
            text_print(&deck, "X%d p S%d\n", k, i + 1);
        text_add(&deck, ".ends\n");
    }
    text_add(&deck, ".subckt S25 p\nR1 p 0 1\n.ends\nR1 a 0 1\n.end\n");
    read_built(&deck);
    ck_assert_uint_le(c.circuit->part_count, 50000);
    ck_assert_uint_eq(diag_count_input(&c.diags, LEVEL_ERROR), 1);
    ck_assert_ptr_nonnull(strstr(c.diags.items[0].message, "the deck is too large"));
}
END_TEST

START_TEST(deep_instances)
{
    struct text deck = {0};

    text_add(&deck, "t\nX1 a S0\n");
    for (int i = 0; i < 100; i++)
        text_print(&deck, ".subckt S%d p\nR1 p 0 %d\nX1 p S%d\n.ends\n", i, i, i + 1);
    text_add(&deck, ".end\n");
    read_built(&deck);
    ck_assert_uint_eq(c.circuit->part_count, 32); /* 31 resistors and the instance that stays */
    ck_assert_uint_eq(c.diags.count, 1);
    ck_assert_ptr_nonnull(strstr(c.diags.items[0].message, "is too deep inside others"));
}
END_TEST

START_TEST(deep_definitions)
{
    struct text deck = {0};

    text_add(&deck, "t\nR1 a 0 1\n");
    add_many(&deck, ".subckt S p\n", 100000);
    add_many(&deck, ".ends\n", 100000);
    read_built(&deck);
    case_diag(&c, LEVEL_ERROR, 34, 1, "inside each other");
}
END_TEST

START_TEST(rubbish)
{
    unsigned state = 7;
    char bytes[4096];

    for (int round = 0; round < 50; round++) {
        for (size_t i = 0; i < sizeof bytes; i++)
            bytes[i] = (char)next_random(&state);
        read_again(bytes, sizeof bytes);
    }
}
END_TEST

Suite *check_spice_hostile_suite(void);

Suite *check_spice_hostile_suite(void)
{
    Suite *suite = suite_create("spice hostile");
    TCase *tests = tcase_create("hostile decks");

    tcase_set_timeout(tests, 60);
    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, everything_at_once);
    tcase_add_test(tests, cut_at_every_byte);
    tcase_add_test(tests, bytes_changed);
    tcase_add_test(tests, nul_bytes);
    tcase_add_test(tests, deep_parentheses);
    tcase_add_test(tests, long_words);
    tcase_add_test(tests, many_of_everything);
    tcase_add_test(tests, growth_is_limited);
    tcase_add_test(tests, deep_instances);
    tcase_add_test(tests, deep_definitions);
    tcase_add_test(tests, rubbish);
    suite_add_tcase(suite, tests);
    return suite;
}
