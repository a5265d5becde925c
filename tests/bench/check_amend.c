/* What bench statements make of a circuit and of its parts. */
#include "parts/made_circuit.h"

#include "base/source.h"
#include "bench/bench.h"

static struct made made;
static struct bench *bench;

/* An inlet, a switch, a transformer, a fuse, a connector, a changeover switch and some resistors. */
static void setup(void)
{
    struct part *part;

    made = made_start();
    bench = bench_new(made.arena, &made.diags);
    made_pins(&made, made_part(&made, "J1", "C14", "IEC_Inlet_C14"), "1:L=LIVE 2:N=NEUTRAL 3:E=GND");
    made_pins(&made, made_part(&made, "S1", "standby", "SW_SPST"), "1:A=LIVE 2:B=PRI");
    made_pins(&made, made_part(&made, "S2", "choice", "SW_SPDT"), "1:NO=X 2:COM=Y 3:NC=Z");
    part = made_part(&made, "T1", "mains", "Transformer_Mains");
    made_pins(&made, part, "1=PRI 2=NEUTRAL 3=AC1 4=GND 5=AC2 6=H1 7=H2");
    circuit_add_field(made.circuit, part, "windings",
                      "pri 1-2 230V 12R; HT 3-4-5 300-0-300V 250mA; heater 6-7 6.3V 4A");
    part = made_part(&made, "F2", "T500mAH250V", "Fuse");
    made_pins(&made, part, "1=RECT 2=HT");
    circuit_add_field(made.circuit, part, "rating", "T500mAH250V");
    made_pins(&made, made_part(&made, "J5", "reverb", "Conn_01x02"), "1=HT 2=GND");
    made_pins(&made, made_part(&made, "J6", "pedal", "Conn_01x02"), "1=B2 2=B3");
    part = made_part(&made, "R1", "1k", NULL);
    part->letter = 'R';
    part->dialect = QUANTITY_SPICE;
    made_pins(&made, part, "1=HT 2=B2");
    circuit_add_field(made.circuit, part, "ohms", "1k");
    made_pins(&made, made_part(&made, "X1", NULL, "BLOB"), "1=B2 2=B3");
}

static void teardown(void)
{
    bench_free(bench);
    made_end(&made);
}

/* Reads TEXT and recognises the circuit it makes. */
static void apply(const char *text)
{
    struct parts_options options = {.data_dir = source_path("rules"),
                                    .amend_windings = bench_amend_windings, .bench = bench};

    bench_read(bench, source_from_bytes(made.arena, "a.bench", text, strlen(text)));
    circuit_finish(made.circuit);
    bench_amend(bench, made.circuit);
    made.parts = parts_recognise(made.arena, &made.diags, made.circuit, &options);
    ck_assert_ptr_nonnull(made.parts);
    bench_settle(bench, made.parts);
}

static void apply_clean(const char *text)
{
    apply(text);
    ck_assert_msg(made.diags.count == 0, "%s: %s", text,
                  made.diags.count > 0 ? made.diags.items[0].message : "");
}

static const char *net_of(const char *ref, const char *pin)
{
    return part_pin(circuit_find_part(made.circuit, ref), pin)->net->name;
}

START_TEST(holder_at_a_pin)
{
    apply_clean("holder part=F9 at=j1 pin=L marking=T2AH250V place=\"inlet drawer\"");
    ck_assert_int_eq(made_info(&made, "F9")->kind, PART_FUSE);
    ck_assert_str_eq(made_info(&made, "F9")->place, "inlet drawer");
    ck_assert_ptr_null(made_info(&made, "F9")->marking);
    ck_assert_str_eq(net_of("J1", "1"), "J1.L");
    ck_assert_str_eq(net_of("F9", "1"), "J1.L");
    ck_assert_str_eq(net_of("F9", "2"), "LIVE");
    ck_assert_uint_eq(circuit_find_net(made.circuit, "LIVE")->pin_count, 2);
    ck_assert_uint_eq(circuit_find_net(made.circuit, "J1.L")->pin_count, 2);
    ck_assert_uint_eq(bench->fitted_count, 1);
    ck_assert_str_eq(bench->fitted[0].marking, "T2AH250V");
}
END_TEST

START_TEST(holder_between_nets)
{
    apply_clean("holder part=F9 between=B2,GND marking=T2A");
    ck_assert_str_eq(net_of("F9", "1"), "B2");
    ck_assert_str_eq(net_of("F9", "2"), "GND");
    ck_assert_uint_eq(made_info(&made, "F9")->part->place.line, 1);
}
END_TEST

START_TEST(fitted_takes_the_netlists_spelling)
{
    apply_clean("fitted part=f2 marking=T5A where=\"on the board\"");
    ck_assert_uint_eq(bench->fitted_count, 1);
    ck_assert_str_eq(bench->fitted[0].ref, "F2");
    ck_assert_str_eq(made_info(&made, "F2")->marking, "T500mAH250V");
    ck_assert_str_eq(made_info(&made, "F2")->place, "on the board");
}
END_TEST

START_TEST(fitted_on_the_command_line)
{
    apply_clean("fitted part=F2 marking=T5A");
    ck_assert_ptr_nonnull(strstr(bench_fit(bench, made.parts, "f2", "T1A"), "says that T5A"));
    ck_assert_ptr_nonnull(strstr(bench_fit(bench, made.parts, "R1", "T1A"), "no fuse of this"));
    ck_assert_ptr_nonnull(strstr(bench_fit(bench, made.parts, "F7", "T1A"), "F2"));
    ck_assert_uint_eq(bench->fitted_count, 1);
}
END_TEST

START_TEST(what_a_part_is)
{
    apply_clean("part ref=X1 is=fuse value=T1AL250V");
    ck_assert_int_eq(made_info(&made, "X1")->kind, PART_FUSE);
    ck_assert_str_eq(made_info(&made, "X1")->marking, "T1AL250V");
}
END_TEST

/* In the deck's own dialect 1M is a milliohm; at the bench it is what people write. */
static const struct value_row {
    const char *statement;
    double ohms;
} values[] = {
    {"part ref=R1 value=1M", 1e6},
    {"part ref=R1 value=4k7", 4700},
    {"part ref=R1 ohms=2M2", 2.2e6},
    {"part ref=R1 resistance=330R", 330},
    {"part ref=R1 value=10k", 1e4},
};

START_TEST(values_of_parts)
{
    apply_clean(values[_i].statement);
    ck_assert_double_eq_tol(part_figure_value(made_info(&made, "R1"), FIGURE_OHMS, 0),
                            values[_i].ohms, values[_i].ohms * 1e-9);
}
END_TEST

START_TEST(drawn_design_corrected)
{
    apply_clean("part ref=F2 value=T250mAH250V");
    ck_assert_str_eq(made_info(&made, "F2")->marking, "T250mAH250V");
}
END_TEST

START_TEST(a_part_that_is_not_there)
{
    apply_clean("part ref=R1 fitted=no");
    ck_assert(circuit_find_part(made.circuit, "R1")->not_fitted);
}
END_TEST

START_TEST(switches)
{
    apply_clean("switch part=S1 state=open\nswitch part=S2 position=2");
    ck_assert(!made_info(&made, "S1")->closed);
    ck_assert(!made_info(&made, "S2")->closed);
}
END_TEST

START_TEST(loads)
{
    apply_clean("drawn part=J5 amps=80mA\nload net=B2 amps=20mA");
    ck_assert_double_eq_tol(part_figure_value(made_info(&made, "J5"), FIGURE_LOAD_AMPS, 0), 0.08,
                            1e-9);
    ck_assert_double_eq_tol(part_figure_value(made_info(&made, "load on B2"), FIGURE_LOAD_AMPS, 0),
                            0.02, 1e-9);
    ck_assert_str_eq(net_of("load on B2", "2"), "GND");
}
END_TEST

static const struct section *section(size_t index)
{
    return &made_info(&made, "T1")->sections[index];
}

static void check_figure(const struct figure *figure, double value)
{
    ck_assert_double_eq_tol(figure->value, value, 1e-9);
    ck_assert_int_eq(figure->origin, FIGURE_MEASURED);
    ck_assert_str_eq(figure->why, "measured at the bench");
}

START_TEST(windings_by_name_and_pins)
{
    apply_clean("winding part=T1 name=ht volts=310-0-320V ohms=55+58R\n"
                "winding part=T1 pins=7-6 volts=6.6V ohms=40mR amps=5A");
    check_figure(&section(1)->volts, 310);
    check_figure(&section(2)->volts, 320);
    check_figure(&section(1)->ohms, 55);
    check_figure(&section(2)->ohms, 58);
    check_figure(&section(3)->volts, 6.6);
    check_figure(&section(3)->ohms, 0.04);
    check_figure(&section(3)->amps, 5);
    ck_assert_int_eq(section(1)->amps.origin, FIGURE_FROM_NETLIST);
    ck_assert_int_eq(section(0)->volts.origin, FIGURE_FROM_NETLIST);
}
END_TEST

START_TEST(windings_per_section)
{
    apply_clean("winding part=T1 name=HT pins=3-4 ohms=70R\nwinding part=T1 name=HT volts=301+302");
    check_figure(&section(1)->ohms, 70);
    check_figure(&section(1)->volts, 301);
    check_figure(&section(2)->volts, 302);
}
END_TEST

/* A resistance that is derived from volts and amps is derived from those measured. */
START_TEST(derived_from_what_was_measured)
{
    double before, after;

    apply_clean("");
    before = section(1)->ohms.value;
    ck_assert_int_eq(section(1)->ohms.origin, FIGURE_ASSUMED);
    teardown();
    setup();
    apply_clean("winding part=T1 name=HT amps=500mA");
    after = section(1)->ohms.value;
    ck_assert_int_eq(section(1)->ohms.origin, FIGURE_ASSUMED);
    ck_assert(before > 0 && after > 0 && after < 0.6 * before);
}
END_TEST

START_TEST(volts_that_were_missing)
{
    struct part *part = circuit_find_part(made.circuit, "T1");

    part->fields[0].value = "pri 1-2 230V 12R; HT 3-4-5 100+100R; heater 6-7 6.3V 1R 4A";
    apply_clean("winding part=T1 name=HT volts=300+300");
    ck_assert_msg(made_info(&made, "T1")->doubt == NULL, "%s", made_info(&made, "T1")->doubt);
}
END_TEST

/* Statements that do not go with the netlist: a word of the message, and of what was expected. */
static const struct bad_row {
    const char *text;
    const char *message, *expected;
} bad[] = {
    {"fitted part=F22 marking=T1A", "no part F22 in the netlist; the nearest is F2", NULL},
    {"fitted part=R1 marking=T1A", "R1 is of kind resistor", "a fuse; in this netlist: F2"},
    {"switch part=R1 state=open", "R1 is of kind resistor", "a switch; in this netlist: S1, S2"},
    {"drawn part=R1 amps=1mA", "R1 is of kind resistor", "a connector or a jack; in this netlist: J6"},
    {"winding part=R1 name=HT volts=3", "R1 is of kind resistor", "a transformer; in this netlist: T1"},
    {"winding part=T1 name=HV volts=3", "no such winding", "HT (3-4, 4-5), heater (6-7)"},
    {"winding part=T1 pins=3-5 volts=3", "no such winding", "HT (3-4, 4-5), heater (6-7)"},
    {"winding part=T1 name=HT volts=600", "2 sections", "pins= of one section"},
    {"winding part=T1 name=HT volts=300-300", "2 sections", "pins= of one section"},
    {"winding part=T1 name=HT volts=300-0-0", "2 sections", "pins= of one section"},
    {"winding part=T1 name=HT pins=3-4 ohms=5+5", "1 section ", "pins= of one section"},
    {"winding part=T1 name=HT ohms=5+5\nwinding part=T1 pins=3-4 ohms=5", "another statement", NULL},
    {"measured net=HTT volts=3", "no net HTT in the netlist; the nearest is HT", NULL},
    {"measured net=HT to=GRD volts=3", "no net GRD in the netlist; the nearest is GND", NULL},
    {"load net=HT3 amps=1mA", "no net HT3", NULL},
    {"load net=HT return=ht amps=1mA", "draws nothing", NULL},
    {"holder part=F2 between=HT,B2 marking=T1A", "F2 is drawn; say fitted part=F2", NULL},
    {"holder part=F9 between=HT,HT marking=T1A", "to itself", NULL},
    {"holder part=F9 between=HT,B9 marking=T1A", "no net B9", NULL},
    {"holder part=F9 at=J1 marking=T1A", "say which pin=", "1 L (LIVE), 2 N (NEUTRAL)"},
    {"holder part=F9 at=J1 pin=LIVE marking=T1A", "no such pin", "1 L (LIVE), 2 N (NEUTRAL)"},
    {"holder part=F9 at=J7 pin=L marking=T1A", "no part J7", NULL},
    {"holder part=F9 at=J1 pin=L between=HT,B2 marking=T1A", "not both", NULL},
    {"switch part=S1 state=open position=1", "not both", NULL},
    {"part ref=R9 value=1k", "no part R9", NULL},
};

START_TEST(mistakes)
{
    const struct bad_row *row = &bad[_i];

    apply(row->text);
    ck_assert_msg(made.diags.count == 1, "%s: %zu errors", row->text, made.diags.count);
    ck_assert_msg(strstr(made.diags.items[0].message, row->message) != NULL, "%s: %s", row->text,
                  made.diags.items[0].message);
    ck_assert_uint_ge(made.diags.items[0].place.line, 1);
    ck_assert_uint_ge(made.diags.items[0].place.column, 1);
    ck_assert_str_eq(made.diags.items[0].place.source->name, "a.bench");
    if (row->expected != NULL)
        ck_assert_msg(made.diags.items[0].expected != NULL &&
                          strstr(made.diags.items[0].expected, row->expected) != NULL,
                      "%s: %s", row->text, made.diags.items[0].expected);
    ck_assert_ptr_null(circuit_find_part(made.circuit, "F9"));
    ck_assert_uint_eq(bench->fitted_count, 0);
}
END_TEST

Suite *check_amend_suite(void);

Suite *check_amend_suite(void)
{
    Suite *suite = suite_create("bench statements applied");
    TCase *tests = tcase_create("amend");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, holder_at_a_pin);
    tcase_add_test(tests, holder_between_nets);
    tcase_add_test(tests, fitted_takes_the_netlists_spelling);
    tcase_add_test(tests, fitted_on_the_command_line);
    tcase_add_test(tests, what_a_part_is);
    tcase_add_loop_test(tests, values_of_parts, 0, sizeof values / sizeof *values);
    tcase_add_test(tests, drawn_design_corrected);
    tcase_add_test(tests, a_part_that_is_not_there);
    tcase_add_test(tests, switches);
    tcase_add_test(tests, loads);
    tcase_add_test(tests, windings_by_name_and_pins);
    tcase_add_test(tests, windings_per_section);
    tcase_add_test(tests, derived_from_what_was_measured);
    tcase_add_test(tests, volts_that_were_missing);
    tcase_add_loop_test(tests, mistakes, 0, sizeof bad / sizeof *bad);
    suite_add_tcase(suite, tests);
    return suite;
}
