/* Decks: every device has a spelling, names are safe and unique whatever the netlist holds, the start is
 * what was asked. */
#include "check_prearc.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/source.h"
#include "base/text.h"
#include "deck/deck_names.h"
#include "device/device.h"
#include "ngspice/deck_case.h"

/* One resistor a net and what makes a source, so that all are in one deck. */
static struct deck_case case_of(const char *text)
{
    struct arena *arena = arena_new();

    return deck_case_read(source_from_bytes(arena, "inside", text, strlen(text)), arena);
}

START_TEST(every_device_is_spelled)
{
    for (size_t i = 0; devices[i] != NULL; i++)
        ck_assert_msg(devices[i]->spell != NULL, "%s has no spelling", devices[i]->name);
}
END_TEST

/* The table against the header: a device that is declared and not listed would escape the test above. */
START_TEST(every_device_is_listed)
{
    FILE *header = fopen(source_path("src/device/device.h"), "r");
    size_t declared = 0, listed = 0;
    char line[256];

    ck_assert_ptr_nonnull(header);
    while (fgets(line, sizeof line, header) != NULL && strstr(line, "No netlist holds them") == NULL)
        declared += strncmp(line, "extern const struct device device_", 34) == 0;
    fclose(header);
    while (devices[listed] != NULL)
        listed++;
    ck_assert_uint_gt(declared, 0);
    ck_assert_uint_eq(declared, listed);
}
END_TEST

START_TEST(device_without_spelling_is_refused)
{
    struct deck_case it = case_of("x\nV1 a 0 SIN(0 10 50)\nR1 a b 10\nR2 b 0 10\n.end\n");
    struct device mute = device_resistor;

    ck_assert_ptr_null(deck_refusal(it.arena, it.network));
    mute.spell = NULL;
    for (size_t i = 0; i < it.network->element_count; i++)
        if (strcmp(it.network->elements[i]->part->ref, "R2") == 0)
            it.network->elements[i]->device = &mute;
    ck_assert_ptr_nonnull(strstr(deck_refusal(it.arena, it.network), "R2: how a resistor"));
    deck_case_end(&it);
}
END_TEST

static bool is_safe(const char *name)
{
    return strlen(name) <= 60 && strstr(name, "__") == NULL &&
           strspn(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_") == strlen(name) &&
           name[0] != '\0';
}

/* A divider from a source, each of whose nodes has one of these names; netlists of other formats may hold
 * any. */
static const char *const hostile[] = {
    "HT A",         "HT_A",      "ht a",       "\"quoted\"",   "'single'", "line\nbreak", ".end",
    "* comment",    "$ dollar",  "; semicolon", "+12V",        "-12V",     "12V",         "007",
    "{brace}",      "v(ht)",     "a,b",        "\xc3\xa9t\xc3\xa9", "\xe2\x84\xa6", "\xf0\x9f\x92\xa1", "gnd",
    "time",         "\x1b[2J",   "",           "%s%n",         "a__b",     "net",         "pi",
};
enum { HOSTILE = sizeof hostile / sizeof *hostile };

/* Renames node I of the network, past every reader. */
static void rename_nodes(struct deck_case *it)
{
    struct node *nodes = it->network->nodes;
    char *longest = arena_alloc(it->arena, 10001);
    size_t next = 0;

    memset(longest, 'x', 10000);
    for (size_t i = 0; i < it->network->node_count; i++) {
        if (i == it->network->ground)
            continue;
        nodes[i].name = next < HOSTILE ? hostile[next] : longest; /* the last ones alike */
        next++;
    }
    ck_assert_uint_gt(next, HOSTILE + 1);
}

static struct deck_case hostile_case(void)
{
    struct text text = {0};
    struct deck_case it;
    struct arena *words = arena_new();

    text_add(&text, "hostile\nV1 n0 0 SIN(0 100 50)\n");
    for (int i = 0; i < HOSTILE + 2; i++)
        text_print(&text, "R%d n%d n%d 10\n", i, i, i + 1);
    text_print(&text, "RL n%d 0 100\nCL n%d 0 1u\n.end\n", HOSTILE + 2, HOSTILE + 2);
    it = case_of(arena_copy(words, text_bytes(&text)));
    arena_free(words);
    text_free(&text);
    rename_nodes(&it);
    return it;
}

START_TEST(names_are_safe_and_unique)
{
    struct deck_case it = hostile_case();
    struct deck_names names =
        deck_names_choose(it.arena, it.network, it.network->element_count);

    for (size_t i = 0; i < it.network->node_count; i++) {
        ck_assert_msg(is_safe(names.nodes[i]), "%s", names.nodes[i]);
        for (size_t k = 0; k < i; k++)
            ck_assert_msg(strcasecmp(names.nodes[i], names.nodes[k]) != 0, "%s twice", names.nodes[i]);
    }
    for (size_t i = 0; i < it.network->element_count; i++)
        for (size_t k = 0; k < i; k++)
            ck_assert_int_ne(strcasecmp(names.elements[i], names.elements[k]), 0);
    deck_case_end(&it);
}
END_TEST

/* Every line is a comment, an element, a card or a continuation; nothing of a name gets out. */
START_TEST(hostile_names_stay_inside)
{
    struct deck_case it = hostile_case();
    struct text deck = deck_case_write(&it, NULL, DECK_SOLVED);
    size_t ends = 0;

    for (const char *c = text_bytes(&deck); *c != '\0'; c++)
        ck_assert_msg(*c == '\n' || (*c >= ' ' && *c <= '~'), "byte %d", *c);
    for (const char *line = text_bytes(&deck); line != NULL && *line != '\0'; line = strchr(line, '\n')) {
        line += *line == '\n';
        if (*line == '\0')
            break;
        ck_assert_msg(strchr("*.+RCV", *line) != NULL, "%.60s", line);
        ck_assert_int_ne(strncmp(line, "*#", 2), 0);
        ends += strncmp(line, ".end", 4) == 0;
    }
    ck_assert_uint_eq(ends, 1);
    if (simulator_wanted("hostile names"))
        deck_case_compare(&deck, "hostile names");
    text_free(&deck);
    deck_case_end(&it);
}
END_TEST

/* From rest nothing of the solution is in the deck's elements; else the capacitor holds it. */
START_TEST(start_is_what_was_asked)
{
    struct deck_case it =
        case_of("x\nV1 a 0 SIN(0 10 50)\nD1 a b DX\nC1 b 0 100u\nR2 b 0 1k\n.model DX D(IS=1n)\n.end\n");
    struct text solved = deck_case_write(&it, NULL, DECK_SOLVED);
    struct text rest = deck_case_write(&it, NULL, DECK_REST);
    const char *ic = strstr(text_bytes(&solved), " IC=");

    ck_assert_ptr_nonnull(ic);
    ck_assert_double_gt(atof(ic + 4), 5);
    ck_assert_ptr_nonnull(strstr(text_bytes(&rest), " IC=0\n"));
    ck_assert_ptr_nonnull(strstr(text_bytes(&rest), "hardly moves after"));
    text_free(&solved);
    text_free(&rest);
    deck_case_end(&it);
}
END_TEST

Suite *check_deck_suite(void);

Suite *check_deck_suite(void)
{
    Suite *suite = suite_create("deck");
    TCase *tests = tcase_create("decks");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, every_device_is_spelled);
    tcase_add_test(tests, every_device_is_listed);
    tcase_add_test(tests, device_without_spelling_is_refused);
    tcase_add_test(tests, names_are_safe_and_unique);
    tcase_add_test(tests, hostile_names_stay_inside);
    tcase_add_test(tests, start_is_what_was_asked);
    suite_add_tcase(suite, tests);
    return suite;
}
