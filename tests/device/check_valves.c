/* Triodes and pentodes: their stamps, and the operating points that makers print. */
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
    struct bench bench = bench_new(&device_grid_mean, 2, 1, (double[ELEMENT_FIGURES]){100});
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

/* A printed operating point: volts against the cathode, mA, mA/V; 0: not printed. */
struct point {
    const char *type;
    double anode, screen, grid; /* screen 0: triode; screen equal to anode: a pentode as a triode, Ia with the screen's */
    double amps, screen_amps, gm;
    double percent; /* allowed of the current */
    const char *source;
};

#define TS_AX "Tung-Sol, 12AX7, plates 1931-1933, 1 December 1947"
#define PH_EL84 "Philips, EL84, sheets 2 and 3, 11 November 1953 and 3 March 1955"
#define PH_EL84_AB "Philips, EL84, sheet 4, 3 March 1955: push-pull, no signal"
#define PH_ECC82 "Philips, ECC82, 6 June 1959; Tung-Sol, 12AU7, 1 October 1962"
#define AWV "AWV Radiotron, 6V6-GT, December 1944"
#define AWV_AB "AWV Radiotron, 6V6-GT, December 1944: push-pull, no signal"

/* Fixed bias, class A: 20 % for power valves; small triodes 10 %. */
static const struct point class_a[] = {
    {"12AX7", 250, 0, -2, 1.2, 0, 1.6, 10, TS_AX},
    {"12AX7", 100, 0, -1, 0.5, 0, 1.25, 10, TS_AX},
    {"12AT7", 250, 0, -2, 10, 0, 5.5, 10, "RCA, 12AT7, March 1954, as reprinted"},
    {"12AT7", 100, 0, -1, 3.7, 0, 4.0, 10, "RCA, 12AT7, March 1954, as reprinted"},
    {"12AU7", 250, 0, -8.5, 10.5, 0, 2.2, 10, PH_ECC82},
    {"12AU7", 100, 0, 0, 11.8, 0, 3.1, 10, PH_ECC82},
    {"12AY7", 250, 0, -4, 3.0, 0, 1.75, 10, "RCA, Receiving Tube Manual RC-19, as reprinted"},
    {"6SN7", 250, 0, -8, 9.0, 0, 2.6, 10, "Electro-Harmonix, 6SN7EH factory sheet, mid of 7 to 13"},
    {"6SL7", 250, 0, -2, 2.3, 0, 1.6, 10, "RCA, 6SL7GT, November 1954, as reprinted"},
    {"EF86", 250, 140, -2.2, 3.0, 0.6, 2.2, 10, "Philips, EF86, January 1970, as reprinted"},
    {"EL84", 250, 250, -7.3, 48, 5.5, 11.3, 20, PH_EL84},
    {"EL84", 250, 250, -8.4, 36, 4.1, 10, 20, PH_EL84},
    {"EL84", 250, 210, -6.4, 36, 3.9, 10.4, 20, PH_EL84},
    {"EL34", 250, 250, -13.5, 100, 14.9, 12.5, 20, "Philips, EL34, January 1969, as reprinted"},
    {"6V6GT", 250, 250, -12.5, 45, 4.5, 4.1, 20, AWV},
    {"6V6GT", 180, 180, -8.5, 29, 3, 3.7, 20, AWV},
    {"6V6GT", 315, 225, -13, 34, 2.2, 3.75, 20, AWV},
    {"6V6GT", 250, 100, -5, 17.5, 0.7, 3.44, 20, AWV},
    {"6L6GC", 250, 250, -14, 72, 5.0, 6.0, 20, "RCA, 6L6GC, August 1960, as reprinted"},
    {"6L6GC", 350, 250, -18, 54, 0, 0, 20, "GE, Essential Characteristics, 1973, as quoted"},
    {"KT66", 250, 250, -15, 85, 0, 7.0, 20, "GEC, KT66, April 1963, as reprinted"},
};

/* Fixed bias, deep in class AB, no signal: 30 %. */
static const struct point class_ab[] = {
    {"EL84", 250, 250, -11.6, 10, 1.1, 0, 30, PH_EL84_AB},
    {"EL84", 300, 300, -14.7, 7.5, 0.8, 0, 30, PH_EL84_AB},
    {"6V6GT", 250, 250, -15, 35, 2.5, 0, 30, AWV_AB},
    {"6V6GT", 285, 285, -19, 35, 2, 0, 30, AWV_AB},
};

/* Read off printed curves, within 3 % of full scale, so: 20 %. */
static const struct point curves[] = {
    {"12AX7", 100, 0, 0, 2.08, 0, 0, 20, TS_AX},
    {"12AX7", 140, 0, 0, 3.0, 0, 0, 20, TS_AX},
    {"12AX7", 40, 0, 0, 1.0, 0, 0, 45, TS_AX ": the foot of the curve, where 3 % of full scale is 15 %"},
    {"12AX7", 140, 0, -1, 1.0, 0, 0, 20, TS_AX},
    {"12AX7", 200, 0, -1, 2.1, 0, 0, 20, TS_AX},
    {"12AX7", 240, 0, -1, 3.0, 0, 0, 20, TS_AX},
    {"12AX7", 140, 0, -1.5, 0.4, 0, 0, 20, TS_AX},
    {"12AX7", 200, 0, -1.5, 1.2, 0, 0, 20, TS_AX},
    {"12AX7", 240, 0, -1.5, 1.9, 0, 0, 20, TS_AX},
    {"12AX7", 200, 0, -2, 0.51, 0, 0, 20, TS_AX},
    {"12AX7", 300, 0, -2, 2.1, 0, 0, 20, TS_AX},
    {"12AX7", 300, 0, -3, 0.6, 0, 0, 20, TS_AX},
    {"12AX7", 360, 0, -3, 1.4, 0, 0, 20, TS_AX},
    {"EL84", 200, 250, 0, 154, 0, 0, 20, "Philips, EL84, curves of 1953"},
    {"EL84", 100, 250, 0, 145, 0, 0, 20, "Philips, EL84, curves of 1953"},
    {"EL84", 250, 250, -2, 125, 0, 0, 20, "Philips, EL84, curves of 1953"},
    {"EL84", 300, 250, -4, 95, 0, 0, 20, "Philips, EL84, curves of 1953"},
    {"EL84", 300, 250, -10, 22, 0, 0, 20, "Philips, EL84, curves of 1953"},
    {"EL84", 250, 300, 0, 197, 0, 0, 20, "Philips, EL84, curves of 10 October 1957"},
    {"EL84", 300, 300, -10, 47, 0, 0, 20, "Philips, EL84, curves of 10 October 1957"},
    {"EL84", 300, 300, -11, 37, 0, 0, 20, "Philips, EL84, curves of 10 October 1957"},
    {"EL84", 300, 300, -14, 12, 0, 0, 20, "Philips, EL84, curves of 10 October 1957"},
    {"6V6GT", 250, 250, 0, 116, 0, 0, 20, "AWV Radiotron, 6V6-GT, curves of 1941"},
    {"6V6GT", 250, 250, -5, 83, 0, 0, 20, "AWV Radiotron, 6V6-GT, curves of 1941"},
    {"6V6GT", 250, 250, -10, 57, 0, 0, 20, "AWV Radiotron, 6V6-GT, curves of 1941"},
    {"6V6GT", 250, 250, -20, 18.5, 0, 0, 20, "AWV Radiotron, 6V6-GT, curves of 1941"},
};

/* Largest errors of a class, per cent. */
struct errors {
    double anode, screen, gm;
};

static double error_percent(double got, double want)
{
    return (got / want - 1) * 100;
}

static void note(double *worst, double error)
{
    if (fabs(error) > fabs(*worst))
        *worst = error;
}

static struct deck_rig point_rig(const struct point *point, double grid)
{
    if (point->screen == 0)
        return deck_new("V10 a 0 DC %g\nV12 g 0 DC %g\nXV1 a g 0 TRIODE value=%s\n.end\n",
                        point->anode, grid, point->type);
    return deck_new("V10 a 0 DC %g\nV11 s 0 DC %g\nV12 g 0 DC %g\n"
                    "XV1 a s g 0 PENTODE value=%s\n.end\n",
                    point->anode, point->screen, grid, point->type);
}

/* Anode and screen current in mA. */
static void find_point(const struct point *point, double grid, double *amps, double *screen_amps)
{
    struct deck_rig rig = point_rig(point, grid);

    ck_assert_uint_eq(rig.network->assumption_count, 0);
    ck_assert_uint_eq(rig.network->gap_count, 0);
    deck_solve(&rig);
    *amps = 1e3 * deck_amps(&rig, "V1", 0);
    *screen_amps = point->screen > 0 ? 1e3 * deck_amps(&rig, "V1", 1) : 0;
    deck_end(&rig);
}

static void check_point(const struct point *point, struct errors *worst)
{
    double amps, screen_amps, above, below, unused;

    find_point(point, point->grid, &amps, &screen_amps);
    ck_assert_msg(within(amps, point->amps, point->percent), "%s %g V, %g V, %g V: %g mA; %s says %g",
                  point->type, point->anode, point->screen, point->grid, amps, point->source,
                  point->amps);
    note(&worst->anode, error_percent(amps, point->amps));
    if (point->screen_amps > 0) {
        ck_assert_msg(within(screen_amps, point->screen_amps, 35),
                      "%s %g V, %g V, %g V: screen %g mA; %s says %g", point->type, point->anode,
                      point->screen, point->grid, screen_amps, point->source, point->screen_amps);
        note(&worst->screen, error_percent(screen_amps, point->screen_amps));
    }
    if (point->gm > 0) {
        find_point(point, point->grid + 0.05, &above, &unused);
        find_point(point, point->grid - 0.05, &below, &unused);
        ck_assert_msg(within((above - below) / 0.1, point->gm, 20), "%s: %g mA/V; %s says %g",
                      point->type, (above - below) / 0.1, point->source, point->gm);
        note(&worst->gm, error_percent((above - below) / 0.1, point->gm));
    }
}

static void check_points(const char *name, const struct point *points, size_t count)
{
    struct errors worst = {0};

    for (size_t i = 0; i < count; i++)
        check_point(&points[i], &worst);
    printf("valves: %s, %zu points: worst anode %+.1f %%, screen %+.1f %%, gm %+.1f %%\n", name, count,
           worst.anode, worst.screen, worst.gm);
}

START_TEST(printed_class_a)
{
    check_points("class A at fixed bias", class_a, COUNT(class_a));
}
END_TEST

START_TEST(printed_class_ab)
{
    check_points("class AB at fixed bias", class_ab, COUNT(class_ab));
}
END_TEST

START_TEST(printed_curves)
{
    check_points("curves", curves, COUNT(curves));
}
END_TEST

/* 12AU7: about 10 uA at 250 V, -24 V (Tung-Sol, 12AU7, 1 October 1962): cut off, that is, below 0.1 mA. */
START_TEST(cut_off)
{
    const struct point point = {.type = "12AU7", .anode = 250};
    double amps, unused;

    find_point(&point, -24, &amps, &unused);
    ck_assert_double_ge(amps, 0);
    ck_assert_double_le(amps, 0.1);
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
    tcase_add_test(tests, printed_class_a);
    tcase_add_test(tests, printed_class_ab);
    tcase_add_test(tests, printed_curves);
    tcase_add_test(tests, cut_off);
    tcase_add_test(tests, grid_current);
    suite_add_tcase(suite, tests);
    return suite;
}
