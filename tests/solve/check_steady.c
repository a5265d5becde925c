#include "check_prearc.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "solve/rig.h"

#define PI 3.141592653589793
#define ROOT_TWO 1.4142135623730951

static struct rig rig;

static void teardown(void)
{
    arena_free(rig.arena);
}

static struct solution *solved(void)
{
    struct solution *solution = rig_solve(&rig);

    ck_assert_msg(solution->status == SOLVE_OK, "status %d, blame %s", solution->status,
                  solution->blame != NULL ? solution->blame : "nobody");
    return solution;
}

static double ripple(const struct solution *solution, const char *name)
{
    const struct wave *wave = rig_volts(&rig, solution, name);

    return wave->high - wave->low;
}

/* Two legs of a centre-tapped winding of VOLTS RMS, OHMS each, to anodes a and b. */
static void add_centre_tap(double volts, double ohms)
{
    rig_sine(&rig, "V1", "a", "0", volts * ROOT_TWO, 0, ohms);
    rig_sine(&rig, "V2", "b", "0", volts * ROOT_TWO, PI, ohms);
}

static size_t add_valve(double perveance)
{
    size_t first = rig_add(&rig, "V3a", &device_valve_diode, "a", "p", (double[5]){perveance});

    rig_add(&rig, "V3b", &device_valve_diode, "b", "p", (double[5]){perveance});
    return first;
}

/* The next four: the same circuits, with the same device equations, by transient runs of a general-purpose circuit
 * simulator (ngspice 39, own runs). */

/* EZ80, 250-0-250 V, 125 ohm an anode, 50 uF, 90 mA constant. */
START_TEST(valve_full_wave)
{
    struct solution *solution;
    size_t diode;

    rig = rig_new(50);
    add_centre_tap(250, 125);
    diode = add_valve(7.1e-4);
    rig_capacitor(&rig, "C1", "p", "0", 50e-6);
    rig_load(&rig, "I1", "p", "0", 0.09, 10);
    solution = solved();
    assert_within(rig_volts(&rig, solution, "p")->mean, 258.14, 1);
    assert_within(ripple(solution, "p"), 10.43, 2);
    assert_within(solution->branches[diode].rms, 103.9e-3, 2);
    assert_within(solution->branches[diode].high, 305.8e-3, 2);
    assert_within(solution->branches[diode].mean, 45e-3, 2);
}
END_TEST

/* 35 V, 0.8 ohm, four 1N5408, 4700 uF, 16 ohm. */
START_TEST(silicon_bridge)
{
    struct solution *solution;
    size_t source, diode;

    rig = rig_new(50);
    source = rig_sine(&rig, "V1", "a", "b", 35 * ROOT_TWO, 0, 0.8);
    diode = rig_diode(&rig, "D1", "a", "p", 63e-9, 1.7, 14e-3);
    rig_diode(&rig, "D2", "b", "p", 63e-9, 1.7, 14e-3);
    rig_diode(&rig, "D3", "0", "a", 63e-9, 1.7, 14e-3);
    rig_diode(&rig, "D4", "0", "b", 63e-9, 1.7, 14e-3);
    rig_capacitor(&rig, "C1", "p", "0", 4700e-6);
    rig_resistor(&rig, "R1", "p", "0", 16);
    solution = solved();
    assert_within(rig_volts(&rig, solution, "p")->mean, 39.48, 1);
    assert_within(ripple(solution, "p"), 3.39, 2);
    assert_within(solution->branches[source].rms, 4.4, 2);
    assert_within(solution->branches[diode].high, 9.86, 2);
    assert_within(solution->branches[diode].rms, 3.112, 2);
    assert_within(solution->branches[diode].mean, 1.234, 2);
}
END_TEST

/* 50 V, 220 ohm, 1N4007, 47 uF, 10 k. */
START_TEST(half_wave_bias)
{
    struct solution *solution;
    size_t diode;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "a", "0", 50 * ROOT_TWO, 0, 220);
    diode = rig_diode(&rig, "D1", "a", "p", 7e-9, 1.8, 34e-3);
    rig_capacitor(&rig, "C1", "p", "0", 47e-6);
    rig_resistor(&rig, "R1", "p", "0", 10e3);
    solution = solved();
    assert_within(rig_volts(&rig, solution, "p")->mean, 59.04, 1);
    assert_within(ripple(solution, "p"), 2.07, 2);
    assert_within(solution->branches[diode].rms, 15.26e-3, 2);
    assert_within(solution->branches[diode].high, 49.49e-3, 2);
    assert_within(solution->branches[diode].mean, 5.904e-3, 2);
}
END_TEST

/* 345-0-345 V, 75 ohm a side, 1N4007, 47 uF, 150 mA constant, 60 Hz. */
START_TEST(silicon_centre_tap)
{
    struct solution *solution;
    size_t diode;

    rig = rig_new(60);
    add_centre_tap(345, 75);
    diode = rig_diode(&rig, "D1", "a", "p", 7e-9, 1.8, 34e-3);
    rig_diode(&rig, "D2", "b", "p", 7e-9, 1.8, 34e-3);
    rig_capacitor(&rig, "C1", "p", "0", 47e-6);
    rig_load(&rig, "I1", "p", "0", 0.15, 10);
    solution = solved();
    assert_within(rig_volts(&rig, solution, "p")->mean, 431.12, 1);
    assert_within(ripple(solution, "p"), 18.86, 2);
    assert_within(solution->branches[diode].rms, 209.9e-3, 2);
    assert_within(solution->branches[diode].high, 735.9e-3, 2);
}
END_TEST

/* Printed outputs of the EZ80 with 50 uF at 50 Hz (Mazda EZ80 sheet, Aug 1963, p. 4; the 90 mA values also p. 1). With
 * the perveance of the printed static curve all 20 points lie within 5 %. */
START_TEST(ez80_regulation)
{
    static const double milliamps[] = {20, 40, 60, 80, 90};
    static const struct {
        double volts, ohms, printed[5];
    } rows[] = {
        {250, 125, {326, 305, 287, 272, 265}},
        {275, 175, {358, 333, 312, 293, 285}},
        {300, 215, {386, 359, 338, 319, 310}},
        {350, 300, {450, 419, 394, 370, 360}},
    };

    for (size_t r = 0; r < sizeof rows / sizeof *rows; r++)
        for (size_t c = 0; c < 5; c++) {
            rig = rig_new(50);
            add_centre_tap(rows[r].volts, rows[r].ohms);
            add_valve(7.1e-4);
            rig_capacitor(&rig, "C1", "p", "0", 50e-6);
            rig_load(&rig, "I1", "p", "0", milliamps[c] / 1000, 10);
            assert_within(rig_volts(&rig, solved(), "p")->mean, rows[r].printed[c], 5);
            if (r < 3 || c < 4)
                arena_free(rig.arena);
        }
}
END_TEST

/* A sine through a resistance into a capacitor: the divider's closed form. */
START_TEST(linear_rc)
{
    double reactance = 1 / (2 * PI * 50 * 10e-6), peak = 100, z = hypot(1000, reactance);
    struct solution *solution;
    size_t resistor;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "a", "0", peak, 0.3, 0);
    resistor = rig_resistor(&rig, "R1", "a", "b", 1000);
    rig_capacitor(&rig, "C1", "b", "0", 10e-6);
    solution = solved();
    assert_within(solution->branches[resistor].rms, peak / z / ROOT_TWO, 0.1);
    assert_within(rig_volts(&rig, solution, "b")->rms, peak * reactance / z / ROOT_TWO, 0.1);
    ck_assert(fabs(rig_volts(&rig, solution, "b")->mean) < 1e-3);
}
END_TEST

/* L/R of 20 s: hundreds of periods by plain integration. DC 12 V and AC; the current's mean is DC/R, its AC share
 * peak/|Z|. */
START_TEST(slow_choke)
{
    double reactance = 2 * PI * 50 * 200, ac = 100 / hypot(10, reactance) / ROOT_TWO;
    struct solution *solution;
    size_t choke;

    rig = rig_new(50);
    rig_add(&rig, "V1", &device_source, "a", "0", (double[5]){12, 100, 50, 0, 0});
    choke = rig_inductor(&rig, "L1", "a", "0", 200, 10);
    solution = solved();
    assert_within(solution->branches[choke].mean, 1.2, 0.1);
    assert_within(solution->branches[choke].rms, hypot(1.2, ac), 0.1);
    ck_assert_uint_lt(solution->periods, 30);
}
END_TEST

/* A capacitor charged by plain steps of an operating point's opposite: exactly exp(-T/RC) a period. A square
 * drive is not there, so the decay is seen as ripple of a half-wave rectifier with no source resistance: between
 * peaks it falls by at least 1 - exp(-(T - conduction)/RC), at most by 1 - exp(-T/RC). */
START_TEST(rc_decay)
{
    double rc = 10e3 * 47e-6, whole = 1 - exp(-0.02 / rc), fall;
    struct solution *solution;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "a", "0", 1000, 0, 0.01);
    rig_diode(&rig, "D1", "a", "p", 1e-9, 0.1, 0);
    rig_capacitor(&rig, "C1", "p", "0", 47e-6);
    rig_resistor(&rig, "R1", "p", "0", 10e3);
    solution = solved();
    fall = ripple(solution, "p") / rig_volts(&rig, solution, "p")->high;
    ck_assert_msg(fall < whole && fall > 0.9 * whole, "falls by %g of at most %g", fall, whole);
    assert_within(rig_volts(&rig, solution, "p")->high, 1000, 0.1);
}
END_TEST

/* A half-wave rectifier draws DC from its secondary. The core's mean flux is set by that DC: the primary carries none, so
 * the magnetising current's mean is the DC (in secondary turns), and volts per turn have no mean. */
START_TEST(transformer_with_dc)
{
    static const char *const ends[] = {"L", "0", "s", "0"};
    struct element *core;
    struct solution *solution;
    size_t load;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "L", "0", 230 * ROOT_TWO, 0, 0.5);
    core = rig_transformer(&rig, "T1", 2, ends, (double[]){230, 50}, (double[]){20, 2}, 15);
    rig_diode(&rig, "D1", "s", "p", 7e-9, 1.8, 34e-3);
    rig_capacitor(&rig, "C1", "p", "0", 470e-6);
    load = rig_resistor(&rig, "R1", "p", "0", 1000);
    solution = solved();
    ck_assert_double_lt(fabs(solution->branches[core->first_branch].mean), 1e-4);
    assert_within(-solution->branches[core->first_branch + 1].mean,
                  solution->branches[load].mean, 0.5);
    ck_assert_double_lt(fabs(rig_volts(&rig, solution, "L")->mean), 0.01);
    /* its volts are those of the winding less what its DC drops */
    assert_within(rig_volts(&rig, solution, "p")->mean, 50 * ROOT_TWO, 6);
}
END_TEST

/* Ideal: volts go with turns, ampere-turns balance but for the magnetising current. */
START_TEST(transformer_ratio)
{
    static const char *const ends[] = {"L", "0", "s", "t"};
    struct element *core;
    struct solution *solution;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "L", "0", 230 * ROOT_TWO, 0, 0);
    core = rig_transformer(&rig, "T1", 2, ends, (double[]){230, 6.3}, (double[]){0, 0}, 1000);
    rig_resistor(&rig, "R1", "s", "t", 2.1);
    solution = solved();
    assert_within(solution->branches[core->first_branch + 1].rms, 3, 0.1);
    assert_within(solution->branches[core->first_branch].rms, 3 * 6.3 / 230, 0.5);
}
END_TEST

/* A secondary that nothing ties to ground is no reason to fail, with or without a load or a capacitor to ground. */
START_TEST(floating_winding)
{
    static const char *const ends[] = {"L", "0", "s", "t", "u", "v"};
    struct solution *solution;
    size_t load;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "L", "0", 325, 0, 0.5);
    rig_transformer(&rig, "T1", 3, ends, (double[]){230, 12, 6.3}, (double[]){20, 0.5, 0.1}, 15);
    load = rig_resistor(&rig, "R1", "s", "t", 12);
    rig_capacitor(&rig, "C1", "u", "0", 10e-9);
    solution = solved();
    assert_within(solution->branches[load].rms, 12.0 / 12.5 * 325 / ROOT_TWO / 230, 1);
    ck_assert_double_lt(rig_volts(&rig, solution, "s")->rms, 13);
}
END_TEST

/* Coupled inductors with k = 1 are a transformer: 4:1 in inductance is 2:1 in volts. */
START_TEST(coupled_inductors)
{
    double mutual[] = {40, 20, 20, 10}, ohms[] = {1, 0.1};
    struct part part = {.ref = "L1"};
    struct element *element;
    struct solution *solution;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "L", "0", 100 * ROOT_TWO, 0, 0);
    element = network_add_element(
        rig.network, &device_coupled, &part,
        (size_t[]){rig_node(&rig, "L"), 0, rig_node(&rig, "s"), 0}, 4);
    element->section_count = 2;
    element->matrix = mutual;
    element->ohms = ohms;
    network_add_branch(rig.network, element, element->nodes[0], 0, BRANCH_WINDING, false);
    network_add_branch(rig.network, element, element->nodes[2], 0, BRANCH_WINDING, false);
    rig_resistor(&rig, "R1", "s", "0", 100);
    solution = solved();
    assert_within(rig_volts(&rig, solution, "s")->rms, 50, 0.5);
    assert_within(solution->branches[element->first_branch + 1].rms, 0.5, 0.5);
}
END_TEST

/* A supply on which most things depend: two runs must give the same bits. */
static void add_supply(void)
{
    static const char *const ends[] = {"L", "N", "a", "0", "0", "b", "h", "0"};

    rig_sine(&rig, "V1", "L", "N", 325, 0, 0.5);
    rig_resistor(&rig, "R9", "N", "0", 0.5);
    rig_transformer(&rig, "T1", 4, ends, (double[]){230, 300, 300, 6.3},
                    (double[]){11, 75, 75, 0.05}, 10);
    add_valve(3.5e-3);
    rig_resistor(&rig, "R5", "h", "0", 2);
    rig_capacitor(&rig, "C1", "p", "0", 47e-6);
    rig_inductor(&rig, "L1", "p", "q", 5, 100);
    rig_capacitor(&rig, "C2", "q", "0", 47e-6);
    rig_load(&rig, "V4", "q", "0", 0.1, 10);
    rig_resistor(&rig, "R1", "q", "r", 22e3);
    rig_capacitor(&rig, "C3", "r", "0", 22e-6);
    rig_load(&rig, "V5", "r", "0", 2e-3, 10);
}

START_TEST(same_bits)
{
    struct solution *first, *second;

    rig = rig_new(50);
    add_supply();
    first = solved();
    second = solved();
    ck_assert(memcmp(first->nodes, second->nodes,
                     rig.network->node_count * sizeof *first->nodes) == 0);
    ck_assert(memcmp(first->branches, second->branches,
                     rig.network->branch_count * sizeof *first->branches) == 0);
    ck_assert(memcmp(first->charge, second->charge,
                     first->state_count * sizeof *first->charge) == 0);
}
END_TEST

/* From the healthy solution a faulted network must come to the same result as from nothing. */
START_TEST(fault_from_a_start)
{
    struct solution *healthy, *cold, *warm;
    struct network *faulted;
    size_t r = 0;

    rig = rig_new(50);
    add_supply();
    healthy = solved();
    while (strcmp(rig.network->branches[r].part->ref, "C2") != 0)
        r++;
    faulted = network_change(rig.arena, rig.network, &(struct change){CHANGE_SHORT, r, 0}, 1);
    cold = solve_steady(rig.arena, faulted, NULL);
    warm = solve_steady(rig.arena, faulted, &(struct solve_options){.start = healthy});
    ck_assert_int_eq(cold->status, SOLVE_OK);
    ck_assert_int_eq(warm->status, SOLVE_OK);
    for (size_t b = 0; b < faulted->branch_count; b++)
        ck_assert_msg(fabs(cold->branches[b].rms - warm->branches[b].rms) <=
                          2e-3 * cold->branches[b].rms + 1e-5,
                      "%s: cold %g, warm %g A", faulted->branches[b].part->ref,
                      cold->branches[b].rms, warm->branches[b].rms);
    ck_assert_double_gt(warm->branches[r].mean, 0.5); /* the short carries what the choke lets through */
}
END_TEST

START_TEST(clashing_sources)
{
    struct solution *solution;

    rig = rig_new(50);
    rig_direct(&rig, "V1", "a", "0", 9);
    rig_direct(&rig, "V2", "a", "0", 12);
    rig_sine(&rig, "V3", "b", "0", 10, 0, 1);
    rig_resistor(&rig, "R1", "a", "b", 100);
    solution = rig_solve(&rig);
    ck_assert_int_eq(solution->status, SOLVE_SINGULAR);
    ck_assert_ptr_nonnull(solution->blame);
    ck_assert_msg(solution->blame[0] == 'V' || strcmp(solution->blame, "a") == 0, "blames %s",
                  solution->blame);
    solution = solve_operating_point(rig.arena, rig.network);
    ck_assert_int_eq(solution->status, SOLVE_SINGULAR);
    ck_assert_ptr_nonnull(solution->blame);
}
END_TEST

START_TEST(frequencies_that_do_not_fit)
{
    struct solution *solution;

    rig = rig_new(50);
    rig_sine(&rig, "V1", "a", "0", 10, 0, 1);
    rig_add(&rig, "V2", &device_source, "b", "0", (double[5]){0, 10, 60, 0, 1});
    rig_resistor(&rig, "R1", "a", "b", 100);
    solution = rig_solve(&rig);
    ck_assert_int_eq(solution->status, SOLVE_NOT_CONVERGED);
    ck_assert_str_eq(solution->blame, "V2");
}
END_TEST

/* No AC source: the operating point. */
START_TEST(operating_point)
{
    struct solution *solution;

    rig = rig_new(0);
    rig_direct(&rig, "V1", "a", "0", 12);
    rig_resistor(&rig, "R1", "a", "b", 1000);
    rig_diode(&rig, "D1", "b", "0", 7e-9, 1.8, 0);
    rig_capacitor(&rig, "C1", "b", "c", 1e-6);
    solution = solved();
    ck_assert_double_eq(solution->hertz, 0);
    /* 1.8 * 25.865 mV * ln(11.3 mA/7 nA) = 0.6657 V */
    assert_within(rig_volts(&rig, solution, "b")->mean, 0.6657, 0.1);
    assert_within(-solution->branches[0].mean, (12 - 0.6657) / 1000, 0.1);
}
END_TEST

/* A load on a supply that cannot give its current: no corner of its curve may trap the iteration. */
START_TEST(starved_load)
{
    struct solution *solution;

    rig = rig_new(0);
    rig_direct(&rig, "V1", "a", "0", 400);
    rig_resistor(&rig, "R1", "a", "b", 1e6);
    rig_load(&rig, "V2", "b", "0", 0.05, 10);
    rig_load(&rig, "V3", "a", "d", 0.05, 10);
    solution = solved();
    ck_assert_double_lt(rig_volts(&rig, solution, "b")->mean, 1);
    ck_assert_double_gt(rig_volts(&rig, solution, "b")->mean, 0);
    assert_within(rig_volts(&rig, solution, "d")->mean, 400, 0.1);
}
END_TEST

/* Too many states for derivatives: a long ladder behind a rectifier, against the same volts by Ohm's law. */
START_TEST(long_ladder)
{
    enum { RUNGS = 200 };
    struct solution *solution;
    char names[RUNGS + 1][16] = {"p"};

    rig = rig_new(50);
    rig_sine(&rig, "V1", "a", "0", 325, 0, 100);
    rig_diode(&rig, "D1", "a", "p", 7e-9, 1.8, 0.034);
    rig_capacitor(&rig, "C0", "p", "0", 47e-6);
    for (int i = 1; i <= RUNGS; i++) {
        snprintf(names[i], sizeof names[i], "n%d", i);
        rig_resistor(&rig, "R", names[i - 1], names[i], 10);
        rig_capacitor(&rig, "C", names[i], "0", 1e-6);
    }
    rig_resistor(&rig, "RL", names[RUNGS], "0", 8000);
    solution = solved();
    assert_within(rig_volts(&rig, solution, names[RUNGS])->mean,
                  rig_volts(&rig, solution, "p")->mean * 8000 / 10000, 0.5);
    ck_assert_double_gt(rig_volts(&rig, solution, "p")->mean, 200);
}
END_TEST

Suite *check_steady_suite(void);

Suite *check_steady_suite(void)
{
    Suite *suite = suite_create("steady state");
    TCase *tests = tcase_create("circuits");

    tcase_add_checked_fixture(tests, NULL, teardown);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, valve_full_wave);
    tcase_add_test(tests, silicon_bridge);
    tcase_add_test(tests, half_wave_bias);
    tcase_add_test(tests, silicon_centre_tap);
    tcase_add_test(tests, ez80_regulation);
    tcase_add_test(tests, linear_rc);
    tcase_add_test(tests, slow_choke);
    tcase_add_test(tests, rc_decay);
    tcase_add_test(tests, transformer_with_dc);
    tcase_add_test(tests, transformer_ratio);
    tcase_add_test(tests, floating_winding);
    tcase_add_test(tests, coupled_inductors);
    tcase_add_test(tests, same_bits);
    tcase_add_test(tests, fault_from_a_start);
    tcase_add_test(tests, clashing_sources);
    tcase_add_test(tests, frequencies_that_do_not_fit);
    tcase_add_test(tests, operating_point);
    tcase_add_test(tests, starved_load);
    tcase_add_test(tests, long_ladder);
    suite_add_tcase(suite, tests);
    return suite;
}
