/* Rectifier valves by their type numbers, with capacitor input, against the outputs that makers print, and a gas
 * rectifier against the closed form. */
#include "check_prearc.h"

#include <math.h>

#include "solve/deck_rig.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define PI 3.141592653589793

/* Two legs of VOLTS RMS and OHMS (all the resistance there is, per anode), reservoir, constant load. */
struct output {
    const char *type;
    double volts, ohms, microfarads, milliamps, printed, hertz;
    const char *source;
};

#define MAZDA "Mazda, EZ80, issue 1, August 1963, p. 1"
#define MEMORY "from memory"

static const struct output printed[] = {
    {"EZ80", 250, 125, 50, 90, 265, 50, MAZDA},
    {"EZ80", 275, 175, 50, 90, 285, 50, MAZDA},
    {"EZ80", 300, 215, 50, 90, 310, 50, MAZDA},
    {"EZ80", 350, 300, 50, 90, 360, 50, MAZDA},
};

static const struct output remembered[] = {
    {"GZ34", 300, 50, 60, 250, 330, 50, MEMORY},     {"GZ34", 350, 75, 60, 250, 380, 50, MEMORY},
    {"GZ34", 400, 100, 60, 250, 430, 50, MEMORY},    {"GZ34", 450, 125, 60, 250, 480, 50, MEMORY},
    {"GZ34", 500, 150, 60, 200, 560, 50, MEMORY},    {"GZ34", 550, 175, 60, 160, 640, 50, MEMORY},
    {"5AR4", 450, 160, 40, 225, 475, 60, MEMORY},    {"5U4GB", 450, 67, 40, 275, 460, 60, MEMORY},
    {"5U4GB", 300, 21, 40, 300, 290, 60, MEMORY},    {"6CA4", 250, 150, 50, 150, 245, 50, MEMORY},
    {"6CA4", 300, 200, 50, 150, 293, 50, MEMORY},    {"6CA4", 350, 240, 50, 150, 352, 50, MEMORY},
    {"5Y3GT", 350, 50, 10, 125, 350, 60, MEMORY},    {"5Y3GT", 350, 50, 10, 62.5, 390, 60, MEMORY},
    {"6X4", 325, 520, 10, 70, 310, 60, MEMORY},      {"5V4G", 375, 100, 10, 175, 415, 60, MEMORY},
};

static struct deck_rig output_rig(const struct output *row, const char *load)
{
    return deck_new(".subckt RECTIFIER A1 A2 K\n.ends\n"
                    "V10 e1 0 SIN(0 %.9g %g)\nV11 0 e2 SIN(0 %.9g %g)\nR1 e1 a1 %g\nR2 e2 a2 %g\n"
                    "XV1 a1 a2 p RECTIFIER value=%s\nC1 p 0 %gu\n%s\n.end\n",
                    row->volts * sqrt(2), row->hertz, row->volts * sqrt(2), row->hertz, row->ohms,
                    row->ohms, row->type, row->microfarads, load);
}

/* No assumption may be needed: the library has every figure. */
static void check_outputs(const char *what, const struct output *rows, size_t count)
{
    double worst = 0;

    for (size_t i = 0; i < count; i++) {
        char load[40];
        struct deck_rig rig;
        double volts, error;

        snprintf(load, sizeof load, "I1 p 0 DC %gm", rows[i].milliamps);
        rig = output_rig(&rows[i], load);
        ck_assert_uint_eq(rig.network->assumption_count, 0);
        deck_solve(&rig);
        volts = deck_volts(&rig, "p");
        error = (volts / rows[i].printed - 1) * 100;
        ck_assert_msg(fabs(error) <= 5, "%s %g V, %g mA: %g V; %s says %g", rows[i].type,
                      rows[i].volts, rows[i].milliamps, volts, rows[i].source, rows[i].printed);
        if (fabs(error) > fabs(worst))
            worst = error;
        deck_end(&rig);
    }
    printf("valves: worst rectifier valve output %+.1f %% (%s, %zu points)\n", worst, what, count);
}

START_TEST(printed_outputs)
{
    check_outputs("printed", printed, COUNT(printed));
}
END_TEST

START_TEST(remembered_outputs)
{
    check_outputs("from memory", remembered, COUNT(remembered));
}
END_TEST

/* Half the angle of conduction: tan x - x = pi Rs/(2 RL), full wave, large capacitor (standard theory of the
 * capacitor-input rectifier; O. H. Schade, Proc. IRE 31, July 1943). */
static double half_angle(double source, double load)
{
    double low = 0, high = PI / 2;

    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2;

        if (tan(middle) - middle < PI * source / (2 * load))
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* Mercury vapour drops 15 V whatever it carries (RCA, 83, July 1963, as reprinted). "83" alone may mean anything, so
 * the field says what the part is. */
START_TEST(mercury_arc)
{
    static const struct output row = {"83 kind=rectifier-valve", 450, 50, 400, 0, 0, 60, ""};
    struct deck_rig rig = output_rig(&row, "R3 p 0 2400");
    double want = (450 * sqrt(2) - 15) * cos(half_angle(50, 2400));

    ck_assert_uint_eq(rig.network->assumption_count, 0);
    deck_solve(&rig);
    assert_within(deck_volts(&rig, "p"), want, 0.5);
    printf("valves: 83 with capacitor input %+.2f %% of the closed form\n",
           (deck_volts(&rig, "p") / want - 1) * 100);
    deck_end(&rig);
}
END_TEST

Suite *check_rectifier_valves_suite(void);

Suite *check_rectifier_valves_suite(void)
{
    Suite *suite = suite_create("rectifier valves");
    TCase *tests = tcase_create("outputs");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, printed_outputs);
    tcase_add_test(tests, remembered_outputs);
    tcase_add_test(tests, mercury_arc);
    suite_add_tcase(suite, tests);
    return suite;
}
