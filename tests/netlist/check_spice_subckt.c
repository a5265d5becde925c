/* Subcircuits: nesting, local names, filling in, parts that stay whole. */
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

START_TEST(instances_are_filled_in)
{
    case_read_text(&c, "t\nV1 in 0 1\nX1 in out DIV\nX2 out GND div\n.subckt DIV a b\nR1 a mid 1k\n"
                       "R2 MID b 2k\nC1 mid 0 1n\n.ends DIV\n");
    assert_silent(&c);
    ck_assert_uint_eq(c.circuit->part_count, 7);
    assert_net(&c, "X1.R1", "1", "in");
    assert_net(&c, "X1.R1", "2", "X1.mid");
    assert_net(&c, "X1.R2", "1", "X1.mid");
    assert_net(&c, "X1.R2", "2", "out");
    assert_net(&c, "X2.R2", "2", "0");
    assert_net(&c, "X2.C1", "2", "0");
    ck_assert_str_eq(circuit_find_net(c.circuit, "X2.mid")->leaf, "mid");
    ck_assert_uint_eq(case_part(&c, "X2.R1")->place.line, 6);
    assert_no_part(&c, "X1");
}
END_TEST

START_TEST(definitions_are_local)
{
    case_read_text(&c, "t\nX1 a OUTER\nX2 a INNER\n.subckt INNER p\nR9 p 0 9\n.ends\n"
                       ".subckt OUTER p\n.subckt INNER q\nR1 q z 1\nX0 z DEEP\n.ends INNER\n"
                       ".subckt DEEP d\nR2 d 0 2\n.backanno\n.end\n.ends DEEP\nX1 p INNER\n"
                       ".ends OUTER\nR3 a 0 3\n.end\n");
    assert_silent(&c);
    assert_value(&c, "X1.X1.R1", "1");
    assert_net(&c, "X1.X1.R1", "1", "a");
    assert_net(&c, "X1.X1.X0.R2", "1", "X1.X1.z");
    assert_value(&c, "X2.R9", "9");
    assert_no_part(&c, "X2.R1");
    assert_value(&c, "R3", "3");
}
END_TEST

START_TEST(unknown_instances_stay_parts)
{
    case_read_text(&c, "t\nXV1A a g k 12AX7 value=ECC83 idlecurrent = 1.2m\nXamp in out OPAMP9\n"
                       "X9 a b THING\n");
    assert_silent(&c);
    assert_symbol(&c, "V1A", "12AX7");
    assert_value(&c, "V1A", "ECC83");
    assert_field(&c, "V1A", "idlecurrent", "1.2m");
    assert_field(&c, "V1A", "value", "(none)");
    assert_net(&c, "V1A", "3", "k");
    assert_pin_name(&c, "V1A", "3", "(none)");
    ck_assert_int_eq(case_part(&c, "V1A")->letter, 'X');
    ck_assert_uint_eq(case_part(&c, "X9")->pin_count, 2);
    assert_value(&c, "Xamp", "(none)");
}
END_TEST

START_TEST(added_letters_come_off)
{
    case_read_text(&c, "t\nXU1 a b THING\nU1 a b c d NE555\nX\xC2\xA7U2 a b THING\nXF2 a b FUSE\n"
                       "XU3 a b THING\nX\xC2\xA7U3 a b THING\nDLED1 a 0 RED\nRK1 a 0 1\n");
    assert_symbol(&c, "XU1", "THING"); /* U1 is taken */
    assert_value(&c, "U1", "NE555");
    assert_symbol(&c, "U2", "THING");
    assert_symbol(&c, "F2", "FUSE");
    assert_symbol(&c, "U3", "THING");
    assert_symbol(&c, "X\xC2\xA7U3", "THING");
    assert_value(&c, "LED1", "RED");
    assert_value(&c, "RK1", "1");
    assert_silent(&c);
}
END_TEST

START_TEST(parts_stay_whole)
{
    case_read_text(&c,
                   "t\nXV1 a g k TUBE\nXF1 a b FUSE_T I_FUSE=2\nXE1 a b EMPTY\nXB1 a b c EQUATION\n"
                   "XT1 a b PLAIN rating=5\nXP1 a b PLAIN\nXT2 a b OWN rating=7\nX7 a k EL34x\n"
                   ".subckt TUBE A G K\nR1 A K 1\n.ends\n"
                   ".subckt FUSE_T in out PARAMS: CURRENT=1 I_FUSE=3 X={2*3}\nR1 in out 1m\n.ends\n"
                   ".subckt EMPTY 1 2\n.param x=1\n.ends\n"
                   ".subckt EQUATION p q r\nR1 p q 1\nG1 p r q r 1m\n.ends\n"
                   ".subckt PLAIN p q\nR1 p q 1\n.ends\n"
                   ".subckt OWN p q rating=1\nR1 p q {rating}\n.ends\n"
                   ".subckt EL34x a k\nR1 a k 1\n.ends\n");
    assert_silent(&c);
    assert_pin_name(&c, "V1", "2", "G");
    assert_field(&c, "F1", "ifuse", "2");
    assert_field(&c, "F1", "current", "1");
    assert_pin_name(&c, "F1", "2", "out");
    assert_symbol(&c, "E1", "EMPTY");
    assert_pin_name(&c, "B1", "3", "r");
    assert_field(&c, "T1", "rating", "5");
    assert_value(&c, "XP1.R1", "1");
    assert_value(&c, "XT2.R1", "7");
    assert_symbol(&c, "X7", "EL34x");
}
END_TEST

START_TEST(a_fuse_in_a_subcircuit_is_seen)
{
    case_read_text(&c, "t\nX1 a b PSU\n.subckt PSU p q\nF1 p q T315mA 250V\n.ends\n");
    assert_silent(&c);
    assert_value(&c, "X1.F1", "T315mA 250V");
    assert_net(&c, "X1.F1", "2", "b");
}
END_TEST

START_TEST(what_is_inside_is_not_hidden)
{
    case_read_text(&c, "t\nX1 a b MAINS_UNIT\nX2 a b TRAFO\nX3 a b TRAFO windings=1-2:9V\n"
                       "X4 a b BLOCK\n.subckt MAINS_UNIT p q\nXF1 p q FUSE rating=T1A\n.ends\n"
                       ".subckt TRAFO p s\nL1 p 0 9\nL2 s 0 1\nK1 L1 L2 1\n.ends\n"
                       ".subckt BLOCK p q\nF1 p x T1A\nE1 q 0 x 0 2\n.ends\n");
    assert_silent(&c);
    assert_field(&c, "X1.F1", "rating", "T1A");
    assert_value(&c, "X2.L1", "9");
    ck_assert_uint_eq(c.circuit->coupling_count, 1);
    assert_symbol(&c, "X3", "TRAFO");
    assert_value(&c, "X4.F1", "T1A");
}
END_TEST

START_TEST(quoted_settings_stay_whole)
{
    case_read_text(&c, "t\nXT1 a b c d PTX windings=\"pri 1-2 230V 11R; HT 3-4 345V // x $ y\"\n"
                       "XT2 a b c d PTX windings=pri:1-2:230V:11R,HT:3-4:345V place = \"don't {x}\"\n"
                       "XT3 a b c d PTX windings=\"pri 1-2 230V;\n+ HT 3-4 9V\" ; the end\n");
    assert_silent(&c);
    assert_field(&c, "T1", "windings", "pri 1-2 230V 11R; HT 3-4 345V // x $ y");
    assert_field(&c, "T2", "windings", "pri:1-2:230V:11R,HT:3-4:345V");
    assert_field(&c, "T2", "place", "don't {x}");
    assert_field(&c, "T3", "windings", "pri 1-2 230V; HT 3-4 9V");
    ck_assert_uint_eq(case_part(&c, "T2")->pin_count, 4);
}
END_TEST

START_TEST(global_nets)
{
    case_read_text(&c, "t\n.global VCC\nV1 vcc 0 9\nX1 a S\nX2 b S\n.subckt S p\nR1 p Vcc 1\n"
                       "R2 p gnd 1\nR3 p $G_HT 1\n.ends\n");
    assert_silent(&c);
    assert_net(&c, "X1.R1", "2", "vcc");
    assert_net(&c, "X2.R1", "2", "vcc");
    assert_net(&c, "X1.R2", "2", "0");
    assert_net(&c, "X2.R3", "2", "$G_HT");
}
END_TEST

START_TEST(open_ends_of_instances)
{
    case_read_text(&c, "t\nX1 a NC_01 S\n.subckt S p q\nR1 p q 1\nR2 q 0 2\n.ends\n");
    assert_silent(&c);
    assert_net(&c, "X1.R1", "2", "X1.q");
    assert_net(&c, "X1.R2", "1", "X1.q");
}
END_TEST

START_TEST(node_counts_must_agree)
{
    const struct diag *diag;

    case_read_text(&c, "t\nX1 a b c S\nX2 a b S\n.subckt S p q\nR1 p q 1\n.ends\n");
    diag = case_diag(&c, LEVEL_ERROR, 2, 1, "X1 has 3 nodes, but its subcircuit S has 2");
    ck_assert_str_eq(diag->expected, "nodes for p q");
    assert_net(&c, "X1", "3", "c");
    assert_value(&c, "X2.R1", "1");
}
END_TEST

START_TEST(subcircuits_that_do_not_end)
{
    case_read_text(&c, "t\nR1 a 0 1\n.subckt S p\nR2 p 0 1\n.subckt T p\n.end\n");
    case_diag(&c, LEVEL_ERROR, 3, 1, "the subcircuit S has no .ends");
    case_diag(&c, LEVEL_ERROR, 5, 1, "the subcircuit T has no .ends");
    ck_assert_uint_eq(c.circuit->part_count, 1);
}
END_TEST

START_TEST(ends_that_do_not_fit)
{
    case_read_text(&c, "t\n.ends\n.subckt S p\nR2 p 0 1\n.subckt T p\n.ends S\nR1 a 0 1\n"
                       ".subckt U p\nR3 p 0 3\n.ends V\nX1 a U\n");
    case_diag(&c, LEVEL_ERROR, 2, 1, ".ends without a subcircuit");
    case_diag(&c, LEVEL_ERROR, 6, 7, "S ends here, but the subcircuit that is open is T");
    case_diag(&c, LEVEL_ERROR, 10, 7, "V ends here, but the subcircuit that is open is U");
    assert_value(&c, "R1", "1");
    assert_value(&c, "X1.R3", "3");
}
END_TEST

START_TEST(a_subcircuit_defined_twice)
{
    case_read_text(&c, "t\nX1 a S\n.subckt S p\nR1 p 0 1\n.ends\n.subckt s p\nR2 p 0 2\n.ends\n"
                       ".model M D\n.model m D\n");
    case_diag(&c, LEVEL_ERROR, 6, 1, "the subcircuit s is defined already, at deck.cir line 3");
    case_diag(&c, LEVEL_ERROR, 10, 1, "the model m is defined already, at deck.cir line 9");
    assert_value(&c, "X1.R1", "1");
    assert_no_part(&c, "X1.R2");
}
END_TEST

START_TEST(a_subcircuit_in_itself)
{
    case_read_text(&c, "t\nX1 a A\n.subckt A p\nR1 p 0 1\nX1 p B\n.ends\n.subckt B p\nR2 p 0 2\n"
                       "X1 p A\n.ends\n");
    case_diag(&c, LEVEL_ERROR, 9, 1, "A contains itself");
    assert_value(&c, "X1.X1.R2", "2");
    assert_symbol(&c, "X1.X1.X1", "A");
    ck_assert_uint_eq(c.diags.count, 1);
}
END_TEST

START_TEST(models_of_a_subcircuit)
{
    case_read_text(&c, "t\nD1 a 0 DX\n.model DX D(IS=1)\nX1 a S\nX2 a S\nX3 a P is=7\nX4 a P is=8\n"
                       ".subckt S p\nD1 p 0 DX\nD2 p 0 DY\n.model DX D(IS=2)\n.model DY D(IS=3)\n"
                       ".ends\n.subckt P p is=1\nD1 p 0 DZ\n.model DZ D(IS={is*2})\n.ends\n");
    assert_silent(&c);
    assert_symbol(&c, "D1", "DX");
    assert_symbol(&c, "X1.D1", "X1.DX");
    assert_symbol(&c, "X2.D1", "X1.DX"); /* the same one for all instances */
    assert_value(&c, "X2.D1", "DX");
    assert_symbol(&c, "X2.D2", "DY");
    ck_assert_str_eq(model_parameter(circuit_find_model(c.circuit, "X1.DX"), "is"), "2");
    assert_symbol(&c, "X3.D1", "X3.DZ");
    ck_assert_str_eq(model_parameter(circuit_find_model(c.circuit, "X3.DZ"), "is"), "14");
    ck_assert_str_eq(model_parameter(circuit_find_model(c.circuit, "X4.DZ"), "is"), "16");
}
END_TEST

START_TEST(couplings_of_a_subcircuit)
{
    case_read_text(&c, "t\nX1 a b S\n.subckt S p q\nL1 p 0 1\nL2 q 0 1\nK1 L1 L2 1\n.ends\n");
    assert_silent(&c);
    ck_assert_str_eq(c.circuit->couplings[0].ref, "X1.K1");
    ck_assert_str_eq(c.circuit->couplings[0].inductors[0], "X1.L1");
    ck_assert_ptr_eq(circuit_find_part(c.circuit, c.circuit->couplings[0].inductors[1]),
                     case_part(&c, "X1.L2"));
}
END_TEST

START_TEST(instances_made_twice)
{
    case_read_text(&c, "t\nX1 a S\nX1 b S\n.subckt S p\nR1 p m 1\nR2 m 0 1\n.ends\n");
    case_diag(&c, LEVEL_ERROR, 3, 1, "X1 is there already");
    ck_assert_uint_eq(c.circuit->part_count, 4);
    assert_net(&c, "X1.R1", "2", "X1.m");
    ck_assert_str_ne(c.circuit->parts[2]->pins[1].net->name, "X1.m");
}
END_TEST

START_TEST(instances_that_lack_something)
{
    case_read_text(&c, "t\nX1\nX2 FUSE\nX3 __X3\nR1 a 0 1\n");
    case_diag(&c, LEVEL_ERROR, 2, 1, "X1 lacks something");
    case_diag(&c, LEVEL_WARNING, 3, 1, "X2 has no nodes");
    case_diag(&c, LEVEL_WARNING, 4, 1, "X3 has no nodes");
    assert_symbol(&c, "X2", "FUSE");
    ck_assert_uint_eq(case_part(&c, "X3")->pin_count, 0);
}
END_TEST

START_TEST(formals_that_clash)
{
    case_read_text(&c, "t\nX1 a b c S\n.subckt S p p 0\nR1 p 0 1\n.ends\n");
    case_diag(&c, LEVEL_ERROR, 3, 13, "two nodes of the subcircuit S are called p");
    case_diag(&c, LEVEL_WARNING, 3, 15, "ground everywhere");
}
END_TEST

Suite *check_spice_subckt_suite(void);

Suite *check_spice_subckt_suite(void)
{
    Suite *suite = suite_create("spice subcircuits");
    TCase *tests = tcase_create("subcircuits");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, instances_are_filled_in);
    tcase_add_test(tests, definitions_are_local);
    tcase_add_test(tests, unknown_instances_stay_parts);
    tcase_add_test(tests, added_letters_come_off);
    tcase_add_test(tests, parts_stay_whole);
    tcase_add_test(tests, a_fuse_in_a_subcircuit_is_seen);
    tcase_add_test(tests, what_is_inside_is_not_hidden);
    tcase_add_test(tests, quoted_settings_stay_whole);
    tcase_add_test(tests, global_nets);
    tcase_add_test(tests, open_ends_of_instances);
    tcase_add_test(tests, node_counts_must_agree);
    tcase_add_test(tests, subcircuits_that_do_not_end);
    tcase_add_test(tests, ends_that_do_not_fit);
    tcase_add_test(tests, a_subcircuit_defined_twice);
    tcase_add_test(tests, a_subcircuit_in_itself);
    tcase_add_test(tests, models_of_a_subcircuit);
    tcase_add_test(tests, couplings_of_a_subcircuit);
    tcase_add_test(tests, instances_made_twice);
    tcase_add_test(tests, instances_that_lack_something);
    tcase_add_test(tests, formals_that_clash);
    suite_add_tcase(suite, tests);
    return suite;
}
