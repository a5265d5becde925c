#include "check_prearc.h"

#include <math.h>
#include <string.h>

#include "device/device.h"
#include "device/network.h"

/* Every device: its stamp, taken as matrix A(x) and right-hand side b(x), must be the tangent of the residual
 * F(x) = A(x) x - b(x) in both ways: A is the finite difference of F, and what F says of the nodes is what
 * ->amps says of the branches. */

enum { MOST_ROWS = 12 };

struct bench {
    const struct device *device;
    struct element element;
    int rows[6];
    struct element_rows element_rows;
    size_t size;
    double x[MOST_ROWS], history[4], limits[1], rhs[MOST_ROWS];
    double matrix[MOST_ROWS][MOST_ROWS];
    double step;
};

static void add(void *context, int row, int column, double value)
{
    struct bench *bench = context;

    bench->matrix[row][column] += value;
}

static struct bench bench_new(const struct device *device, size_t node_count, size_t branch_count,
                              const double figures[ELEMENT_FIGURES])
{
    struct bench bench = {.device = device, .step = 1e-4};

    bench.element = (struct element){.device = device, .node_count = node_count,
                                     .section_count = branch_count,
                                     .branch_count = branch_count};
    memcpy(bench.element.figures, figures, sizeof bench.element.figures);
    for (size_t i = 0; i < node_count; i++)
        bench.rows[i] = (int)i;
    bench.size = node_count + device->unknowns(&bench.element);
    ck_assert_uint_le(bench.size, MOST_ROWS);
    bench.element_rows.current = (int)node_count;
    return bench;
}

static struct stamp stamp_at(struct bench *bench, struct stamp_target *target)
{
    bench->element_rows.nodes = bench->rows;
    *target = (struct stamp_target){.add = add, .context = bench};
    return (struct stamp){.matrix = target, .rhs = bench->rhs, .guess = bench->x,
                          .limits = bench->limits, .time = 3e-3, .step = bench->step,
                          .history = bench->history, .source_scale = 1, .gmin = 1e-10};
}

/* F at x into RESIDUAL; the matrix stays in the bench. */
static void find_residual(struct bench *bench, double *residual)
{
    struct stamp_target target;
    struct stamp stamp = stamp_at(bench, &target);

    memset(bench->matrix, 0, sizeof bench->matrix);
    memset(bench->rhs, 0, sizeof bench->rhs);
    bench->limits[0] = bench->x[0] - bench->x[1];
    bench->device->stamp(&bench->element, &bench->element_rows, &stamp);
    ck_assert_msg(!stamp.limited, "%s: limited near its own guess", bench->device->name);
    for (size_t r = 0; r < bench->size; r++) {
        residual[r] = -bench->rhs[r];
        for (size_t c = 0; c < bench->size; c++)
            residual[r] += bench->matrix[r][c] * bench->x[c];
    }
}

static void assert_tangent(struct bench *bench)
{
    double at[MOST_ROWS], above[MOST_ROWS], below[MOST_ROWS];
    double matrix[MOST_ROWS][MOST_ROWS], most = 0;

    find_residual(bench, at);
    memcpy(matrix, bench->matrix, sizeof matrix);
    for (size_t r = 0; r < bench->size; r++)
        for (size_t c = 0; c < bench->size; c++)
            most = fmax(most, fabs(matrix[r][c]));
    for (size_t c = 0; c < bench->size; c++) {
        double kept = bench->x[c], h = 1e-6 * fmax(1, fabs(kept));

        bench->x[c] = kept + h;
        find_residual(bench, above);
        bench->x[c] = kept - h;
        find_residual(bench, below);
        bench->x[c] = kept;
        for (size_t r = 0; r < bench->size; r++) {
            double slope = (above[r] - below[r]) / (2 * h);

            ck_assert_msg(fabs(slope - matrix[r][c]) <= 1e-4 * fabs(slope) + 1e-6 * most + 1e-12,
                          "%s: row %zu column %zu: stamp %g, finite difference %g",
                          bench->device->name, r, c, matrix[r][c], slope);
        }
    }
}

/* FROM and TO are the nodes of branch B of the bench, in branch order. */
static void assert_amps(struct bench *bench, const size_t from[], const size_t to[])
{
    double at[MOST_ROWS], amps[3] = {0};
    struct stamp_target target;
    struct stamp stamp = stamp_at(bench, &target);

    find_residual(bench, at);
    bench->device->amps(&bench->element, &bench->element_rows, &stamp, amps);
    for (size_t b = 0; b < bench->element.branch_count; b++) {
        at[from[b]] -= amps[b];
        at[to[b]] += amps[b];
    }
    for (size_t n = 0; n < bench->element.node_count; n++)
        ck_assert_msg(fabs(at[n]) <= 1e-9 * (1 + fabs(amps[0])),
                      "%s: node %zu: %g A more than its branches say", bench->device->name, n,
                      at[n]);
}

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
