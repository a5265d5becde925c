/* Letters that stand for one thing in a simulator and for another on a schematic. */
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

START_TEST(fuses)
{
    case_read_text(&c, "t\nF1 a b Fuse\nF2 a b T315mA 250V\nF3 a b\nF4 a b value=T1A rating=F2A\n"
                       "F5 a b Vs 10\nF6 a b Vnone 10\nVs a 0 0\n");
    assert_value(&c, "F1", "Fuse");
    ck_assert_int_eq(case_part(&c, "F1")->letter, 0);
    ck_assert_uint_eq(case_part(&c, "F1")->pin_count, 2);
    assert_value(&c, "F2", "T315mA 250V");
    assert_value(&c, "F3", "(none)");
    assert_value(&c, "F4", "T1A");
    assert_field(&c, "F4", "rating", "F2A");
    ck_assert_int_eq(case_part(&c, "F5")->letter, 'F');
    ck_assert_int_eq(case_part(&c, "F6")->letter, 0);
    case_diag(&c, LEVEL_WARNING, 7, 8, "F6 is read as a part of its own");
    ck_assert_uint_eq(c.diags.count, 1);
}
END_TEST

START_TEST(jacks_and_fets)
{
    case_read_text(&c, "t\nJ1 a b Jack\nJ2 tip sleeve\nJ3 a b c 2N5457\nJ4 a b c JM\nJ5 a b r1 \n"
                       "R1 r1 0 5\n.model JM PJF\n.model 2N5457 D\n");
    assert_silent(&c);
    assert_value(&c, "J1", "Jack");
    ck_assert_uint_eq(case_part(&c, "J1")->pin_count, 2);
    assert_net(&c, "J2", "2", "sleeve");
    ck_assert_int_eq(case_part(&c, "J3")->letter, 0); /* its model is no JFET's */
    assert_value(&c, "J3", "2N5457");
    ck_assert_int_eq(case_part(&c, "J4")->letter, 'J');
    assert_net(&c, "J5", "3", "r1"); /* known as a node: no value */
    assert_value(&c, "J5", "(none)");
}
END_TEST

START_TEST(transformers_lines_and_triodes)
{
    case_read_text(&c, "t\nT1 a b c d Trafo\nT2 a b c d Z0=50 TD=1n\nT3 p g k EX83\n"
                       "P1 p g k s EXL84\nP2 p g k s s2 EXL84\nT4 a b c NOVALVE\nP3 1 2 3 Conn_3\n"
                       ".model EX83 TRIODE(MU=100)\n.model EXL84 VP(MU=20)\n.model NOVALVE D\n");
    assert_silent(&c);
    ck_assert_int_eq(case_part(&c, "T1")->letter, 0);
    assert_value(&c, "T1", "Trafo");
    assert_net(&c, "T1", "4", "d");
    ck_assert_int_eq(case_part(&c, "T2")->letter, 'T');
    assert_field(&c, "T2", "td", "1n");
    ck_assert_int_eq(case_part(&c, "T3")->letter, 'T');
    assert_symbol(&c, "T3", "EX83");
    assert_pin_name(&c, "T3", "1", "A");
    assert_pin_name(&c, "P1", "4", "G2");
    ck_assert_uint_eq(case_part(&c, "P1")->pin_count, 4);
    assert_pin_name(&c, "P2", "5", "G3");
    assert_value(&c, "P2", "EXL84");
    ck_assert_int_eq(case_part(&c, "T4")->letter, 0);
    ck_assert_int_eq(case_part(&c, "P3")->letter, 0);
    assert_net(&c, "P3", "3", "3");
}
END_TEST

START_TEST(valves_called_v)
{
    case_read_text(&c, "t\nV1 1 2 3 ECC83\nV2 a g2 g1 k EL34\nV3 a g k TUBE1\nIC1 1 2 3 4 TL072\n"
                       "V4 a 0 5 AC 1\nV5 a b {x}\n.param x=2\n.subckt TUBE1 A G K\nR1 A K 1\n.ends\n");
    assert_silent(&c);
    ck_assert_int_eq(case_part(&c, "V1")->letter, 0);
    assert_value(&c, "V1", "ECC83");
    assert_net(&c, "V1", "3", "3");
    ck_assert_uint_eq(case_part(&c, "V2")->pin_count, 4);
    assert_symbol(&c, "V3", "TUBE1");
    assert_pin_name(&c, "V3", "3", "K");
    ck_assert_uint_eq(case_part(&c, "IC1")->pin_count, 4);
    ck_assert_int_eq(case_part(&c, "V4")->letter, 'V');
    assert_value(&c, "V5", "2");
}
END_TEST

START_TEST(switches_and_relays)
{
    case_read_text(&c, "t\nSW1 a b SPST\nS1 a b c 0 SM\nS2 a b c Standby\nK1 a b c d Relay\n"
                       "W1 a b V1 WM\nV1 a 0 0\n.model SM SW(Ron=1)\n.model WM CSW\n");
    assert_silent(&c);
    assert_value(&c, "SW1", "SPST");
    ck_assert_int_eq(case_part(&c, "SW1")->letter, 0);
    ck_assert_int_eq(case_part(&c, "S1")->letter, 'S');
    assert_symbol(&c, "S1", "SM");
    assert_net(&c, "S1", "4", "0");
    assert_value(&c, "S2", "Standby");
    ck_assert_uint_eq(case_part(&c, "S2")->pin_count, 3);
    assert_value(&c, "K1", "Relay");
    ck_assert_uint_eq(c.circuit->coupling_count, 0);
    ck_assert_uint_eq(case_part(&c, "K1")->pin_count, 4);
    assert_symbol(&c, "W1", "WM");
    ck_assert_uint_eq(case_part(&c, "W1")->pin_count, 2);
}
END_TEST

START_TEST(parts_that_begin_with_another_letter)
{
    case_read_text(&c, "t\nRV1 a w b 1M\nLS1 a 0 Speaker\nCON1 1 2 3 Conn_3\nD1 a b c d Bridge\n"
                       "BR1 a b c d B125C1500\nU1 1 2 3 NE555\nRLY1 a b c d Relay\nQ1 a b\n"
                       "M1 a b Meter\nH1 Hole\nBT1 p n 9V\n");
    assert_silent(&c);
    assert_value(&c, "RV1", "1M");
    assert_net(&c, "RV1", "2", "w");
    ck_assert_int_eq(case_part(&c, "LS1")->letter, 0);
    assert_value(&c, "LS1", "Speaker");
    ck_assert_uint_eq(case_part(&c, "CON1")->pin_count, 3);
    ck_assert_uint_eq(case_part(&c, "D1")->pin_count, 4);
    assert_value(&c, "D1", "Bridge");
    ck_assert_uint_eq(case_part(&c, "BR1")->pin_count, 4);
    assert_value(&c, "U1", "NE555");
    ck_assert_uint_eq(case_part(&c, "RLY1")->pin_count, 4);
    assert_value(&c, "M1", "Meter");
    assert_value(&c, "BT1", "9V");
}
END_TEST

START_TEST(parts_without_nodes)
{
    case_read_text(&c, "t\nF1 __F1\nU1 __U1\nR1 __R1\n");
    ck_assert_uint_eq(case_part(&c, "F1")->pin_count, 0);
    assert_value(&c, "F1", "(none)");
    case_diag(&c, LEVEL_WARNING, 2, 1, "F1 has no nodes");
    case_diag(&c, LEVEL_WARNING, 4, 1, "R1 has no nodes");
    ck_assert_uint_eq(c.circuit->part_count, 3);
}
END_TEST

Suite *check_spice_clash_suite(void);

Suite *check_spice_clash_suite(void)
{
    Suite *suite = suite_create("spice letter clashes");
    TCase *tests = tcase_create("letters");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, fuses);
    tcase_add_test(tests, jacks_and_fets);
    tcase_add_test(tests, transformers_lines_and_triodes);
    tcase_add_test(tests, valves_called_v);
    tcase_add_test(tests, switches_and_relays);
    tcase_add_test(tests, parts_that_begin_with_another_letter);
    tcase_add_test(tests, parts_without_nodes);
    suite_add_tcase(suite, tests);
    return suite;
}
