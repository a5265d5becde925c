#include <config.h>

#include "made_circuit.h"

/* A winding, for comparison: "NAME primary? START-END volts ohms amps; ..." */
static char *windings_text(struct made *made, const struct part_info *info)
{
    struct text text = {0};
    char *copy;

    for (size_t i = 0; i < info->section_count; i++) {
        const struct section *section = &info->sections[i];
        const struct winding *winding = &info->windings[section->winding];

        text_print(&text, "%s%s%s %s-%s %.6g %.6g %.6g", i > 0 ? "; " : "", winding->name,
                   winding->primary ? "*" : "", section->start->number, section->end->number,
                   section->volts.value, section->ohms.value, section->amps.value);
    }
    copy = arena_copy(made->arena, text_bytes(&text));
    text_free(&text);
    return copy;
}

/* Fields and what they mean: volts, ohms and amperes per section, 0 if not known; "*" marks the
 * primary. */
static const struct good_row {
    const char *field, *want;
    bool doubt;
} good[] = {
    {"pri 1-2 230V 11R; HT 3-4-5 345-0-345V 75+75R 150mA; heater 6-7 6.3V 0.05R 4A; bias 8-9 50V "
     "20R",
     "pri* 1-2 230 11 0; HT 3-4 345 75 0.15; HT 4-5 345 75 0.15; heater 6-7 6.3 0.05 4; "
     "bias 8-9 50 20 0",
     false},
    {"pri:1-2:230V:11R,HT:3-4-5:345-0-345V:75+75R,heater:6-7:6.3V:0.05R,bias:8-9:50V:20R",
     "pri* 1-2 230 11 0; HT 3-4 345 75 0; HT 4-5 345 75 0; heater 6-7 6.3 0.05 0; bias 8-9 50 20 0",
     false},
    {"P 1-2 120V 3R; S 3-4-5 300+320V 124R; h 6-7 6,3V 1R; b 8-9 9V 1R",
     "P* 1-2 120 3 0; S 3-4 300 60 0; S 4-5 320 64 0; h 6-7 6.3 1 0; b 8-9 9 1 0", false},
    {"1-2 230V 8R; 3-4-5 250-0-250V 40+40R; 6-7 6.3V 0R; 8-9 5V 0.1R",
     "winding 1* 1-2 230 8 0; winding 2 3-4 250 40 0; winding 2 4-5 250 40 0; winding 3 6-7 6.3 0 "
     "0; "
     "winding 4 8-9 5 0.1 0",
     false},
    {"mains 1-2-3 110-120V 2+2R; x 4-5-6-7 50-0-250-300V 1+2+3R; y 8-9 5V 1R",
     "mains* 1-2 110 2 0; mains* 2-3 120 2 0; x 4-5 50 1 0; x 5-6 250 2 0; x 6-7 50 3 0; y 8-9 5 1 "
     "0",
     false},
    {"PRIMARY\t1-2\t230V 8\xCE\xA9 ; ht 3-4-5 300-0-300V 50+50 ; h 6-7 6.3V 0.1 ; z 8-9 1V 1R;",
     "PRIMARY* 1-2 230 8 0; ht 3-4 300 50 0; ht 4-5 300 50 0; h 6-7 6.3 0.1 0; z 8-9 1 1 0", false},
    /* 10 % at 100 VA: 300 V have 90 ohm with the primary's share, 45 of their own; 26.45 ohm of the
     * primary are the other 45, times (300 / 230)^2 */
    {"pri 1-2 230V 100VA 10%; ht 3-4 300V 100VA 10%; x 5-6 50V 1R; h 7-8-9 6.3V 6.3VA 10%",
     "pri* 1-2 230 26.45 0.434783; ht 3-4 300 45 0.333333; x 5-6 50 1 0; h 7-8 3.15 0.1575 1; "
     "h 8-9 3.15 0.1575 1",
     false},
    /* something is missing, and is said to be */
    {"pri 1-2 230V 8R; ht 3-4-5 300-0-300V; h 6-7 6.3V 0.1R; z 8-9 1V 1R",
     "pri* 1-2 230 8 0; ht 3-4 300 0 0; ht 4-5 300 0 0; h 6-7 6.3 0.1 0; z 8-9 1 1 0", true},
    {"pri 1-2 230V 8R; ht 3-4-5 300-0-300V 50+50R",
     "pri* 1-2 230 8 0; ht 3-4 300 50 0; ht 4-5 300 50 0", true},
    {"a 1-2 230V 8R; b 3-4 230V 8R; c 5-6-7-8 60V 6R; d 8-9 6V 1R",
     "a 1-2 230 8 0; b 3-4 230 8 0; c 5-6 20 2 0; c 6-7 20 2 0; c 7-8 20 2 0; d 8-9 6 1 0", true},
};

/* Fields with a mistake, and the piece the doubt names. */
static const struct bad_row {
    const char *field, *piece;
} bad[] = {
    {"pri 1-2 230V 11R; HT 3-4-99 345-0-345V", "3-4-99"},
    {"pri 1-2 230X", "230X"},
    {"pri 1-2 230V 11R; HT 3-4-5 345-0V 75R", "345-0V"},
    {"pri 1-2 230V 11R; HT 3-4-5 345-345-345V 75R", "345-345-345V"},
    {"pri 1-2 230V 11R; HT 3-4-5 345-0-345V 1+2+3R", "1+2+3R"},
    {"pri", "pri"},
    {"pri 1", "1"},
    {";;;", ";;;"},
    {"pri 1-2 230V 11R 1A 1 1 1 1 1 1", "1"},
    {"pri 1-2 230V 70%", "70%"},
    {"pri 1-2 230V 0VA", "0VA"},
    {"pri 1-2 -230V", "-230V"},
    {"pri 1-2 0V", "0V"},
    {"pri 1-2 1e999V", "1e999V"},
    {"pri 1--2 230V", "1--2"},
    {"pri 1-2 230V; sec 2-3 6V", "2"},
};

static struct part *add_transformer(struct made *made, const char *field)
{
    struct part *part = made_part(made, "T1", NULL, "TRANSFORMER");

    made_pins(made, part, "1=a 2=b 3=c 4=d 5=e 6=f 7=g 8=h 9=i");
    made_pins(made, made_part(made, "R1", "1k", "R"), "1=a 2=b");
    made_pins(made, made_part(made, "R2", "1k", "R"), "1=f 2=g");
    if (field != NULL)
        circuit_add_field(made->circuit, part, "windings", field);
    return part;
}

START_TEST(good_fields)
{
    struct made made = made_start();
    const struct part_info *info;

    add_transformer(&made, good[_i].field);
    made_recognise(&made);
    info = made_info(&made, "T1");
    ck_assert_msg(strcmp(windings_text(&made, info), good[_i].want) == 0,
                  "%s\n got %s\nwant %s\n%s", good[_i].field, windings_text(&made, info),
                  good[_i].want, info->doubt != NULL ? info->doubt : "");
    ck_assert_msg((info->doubt != NULL) == good[_i].doubt, "%s: doubt is %s", good[_i].field,
                  info->doubt != NULL ? info->doubt : "none");
    ck_assert_int_eq(info->pins[0].role, PIN_WINDING);
    made_end(&made);
}
END_TEST

START_TEST(bad_fields)
{
    struct made made = made_start();
    const struct part_info *info;

    add_transformer(&made, bad[_i].field);
    made_recognise(&made);
    info = made_info(&made, "T1");
    ck_assert_msg(info->doubt != NULL, "%s: no doubt", bad[_i].field);
    ck_assert_msg(strstr(info->doubt, bad[_i].piece) != NULL, "%s: %s", bad[_i].field, info->doubt);
    made_end(&made);
}
END_TEST

/* Windings told by the names of the pins. */
static const struct named_row {
    const char *value, *pins, *want;
} named[] = {
    {"280-0-280 V", "1:AA 2:AB 3:SA 4:SC 5:SB", "A* 1-2 0 0 0; S 3-4 280 0 0; S 4-5 280 0 0"},
    {NULL, "1:AA 2:AB 3:SA 4:SB 5:SC 6:SD", "A* 1-2 0 0 0; SA-SB 3-4 0 0 0; SC-SD 5-6 0 0 0"},
    {"340-0-340 V", "1:5v 2:5v 3:HT 4:CT 5:HT 6:6.3v 7:CT 8:6.3v 9:230v 10:Com",
     "5V 1-2 5 0 0; HT 3-4 340 0 0; HT 4-5 340 0 0; 6.3V 6-7 3.15 0 0; 6.3V 7-8 3.15 0 0; "
     "230V* 9-10 230 0 0"},
    {NULL, "1:P1 2:P2 3:Sp1 4:Sp2 5:ct", "P* 1-2 0 0 0; SP 3-5 0 0 0; SP 5-4 0 0 0"},
    {NULL, "1:PRI 2:PRI 3:HT 4:HTCT 5:HT 6:BIAS 7:BIAS 8:6.3V 9:6.3V",
     "PRI* 1-2 0 0 0; HT 3-4 0 0 0; HT 4-5 0 0 0; BIAS 6-7 0 0 0; 6.3V 8-9 6.3 0 0"},
    {NULL, "1:115V 2:115V 3:115V 4:115V 5:9V 6:9V",
     "115V_1* 1-2 115 0 0; 115V_2* 3-4 115 0 0; 9V 5-6 9 0 0"},
    {"280-0-280 V", "1 2 3 4 5", ""},
    {NULL, "1:Q 2:R 3:S 4:T", ""},
};

START_TEST(named_windings)
{
    struct made made = made_start();
    const struct part_info *info;

    made_pins(&made, made_part(&made, "TR1", named[_i].value, "PT"), named[_i].pins);
    made_recognise(&made);
    info = made_info(&made, "TR1");
    ck_assert_str_eq(windings_text(&made, info), named[_i].want);
    ck_assert_ptr_nonnull(info->doubt); /* ohms are not known */
    made_end(&made);
}
END_TEST

/* Any handbook: reg * V^2 / VA, half of it in each winding. 230 V 160 VA at 9 %: 230^2 * 0.09 / 160
 * = 29.8 ohm, half 14.9; the ranges seen for such a primary are 10 to 13 (toroid) and 8 to 30 ohm
 * (from memory). */
START_TEST(ohms_are_assumed_from_the_rating)
{
    struct made made = made_start();
    const struct part_info *info;
    const struct figure *ohms;

    add_transformer(&made, "pri 1-2 230V; sec 3-4 320V 0.5A; h 6-7 6.3V 0.1R");
    made.circuit->parts[0]->value = "160VA";
    made_recognise(&made);
    info = made_info(&made, "T1");
    ohms = &info->sections[0].ohms;
    assert_within(ohms->value, 0.5 * 0.09 * 230 * 230 / 160, 0.1);
    ck_assert_int_eq(ohms->origin, FIGURE_ASSUMED);
    ck_assert_ptr_nonnull(ohms->why);
    ck_assert(ohms->low < ohms->value && ohms->value < ohms->high);
    assert_within(info->sections[1].ohms.value, 0.5 * 0.09 * 320 / 0.5, 0.1);
    ck_assert_int_eq(info->sections[2].ohms.origin, FIGURE_FROM_NETLIST);
    made_end(&made);
}
END_TEST

/* An output transformer's copper by the impedances of its value; common practice, no source. A resistance that is
 * told stays. */
static const struct output_row {
    const char *value, *field;
    double ohms[4], low, high; /* of the sections in order; range of the first */
} outputs[] = {
    {"5k2:8", "p 1-2; s 3-4", {208, 0.4}, 78, 416},
    {"8k p-p / 20W", "p 1-2-3; s 4-5", {160, 160, 0.5}, 60, 320},
    {"SE 5k:8", "p 1-2 230R; s 3-4", {230, 0.4}, 230, 230},
    {"PP OT", "p 1-2-3; s 4-5", {100, 100, 0.5}, 30, 400},
};

START_TEST(output_ohms_are_assumed_from_the_impedance)
{
    const struct output_row *row = &outputs[_i];
    struct made made = made_start();
    struct part *part = made_part(&made, "T1", row->value, "OT_SE");
    const struct part_info *info;

    made_pins(&made, part, "1 2 3 4 5");
    circuit_add_field(made.circuit, part, "windings", row->field);
    made_recognise(&made);
    info = made_info(&made, "T1");
    ck_assert_int_eq(info->kind, PART_OUTPUT_TRANSFORMER);
    ck_assert_ptr_null(info->doubt);
    for (size_t i = 0; i < info->section_count; i++)
        assert_within(info->sections[i].ohms.value, row->ohms[i], 0.1);
    assert_within(info->sections[0].ohms.low, row->low, 0.1);
    assert_within(info->sections[0].ohms.high, row->high, 0.1);
    made_end(&made);
}
END_TEST

START_TEST(shield_is_told)
{
    struct made made = made_start();
    struct part *part = made_part(&made, "T1", NULL, "TRANSFORMER");

    made_pins(&made, part, "1 2 3 4 5:SHIELD");
    circuit_add_field(made.circuit, part, "Windings", "pri 1-2 230V 1R; s 3-4 6V 1R");
    made_recognise(&made);
    ck_assert_int_eq(made_info(&made, "T1")->pins[4].role, PIN_SHIELD);
    ck_assert_ptr_null(made_info(&made, "T1")->doubt);
    made_end(&made);
}
END_TEST

Suite *check_windings_suite(void);

Suite *check_windings_suite(void)
{
    Suite *suite = suite_create("windings");
    TCase *tests = tcase_create("grammar");

    tcase_add_loop_test(tests, good_fields, 0, sizeof good / sizeof *good);
    tcase_add_loop_test(tests, bad_fields, 0, sizeof bad / sizeof *bad);
    tcase_add_loop_test(tests, named_windings, 0, sizeof named / sizeof *named);
    tcase_add_test(tests, ohms_are_assumed_from_the_rating);
    tcase_add_loop_test(tests, output_ohms_are_assumed_from_the_impedance, 0,
                        sizeof outputs / sizeof *outputs);
    tcase_add_test(tests, shield_is_told);
    suite_add_tcase(suite, tests);
    return suite;
}
