#include <config.h>

#include "made_circuit.h"

/* Expected roles, in order of the pins as written: "role" or "role.unit" (unit from 0). */
static void check_roles(struct made *made, const char *ref, const char *want)
{
    const struct part_info *info = made_info(made, ref);
    struct text got = {0};

    for (size_t i = 0; i < info->part->pin_count; i++) {
        text_print(&got, "%s%s", i > 0 ? " " : "", pin_role_name(info->pins[i].role));
        if (info->pins[i].unit > 0)
            text_print(&got, ".%zu", info->pins[i].unit);
    }
    ck_assert_msg(strcmp(text_bytes(&got), want) == 0, "%s %s: got %s, want %s (%s)", ref,
                  info->part->value, text_bytes(&got), want,
                  info->doubt != NULL ? info->doubt : "no doubt");
    text_free(&got);
}

#define DOUBLE_9A \
    "anode.1 grid.1 cathode.1 heater heater anode grid cathode heater-tap"
#define DOUBLE_8BD "grid.1 anode.1 cathode.1 grid anode cathode heater heater"
#define BEAM_7AC "none heater anode screen grid none heater cathode"

/* Pins 1 to 8 or 9 of each base, unnamed. Sources stand with each base in rules/parts/valves.xml.
 */
static const struct base_row {
    const char *type, *pins, *roles;
} bases[] = {
    {"12AX7", "1 2 3 4 5 6 7 8 9", DOUBLE_9A},  {"12AT7", "1 2 3 4 5 6 7 8 9", DOUBLE_9A},
    {"12AU7", "1 2 3 4 5 6 7 8 9", DOUBLE_9A},  {"12AY7", "1 2 3 4 5 6 7 8 9", DOUBLE_9A},
    {"ECC83", "1 2 3 4 5 6 7 8 9", DOUBLE_9A},  {"6SN7GT", "1 2 3 4 5 6 7 8", DOUBLE_8BD},
    {"6SL7GT", "1 2 3 4 5 6 7 8", DOUBLE_8BD},
    {"EF86", "1 2 3 4 5 6 7 8 9",
     "screen shield cathode heater heater anode shield suppressor grid"},
    {"EL84", "1 2 3 4 5 6 7 8 9", "none grid cathode heater heater none anode none screen"},
    {"EL34", "1 2 3 4 5 6 7 8", "suppressor heater anode screen grid none heater cathode"},
    {"6V6GT", "1 2 3 4 5 6 7 8", BEAM_7AC},     {"6L6GC", "1 2 3 4 5 6 7 8", BEAM_7AC},
    {"5881", "1 2 3 4 5 6 7 8", BEAM_7AC},      {"KT66", "1 2 3 4 5 6 7 8", BEAM_7AC},
    {"KT88", "1 2 3 4 5 6 7 8", BEAM_7AC},      {"6550", "1 2 3 4 5 6 7 8", BEAM_7AC},
    {"6AQ5", "1 2 3 4 5 6 7", "grid cathode heater heater anode screen grid"},
    {"ECL82", "1 2 3 4 5 6 7 8 9",
     "grid.1 cathode grid heater heater anode screen cathode.1 anode.1"},
    {"ECL86", "1 2 3 4 5 6 7 8 9",
     "grid.1 cathode.1 screen heater heater anode cathode grid anode.1"},
    {"GZ34", "2 4 6 8", "heater anode.1 anode cathode"},
    {"5Y3GT", "2 4 6 8", "heater anode.1 anode cathode"},
    {"5U4G", "2 4 6 8", "heater anode.1 anode cathode"},
    {"5U4GB", "2 4 6 8", "heater anode.1 anode cathode"},
    {"5V4G", "2 4 6 8", "heater anode.1 anode cathode"},
    {"GZ37", "2 4 6 8", "heater anode.1 anode cathode"},
    {"EZ80", "1 3 4 5 7", "anode.1 cathode heater heater anode"},
    {"EZ81", "1 3 4 5 7", "anode cathode heater heater anode.1"},
    {"6X5GT", "2 3 5 7 8", "heater anode anode.1 heater cathode"},
    {"6X4", "1 3 4 6 7", "anode heater heater anode.1 cathode"},
};

START_TEST(base_pins)
{
    struct made made = made_start();

    made_pins(&made, made_part(&made, "V1", bases[_i].type, NULL), bases[_i].pins);
    made_recognise(&made);
    check_roles(&made, "V1", bases[_i].roles);
    ck_assert_msg(made_info(&made, "V1")->doubt == NULL, "%s", made_info(&made, "V1")->doubt);
    made_end(&made);
}
END_TEST

/* Pins with names, in the order in which a netlist may hold them. */
static const struct named_row {
    const char *ref, *value, *symbol, *pins, *roles;
    bool doubt;
} named[] = {
    /* valves */
    {"V1", "ECC83", "ECC83", "6:A 7:G 8:K 1:A 2:G 3:K 4:F1 5:F1 9:F2",
     "anode grid cathode anode.1 grid.1 cathode.1 heater heater heater-tap", false},
    {"V1", "ECC83", "TRIODE", "2:G 1:A 3:K", "grid anode cathode", false},
    {"V1", "12AX7", "TRIODE", "1:A1 2:G1 3:K1 6:A2 7:G2 8:K2",
     "anode grid cathode anode.1 grid.1 cathode.1", false},
    {"V3", "6V6GT", "EL84", "7:A 9:G2 2:G1 3:K 4:F1 5:F2",
     "anode screen grid cathode heater heater", false},
    {"V3", "EL34", "PENTODE", "1:a 2:g1 3:g2 4:k 5:f 6:f 7:g3",
     "anode grid screen cathode heater heater suppressor", false},
    {"V3", "EL84", "PENTODE", "1:A 2:G2 3:G1 4:G3 5:K", "anode screen grid suppressor cathode",
     false},
    {"V4", "ECL82", "ECL82", "9:aT 1:gT 8:kT 6:aP 3:g1P 7:g2P 2:kP 4:H 5:H",
     "anode.1 grid.1 cathode.1 anode grid screen cathode heater heater", false},
    {"V5", "GZ34", "DIODE_TUBE", "1:A 2:K", "anode cathode", false},
    {"V5", "5Y3GT", "5Y3", "2:F 4:A 6:A 8:F", "heater anode.1 anode cathode", false},
    {"V5", NULL, "DIODE_TUBE", "1:A1 2:A2 3:F 4:F", "anode anode.1 heater cathode", false},
    {"V6", "ECC83", "TRIODE", "1:~ 2:~ 3:~", "anode grid cathode", true},
    {"V6", "ECC83", "ECC83", "6 7 8", "anode grid cathode", false},
    {"V6", "EL34", "PENTODE", "1:~ 2:~ 3:~ 4:~", "suppressor heater anode screen", true},
    /* bridges, in the four orders that symbols have */
    {"D1", NULL, "BRIDGE", "1:+ 2:- 3:~ 4:~", "plus minus ac ac", false},
    {"D1", NULL, "BRIDGE", "1:V+ 2:~1 3:~2 4:V-", "plus ac ac minus", false},
    {"D1", NULL, "BRIDGE", "1:+ 2:~~ 3:~~ 4:-", "plus ac ac minus", false},
    {"D1", NULL, "BRIDGE", "1:+ 2:~~ 3:- 4:~~", "plus ac minus ac", false},
    {"D1", NULL, "BRIDGE", "4 2 1 3", "ac minus plus ac", true},
    {"D1", NULL, "BRIDGE", "1:+ 2:+ 3:~ 4:~", "plus plus ac ac", true},
    /* diodes */
    {"D1", "1N4007", "D", "1:K 2:A", "cathode anode", false},
    {"D1", "1N4007", "D", "A C", "anode cathode", false},
    {"D1", "1N4007", "D", "2 1", "anode cathode", true},
    /* inlets */
    {"J1", NULL, "IEC_60320_C14_Receptacle", "1:L 2:N 3:PE", "live neutral earth", false},
    {"J1", NULL, "IEC_60320_C14_Receptacle", "3:E 1:LINE 2:NEUT", "earth live neutral", false},
    {"J1", NULL, "mains-entry-1", "1=/mains_l 2=/mains_n 3=EARTH", "live neutral earth", false},
    {"J1", NULL, "mains-entry-1", "1=a 2=b 3=c", "none none none", true},
    {"J1", NULL, "mains-entry-1", "1:~=LIVE 2:~=Neutral 3:~=PE", "live neutral earth", false},
    {"J1", NULL, "IEC_60320_C8", "1:L 2:N", "live neutral", false},
    {"P1", "230V_AC", "CONN_3", "1:L 2:N 3:PE", "live neutral earth", false},
    {"P1", "230V_AC", "CONN_2", "1 2", "feed feed", false},
    {"P1", "HT", "CONN_2", "1 2", "feed feed", false},
    /* switches */
    {"S1", NULL, "SWITCH", "1 2", "pole throw", false},
    {"S1", NULL, "SW_DPST_x2", "1 2 3 4", "pole throw pole.1 throw.1", false},
    {"S1", NULL, "SW_DPST_x2", "3 4 1 2", "pole.1 throw.1 pole throw", false},
    {"S1", NULL, "SW_SPDT", "1:A 2:B 3:C", "throw pole throw", false},
    {"S1", NULL, "SW_SPDT", "1:NO 2:COM 3:NC", "throw pole throw", false},
    {"S1", NULL, "SW_DPDT_x2", "1 2 3 4 5 6", "throw pole throw throw.1 pole.1 throw.1", false},
    {"S1", NULL, "SW_DPST", "1:1A 2:1B 3:2A 4:2B", "pole throw pole.1 throw.1", false},
    {"S1", NULL, "SW_DPST", "1:1A 3:1B 2:2A 4:2B", "pole throw pole.1 throw.1", false},
    {"S1", NULL, "SWITCH", "1 2 3 4 5", "none none none none none", true},
    /* jacks */
    {"J1", NULL, "JACK", "1:T 2:S", "tip sleeve", false},
    {"J1", NULL, "JACK", "1:T 2:R 3:S 4:TN 5:RN", "tip ring sleeve tip-normal ring-normal", false},
    {"J1", NULL, "JACK", "1:~ 2:~", "none none", true},
    /* others */
    {"K1", "G6E", "RELAY", "A1 A2 11 14 21 24", "coil coil contact contact contact.1 contact.1",
     false},
    {"K1", "G6E", "RELAY", "1 2 3", "contact contact contact", true},
    {"U1", "LM7812", "LM7812", "1 2 3", "input common output", false},
    {"U1", "LM7912", "LM7912", "1 2 3", "common input output", false},
    {"U1", "LM7812", "LM7812", "1:VI 2:GND 3:VO", "input common output", false},
    {"U1", "TL072", "TL072", "8 4 1 2 3", "supply-plus supply-minus none none none", false},
    {"U1", "TL072", "OPAMP", "8:V+ 4:V- 1:~", "supply-plus supply-minus none", false},
    {"Q1", "BC547", "NPN", "1:C 2:B 3:E", "collector base emitter", false},
    {"Q1", "BC547", "NPN", "1 2 3", "none none none", true},
    {"RV1", "1M", "POT", "1 2 3", "end wiper end", false},
    {"RV1", "1M", "POT", "1:1 3:3 2:2", "end end wiper", false},
    {"F1", "1A", "FUSE", "1 2", "end end", false},
    {"C1", "47u", "CP", "1:+ 2:-", "end end", false},
    {"L1", "10H", "CHOKE", "1 2", "end end", false},
};

START_TEST(named_pins)
{
    struct made made = made_start();
    const struct named_row *row = &named[_i];
    const struct part_info *info;

    made_pins(&made, made_part(&made, row->ref, row->value, row->symbol), row->pins);
    made_recognise(&made);
    check_roles(&made, row->ref, row->roles);
    info = made_info(&made, row->ref);
    ck_assert_msg((info->doubt != NULL) == row->doubt, "%s %s pins %s: doubt is %s", row->ref,
                  row->symbol, row->pins, info->doubt != NULL ? info->doubt : "none");
    made_end(&made);
}
END_TEST

/* Parts of a deck: letters, formals, orders. */
static const struct deck_row {
    char letter;
    const char *ref, *value, *symbol, *pins, *roles;
    enum part_kind kind;
    bool doubt;
} decks[] = {
    {'D', "D1", "DRECT", "DRECT", "1 2", "anode cathode", PART_DIODE, false},
    {'Q', "Q1", "QMOD", "QMOD", "1 2 3", "collector base emitter", PART_TRANSISTOR, false},
    {'V', "V1", "DC 9", NULL, "1 2", "plus minus", PART_VOLTAGE_SOURCE, false},
    {'I', "I1", "10m", NULL, "1 2", "plus minus", PART_CURRENT_SOURCE, false},
    {'R', "R1", "4.7k", NULL, "1 2", "end end", PART_RESISTOR, false},
    {'R', "RFUSE", "0.1", NULL, "1 2", "end end", PART_FUSE, false},
    {'L', "L1", "10", NULL, "1 2", "end end", PART_CHOKE, false},
    {'L', "L2", "10u", NULL, "1 2", "end end", PART_INDUCTOR, false},
    {'C', "C1", "47u", NULL, "1 2", "end end", PART_CAPACITOR, false},
    {'F', "F1", "Fuse", "Fuse", "1 2", "end end", PART_FUSE, false},
    {'F', "F1", "VSENSE 10", NULL, "1 2", "none none", PART_UNKNOWN, true},
    {'E', "E1", "in 0 10", NULL, "1 2", "none none", PART_UNKNOWN, true},
    {'J', "J1", "Jack", "Jack", "1:T 2:S", "tip sleeve", PART_JACK, false},
    {'X', "V1A", NULL, "12AX7", "1:A 2:G 3:K", "anode grid cathode", PART_TRIODE, false},
    {'X', "V1B", NULL, "12AX7", "1:P 2:G 3:K", "anode grid cathode", PART_TRIODE, false},
    {'X', "V1C", NULL, "12AX7", "1 2 3", "anode grid cathode", PART_TRIODE, true},
    {'X', "V2", NULL, "EL84", "1:P 2:G 3:K 4:S", "anode grid cathode screen", PART_PENTODE, false},
    {'X', "V2", NULL, "EL84", "1 2 3 4", "anode screen grid cathode", PART_PENTODE, true},
    {'X', "V2", NULL, "6L6GC", "1 2 3 4 5 6 7 8", BEAM_7AC, PART_PENTODE, false},
    {'X', "V2", NULL, "12AX7", "1 2 3 4 5 6 7 8 9", DOUBLE_9A, PART_TRIODE, false},
    {'X', "V2", NULL, "GZ34", "1 2 3 4 5 6 7 8",
     "none heater none anode.1 none anode none cathode", PART_RECTIFIER_VALVE, false},
    {'X', "F2", NULL, "FUSE", "1 2", "end end", PART_FUSE, false},
    {'X', "U1", NULL, "LM7812", "1:IN 2:GND 3:OUT", "input common output", PART_REGULATOR, false},
};

START_TEST(deck_pins)
{
    struct made made = made_start();
    const struct deck_row *row = &decks[_i];
    struct part *part = made_part(&made, row->ref, row->value, row->symbol);
    const struct part_info *info;

    part->letter = row->letter;
    part->dialect = QUANTITY_SPICE;
    circuit_add_model(made.circuit, "DRECT", "D", (struct place){0});
    circuit_add_model(made.circuit, "QMOD", "NPN", (struct place){0});
    made_pins(&made, part, row->pins);
    made_recognise(&made);
    info = made_info(&made, row->ref);
    ck_assert_msg(info->kind == row->kind, "%s: got %s (%s)", row->ref, part_kind_name(info->kind),
                  info->doubt);
    check_roles(&made, row->ref, row->roles);
    ck_assert_msg((info->doubt != NULL) == row->doubt, "%s: doubt is %s", row->ref,
                  info->doubt != NULL ? info->doubt : "none");
    made_end(&made);
}
END_TEST

START_TEST(changeover_rests_on_the_closed_contact)
{
    struct made made = made_start();
    const struct part_info *info;

    made_pins(&made, made_part(&made, "S1", NULL, "SW_SPDT"), "1:NO 2:COM 3:NC");
    made_recognise(&made);
    info = made_info(&made, "S1");
    ck_assert_str_eq(part_role_pin(info, PIN_THROW, 0)->number, "3");
    ck_assert_str_eq(part_role_pin(info, PIN_POLE, 0)->number, "2");
    ck_assert_ptr_null(part_role_pin(info, PIN_POLE, 1));
    made_end(&made);
}
END_TEST

START_TEST(units_are_counted)
{
    struct made made = made_start();

    made_pins(&made, made_part(&made, "V1", "12AX7", NULL), "1 2 3 6 7 8");
    made_pins(&made, made_part(&made, "V2", "EL34", NULL), "3 4 5 8");
    made_pins(&made, made_part(&made, "S1", NULL, "SW_DPST"), "1 2 3 4");
    made_recognise(&made);
    ck_assert_uint_eq(part_unit_count(made_info(&made, "V1")), 2);
    ck_assert_uint_eq(part_unit_count(made_info(&made, "V2")), 1);
    ck_assert_uint_eq(part_unit_count(made_info(&made, "S1")), 2);
    made_end(&made);
}
END_TEST

START_TEST(switch_state)
{
    struct made made = made_start();
    struct part *open = made_part(&made, "S1", NULL, "SW_SPST");

    circuit_add_field(made.circuit, open, "State", "open");
    made_pins(&made, open, "1 2");
    made_pins(&made, made_part(&made, "S2", "standby", "SW_SPST"), "1 2");
    made_pins(&made, made_part(&made, "S3", NULL, "SW_Push"), "1 2");
    made_recognise(&made);
    ck_assert(!made_info(&made, "S1")->closed);
    ck_assert(made_info(&made, "S2")->closed);
    ck_assert(!made_info(&made, "S3")->closed);
    made_end(&made);
}
END_TEST

START_TEST(plugged_jack)
{
    static const char *const says[] = {NULL, "yes", "No", "perhaps"};
    struct made made = made_start();

    for (size_t i = 0; i < 4; i++) {
        struct part *part = made_part(&made, arena_print(made.arena, "J%zu", i + 1), NULL, "JACK");

        if (says[i] != NULL)
            circuit_add_field(made.circuit, part, "Plugged", says[i]);
        made_pins(&made, part, "1:T 2:S 3:TN");
    }
    made_recognise(&made);
    ck_assert(!made_info(&made, "J1")->plugged);
    ck_assert(made_info(&made, "J2")->plugged);
    ck_assert(!made_info(&made, "J3")->plugged);
    ck_assert_ptr_null(made_info(&made, "J3")->doubt);
    ck_assert(!made_info(&made, "J4")->plugged);
    ck_assert_ptr_nonnull(made_info(&made, "J4")->doubt);
    made_end(&made);
}
END_TEST

Suite *check_pins_suite(void);

Suite *check_pins_suite(void)
{
    Suite *suite = suite_create("pins");
    TCase *tests = tcase_create("roles");

    tcase_add_loop_test(tests, base_pins, 0, sizeof bases / sizeof *bases);
    tcase_add_loop_test(tests, named_pins, 0, sizeof named / sizeof *named);
    tcase_add_loop_test(tests, deck_pins, 0, sizeof decks / sizeof *decks);
    tcase_add_test(tests, changeover_rests_on_the_closed_contact);
    tcase_add_test(tests, units_are_counted);
    tcase_add_test(tests, switch_state);
    tcase_add_test(tests, plugged_jack);
    suite_add_tcase(suite, tests);
    return suite;
}
