#include "check_prearc.h"

#include "device/device.h"
#include "device/network.h"
#include "device/tangent.h"

static void assert_two_terminal(const struct device *device, const double figures[ELEMENT_FIGURES],
                                double volts, bool reversed)
{
    struct bench bench = bench_new(device, 2, 1, figures);

    bench.x[0] = 5 + volts;
    bench.x[1] = 5;
    bench.x[2] = 0.3;
    bench.history[0] = 2;
    assert_tangent(&bench);
    assert_amps(&bench, (size_t[]){reversed}, (size_t[]){!reversed});
    bench.step = 0;
    assert_tangent(&bench);
    assert_amps(&bench, (size_t[]){reversed}, (size_t[]){!reversed});
}

START_TEST(linear_devices)
{
    assert_two_terminal(&device_resistor, (double[ELEMENT_FIGURES]){47}, 3, false);
    assert_two_terminal(&device_capacitor, (double[ELEMENT_FIGURES]){47e-6}, 3, false);
    assert_two_terminal(&device_inductor, (double[ELEMENT_FIGURES]){5, 100}, 3, false);
    assert_two_terminal(&device_source, (double[ELEMENT_FIGURES]){9, 325, 50, 0.1, 0.5}, 3, false);
    assert_two_terminal(&device_open, (double[ELEMENT_FIGURES]){0}, 3, false);
}
END_TEST

START_TEST(diodes)
{
    static const double volts[] = {-600, -5, -0.1, 0, 0.3, 0.65, 0.9, 1.3, 5};
    static const double silicon[ELEMENT_FIGURES] = {7e-9, 1.8, 0.034};
    static const double bare[ELEMENT_FIGURES] = {7e-9, 1.8, 0};

    for (size_t i = 0; i < sizeof volts / sizeof *volts; i++) {
        assert_two_terminal(&device_diode, silicon, volts[i], false);
        if (volts[i] < 1)
            assert_two_terminal(&device_diode, bare, volts[i], false);
    }
}
END_TEST

START_TEST(zeners)
{
    static const double volts[] = {-40, -15.5, -15.02, -15, -14.9, -3, 0, 0.7, 1.5};
    static const double figures[ELEMENT_FIGURES] = {15, 16, 7e-9, 1.8, 0.034};

    for (size_t i = 0; i < sizeof volts / sizeof *volts; i++)
        assert_two_terminal(&device_zener, figures, volts[i], true);
}
END_TEST

START_TEST(valve_diodes)
{
    static const double volts[] = {-900, -1, 0.5, 10, 30, 400};
    static const double gas[] = {-900, 10, 14.9, 15, 15.3, 17};

    for (size_t i = 0; i < 6; i++) {
        assert_two_terminal(&device_valve_diode, (double[ELEMENT_FIGURES]){7.1e-4}, volts[i],
                            false);
        assert_two_terminal(&device_valve_diode, (double[ELEMENT_FIGURES]){0, 15}, gas[i], false);
    }
}
END_TEST

START_TEST(loads)
{
    static const double volts[] = {-400, -1, 0.5, 4, 20, 90, 400};

    for (size_t i = 0; i < sizeof volts / sizeof *volts; i++)
        assert_two_terminal(&device_load, (double[ELEMENT_FIGURES]){0.035, 10}, volts[i], false);
}
END_TEST

static struct bench three_windings(const struct device *device)
{
    struct bench bench = bench_new(device, 6, 3, (double[ELEMENT_FIGURES]){15});

    for (size_t i = 0; i < bench.size; i++)
        bench.x[i] = 10.0 * (double)(i * i % 7) - 3;
    for (size_t i = 0; i < 3; i++)
        bench.history[i] = 0.1 * (double)i - 0.05;
    return bench;
}

START_TEST(transformer)
{
    static const double turns[] = {230, 345, 6.3}, ohms[] = {11, 75, 0.05};
    struct bench bench = three_windings(&device_transformer);

    bench.element.turns = turns;
    bench.element.ohms = ohms;
    assert_tangent(&bench);
    assert_amps(&bench, (size_t[]){0, 2, 4}, (size_t[]){1, 3, 5});
    bench.step = 0;
    assert_tangent(&bench);
    assert_amps(&bench, (size_t[]){0, 2, 4}, (size_t[]){1, 3, 5});
}
END_TEST

START_TEST(coupled_inductors)
{
    double matrix[] = {10, 14, 0.2, 14, 20, 0.3, 0.2, 0.3, 0.005};
    static const double ohms[] = {11, 75, 0.05};
    struct bench bench = three_windings(&device_coupled);

    bench.element.matrix = matrix;
    bench.element.ohms = ohms;
    assert_tangent(&bench);
    assert_amps(&bench, (size_t[]){0, 2, 4}, (size_t[]){1, 3, 5});
    bench.step = 0;
    assert_tangent(&bench);
    assert_amps(&bench, (size_t[]){0, 2, 4}, (size_t[]){1, 3, 5});
}
END_TEST

/* V across DEVICE at which AMPS flow, by bisection. */
static double volts_at(const struct device *device, const double figures[ELEMENT_FIGURES],
                       double amps)
{
    struct bench bench = bench_new(device, 2, 1, figures);
    struct stamp_target target;
    struct stamp stamp = stamp_at(&bench, &target);
    double low = 0, high = 1000, got;

    bench.element_rows.nodes = bench.rows;
    stamp.guess = bench.x;
    for (int i = 0; i < 80; i++) {
        bench.x[0] = (low + high) / 2;
        device->amps(&bench.element, &bench.element_rows, &stamp, &got);
        *(got < amps ? &low : &high) = bench.x[0];
    }
    return low;
}

/* valve table of the EZ80's curve: 10 V 22.3 mA to 30 V 120 mA (Mazda, Aug 1963, p. 2); the printed static curve
 * follows the 3/2 law to 3 % in current, so to 2 % in volts. 83: 14.2 V at 22 mA, 15.5 V at 1 A (RCA, July 1963).
 * Silicon: 0.77 V at 0.1 A, 0.91 V at 1 A with IS 7 nA, N 1.8, RS 34 mohm (from memory). */
START_TEST(printed_drops)
{
    static const double ez80[ELEMENT_FIGURES] = {7.1e-4};

    assert_within(volts_at(&device_valve_diode, ez80, 22.3e-3), 10, 2);
    assert_within(volts_at(&device_valve_diode, ez80, 63e-3), 20, 2);
    assert_within(volts_at(&device_valve_diode, ez80, 120e-3), 30, 2);
    assert_within(volts_at(&device_valve_diode, (double[ELEMENT_FIGURES]){0, 14.2}, 22e-3), 14.2,
                  2);
    assert_within(volts_at(&device_valve_diode, (double[ELEMENT_FIGURES]){0, 14.2}, 1), 15.5, 2);
    assert_within(volts_at(&device_diode, (double[ELEMENT_FIGURES]){7e-9, 1.8, 0.034}, 0.1), 0.77,
                  1);
    assert_within(volts_at(&device_diode, (double[ELEMENT_FIGURES]){7e-9, 1.8, 0.034}, 1), 0.91,
                  1);
}
END_TEST

Suite *check_device_suite(void);

Suite *check_device_suite(void)
{
    Suite *suite = suite_create("device");
    TCase *tests = tcase_create("tangents");

    tcase_add_test(tests, linear_devices);
    tcase_add_test(tests, diodes);
    tcase_add_test(tests, zeners);
    tcase_add_test(tests, valve_diodes);
    tcase_add_test(tests, loads);
    tcase_add_test(tests, transformer);
    tcase_add_test(tests, coupled_inductors);
    tcase_add_test(tests, printed_drops);
    suite_add_tcase(suite, tests);
    return suite;
}
