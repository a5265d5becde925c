/* Single operating points at fixed bias, as makers print them, against the equations with the constants of
 * rules/parts. What is from memory says so. Most are points that the constants were fitted to; the whole stages of
 * tests/solve/check_stage_points.c are not. */
#include "check_prearc.h"

#include <math.h>

#include "solve/deck_rig.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* A printed operating point: volts against the cathode, mA, mA/V; 0: not printed. */
struct point {
    const char *type;
    double anode, screen, grid; /* screen 0: triode, or the triode of a triode-pentode */
    double amps, screen_amps, gm;
    double percent; /* allowed of the current */
    const char *source;
};

#define CLASS_AB_PERCENT 30
#define TS_AX "Tung-Sol, 12AX7, plates 1931-1933, 1 December 1947"
#define PH_EL84 "Philips, EL84, sheets 2 and 3, 11 November 1953 and 3 March 1955"
#define PH_EL84_AB "Philips, EL84, sheet 4, 3 March 1955: push-pull, no signal"
#define PH_ECC82 "Philips, ECC82, 6 June 1959; Tung-Sol, 12AU7, 1 October 1962"
#define AWV "AWV Radiotron, 6V6-GT, December 1944"
#define AWV_AB "AWV Radiotron, 6V6-GT, December 1944: push-pull, no signal"
#define SHEET_7591 "7591 sheet, as reprinted: push-pull, no signal"
#define SHEET_6973 "6973 sheet, as reprinted: push-pull, no signal"
#define TUNG_SOL "from memory: Tung-Sol"

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
    {"EF86", 250, 140, -2.0, 3.0, 0.6, 2.0, 20,
     "Philips, EF86, 1956, as reprinted; the 1970 sheet has -2.2 V"},
    {"EL34", 250, 265, -13.5, 100, 0, 0, 20,
     "Electro-Harmonix, EL34EH factory sheet, mid of 80 to 120; 15 V more on the screen than Philips has"},
};

static const struct point class_a_remembered[] = {
    {"6SN7", 90, 0, 0, 10, 0, 3.0, 10, "from memory"},
    {"ECL82", 100, 0, 0, 3.5, 0, 2.5, 10, "from memory: triode"},
    {"ECL86", 250, 0, -1.9, 1.2, 0, 1.6, 10, "from memory: triode"},
    {"ECL82", 170, 170, -11.5, 41, 8, 7.5, 20, "from memory: pentode"},
    {"ECL82", 200, 170, -12.5, 35, 6.5, 6.8, 20, "from memory: pentode"},
    {"ECL82", 200, 200, -16, 35, 7, 6.4, 20, "from memory: pentode"},
    {"ECL86", 250, 250, -7, 36, 6, 10, 20, "from memory: pentode"},
    {"EL34", 250, 250, -12.2, 100, 15, 0, 20, "from memory; on its gm the sheets disagree, 11 or 12.5 mA/V"},
    {"6L6GC", 350, 250, -18, 54, 2.5, 5.2, 20, "from memory: RCA"},
    {"6L6GC", 300, 200, -12.5, 48, 2.5, 5.3, 20, "from memory: RCA"},
    {"5881", 250, 250, -14, 75, 4.3, 6.1, 20, TUNG_SOL},
    {"5881", 350, 250, -18, 53, 2.5, 5.2, 20, TUNG_SOL},
    {"KT66", 250, 250, -15, 85, 6.3, 7.0, 20, "from memory: GEC, the screen"},
    {"KT88", 250, 250, -15, 140, 3, 11.5, 20, "from memory: GEC"},
    {"6550", 250, 250, -14, 140, 12, 11, 20, TUNG_SOL},
    {"6550", 400, 225, -16.5, 87, 4, 9.0, 20, TUNG_SOL},
    {"6AQ5", 250, 250, -12.5, 45, 4.5, 4.1, 20, "from memory"},
    {"6AQ5", 180, 180, -8.5, 29, 3, 3.7, 20, "from memory"},
    {"7591", 300, 300, -10, 60, 8, 10.2, 20, "from memory"},
};

/* Fixed bias, deep in class AB, no signal; every row is printed. */
static const struct point class_ab[] = {
    {"EL84", 250, 250, -11.6, 10, 1.1, 0, CLASS_AB_PERCENT, PH_EL84_AB},
    {"EL84", 300, 300, -14.7, 7.5, 0.8, 0, CLASS_AB_PERCENT, PH_EL84_AB},
    {"6V6GT", 250, 250, -15, 35, 2.5, 0, CLASS_AB_PERCENT, AWV_AB},
    {"6V6GT", 285, 285, -19, 35, 2, 0, CLASS_AB_PERCENT, AWV_AB},
    {"EL34", 775, 400, -39, 25, 3, 0, CLASS_AB_PERCENT,
     "a maker's table of 100 W, as quoted: push-pull, no signal"},
    {"6L6GC", 450, 400, -37, 54, 0, 0, CLASS_AB_PERCENT,
     "GE, Essential Characteristics, 1973, as quoted: push-pull, no signal"},
    {"7591", 300, 300, -12.5, 43, 6.3, 0, CLASS_AB_PERCENT, SHEET_7591},
    {"7591", 350, 350, -15.5, 46, 6.5, 0, CLASS_AB_PERCENT, SHEET_7591},
    {"7591", 400, 350, -16, 42.5, 5.5, 0, CLASS_AB_PERCENT, SHEET_7591},
    {"7591", 450, 350, -16.5, 38.5, 4.8, 0, CLASS_AB_PERCENT, SHEET_7591},
    {"7591", 450, 400, -21, 33, 4.7, 0, CLASS_AB_PERCENT, SHEET_7591},
    {"6973", 250, 250, -15, 46, 3.5, 0, CLASS_AB_PERCENT, SHEET_6973},
    {"6973", 350, 280, -22, 29, 1.75, 0, CLASS_AB_PERCENT, SHEET_6973},
    {"6973", 400, 290, -25, 25, 1.25, 0, CLASS_AB_PERCENT, SHEET_6973},
};

static const struct point class_ab_remembered[] = {
    {"6AQ5", 250, 250, -15, 35, 2.5, 0, CLASS_AB_PERCENT, "from memory"},
    {"6L6GC", 360, 270, -22.5, 44, 2.5, 0, CLASS_AB_PERCENT, "from memory: RCA"},
    {"6L6GC", 450, 400, -37, 58, 2.8, 0, CLASS_AB_PERCENT, "from memory: RCA"},
    {"5881", 360, 270, -22.5, 44, 2.5, 0, CLASS_AB_PERCENT, TUNG_SOL},
    {"EL34", 375, 365, -32, 35, 4.7, 0, CLASS_AB_PERCENT, "from memory: Philips"},
    {"EL34", 400, 400, -38, CLASS_AB_PERCENT, 4.4, 0, CLASS_AB_PERCENT, "from memory: Philips"},
    {"6550", 400, 275, -23, 90, 4.5, 0, CLASS_AB_PERCENT, TUNG_SOL},
    {"6550", 600, 300, -31, 57.5, 1.9, 0, CLASS_AB_PERCENT, TUNG_SOL},
    {"KT88", 560, 300, -34, 60, 1.7, 0, CLASS_AB_PERCENT, "from memory: GEC"},
};

/* Anode resistance, kohm, of triodes: the slope of the anode's current within 20 %. */
static const struct {
    const char *type;
    double anode, grid, kohms;
    const char *source;
} resistances[] = {
    {"12AX7", 250, -2, 62.5, TS_AX},
    {"12AX7", 100, -1, 80, TS_AX},
    {"12AT7", 250, -2, 10.9, "RCA, 12AT7, March 1954, as reprinted"},
    {"12AU7", 250, -8.5, 7.7, PH_ECC82},
    {"12AU7", 100, 0, 6.25, PH_ECC82},
    {"6SN7", 250, -8, 7.7, "6SN7 sheet, as quoted"},
    {"6SL7", 250, -2, 44, "RCA, 6SL7GT, November 1954, as reprinted"},
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

/* A triode-pentode has the same point on the section meant, and no volts on the other one's anode and screen. */
static struct deck_rig point_rig(const struct point *point, double grid)
{
    bool twofold = strncmp(point->type, "ECL", 3) == 0;
    const char *section = twofold ? "x g 0 a s g 0 TRIODE_PENTODE" : "a s g 0 PENTODE";

    if (point->screen == 0)
        section = twofold ? "a g 0 x x g 0 TRIODE_PENTODE" : "a g 0 TRIODE";
    return deck_new("V10 a 0 DC %g\nV11 s 0 DC %g\nV12 g 0 DC %g\nV13 x 0 DC 0\nR1 s 0 1MEG\nR2 x 0 1MEG\n"
                    "XV1 %s value=%s\n.end\n",
                    point->anode, point->screen, grid, section, point->type);
}

/* Anode and screen current in mA: what the sources give. */
static void find_point(const struct point *point, double grid, double *amps, double *screen_amps)
{
    struct deck_rig rig = point_rig(point, grid);

    ck_assert_uint_eq(rig.network->assumption_count, 0);
    ck_assert_uint_eq(rig.network->gap_count, 0);
    deck_solve(&rig);
    *amps = 1e3 * fabs(deck_amps(&rig, "V10", 0));
    *screen_amps = 1e3 * fabs(deck_amps(&rig, "V11", 0)) - point->screen * 1e-3;
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
    if (point->percent == CLASS_AB_PERCENT)
        printf("  %s %g V, %g V, %g V: %+.1f %%\n", point->type, point->anode, point->screen,
               point->grid, error_percent(amps, point->amps));
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
    printf("valves: worst %s %+.1f %% (%zu points; screen %+.1f %%, gm %+.1f %%)\n", name,
           worst.anode, count, worst.screen, worst.gm);
}

START_TEST(printed_class_a)
{
    check_points("fixed-bias class A point", class_a, COUNT(class_a));
}
END_TEST

START_TEST(remembered_class_a)
{
    check_points("fixed-bias class A point from memory", class_a_remembered,
                 COUNT(class_a_remembered));
}
END_TEST

START_TEST(printed_class_ab)
{
    check_points("fixed-bias class AB idle point", class_ab, COUNT(class_ab));
}
END_TEST

START_TEST(remembered_class_ab)
{
    check_points("fixed-bias class AB idle point from memory", class_ab_remembered,
                 COUNT(class_ab_remembered));
}
END_TEST

START_TEST(printed_resistances)
{
    double worst = 0;

    for (size_t i = 0; i < COUNT(resistances); i++) {
        struct point point = {.type = resistances[i].type, .anode = resistances[i].anode + 1};
        double above, below, unused, kohms;

        find_point(&point, resistances[i].grid, &above, &unused);
        point.anode -= 2;
        find_point(&point, resistances[i].grid, &below, &unused);
        kohms = 2 / (above - below);
        ck_assert_msg(within(kohms, resistances[i].kohms, 20), "%s %g V: %g kohm; %s says %g",
                      point.type, resistances[i].anode, kohms, resistances[i].source,
                      resistances[i].kohms);
        note(&worst, error_percent(kohms, resistances[i].kohms));
    }
    printf("valves: worst anode resistance of a triode %+.1f %% (%zu points)\n", worst,
           COUNT(resistances));
}
END_TEST

/* A 6V6-GT sheet, as quoted: as a triode at 250 V, -12.5 V: 49.5 mA in all. */
START_TEST(printed_as_triode)
{
    const struct point point = {.type = "6V6GT", .anode = 250, .screen = 250};
    double amps, screen_amps;

    find_point(&point, -12.5, &amps, &screen_amps);
    assert_within(amps + screen_amps, 49.5, 20);
}
END_TEST

START_TEST(printed_curves)
{
    check_points("curve read off", curves, COUNT(curves));
}
END_TEST

Suite *check_valve_points_suite(void);

Suite *check_valve_points_suite(void)
{
    Suite *suite = suite_create("valve points");
    TCase *tests = tcase_create("printed");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, printed_class_a);
    tcase_add_test(tests, remembered_class_a);
    tcase_add_test(tests, printed_class_ab);
    tcase_add_test(tests, remembered_class_ab);
    tcase_add_test(tests, printed_resistances);
    tcase_add_test(tests, printed_as_triode);
    tcase_add_test(tests, printed_curves);
    suite_add_tcase(suite, tests);
    return suite;
}
