#include <config.h>

#include "made_circuit.h"

#include <math.h>

/* A value or field, and the figure it gives; NAN: it gives none. */
static const struct row {
    const char *ref, *value, *symbol, *field, *field_value;
    char letter;
    enum figure_id id;
    double want;
    enum figure_origin origin;
} rows[] = {
    {"R1", "4k7", "R", NULL, NULL, 0, FIGURE_OHMS, 4700, FIGURE_FROM_NETLIST},
    {"R1", "470 1W", "R", NULL, NULL, 0, FIGURE_RATED_WATTS, 1, FIGURE_FROM_NETLIST},
    {"R1", "470 1W", "R", NULL, NULL, 0, FIGURE_OHMS, 470, FIGURE_FROM_NETLIST},
    {"R1", "100R", "R", "power", "5W", 0, FIGURE_RATED_WATTS, 5, FIGURE_FROM_NETLIST},
    {"R1", "100R", "R", "Tolerance", "5%", 0, FIGURE_TOLERANCE, 5, FIGURE_FROM_NETLIST},
    {"R1", "1M", "R", NULL, NULL, 0, FIGURE_OHMS, 1e6, FIGURE_FROM_NETLIST},
    {"R1", "1M", NULL, NULL, NULL, 'R', FIGURE_OHMS, 1e-3, FIGURE_FROM_NETLIST},
    {"R1", "*", "R", NULL, NULL, 0, FIGURE_OHMS, NAN, FIGURE_FROM_NETLIST},
    {"R1", "4k7", "R", "load", "20mA", 0, FIGURE_LOAD_AMPS, 0.02, FIGURE_FROM_NETLIST},
    {"RV1", "1M-A", "POT", NULL, NULL, 0, FIGURE_OHMS, 1e6, FIGURE_FROM_NETLIST},
    {"RV1", "10k", "POT", "wiper", "30%", 0, FIGURE_WIPER, 30, FIGURE_FROM_NETLIST},
    {"RV1", "10k", "POT", "Wiper", "0", 0, FIGURE_WIPER, 0, FIGURE_FROM_NETLIST},
    {"RV1", "10k", "POT", "wiper", "150%", 0, FIGURE_WIPER, NAN, FIGURE_FROM_NETLIST},
    {"C1",
     "47\xC2\xB5"
     "F/450V",
     "CP", NULL, NULL, 0, FIGURE_FARADS, 47e-6, FIGURE_FROM_NETLIST},
    {"C1",
     "47\xC2\xB5"
     "F/450V",
     "CP", NULL, NULL, 0, FIGURE_RATED_VOLTS, 450, FIGURE_FROM_NETLIST},
    {"C1", "22n", "C", "Voltage", "630V", 0, FIGURE_RATED_VOLTS, 630, FIGURE_FROM_NETLIST},
    {"C1", "22n", "C", "Voltage", "1kV", 0, FIGURE_RATED_VOLTS, 1000, FIGURE_FROM_NETLIST},
    {"C1", "20u 600V", "C", NULL, NULL, 0, FIGURE_RATED_VOLTS, 600, FIGURE_FROM_NETLIST},
    {"L1", "10H", "CHOKE", "ohms", "200", 0, FIGURE_OHMS, 200, FIGURE_FROM_NETLIST},
    {"L1", "10H", "CHOKE", "current", "100mA", 0, FIGURE_RATED_AMPS, 0.1, FIGURE_FROM_NETLIST},
    {"L1", "10H", "CHOKE", NULL, NULL, 0, FIGURE_HENRIES, 10, FIGURE_FROM_NETLIST},
    {"D1", "1N4007", "D", NULL, NULL, 0, FIGURE_REVERSE_VOLTS, 1000, FIGURE_FROM_LIBRARY},
    {"D1", "1N4007", "D", NULL, NULL, 0, FIGURE_SATURATION_AMPS, 7e-9, FIGURE_FROM_LIBRARY},
    {"D1", "1N5408", "D", NULL, NULL, 0, FIGURE_SERIES_OHMS, 0.014, FIGURE_FROM_LIBRARY},
    {"D1", "selenium", "D", NULL, NULL, 0, FIGURE_EMISSION, 1.8, FIGURE_ASSUMED},
    {"D1", "DX", "DX", NULL, NULL, 'D', FIGURE_SATURATION_AMPS, 1e-12, FIGURE_FROM_NETLIST},
    {"D1", "DX", "DX", NULL, NULL, 'D', FIGURE_REVERSE_VOLTS, 800, FIGURE_FROM_NETLIST},
    {"D1", "DX", "DX", NULL, NULL, 'D', FIGURE_EMISSION, 1, FIGURE_FROM_NETLIST},
    {"D1", "1N4742A", "D_Zener", NULL, NULL, 0, FIGURE_ZENER_VOLTS, 12, FIGURE_FROM_LIBRARY},
    {"D1", "BZX85C5V1", "D_Zener", NULL, NULL, 0, FIGURE_ZENER_VOLTS, 5.1, FIGURE_FROM_NETLIST},
    {"D1", "5V1", "D_Zener", NULL, NULL, 0, FIGURE_ZENER_VOLTS, 5.1, FIGURE_FROM_NETLIST},
    {"BR1", "400V/25A", "BRIDGE", NULL, NULL, 0, FIGURE_REVERSE_VOLTS, 400, FIGURE_FROM_NETLIST},
    {"BR1", "400V/25A", "BRIDGE", NULL, NULL, 0, FIGURE_AVERAGE_AMPS, 25, FIGURE_FROM_NETLIST},
    {"BR1", "4 x 1N4007", "BRIDGE", NULL, NULL, 0, FIGURE_SURGE_AMPS, 30, FIGURE_FROM_LIBRARY},
    {"V1", "EL84", NULL, NULL, NULL, 0, FIGURE_IDLE_AMPS, 48e-3, FIGURE_FROM_LIBRARY},
    {"V1", "EL84", NULL, NULL, NULL, 0, FIGURE_SCREEN_AMPS, 5.5e-3, FIGURE_FROM_LIBRARY},
    {"V1", "EL84", NULL, "Idle Current", "36mA", 0, FIGURE_IDLE_AMPS, 36e-3, FIGURE_FROM_NETLIST},
    {"V1", "ECC83", NULL, NULL, NULL, 0, FIGURE_HEATER_AMPS, 0.3, FIGURE_FROM_LIBRARY},
    {"V1", "GZ34", NULL, NULL, NULL, 0, FIGURE_PERVEANCE, 3.57e-3, FIGURE_FROM_LIBRARY},
    {"V1", "EZ80", NULL, NULL, NULL, 0, FIGURE_LARGEST_RESERVOIR, 50e-6, FIGURE_FROM_LIBRARY},
    {"V1", "83", "DIODE_TUBE", NULL, NULL, 0, FIGURE_ARC_VOLTS, 15, FIGURE_FROM_LIBRARY},
    {"U1", "LM7912", NULL, NULL, NULL, 0, FIGURE_OUTPUT_VOLTS, -12, FIGURE_FROM_LIBRARY},
    {"U1", "TL072", NULL, NULL, NULL, 0, FIGURE_QUIESCENT_AMPS, 2.8e-3, FIGURE_FROM_LIBRARY},
    {"J1", "IEC", "IEC_60320_C14", NULL, NULL, 0, FIGURE_RATED_AMPS, 10, FIGURE_FROM_LIBRARY},
    {"J1", "IEC", "IEC_60320_C8", NULL, NULL, 0, FIGURE_RATED_AMPS, 2.5, FIGURE_FROM_LIBRARY},
    {"J1", "IEC", "IEC_60320_C14", NULL, NULL, 0, FIGURE_AC_PEAK_VOLTS, 325.27, FIGURE_ASSUMED},
    {"J1", "IEC", "IEC_60320_C14", NULL, NULL, 0, FIGURE_HERTZ, 50, FIGURE_ASSUMED},
    {"P1", "+450V", "CONN_01X01", NULL, NULL, 0, FIGURE_DC_VOLTS, 450, FIGURE_FROM_NETLIST},
    {"P1", "320V_AC", "CONN_2", NULL, NULL, 0, FIGURE_AC_PEAK_VOLTS, 452.55, FIGURE_FROM_NETLIST},
    {"P1", "6V3_AC", "CONN_2", NULL, NULL, 0, FIGURE_AC_PEAK_VOLTS, 8.9095, FIGURE_FROM_NETLIST},
    {"F1", "FUSE", "FUSE", "current", "2", 'X', FIGURE_RATED_AMPS, 2, FIGURE_FROM_NETLIST},
    {"F1", "FUSE", "FUSE", "ohms", "0.5", 0, FIGURE_OHMS, 0.5, FIGURE_FROM_NETLIST},
    {"BT1", "9V", "Battery", NULL, NULL, 0, FIGURE_DC_VOLTS, 9, FIGURE_FROM_NETLIST},
    /* sources */
    {"V1", "9", NULL, NULL, NULL, 'V', FIGURE_DC_VOLTS, 9, FIGURE_FROM_NETLIST},
    {"V1", "DC 9", NULL, NULL, NULL, 'V', FIGURE_DC_VOLTS, 9, FIGURE_FROM_NETLIST},
    {"V1", "dc=9 ac 1", NULL, NULL, NULL, 'V', FIGURE_DC_VOLTS, 9, FIGURE_FROM_NETLIST},
    {"V1", "0 AC 1", NULL, NULL, NULL, 'V', FIGURE_AC_PEAK_VOLTS, NAN, FIGURE_FROM_NETLIST},
    {"V1", "SIN(0 325 50)", NULL, NULL, NULL, 'V', FIGURE_AC_PEAK_VOLTS, 325, FIGURE_FROM_NETLIST},
    {"V1", "SIN(0 325 50)", NULL, NULL, NULL, 'V', FIGURE_HERTZ, 50, FIGURE_FROM_NETLIST},
    {"V1", "SINE(5 325 60 0 0 90)", NULL, NULL, NULL, 'V', FIGURE_DC_VOLTS, 5, FIGURE_FROM_NETLIST},
    {"V1", "SINE ( 5, 325, 60, 0, 0, 90 )", NULL, NULL, NULL, 'V', FIGURE_PHASE, 1.570796327,
     FIGURE_FROM_NETLIST},
    {"V1", "SIN(0 325 50 5m 0 0)", NULL, NULL, NULL, 'V', FIGURE_PHASE, -1.570796327,
     FIGURE_FROM_NETLIST},
    {"V1", "DC 0 AC 1 SIN(0 1k 50)", NULL, NULL, NULL, 'V', FIGURE_AC_PEAK_VOLTS, 1000,
     FIGURE_FROM_NETLIST},
    {"V1", "{vdd}", NULL, NULL, NULL, 'V', FIGURE_DC_VOLTS, NAN, FIGURE_FROM_NETLIST},
    {"V1", "PULSE(0 5 0 1n 1n 1m 2m)", NULL, NULL, NULL, 'V', FIGURE_DC_VOLTS, NAN,
     FIGURE_FROM_NETLIST},
    {"V1", "AC 230", "VSOURCE", NULL, NULL, 0, FIGURE_AC_PEAK_VOLTS, 325.27, FIGURE_FROM_NETLIST},
    {"V1", "230V AC", "VSOURCE", NULL, NULL, 0, FIGURE_AC_PEAK_VOLTS, 325.27, FIGURE_FROM_NETLIST},
    {"I1", "10m", NULL, NULL, NULL, 'I', FIGURE_DC_AMPS, 0.01, FIGURE_FROM_NETLIST},
};

static void build(struct made *made, const struct row *row)
{
    struct part *part = made_part(made, row->ref, row->value, row->symbol);
    struct model *model = circuit_add_model(made->circuit, "DX", "D", (struct place){0});

    circuit_add_parameter(made->circuit, model, "is", "1p");
    circuit_add_parameter(made->circuit, model, "bv", "800");
    part->letter = row->letter;
    part->dialect = row->letter != 0 ? QUANTITY_SPICE : QUANTITY_SCHEMATIC;
    if (row->field != NULL)
        circuit_add_field(made->circuit, part, row->field, row->field_value);
    made_pins(made, part, "1 2");
    made_recognise(made);
}

START_TEST(figure_is_read)
{
    struct made made = made_start();
    const struct row *row = &rows[_i];
    const struct figure *figure;

    build(&made, row);
    figure = part_figure(&made.parts->items[0], row->id);
    if (isnan(row->want)) {
        ck_assert_msg(figure == NULL, "%s %s: got %s", row->ref, row->value,
                      figure_rows[row->id].name);
    } else {
        ck_assert_msg(figure != NULL, "%s %s (%s): no %s", row->ref, row->value,
                      part_kind_name(made.parts->items[0].kind), figure_rows[row->id].name);
        assert_within(figure->value, row->want, 0.01);
        ck_assert_int_eq(figure->origin, row->origin);
        ck_assert(figure->low <= figure->value && figure->value <= figure->high);
        ck_assert(figure->origin == FIGURE_FROM_NETLIST || figure->why != NULL);
    }
    made_end(&made);
}
END_TEST

START_TEST(a_stimulus_not_understood_leaves_a_doubt)
{
    static const char *const texts[] = {
        "{vdd}",      "PULSE(0 5 0 1n 1n 1m 2m)", "SIN(0 325)", "", "SIN(",
        "SIN(0 1 0)", "SIN(0 1 50 0 10)",         "1 2 3 x"};

    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct made made = made_start();
        struct row row = {.ref = "V1", .value = texts[i], .letter = 'V'};

        build(&made, &row);
        ck_assert_int_eq(made.parts->items[0].kind, PART_VOLTAGE_SOURCE);
        ck_assert_msg(made.parts->items[0].doubt != NULL, "no doubt of %s", texts[i]);
        made_end(&made);
    }
}
END_TEST

/* Fuse markings: what is drawn, or NULL when it is only a name. */
static const struct marking_row {
    const char *value, *symbol, *field, *field_value, *want;
} markings[] = {
    {"T315mAL250V", "FUSE", NULL, NULL, "T315mAL250V"},
    {"Fuse", "Fuse", NULL, NULL, NULL},
    {"F_Small", "F_Small", NULL, NULL, NULL},
    {"fuse-2.sym", "fuse-2.sym", NULL, NULL, NULL},
    {NULL, "FUSE", NULL, NULL, NULL},
    {"F_5A", "Fuse", NULL, NULL, "F_5A"},
    {"\xC2\xBE A", "FUSE", NULL, NULL, "\xC2\xBE A"},
    {"Fuse", "Fuse", "Rating", "T1A", "T1A"},
    {"2A", "Fuse", "rating", "T1A", "T1A"},
    {NULL, "FUSE", "I_FUSE", "2", "2A"},
};

START_TEST(fuse_markings)
{
    struct made made = made_start();
    const struct marking_row *row = &markings[_i];
    struct row as_row = {.ref = "F1",
                         .value = row->value,
                         .symbol = row->symbol,
                         .field = row->field,
                         .field_value = row->field_value};
    const char *got;

    build(&made, &as_row);
    got = made.parts->items[0].marking;
    ck_assert_int_eq(made.parts->items[0].kind, PART_FUSE);
    ck_assert_str_eq(got != NULL ? got : "none", row->want != NULL ? row->want : "none");
    made_end(&made);
}
END_TEST

START_TEST(mains_follows_the_primary)
{
    struct made made = made_start();
    struct part *transformer = made_part(&made, "T1", NULL, "TRANSFORMER");
    const struct part_info *inlet;

    made_pins(&made, transformer, "1 2 3 4");
    circuit_add_field(made.circuit, transformer, "windings", "pri 1-2 120V 3R; h 3-4 6.3V 0.1R");
    made_pins(&made, made_part(&made, "J1", NULL, "IEC_60320_C14"), "1:L 2:N 3:PE");
    made_recognise(&made);
    inlet = made_info(&made, "J1");
    assert_within(part_figure_value(inlet, FIGURE_AC_PEAK_VOLTS, 0), 120 * sqrt(2), 0.01);
    assert_within(part_figure_value(inlet, FIGURE_HERTZ, 0), 60, 0.01);
    assert_within(part_figure(inlet, FIGURE_AC_PEAK_VOLTS)->high, 132 * sqrt(2), 0.01);
    made_end(&made);
}
END_TEST

START_TEST(stated_mains_is_no_assumption)
{
    struct made made = made_start();
    struct parts_options options = {
        .data_dir = source_path("rules"), .mains_volts = 240, .mains_hertz = 50};
    const struct figure *volts;

    made_pins(&made, made_part(&made, "J1", NULL, "IEC_60320_C14"), "1:L 2:N 3:PE");
    circuit_finish(made.circuit);
    made.parts = parts_recognise(made.arena, &made.diags, made.circuit, &options);
    volts = part_figure(made_info(&made, "J1"), FIGURE_AC_PEAK_VOLTS);
    assert_within(volts->value, 240 * sqrt(2), 0.01);
    ck_assert_int_eq(volts->origin, FIGURE_FROM_NETLIST);
    made_end(&made);
}
END_TEST

START_TEST(coupled_inductors)
{
    struct made made = made_start();
    struct coupling *coupling = circuit_add_coupling(made.circuit, "K1", 0.99, (struct place){0});

    for (int i = 1; i <= 3; i++) {
        struct part *part = made_part(&made, arena_print(made.arena, "L%d", i), "10", NULL);

        part->letter = 'L';
        part->dialect = QUANTITY_SPICE;
        made_pins(&made, part, "1 2");
    }
    circuit_couple(made.circuit, coupling, "l1");
    circuit_couple(made.circuit, coupling, "L2");
    circuit_couple(made.circuit, coupling, "L9");
    made_recognise(&made);
    ck_assert_int_eq(made_info(&made, "L1")->kind, PART_COUPLED_INDUCTOR);
    ck_assert_int_eq(made_info(&made, "L2")->kind, PART_COUPLED_INDUCTOR);
    ck_assert_int_eq(made_info(&made, "L3")->kind, PART_CHOKE);
    assert_within(part_figure_value(made_info(&made, "L1"), FIGURE_HENRIES, 0), 10, 0.01);
    ck_assert_int_eq(made_info(&made, "L1")->pins[1].role, PIN_END);
    made_end(&made);
}
END_TEST

START_TEST(fields_override)
{
    struct made made = made_start();
    struct part *part = made_part(&made, "X9", "whatever", "BOX");
    struct part *typed = made_part(&made, "X8", "whatever", "BOX");
    struct part *wrong = made_part(&made, "R1", "4k7", "R");

    circuit_add_field(made.circuit, part, "Kind", "fuse");
    circuit_add_field(made.circuit, part, "place", "inlet drawer");
    circuit_add_field(made.circuit, typed, "type", "EL34");
    circuit_add_field(made.circuit, wrong, "kind", "thingummy");
    made_pins(&made, part, "1 2");
    made_pins(&made, typed, "3 4 5 8");
    made_pins(&made, wrong, "1 2");
    made_recognise(&made);
    ck_assert_int_eq(made_info(&made, "X9")->kind, PART_FUSE);
    ck_assert_str_eq(made_info(&made, "X9")->place, "inlet drawer");
    ck_assert_int_eq(made_info(&made, "X8")->kind, PART_PENTODE);
    ck_assert_str_eq(made_info(&made, "X8")->type, "EL34");
    ck_assert_int_eq(made_info(&made, "R1")->kind, PART_RESISTOR);
    ck_assert_ptr_nonnull(strstr(made_info(&made, "R1")->doubt, "thingummy"));
    made_end(&made);
}
END_TEST

START_TEST(every_witness_is_recorded)
{
    struct made made = made_start();
    struct part *part = made_part(&made, "V3", "6V6GT", "EL84");
    const struct part_info *info;
    size_t decided = 0;

    part->library = "valves";
    part->prefix = "V";
    made_pins(&made, part, "7:A 9:G2 2:G1 3:K");
    made_recognise(&made);
    info = made_info(&made, "V3");
    ck_assert_uint_eq(info->witness_count, 6); /* value, symbol, library, pins, prefix, reference */
    for (size_t i = 0; i < info->witness_count; i++) {
        decided += info->witnesses[i].decided;
        if (info->witnesses[i].decided)
            ck_assert_str_eq(info->witnesses[i].kind, "value");
        ck_assert_int_eq(info->witnesses[i].vote, PART_PENTODE);
    }
    ck_assert_uint_eq(decided, 1);
    made_end(&made);
}
END_TEST

Suite *check_figures_suite(void);

Suite *check_figures_suite(void)
{
    Suite *suite = suite_create("figures");
    TCase *tests = tcase_create("figures");

    tcase_add_loop_test(tests, figure_is_read, 0, sizeof rows / sizeof *rows);
    tcase_add_loop_test(tests, fuse_markings, 0, sizeof markings / sizeof *markings);
    tcase_add_test(tests, a_stimulus_not_understood_leaves_a_doubt);
    tcase_add_test(tests, mains_follows_the_primary);
    tcase_add_test(tests, stated_mains_is_no_assumption);
    tcase_add_test(tests, coupled_inductors);
    tcase_add_test(tests, fields_override);
    tcase_add_test(tests, every_witness_is_recorded);
    suite_add_tcase(suite, tests);
    return suite;
}
