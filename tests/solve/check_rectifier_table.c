#include "check_prearc.h"

#include <math.h>
#include <stdio.h>

#include "solve/rig.h"

/* Capacitor-input rectifiers with resistive source and load, an ideal diode: the exact steady state, computed with
 * an exponential integrator at 6000 steps a period (own computation; circuit and axes as in Schade, "Analysis of
 * Rectifier Operation", Proc. IRE 31, July 1943, pp. 341-361). Rows: Rs/RL in %; columns: omega C RL. Vdc/Vpk is in
 * %, currents are those of one diode. */
enum { ROWS = 12, COLUMNS = 7 };

static const double source_percent[ROWS] = {0.05, 0.1, 0.5, 1, 2, 5, 10, 15, 20, 30, 50, 100};
static const double omega_c_r[COLUMNS] = {2, 5, 10, 20, 50, 100, 1000};

static const double full_volts[ROWS][COLUMNS] = {
    {73.7, 83.5, 89.8, 94.1, 97.3, 98.4, 99.1},
    {73.6, 83.5, 89.7, 94.0, 97.2, 98.2, 98.6},
    {73.3, 83.1, 89.3, 93.3, 95.5, 95.9, 96.0},
    {73.0, 82.7, 88.6, 92.0, 93.5, 93.7, 93.8},
    {72.2, 81.7, 86.9, 89.3, 90.2, 90.3, 90.4},
    {70.0, 78.3, 81.7, 82.8, 83.2, 83.2, 83.2},
    {66.5, 72.6, 74.5, 75.0, 75.1, 75.2, 75.2},
    {63.1, 67.7, 68.8, 69.2, 69.3, 69.3, 69.3},
    {60.0, 63.5, 64.3, 64.5, 64.5, 64.5, 64.5},
    {54.5, 56.6, 57.1, 57.2, 57.2, 57.2, 57.2},
    {46.0, 47.0, 47.2, 47.3, 47.3, 47.3, 47.3},
    {33.3, 33.6, 33.6, 33.6, 33.7, 33.7, 33.7},
};

static const double full_rms[ROWS][COLUMNS] = {
    {2.20, 2.75, 3.26, 3.83, 4.63, 5.07, 5.33},
    {2.19, 2.75, 3.24, 3.78, 4.42, 4.65, 4.75},
    {2.19, 2.71, 3.13, 3.45, 3.61, 3.64, 3.65},
    {2.18, 2.67, 3.00, 3.18, 3.25, 3.26, 3.26},
    {2.17, 2.60, 2.81, 2.89, 2.92, 2.92, 2.92},
    {2.13, 2.42, 2.50, 2.53, 2.54, 2.54, 2.54},
    {2.07, 2.24, 2.28, 2.29, 2.29, 2.29, 2.29},
    {2.02, 2.14, 2.16, 2.17, 2.17, 2.17, 2.17},
    {1.98, 2.07, 2.09, 2.09, 2.09, 2.09, 2.09},
    {1.92, 1.98, 1.99, 1.99, 1.99, 1.99, 1.99},
    {1.84, 1.87, 1.88, 1.88, 1.88, 1.88, 1.88},
    {1.75, 1.76, 1.77, 1.77, 1.77, 1.77, 1.77},
};

static const double full_peak[ROWS][COLUMNS] = {
    {6.12, 10.58, 15.12, 20.75, 28.79, 33.08, 35.48},
    {6.08, 10.50, 14.80, 19.73, 25.40, 27.39, 28.22},
    {6.06, 10.01, 13.08, 15.31, 16.40, 16.58, 16.64},
    {6.04, 9.53, 11.71, 12.82, 13.22, 13.28, 13.30},
    {5.98, 8.80, 10.05, 10.51, 10.65, 10.67, 10.68},
    {5.76, 7.45, 7.90, 8.02, 8.06, 8.06, 8.07},
    {5.42, 6.35, 6.54, 6.59, 6.60, 6.60, 6.60},
    {5.15, 5.77, 5.88, 5.91, 5.91, 5.91, 5.92},
    {4.93, 5.39, 5.47, 5.49, 5.49, 5.49, 5.49},
    {4.63, 4.92, 4.96, 4.98, 4.98, 4.98, 4.98},
    {4.26, 4.42, 4.45, 4.46, 4.46, 4.46, 4.46},
    {3.85, 3.93, 3.94, 3.94, 3.94, 3.94, 3.94},
};

static const double half_volts[ROWS][COLUMNS] = {
    {48.2, 66.6, 79.0, 87.8, 94.5, 97.0, 98.6},
    {48.1, 66.5, 79.0, 87.8, 94.4, 96.6, 97.8},
    {47.9, 66.3, 78.6, 87.1, 92.3, 93.4, 93.8},
    {47.7, 65.9, 78.0, 85.7, 89.5, 90.1, 90.4},
    {47.2, 65.1, 76.4, 82.4, 84.8, 85.2, 85.3},
    {45.8, 62.2, 70.6, 73.9, 75.0, 75.1, 75.2},
    {43.3, 56.9, 62.2, 63.9, 64.4, 64.5, 64.5},
    {41.0, 52.1, 55.7, 56.8, 57.2, 57.2, 57.2},
    {38.8, 47.9, 50.6, 51.4, 51.7, 51.7, 51.7},
    {34.9, 41.3, 43.0, 43.5, 43.6, 43.6, 43.6},
    {28.8, 32.5, 33.3, 33.6, 33.6, 33.6, 33.7},
    {19.9, 21.3, 21.6, 21.7, 21.7, 21.7, 21.7},
};

static const double half_rms[ROWS][COLUMNS] = {
    {1.99, 2.38, 2.78, 3.26, 3.96, 4.42, 4.75},
    {1.97, 2.38, 2.77, 3.23, 3.83, 4.10, 4.24},
    {1.97, 2.36, 2.70, 3.02, 3.21, 3.25, 3.26},
    {1.96, 2.33, 2.63, 2.82, 2.90, 2.92, 2.92},
    {1.95, 2.29, 2.49, 2.59, 2.62, 2.62, 2.62},
    {1.93, 2.17, 2.26, 2.28, 2.29, 2.29, 2.29},
    {1.89, 2.04, 2.08, 2.09, 2.09, 2.09, 2.09},
    {1.86, 1.96, 1.98, 1.99, 1.99, 1.99, 1.99},
    {1.83, 1.91, 1.92, 1.92, 1.93, 1.93, 1.93},
    {1.79, 1.84, 1.84, 1.85, 1.85, 1.85, 1.85},
    {1.74, 1.76, 1.76, 1.77, 1.77, 1.77, 1.77},
    {1.67, 1.68, 1.69, 1.69, 1.69, 1.69, 1.69},
};

static const double half_peak[ROWS][COLUMNS] = {
    {4.74, 7.52, 10.78, 14.95, 21.37, 25.42, 28.19},
    {4.67, 7.48, 10.63, 14.41, 19.31, 21.44, 22.45},
    {4.64, 7.31, 9.75, 11.80, 13.00, 13.22, 13.30},
    {4.64, 7.11, 8.97, 10.11, 10.58, 10.65, 10.68},
    {4.64, 6.75, 7.93, 8.43, 8.59, 8.61, 8.62},
    {4.61, 5.97, 6.42, 6.56, 6.60, 6.60, 6.60},
    {4.48, 5.25, 5.43, 5.48, 5.49, 5.49, 5.49},
    {4.34, 4.84, 4.94, 4.97, 4.98, 4.98, 4.98},
    {4.22, 4.58, 4.65, 4.67, 4.67, 4.67, 4.67},
    {4.04, 4.25, 4.29, 4.30, 4.30, 4.30, 4.30},
    {3.81, 3.92, 3.94, 3.94, 3.94, 3.94, 3.94},
    {3.55, 3.59, 3.60, 3.60, 3.60, 3.60, 3.60},
};

/* Large against what a diode drops. */
#define PEAK_VOLTS 1000.0
#define LOAD_OHMS 1000.0
#define OMEGA (2 * 3.141592653589793 * 50)

struct cell {
    double volts_percent, rms, peak; /* as in the tables */
};

static void add_leg(struct rig *rig, const char *source, const char *diode, const char *node,
                    double phase, double ohms)
{
    rig_sine(rig, source, node, "0", PEAK_VOLTS, phase, ohms);
    rig_diode(rig, diode, node, "p", 1e-9, 0.1, 0);
}

static struct cell solve_cell(size_t row, size_t column, bool full_wave)
{
    struct rig rig = rig_new(50);
    double ohms = source_percent[row] / 100 * LOAD_OHMS;
    struct solution *solution;
    struct cell cell;
    size_t load;

    load = rig_resistor(&rig, "RL", "p", "0", LOAD_OHMS);
    rig_capacitor(&rig, "C1", "p", "0", omega_c_r[column] / (OMEGA * LOAD_OHMS));
    add_leg(&rig, "V1", "D1", "a", 0, ohms);
    if (full_wave)
        add_leg(&rig, "V2", "D2", "b", 3.141592653589793, ohms);
    solution = rig_solve(&rig);
    ck_assert_msg(solution->status == SOLVE_OK, "row %zu column %zu: status %d at %s", row, column,
                  solution->status, solution->blame);
    cell.volts_percent = 100 * rig_volts(&rig, solution, "p")->mean / PEAK_VOLTS;
    cell.rms = solution->branches[3].rms / solution->branches[load].mean;
    cell.peak = solution->branches[3].high / solution->branches[load].mean;
    arena_free(rig.arena);
    return cell;
}

/* With Rs = 0 a conducting diode carries Vp (omega C cos x + sin x/RL), never more than this share of Vp/RL. The table
 * has 4.74 at Rs/RL 0.05 %, omega C RL 2, half wave, where that bound is 2.236/0.482 = 4.64 and its neighbours are
 * 4.67 and 4.64: its own integrator overshot at the instant of turn-on. There the bound is what is compared. */
static double bounded(double table_peak, double wcr, double volts_percent)
{
    return fmin(table_peak, 1.01 * sqrt(1 + wcr * wcr) / (volts_percent / 100));
}

static int miss(const char *what, size_t row, size_t column, double got, double want)
{
    /* the tables are rounded to the last digit printed */
    if (fabs(got - want) <= 0.02 * want)
        return 0;
    printf("%s: Rs/RL %g %%, wCR %g: got %.3f, want %.3f (%+.1f %%)\n", what, source_percent[row],
           omega_c_r[column], got, want, 100 * (got / want - 1));
    return 1;
}

/* Irms and Ipk of the tables count against the whole Idc when full wave: so do here. */
static void compare(bool full_wave, const double volts[ROWS][COLUMNS],
                    const double rms[ROWS][COLUMNS], const double peak[ROWS][COLUMNS])
{
    double share = full_wave ? 2 : 1;
    int misses = 0;

    for (size_t r = 0; r < ROWS; r++)
        for (size_t c = 0; c < COLUMNS; c++) {
            struct cell cell = solve_cell(r, c, full_wave);

            misses += miss("Vdc/Vp", r, c, cell.volts_percent, volts[r][c]);
            misses += miss("Irms/Iav", r, c, cell.rms * share, rms[r][c]);
            misses += miss("Ipk/Iav", r, c, cell.peak * share,
                           bounded(peak[r][c], omega_c_r[c], volts[r][c] / share));
        }
    fflush(stdout);
    ck_assert_int_eq(misses, 0);
}

START_TEST(full_wave)
{
    compare(true, full_volts, full_rms, full_peak);
}
END_TEST

START_TEST(half_wave)
{
    compare(false, half_volts, half_rms, half_peak);
}
END_TEST

Suite *check_rectifier_table_suite(void);

Suite *check_rectifier_table_suite(void)
{
    Suite *suite = suite_create("rectifier table");
    TCase *tests = tcase_create("capacitor input");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, full_wave);
    tcase_add_test(tests, half_wave);
    suite_add_tcase(suite, tests);
    return suite;
}
