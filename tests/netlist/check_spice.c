/* Lines, comments, values, cards of a flat deck. */
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

START_TEST(title_is_never_a_part)
{
    case_read_text(&c, "Fuzz face style stage 1k\nR1 a 0 4k7\n");
    ck_assert_str_eq(c.circuit->title, "Fuzz face style stage 1k");
    ck_assert_uint_eq(c.circuit->part_count, 1);
    assert_net(&c, "R1", "1", "a");
    ck_assert_uint_eq(case_part(&c, "R1")->place.line, 2);
    assert_silent(&c);
}
END_TEST

START_TEST(title_that_is_a_part_is_told)
{
    case_read_text(&c, "R1 in out 10k\nR2 out 0 10k\n");
    assert_no_part(&c, "R1");
    case_diag(&c, LEVEL_WARNING, 1, 1, "R1 is not read as a part");
}
END_TEST

START_TEST(title_cards)
{
    case_read_text(&c, ".title The first\nR1 a 0 1\n");
    ck_assert_str_eq(c.circuit->title, "The first");
    teardown();
    setup();
    case_read_text(&c, "* /home/file.asc\n.title A better one\nR1 a 0 1\n");
    ck_assert_str_eq(c.circuit->title, "A better one");
    assert_silent(&c);
}
END_TEST

START_TEST(continuations)
{
    case_read_text(&c, "t\nR1 a\n* between\n\n  + b\n+4k7\nR2 b \\\\\n 0 10k\nC1 b 0 1u\n");
    assert_silent(&c);
    assert_net(&c, "R1", "2", "b");
    assert_value(&c, "R1", "4k7");
    assert_net(&c, "R2", "2", "0");
    assert_value(&c, "R2", "10k");
    ck_assert_uint_eq(case_part(&c, "C1")->place.line, 9);
}
END_TEST

START_TEST(columns_go_back_to_the_physical_line)
{
    case_read_text(&c, "t\nL\xC2\xB5" "1 a 0 1\nK1\n* note\n+ L\xC2\xB5" "1   L9\n+ 0.9\n");
    case_diag(&c, LEVEL_ERROR, 5, 9, "L9 is not there");
}
END_TEST

START_TEST(continuation_of_nothing)
{
    case_read_text(&c, "t\n  + 10k\nR1 a 0 1\n");
    ck_assert_uint_eq(case_diag(&c, LEVEL_ERROR, 2, 3, "continuation of nothing")->rule == NULL, 1);
    assert_value(&c, "R1", "1");
}
END_TEST

START_TEST(comments)
{
    case_read_text(&c, "t\n* R9 a b 1\n  * R8 a b 1\nR1 a 0 1k;R7 a b 1\nR2 a 0 2k $ R6\n"
                       "R3 a 0 3k // R5\n; R4 a b 1\n// R10 a b 1\n$ R11 a b 1\nR12 $N_1 x$y 5\n");
    assert_silent(&c);
    ck_assert_uint_eq(c.circuit->part_count, 4);
    assert_value(&c, "R1", "1k");
    assert_value(&c, "R2", "2k");
    assert_value(&c, "R3", "3k");
    assert_net(&c, "R12", "1", "$N_1");
    assert_net(&c, "R12", "2", "x$y");
}
END_TEST

START_TEST(case_does_not_matter)
{
    case_read_text(&c, "t\n.PARAM RL=8\nr1 HT Gnd {rl}\nR2 ht 0 1\n.MODEL dx d(is=1)\nD1 Ht 0 DX\n");
    assert_silent(&c);
    assert_net(&c, "r1", "1", "HT");
    assert_net(&c, "R2", "1", "HT");
    assert_net(&c, "r1", "2", "0");
    assert_value(&c, "r1", "8");
    assert_symbol(&c, "D1", "dx");
    ck_assert_int_eq(case_part(&c, "r1")->letter, 'R');
    ck_assert_int_eq(case_part(&c, "r1")->dialect, QUANTITY_SPICE);
}
END_TEST

START_TEST(ground_is_one_net)
{
    case_read_text(&c, "t\nR1 0 a 1\nR2 GND a 1\nR3 gnd! a 1\nR4 00 a 1\n");
    assert_net(&c, "R2", "1", "0");
    assert_net(&c, "R3", "1", "0");
    assert_net(&c, "R4", "1", "00");
    ck_assert_uint_eq(circuit_find_net(c.circuit, "0")->pin_count, 3);
}
END_TEST

START_TEST(values)
{
    case_read_text(&c, "t\nR1 a 0 10k 2W\nR2 a 0 2,2k\nC1 a 0 47uF/450V\nR3 a 0 R=5\n"
                       "R4 a 0 \"4k7 wire\"\nR5 a 0\nL1 a 0 10 IC=0\nR6 a 0 RMOD 3k\n"
                       "R7 a 0 3k RMOD tol=5\n.model RMOD RES(TC1=0)\nV9 a 0 \"\"\n"
                       "C2,a,0,1u\n");
    assert_silent(&c);
    assert_value(&c, "R1", "10k 2W");
    assert_value(&c, "R2", "2,2k");
    assert_value(&c, "C1", "47uF/450V");
    assert_value(&c, "R3", "5");
    assert_value(&c, "R4", "4k7 wire");
    assert_value(&c, "R5", "(none)");
    assert_value(&c, "L1", "10");
    assert_field(&c, "L1", "ic", "0");
    assert_value(&c, "R6", "3k");
    assert_symbol(&c, "R6", "RMOD");
    assert_value(&c, "R7", "3k");
    assert_symbol(&c, "R7", "RMOD");
    assert_field(&c, "R7", "tol", "5");
    assert_value(&c, "V9", "(none)");
    assert_net(&c, "C2", "2", "0");
}
END_TEST

START_TEST(sources)
{
    case_read_text(&c, "t\nV1 a 0 SIN(0 325 50)\nV2 a 0 DC 9 AC 1\nV3 a 0 AC 1 SINE (0 1 1k) DC=2\n"
                       "V4 a 0 9\nI1 a 0 PULSE(0,5,1n) Rser=1\nV5 a 0\nV6 a 0 DC=9 Rser=2\n"
                       "V7 a b Battery\nV8 +5V 0 5\n");
    assert_silent(&c);
    assert_value(&c, "V1", "SIN(0 325 50)");
    assert_value(&c, "V2", "DC 9 AC 1");
    assert_value(&c, "V3", "AC 1 SINE (0 1 1k) DC=2");
    assert_value(&c, "V4", "9");
    assert_value(&c, "I1", "PULSE(0,5,1n)");
    assert_field(&c, "I1", "rser", "1");
    assert_value(&c, "V5", "(none)");
    assert_value(&c, "V6", "DC=9");
    assert_field(&c, "V6", "rser", "2");
    assert_value(&c, "V7", "Battery");
    assert_net(&c, "V8", "1", "+5V");
    assert_pin_name(&c, "V1", "1", "+");
}
END_TEST

START_TEST(controlled_sources_keep_their_text)
{
    case_read_text(&c, "t\nE1 a 0 POLY(2) b 0 c 0 0 1 1\nG1 a 0 b c 10m\nE2 a 0 value={V(b)*{x}}\n"
                       "B1 a 0 V=V(b)*2\nV1 b 0 0\nF1 a 0 V1 10\nH1 a 0 POLY(1) V1 0 1\n");
    assert_silent(&c);
    assert_value(&c, "E1", "POLY(2) b 0 c 0 0 1 1");
    ck_assert_uint_eq(case_part(&c, "E1")->pin_count, 2);
    assert_net(&c, "G1", "4", "c");
    assert_value(&c, "G1", "10m");
    assert_value(&c, "E2", "value={V(b)*{x}}");
    assert_value(&c, "B1", "V=V(b)*2");
    assert_value(&c, "F1", "V1 10");
    ck_assert_int_eq(case_part(&c, "F1")->letter, 'F');
    ck_assert_int_eq(case_part(&c, "H1")->letter, 'H');
}
END_TEST

START_TEST(semiconductors)
{
    case_read_text(&c, "t\nD1 a b 1N4007 2\nQ1 c b e BC547\nQ2 c b e [s] QN 2\nQ3 c b e s 2N3055\n"
                       "M1 d g s s NM L=1u\nM2 d g s IRF840\nJ1 d g s JN\n"
                       ".model QN NPN\n.model NM NMOS(VTO=2)\n.model JN NJF\n");
    assert_silent(&c);
    assert_symbol(&c, "D1", "1N4007");
    assert_value(&c, "D1", "1N4007");
    assert_pin_name(&c, "D1", "2", "K");
    assert_symbol(&c, "Q1", "BC547");
    ck_assert_uint_eq(case_part(&c, "Q1")->pin_count, 3);
    assert_symbol(&c, "Q2", "QN");
    ck_assert_uint_eq(case_part(&c, "Q2")->pin_count, 4);
    assert_symbol(&c, "Q3", "2N3055");
    assert_symbol(&c, "M1", "NM");
    ck_assert_uint_eq(case_part(&c, "M1")->pin_count, 4);
    assert_symbol(&c, "M2", "IRF840");
    ck_assert_uint_eq(case_part(&c, "M2")->pin_count, 3);
    ck_assert_int_eq(case_part(&c, "J1")->letter, 'J');
    assert_pin_name(&c, "J1", "1", "D");
}
END_TEST

START_TEST(models)
{
    const struct model *model;

    case_read_text(&c, "t\nR1 a 0 1\n.param half=0.5\n"
                       ".model D1 D(IS=1e-14 N={half*4}\n+ Vpk=100 mfg=Nobody type=\"fast one\")\n"
                       ".model Q1 npn bf=100\n.model M2 VDMOS (Rg=3 )\n.model EMPTY D\n");
    assert_silent(&c);
    model = circuit_find_model(c.circuit, "d1");
    ck_assert_str_eq(model->type, "D");
    ck_assert_str_eq(model_parameter(model, "is"), "1e-14");
    ck_assert_str_eq(model_parameter(model, "n"), "2");
    ck_assert_str_eq(model_parameter(model, "vpk"), "100");
    ck_assert_str_eq(model_parameter(model, "type"), "fast one");
    ck_assert_uint_eq(model->place.line, 4);
    ck_assert_str_eq(circuit_find_model(c.circuit, "Q1")->type, "NPN");
    ck_assert_str_eq(model_parameter(circuit_find_model(c.circuit, "Q1"), "bf"), "100");
    ck_assert_str_eq(model_parameter(circuit_find_model(c.circuit, "M2"), "rg"), "3");
    ck_assert_uint_eq(circuit_find_model(c.circuit, "EMPTY")->parameter_count, 0);
}
END_TEST

START_TEST(couplings)
{
    case_read_text(&c, "t\nL1 a 0 1\nl2 b 0 1\nL3 c 0 1\n.param k=0.99\nK1 L1 L2 0.98\n"
                       "Kall l1 L2 L3 {k}\nK3 L1 L2 -1\nK4 L1 L2\nK5 L1 L7 1\nK6 L1 1\n");
    ck_assert_uint_eq(c.circuit->coupling_count, 2);
    ck_assert_str_eq(c.circuit->couplings[0].ref, "K1");
    ck_assert_str_eq(c.circuit->couplings[0].inductors[1], "l2");
    assert_within(c.circuit->couplings[0].coefficient, 0.98, 1e-9);
    ck_assert_uint_eq(c.circuit->couplings[1].inductor_count, 3);
    assert_within(c.circuit->couplings[1].coefficient, 0.99, 1e-9);
    case_diag(&c, LEVEL_ERROR, 8, 10, "-1 is no coefficient");
    case_diag(&c, LEVEL_ERROR, 9, 1, "no coefficient is given");
    case_diag(&c, LEVEL_ERROR, 10, 7, "L7 is not there");
    case_diag(&c, LEVEL_ERROR, 11, 1, "only one inductor");
}
END_TEST

START_TEST(megohm_or_milliohm)
{
    case_read_text(&c, "t\nR1 a 0 1M\nR2 a 0 2.2Mohm 1W\nR3 a 0 1MEG\nR4 a 0 1m\nR5 a 0 4700M\n");
    ck_assert_str_eq(case_diag(&c, LEVEL_NOTE, 2, 8, "R1: 1M is 0.001 ohm")->excerpt, "R1 a 0 1M");
    case_diag(&c, LEVEL_NOTE, 3, 8, "write 2.2MEG");
    ck_assert_uint_eq(c.diags.count, 2);
    assert_value(&c, "R1", "1M");
}
END_TEST

START_TEST(not_connected)
{
    case_read_text(&c, "t\nXU1 NC_01 a NC-1 nc2 N/C ? thing\nR1 NC_05 NC_05 1\nR2 a unconnected-_U1-3_ 1\n"
                       "R3 a ncat 1\n");
    assert_net(&c, "U1", "1", "(open)");
    assert_net(&c, "U1", "2", "a");
    assert_net(&c, "U1", "3", "(open)");
    assert_net(&c, "U1", "4", "(open)");
    assert_net(&c, "U1", "5", "(open)");
    assert_net(&c, "U1", "6", "(open)");
    assert_net(&c, "R1", "1", "NC_05"); /* twice: it connects */
    assert_net(&c, "R2", "2", "(open)");
    assert_net(&c, "R3", "2", "ncat");
}
END_TEST

START_TEST(duplicates)
{
    const struct diag *diag;

    case_read_text(&c, "t\nR1 a 0 1\nR2 a 0 2\n  r1 b 0 3\nR1 c 0 4\n");
    diag = case_diag(&c, LEVEL_ERROR, 4, 3, "r1 is there already, at deck.cir line 2 column 1");
    ck_assert_str_eq(diag->excerpt, "r1 b 0 3");
    case_diag(&c, LEVEL_ERROR, 5, 1, "R1 is there already");
    ck_assert_uint_eq(c.circuit->part_count, 4);
    assert_value(&c, "R1", "1");
    assert_value(&c, "r1#2", "3");
    ck_assert_str_eq(c.circuit->parts[3]->value, "4");
}
END_TEST

START_TEST(end_of_the_deck)
{
    case_read_text(&c, "t\nR1 a 0 1\n.END\n* fine\n\nR2 a 0 1\nR3 a 0 1\n");
    ck_assert_uint_eq(c.circuit->part_count, 1);
    case_diag(&c, LEVEL_WARNING, 6, 1, "ended at line 3");
    ck_assert_uint_eq(c.diags.count, 1);
}
END_TEST

START_TEST(blocks_left_out)
{
    case_read_text(&c, "t\nR1 a 0 1\n.control\nR2 a 0 1\nrun\n.endc\n.data set\n1 2\n.enddata\n"
                       ".if (x==1)\nR3 a 0 1\n.if (y)\n.endif\nR4 a 0 1\n.else\nR5 a 0 1\n.endif\n"
                       ".prot\ngarbage ( {\n.unprot\nR6 a 0 1\n");
    ck_assert_uint_eq(c.circuit->part_count, 2);
    assert_value(&c, "R6", "1");
    case_diag(&c, LEVEL_WARNING, 10, 1, "between .if and .endif");
    case_diag(&c, LEVEL_WARNING, 18, 1, "between .prot and .unprot");
    ck_assert_uint_eq(c.diags.count, 2);
}
END_TEST

START_TEST(block_without_end)
{
    case_read_text(&c, "t\nR1 a 0 1\n.control\nrun\n.end\n");
    ck_assert_str_eq(case_diag(&c, LEVEL_ERROR, 3, 1, ".control has no .endc")->expected, ".endc");
}
END_TEST

START_TEST(unknown_cards_are_told)
{
    case_read_text(&c, "t\nR1 a 0 1\n.tran 1m 1\n.pot RV1 0.5\n.options reltol=1m\n.backanno\n");
    ck_assert_uint_eq(c.diags.count, 1);
    case_diag(&c, LEVEL_WARNING, 4, 1, "the card .pot is not known");
}
END_TEST

START_TEST(errors_do_not_stop_reading)
{
    const struct diag *diag;

    case_read_text(&c, "t\nR1 a\n123 x\nV1 a 0 SIN(0 1 50\nR2 a 0 \"4k7\nR3 a 0 10k\n.model X\n");
    case_diag(&c, LEVEL_ERROR, 2, 1, "R1 lacks something");
    case_diag(&c, LEVEL_ERROR, 3, 1, "neither a letter nor a dot");
    diag = case_diag(&c, LEVEL_ERROR, 4, 11, "( is never closed");
    ck_assert_str_eq(diag->expected, ")");
    ck_assert_str_eq(diag->excerpt, "(0 1 50");
    case_diag(&c, LEVEL_ERROR, 5, 8, "\" is never closed");
    case_diag(&c, LEVEL_ERROR, 7, 1, "without name or type");
    assert_value(&c, "R3", "10k");
    assert_value(&c, "V1", "SIN(0 1 50");
}
END_TEST

START_TEST(encodings)
{
    static const char utf16[] = "t\0\n\0R\0" "1\0 \0a\0 \0" "0\0 \0" "4\0" "7\0\xB5\0";

    case_read_bytes(&c, utf16, sizeof utf16 - 1);
    assert_value(&c, "R1", "47\xC2\xB5");
    teardown();
    setup();
    case_read_text(&c, "t\nC1 a 0 47\xB5" "F\n");
    assert_value(&c, "C1", "47\xC2\xB5" "F");
    assert_silent(&c);
}
END_TEST

START_TEST(empty_decks)
{
    case_read_text(&c, "");
    ck_assert_ptr_nonnull(c.circuit);
    ck_assert_uint_eq(diag_count_input(&c.diags, LEVEL_ERROR), 1);
    ck_assert_ptr_nonnull(strstr(c.diags.items[0].message, "holds no parts"));
}
END_TEST

Suite *check_spice_suite(void);

Suite *check_spice_suite(void)
{
    Suite *suite = suite_create("spice");
    TCase *tests = tcase_create("flat decks");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, title_is_never_a_part);
    tcase_add_test(tests, title_that_is_a_part_is_told);
    tcase_add_test(tests, title_cards);
    tcase_add_test(tests, continuations);
    tcase_add_test(tests, columns_go_back_to_the_physical_line);
    tcase_add_test(tests, continuation_of_nothing);
    tcase_add_test(tests, comments);
    tcase_add_test(tests, case_does_not_matter);
    tcase_add_test(tests, ground_is_one_net);
    tcase_add_test(tests, values);
    tcase_add_test(tests, sources);
    tcase_add_test(tests, controlled_sources_keep_their_text);
    tcase_add_test(tests, semiconductors);
    tcase_add_test(tests, models);
    tcase_add_test(tests, couplings);
    tcase_add_test(tests, megohm_or_milliohm);
    tcase_add_test(tests, not_connected);
    tcase_add_test(tests, duplicates);
    tcase_add_test(tests, end_of_the_deck);
    tcase_add_test(tests, blocks_left_out);
    tcase_add_test(tests, block_without_end);
    tcase_add_test(tests, unknown_cards_are_told);
    tcase_add_test(tests, errors_do_not_stop_reading);
    tcase_add_test(tests, encodings);
    tcase_add_test(tests, empty_decks);
    suite_add_tcase(suite, tests);
    return suite;
}
