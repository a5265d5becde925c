#include <config.h>

#include "made_circuit.h"

#include <stdlib.h>

/* Pieces that hostile and odd texts are put together from. */
static const char *const pieces[] = {
    "",
    "~",
    "=",
    "-",
    "--",
    "+",
    "0",
    "1",
    "83",
    "1e999",
    "99999999999999999999",
    "V",
    "A",
    "R",
    "SIN(",
    "AC",
    ";",
    ",",
    ":",
    "1-2",
    "230V",
    "345-0-345V",
    "\xC2\xB7",
    "\xC3\x97",
    "\xFF\xFE",
    "\xC2",
    "*",
    "#",
    "?",
    "EL34",
    "fuse",
    "HT",
    "-rescue",
    "_Small",
    ".sym",
    "4 x",
    "C14",
    "(",
    ")",
    "\t",
    " ",
    "\n",
    "pri",
    "%s%n",
    "D",
};
enum { PIECES = sizeof pieces / sizeof *pieces, ROUNDS = 3000, NUMBERS = 7 };

static unsigned draw(unsigned *state, unsigned limit)
{
    *state = *state * 1103515245u + 12345u;
    return (*state >> 16) % limit;
}

static char *odd_text(struct made *made, unsigned *state)
{
    struct text text = {0};
    char *copy;

    for (unsigned n = draw(state, 8); n > 0; n--)
        text_add(&text, pieces[draw(state, PIECES)]);
    copy = arena_copy(made->arena, text_bytes(&text));
    text_free(&text);
    return copy;
}

static const char *odd_or_null(struct made *made, unsigned *state)
{
    return draw(state, 3) == 0 ? NULL : odd_text(made, state);
}

static void add_odd_part(struct made *made, unsigned *state, unsigned number)
{
    static const char *const keys[] = {"windings", "kind", "type",  "rating",
                                       "voltage",  "ohms", "state", "load"};
    struct part *part = made_part(
        made, arena_print(made->arena, "%s%u", odd_text(made, state), number), NULL, NULL);

    part->value = odd_or_null(made, state);
    part->symbol = odd_or_null(made, state);
    part->library = odd_or_null(made, state);
    part->prefix = odd_or_null(made, state);
    part->letter = "\0XRVDLCFKT"[draw(state, 10)];
    part->dialect = draw(state, 2) ? QUANTITY_SPICE : QUANTITY_SCHEMATIC;
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (draw(state, 4) == 0)
            circuit_add_field(made->circuit, part, keys[i], odd_text(made, state));
    for (unsigned n = draw(state, NUMBERS); n > 0; n--)
        circuit_connect(made->circuit, part, arena_print(made->arena, "%s%u", draw(state, 2) ? "" :
                                                         odd_text(made, state), n),
                        odd_or_null(made, state), NULL,
                        draw(state, 4) == 0 ? NULL
                                            : circuit_net(made->circuit, odd_text(made, state),
                                                          (struct place){0}));
}

/* Whatever the texts are: an answer, the same twice, and a doubt where there is no kind. */
START_TEST(odd_texts)
{
    struct made made = made_start();
    struct text first = {0}, second = {0};
    unsigned state = 7;

    for (unsigned i = 0; i < ROUNDS; i++)
        add_odd_part(&made, &state, i);
    made_recognise(&made);
    parts_dump(made.parts, &first);
    for (size_t i = 0; i < made.parts->count; i++)
        if (made.parts->items[i].kind == PART_UNKNOWN)
            ck_assert_ptr_nonnull(made.parts->items[i].doubt);
    made_recognise(&made);
    parts_dump(made.parts, &second);
    ck_assert_str_eq(text_bytes(&first), text_bytes(&second));
    text_free(&first);
    text_free(&second);
    made_end(&made);
}
END_TEST

/* Long texts in every place: no crash, no hang. */
START_TEST(long_texts)
{
    static const char *const repeats[] = {"A",      "1", "-",     "1-",        "9;",
                                          "x:1-2 ", "*", "fuse ", "1-2 230V;", "1,"};
    enum { LONG = 200000 };

    for (size_t i = 0; i < sizeof repeats / sizeof *repeats; i++) {
        struct made made = made_start();
        size_t unit = strlen(repeats[i]);
        char *text = arena_alloc(made.arena, LONG + 1);
        struct part *part = made_part(&made, "T1", NULL, NULL), *fuse, *source;

        for (size_t k = 0; k < LONG; k++)
            text[k] = repeats[i][k % unit];
        part->value = part->symbol = part->library = part->prefix = text;
        circuit_add_field(made.circuit, part, "kind", "transformer");
        circuit_add_field(made.circuit, part, "windings", text);
        circuit_connect(made.circuit, part, text, text, NULL,
                        circuit_net(made.circuit, text, (struct place){0}));
        made_pins(&made, part, "1 2");
        fuse = made_part(&made, "F1", NULL, "FUSE");
        fuse->value = text;
        source = made_part(&made, "V1", NULL, NULL);
        source->letter = 'V';
        source->value = text;
        made_part(&made, text, text, text);
        made_recognise(&made);
        ck_assert_int_eq(made_info(&made, "T1")->kind, PART_TRANSFORMER);
        ck_assert_uint_lt(strlen(made_info(&made, "T1")->doubt), 5000);
        made_end(&made);
    }
}
END_TEST

START_TEST(many_pins)
{
    struct made made = made_start();
    struct part *part = made_part(&made, "V1", "EL34", "PENTODE");
    struct part *other = made_part(&made, "T1", NULL, "TRANSFORMER");
    struct part *third = made_part(&made, "S1", NULL, "SWITCH");

    for (unsigned i = 0; i < 3000; i++) {
        const char *number = arena_print(made.arena, "%u", i);
        struct net *net = circuit_net(made.circuit, number, (struct place){0});

        circuit_connect(made.circuit, part, number, "F", NULL, net);
        circuit_connect(made.circuit, other, number, i % 2 ? "SA" : "SB", NULL, net);
        circuit_connect(made.circuit, third, number, i % 2 ? "1A" : "COM", NULL, net);
    }
    made_recognise(&made);
    ck_assert_ptr_nonnull(made_info(&made, "T1")->doubt);
    made_end(&made);
}
END_TEST

/* The same circuit as a deck and as drawn gives the same dump. */
static void add_fuse_and_supply(struct made *made, bool deck)
{
    struct part *fuse = made_part(made, "F1", deck ? NULL : "T315mAL250V", deck ? "FUSE" : "Fuse");
    struct part *resistor = made_part(made, "R1", deck ? "4.7k" : "4k7", deck ? NULL : "R");
    struct part *capacitor = made_part(made, "C1",
                                       deck ? "47u"
                                            : "47\xC2\xB5"
                                              "F",
                                       deck ? NULL : "CP");
    struct part *diode = made_part(made, "D1", "1N4007", deck ? "1N4007" : "D");
    struct part *valve = made_part(made, "V1", deck ? NULL : "EL84", deck ? "EL84" : "EL84");
    struct part *transformer = made_part(made, "T1", NULL, deck ? "TRAFO" : "Transformer_1P_1S");

    circuit_add_field(made->circuit, transformer, "windings",
                      deck ? "pri:1-2:230V:11R,ht:3-4:250V:80R"
                           : "pri 1-2 230V 11R; ht 3-4 250V 80R");
    if (deck) {
        circuit_add_field(made->circuit, fuse, "rating", "T315mAL250V");
        fuse->letter = valve->letter = transformer->letter = 'X';
        resistor->letter = 'R';
        capacitor->letter = 'C';
        diode->letter = 'D';
        for (size_t i = 0; i < made->circuit->part_count; i++)
            made->circuit->parts[i]->dialect = QUANTITY_SPICE;
        circuit_add_model(made->circuit, "1N4007", "D", (struct place){0});
    }
    made_pins(made, fuse, deck ? "1=a 2=b" : "2=/psu/b 1=/psu/a");
    made_pins(made, transformer, deck ? "1=p 2=q 3=b 4=0" : "1=/p 2=/q 3=/psu/b 4=GND");
    made_pins(made, diode, deck ? "1=a 2=ht" : "1:K=HT 2:A=/psu/a");
    made_pins(made, resistor, deck ? "1=ht 2=ht2" : "1=HT 2=HT2");
    made_pins(made, capacitor, deck ? "1=ht2 2=0" : "2=GND 1=HT2");
    made_pins(made, valve, deck ? "1:A=ht2 2:G=g 3:K=0 4:S=ht" : "7:A=HT2 2:G1=g 3:K=GND 9:G2=HT");
}

START_TEST(formats_share_one_dump)
{
    struct text texts[2] = {{0}, {0}};

    for (int deck = 0; deck < 2; deck++) {
        struct made made = made_start();

        add_fuse_and_supply(&made, deck != 0);
        if (deck)
            for (size_t i = 0; i < made.circuit->net_count; i++)
                if (strncmp(made.circuit->nets[i]->name, "ht", 2) == 0)
                    made.circuit->nets[i]->leaf =
                        strcmp(made.circuit->nets[i]->name, "ht") == 0 ? "HT" : "HT2";
        made_recognise(&made);
        parts_dump(made.parts, &texts[deck]);
        made_end(&made);
    }
    ck_assert_str_eq(text_bytes(&texts[0]), text_bytes(&texts[1]));
    ck_assert_ptr_nonnull(strstr(text_bytes(&texts[0]), "marking=\"T315mAL250V\""));
    ck_assert_ptr_nonnull(strstr(text_bytes(&texts[0]), "part R1 resistor ohms=4700\n"));
    ck_assert_ptr_nonnull(strstr(text_bytes(&texts[0]), "  pin cathode 0 0\n"));
    text_free(&texts[0]);
    text_free(&texts[1]);
}
END_TEST

Suite *check_hostile_parts_suite(void);

Suite *check_hostile_parts_suite(void)
{
    Suite *suite = suite_create("hostile parts");
    TCase *tests = tcase_create("any input");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, odd_texts);
    tcase_add_test(tests, long_texts);
    tcase_add_test(tests, many_pins);
    tcase_add_test(tests, formats_share_one_dump);
    suite_add_tcase(suite, tests);
    return suite;
}
