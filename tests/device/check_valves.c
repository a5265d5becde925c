/* Triodes and pentodes: their stamps; cut-off and grid current. */
#include "check_prearc.h"

#include <math.h>

#include "device/device.h"
#include "device/tangent.h"
#include "solve/deck_rig.h"

/* Round figures of the size of those in rules/parts, and the awkward ones: a small Kvb, a screen law that falls. */
static const double triodes[][ELEMENT_FIGURES] = {
    {101.7, 1.435, 893.9, 672.7, 239.4, 0.57},
    {63.1, 1.418, 396, 619, 0.45, 0.72},
    {20, 1.3, 740, 97, 8000, 0},
};
static const double pentodes[][ELEMENT_FIGURES] = {
    {20.7, 1.242, 217.9, 170.7, 18.1, 1327, 0.05},
    {8.2, 1.537, 849.6, 24.7, 23.4, 24643, -0.2},
    {8, 1.396, 552, 42.4, 30.4, 4633, 1.12},
};
static const double anodes[] = {-300, -0.3, 0.2, 1, 15, 21, 100, 400};
static const double grids[] = {-60, -8, -1, -0.2, 0.4, 2, 20};
static const double screens[] = {-20, 0.3, 3, 90, 350};

#define COUNT(array) (sizeof(array) / sizeof *(array))

static struct bench triode_bench(const double *figures, double anode, double grid)
{
    struct bench bench = bench_new(&device_triode, 3, 1, figures);

    bench.fresh = true;
    bench.x[0] = 7 + anode;
    bench.x[1] = 7;
    bench.x[2] = 7 + grid;
    return bench;
}

/* The cathode is two of the five terminals. */
static struct bench pentode_bench(const double *figures, double anode, double grid, double screen)
{
    struct bench bench = bench_new(&device_pentode, 5, 2, figures);

    bench.fresh = true;
    bench.rows[3] = 1;
    bench.rows[4] = 3;
    bench.size = 4;
    bench.x[0] = 7 + anode;
    bench.x[1] = 7;
    bench.x[2] = 7 + screen;
    bench.x[3] = 7 + grid;
    return bench;
}

/* Anode and screen carry what their branches say, all the currents together are none, and none flows out of an
 * electrode that is below the cathode, or into one above it: the valve gives no power. GRID, its row, draws nothing. */
static void assert_passive(struct bench *bench, size_t grid)
{
    double at[MOST_ROWS], amps[3] = {0}, sum = 0;
    struct stamp_target target;
    struct stamp stamp = stamp_at(bench, &target);

    find_residual(bench, at);
    bench->device->amps(&bench->element, &bench->element_rows, &stamp, amps);
    for (size_t b = 0; b < bench->element.branch_count; b++)
        ck_assert_double_eq_tol(at[2 * b], amps[b], 1e-9 * (1 + fabs(amps[b])));
    for (size_t i = 0; i < bench->size; i++)
        sum += at[i];
    ck_assert_double_eq_tol(sum, 0, 1e-9 * (1 + fabs(amps[0])));
    for (size_t i = 0; i < bench->size; i++)
        ck_assert_msg(i == 1 || at[i] * (bench->x[i] - bench->x[1]) >= -1e-12,
                      "%s: row %zu: %g A at %g V", bench->device->name, i, at[i],
                      bench->x[i] - bench->x[1]);
    ck_assert_double_ge(amps[0], -1e-7);
    ck_assert_double_eq_tol(at[grid], 0, 1e-9);
}

START_TEST(triode_tangent)
{
    for (size_t f = 0; f < COUNT(triodes); f++)
        for (size_t a = 0; a < COUNT(anodes); a++)
            for (size_t g = 0; g < COUNT(grids); g++) {
                struct bench bench = triode_bench(triodes[f], anodes[a], grids[g]);

                assert_tangent(&bench);
                assert_passive(&bench, 2);
            }
}
END_TEST

/* An output valve under drive, with currents, without, and with less than no volts. */
START_TEST(averaged_tangent)
{
    static const double figures[] = {0.02, 1e-5, 2e-4, 2e-3, 0.002, -1e-6, 4e-5, 3e-4};
    static const double volts[] = {-20, 0.3, 5, 120, 400};

    for (size_t a = 0; a < COUNT(volts); a++)
        for (size_t s = 0; s < COUNT(volts); s++) {
            struct bench bench = pentode_bench(figures, volts[a], -12, volts[s]);

            bench.device = bench.element.device = &device_averaged;
            assert_tangent(&bench);
            bench.element.node_count = 4;
            assert_amps(&bench, (size_t[]){0, 2}, (size_t[]){1, 1});
        }
}
END_TEST

START_TEST(pentode_tangent)
{
    for (size_t f = 0; f < COUNT(pentodes); f++)
        for (size_t a = 0; a < COUNT(anodes); a++)
            for (size_t g = 0; g < COUNT(grids); g++)
                for (size_t s = 0; s < COUNT(screens); s++) {
                    struct bench bench =
                        pentode_bench(pentodes[f], anodes[a], grids[g], screens[s]);

                    assert_tangent(&bench);
                    assert_passive(&bench, 3);
                }
}
END_TEST

/* The filter is no valve, but its equation must be the tangent of itself too; and pass everything at an operating point. */
START_TEST(mean_tangent)
{
    struct bench bench = bench_new(&device_mean_filter, 2, 1, (double[ELEMENT_FIGURES]){100});
    double at[MOST_ROWS];

    bench.x[0] = 3;
    bench.x[1] = -2;
    bench.history[0] = -2;
    assert_tangent(&bench);
    find_residual(&bench, at);
    ck_assert_double_eq_tol(at[1], -1e-4 / (1e-4 + 100) * 5, 1e-9);
    bench.step = 0;
    assert_tangent(&bench);
    bench.x[1] = 3;
    find_residual(&bench, at);
    ck_assert_double_eq_tol(at[1], 0, 1e-9);
}
END_TEST

/* Whatever Newton's method guesses, what comes out is finite. */
START_TEST(wild_guesses)
{
    static const double volts[] = {-1e9, -1e5, -1, 0, 1, 1e5, 1e9};

    for (size_t a = 0; a < COUNT(volts); a++)
        for (size_t g = 0; g < COUNT(volts); g++)
            for (size_t s = 0; s < COUNT(volts); s++) {
                double at[MOST_ROWS];
                struct bench bench = pentode_bench(pentodes[1], volts[a], volts[g], volts[s]);

                find_residual(&bench, at);
                for (size_t i = 0; i < bench.size; i++)
                    ck_assert(isfinite(at[i]) && isfinite(bench.matrix[i][i]));
                bench = triode_bench(triodes[1], volts[a], volts[g]);
                find_residual(&bench, at);
                for (size_t i = 0; i < bench.size; i++)
                    ck_assert(isfinite(at[i]) && isfinite(bench.matrix[i][i]));
            }
}
END_TEST

/* 12AU7: about 10 uA at 250 V, -24 V (Tung-Sol, 12AU7, 1 October 1962): cut off, that is, below 0.1 mA. */
START_TEST(cut_off)
{
    struct deck_rig rig = deck_new("V10 a 0 DC 250\nV12 g 0 DC -24\nXV1 a g 0 TRIODE value=12AU7\n.end\n");

    deck_solve(&rig);
    ck_assert_double_ge(deck_amps(&rig, "V1", 0), 0);
    ck_assert_double_le(deck_amps(&rig, "V1", 0), 0.1e-3);
    deck_end(&rig);
}
END_TEST

/* Fed through 100 kohm from 10 V, the grid goes positive and draws current like a diode. */
START_TEST(grid_current)
{
    struct deck_rig rig = deck_new("V10 b 0 DC 250\nV12 d 0 DC 10\nR1 b a 100k\nR2 d g 100k\n"
                                   "XV1 a g 0 TRIODE value=12AX7\n.end\n");

    deck_solve(&rig);
    ck_assert_double_ge(deck_volts(&rig, "g"), 0.2);
    ck_assert_double_le(deck_volts(&rig, "g"), 1);
    ck_assert_double_le(deck_volts(&rig, "a"), 50);
    ck_assert_double_ge(deck_volts(&rig, "a"), 0);
    deck_end(&rig);
}
END_TEST

Suite *check_valves_suite(void);

Suite *check_valves_suite(void)
{
    Suite *suite = suite_create("valves");
    TCase *tests = tcase_create("valves");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, triode_tangent);
    tcase_add_test(tests, averaged_tangent);
    tcase_add_test(tests, pentode_tangent);
    tcase_add_test(tests, mean_tangent);
    tcase_add_test(tests, wild_guesses);
    tcase_add_test(tests, cut_off);
    tcase_add_test(tests, grid_current);
    suite_add_tcase(suite, tests);
    return suite;
}
