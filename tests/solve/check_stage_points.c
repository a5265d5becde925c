/* Whole stages, biased by their own resistors, against the currents that makers print for them. What is from memory
 * says so. */
#include "check_prearc.h"

#include <math.h>

#include "solve/deck_rig.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define RC_STAGE "RC-loaded triode stage"

/* Compares and keeps the largest error in per cent in WORST. */
static void compare(double *worst, double got, double want, double percent, const char *what)
{
    double error = (got / want - 1) * 100;

    ck_assert_msg(within(got, want, percent), "%s: %g mA, printed %g mA", what, 1e3 * got,
                  1e3 * want);
    if (fabs(error) > fabs(*worst))
        *worst = error;
}

static void report(const char *class, const char *what, double worst)
{
    printf("valves: worst %s %+.1f %% (%s)\n", class, worst, what);
}

/* Philips, ECC82, sheet 2, 6 June 1959: resistance-capacitance coupling, one section, grid leak 1 Mohm; Ia in mA at supplies of
 * 100 to 400 V. */
static const struct {
    double anode_kohms, cathode_kohms, amps[7];
} ecc82_rows[] = {
    {47, 1.2, {1.20, 1.82, 2.41, 3.02, 3.65, 4.30, 5.00}},
    {100, 2.2, {0.66, 0.98, 1.30, 1.63, 1.97, 2.30, 2.62}},
    {220, 3.9, {0.33, 0.50, 0.66, 0.82, 0.98, 1.16, 1.31}},
};

/* A stage of anode and cathode resistor, kohm, at SUPPLY; A. */
static double triode_stage(const char *type, double supply, double anode, double cathode)
{
    struct deck_rig rig = deck_new("V10 b 0 DC %g\nR1 b a %gk\nR2 k 0 %gk\nR3 g 0 1MEG\n"
                                   "XV1 a g k TRIODE value=%s\n.end\n",
                                   supply, anode, cathode, type);
    double amps;

    deck_solve(&rig);
    amps = deck_amps(&rig, "V1", 0);
    deck_end(&rig);
    return amps;
}

START_TEST(ecc82_table)
{
    double worst = 0;

    for (size_t r = 0; r < COUNT(ecc82_rows); r++)
        for (size_t c = 0; c < 7; c++)
            compare(&worst,
                    triode_stage("ECC82", 100 + 50 * (double)c, ecc82_rows[r].anode_kohms,
                                 ecc82_rows[r].cathode_kohms),
                    1e-3 * ecc82_rows[r].amps[c], 10, "ECC82 table");
    report(RC_STAGE, "ECC82 with resistance coupling, 21 points", worst);
}
END_TEST

/* Mullard and Philips, ECC83, resistance-capacitance coupling, from memory: Ia in mA (cathode resistor in kohm) at 200 to
 * 400 V. */
static const struct {
    double anode_kohms, amps[5], cathode_kohms[5];
} ecc83_rows[] = {
    {47, {0.86, 1.18, 1.55, 1.98, 2.45}, {1.5, 1.2, 1.0, 0.82, 0.68}},
    {100, {0.65, 0.86, 1.11, 1.40, 1.72}, {1.8, 1.5, 1.2, 1.0, 0.82}},
    {220, {0.36, 0.48, 0.63, 0.85, 1.02}, {3.3, 2.7, 2.2, 1.5, 1.2}},
};

START_TEST(ecc83_table)
{
    double worst = 0;

    for (size_t r = 0; r < COUNT(ecc83_rows); r++)
        for (size_t c = 0; c < 5; c++)
            compare(&worst,
                    triode_stage("ECC83", 200 + 50 * (double)c, ecc83_rows[r].anode_kohms,
                                 ecc83_rows[r].cathode_kohms[c]),
                    1e-3 * ecc83_rows[r].amps[c], 10, "ECC83 table");
    report(RC_STAGE, "ECC83 with resistance coupling, 15 points (from memory)", worst);
}
END_TEST

/* Brimar, application report 12AX7, undated, p. 3 (470 kohm, as text) and graph VAD/313-30 (the others, read off like the curves
 * in check_valve_points.c, so 20 %); 250 V, the grid at a fixed bias. The graph lies 7 % below the makers' anode curves. */
START_TEST(ecc83_fixed_bias)
{
    static const struct {
        double anode_kohms, grid, amps, percent;
    } rows[] = {{470, -1.3, 0.3, 10},
                {100, -1, 0.985, 20},
                {100, -2, 0.43, 20},
                {220, -1, 0.58, 20},
                {220, -2, 0.267, 20}};
    double worst = 0;

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct deck_rig rig = deck_new("V10 b 0 DC 250\nV12 g 0 DC %g\nR1 b a %gk\n"
                                       "XV1 a g 0 TRIODE value=12AX7\n.end\n",
                                       rows[i].grid, rows[i].anode_kohms);

        deck_solve(&rig);
        compare(&worst, deck_amps(&rig, "V1", 0), 1e-3 * rows[i].amps, rows[i].percent,
                "12AX7 at fixed bias");
        deck_end(&rig);
    }
    report("RC-loaded triode stage read off a graph", "12AX7 at fixed bias, 5 points", worst);
}
END_TEST

/* Philips, ECC82, sheets 3 and 4, 6 June 1959; each at 250 and 350 V. */
START_TEST(ecc82_circuits)
{
    static const double supplies[] = {250, 350};
    static const double common[] = {1.66, 2.33}, split[] = {4.5, 6.3};
    static const double first[] = {0.70, 1.00}, second[] = {0.68, 0.93};
    double worst = 0;

    for (size_t i = 0; i < 2; i++) {
        struct deck_rig rig = deck_new("V10 b 0 DC %g\nR1 b a1 220k\nR2 b a2 220k\nR3 k 0 1k8\n"
                                       "R4 g1 0 1MEG\nR5 g2 0 1MEG\n"
                                       "XV1A a1 g1 k TRIODE value=ECC82\n"
                                       "XV1B a2 g2 k TRIODE value=ECC82\n.end\n",
                                       supplies[i]);

        deck_solve(&rig);
        compare(&worst, deck_amps(&rig, "V1A", 0) + deck_amps(&rig, "V1B", 0), 1e-3 * common[i],
                10, "two sections on one cathode resistor");
        deck_end(&rig);
        rig = deck_new("V10 b 0 DC %g\nR1 b a 15k\nR2 k t 1k\nR3 t 0 14k\nR4 g t 1MEG\n"
                       "XV1 a g k TRIODE value=ECC82\n.end\n",
                       supplies[i]);
        deck_solve(&rig);
        compare(&worst, deck_amps(&rig, "V1", 0), 1e-3 * split[i], 10, "split load");
        deck_end(&rig);
        rig = deck_new("V10 b 0 DC %g\nR1 b a1 220k\nR2 k1 0 7.8k\nR3 g1 0 1MEG\n"
                       "R4 b a2 150k\nR5 k2 0 150k\nXV1A a1 g1 k1 TRIODE value=ECC82\n"
                       "XV1B a2 a1 k2 TRIODE value=ECC82\n.end\n",
                       supplies[i]);
        deck_solve(&rig);
        compare(&worst, deck_amps(&rig, "V1A", 0), 1e-3 * first[i], 10, "inverter, first section");
        compare(&worst, deck_amps(&rig, "V1B", 0), 1e-3 * second[i], 10,
                "inverter, second section");
        deck_end(&rig);
    }
    report(RC_STAGE, "ECC82 common cathode, split load and inverter, 8 points", worst);
}
END_TEST

/* Philips, EF86, application table, as reprinted: 300 V, 220 kohm, screen 1 Mohm, 2.2 kohm: 1.1 mA in all. */
START_TEST(ef86_stage)
{
    struct deck_rig rig = deck_new("V10 b 0 DC 300\nR1 b a 220k\nR2 b s 1MEG\nR3 k 0 2k2\n"
                                   "R4 g 0 1MEG\nXV1 a s g k PENTODE value=EF86\n.end\n");
    double worst = 0;

    deck_solve(&rig);
    compare(&worst, deck_volts(&rig, "k") / 2200, 1.1e-3, 10, "EF86");
    deck_end(&rig);
    report("RC-loaded pentode stage", "EF86, total", worst);
}
END_TEST

/* RCA, 12AT7, March 1954, as reprinted: 200 ohm at 250 V, 270 ohm at 100 V, both against the cathode; no anode
 * resistor. */
START_TEST(ecc81_cathode_bias)
{
    static const struct {
        double anode, cathode_ohms, amps;
    } rows[] = {{250, 200, 10}, {100, 270, 3.7}};
    double worst = 0;

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct deck_rig rig = deck_new("V10 a 0 DC %g\nR2 k 0 %g\nR3 g 0 470k\n"
                                       "XV1 a g k TRIODE value=12AT7\n.end\n",
                                       rows[i].anode + 1e-3 * rows[i].amps * rows[i].cathode_ohms,
                                       rows[i].cathode_ohms);

        deck_solve(&rig);
        compare(&worst, deck_amps(&rig, "V1", 0), 1e-3 * rows[i].amps, 10, "12AT7");
        deck_end(&rig);
    }
    report("triode with cathode resistor", "12AT7, 2 points", worst);
}
END_TEST

/* One power valve or two alike on a common cathode resistor; volts of anode and screen are against the cathode, so the supplies are
 * that much higher than printed. */
struct power_stage {
    const char *type;
    double anode, screen, cathode_ohms; /* screen 0: joined to the anode */
    size_t valves;
    double amps, screen_amps; /* mA per valve */
    const char *source;
};

static const struct power_stage power_stages[] = {
    {"EL84", 250, 250, 135, 1, 48, 5.5, "Philips, EL84, sheet 2, 3 March 1955"},
    {"EL84", 250, 250, 210, 1, 36, 4.1, "Philips, EL84, sheet 3, 3 March 1955"},
    {"EL84", 250, 210, 160, 1, 36, 3.9, "Philips, EL84, sheet 3, 3 March 1955"},
    {"EL84", 250, 0, 270, 1, 34, 0, "Philips, EL84, sheet 5, 3 March 1955: as a triode"},
    {"EL84", 250, 250, 130, 2, 31, 3.5, "Philips, EL84, sheet 4, 3 March 1955: pair"},
    {"EL84", 300, 300, 130, 2, 36, 4, "Philips, EL84, sheet 4, 3 March 1955: pair"},
    {"EL84", 250, 0, 270, 2, 20, 0, "Philips, EL84, sheet 5, 3 March 1955: pair as triodes"},
    {"EL84", 300, 0, 270, 2, 24, 0, "Philips, EL84, sheet 5, 3 March 1955: pair as triodes"},
    {"6V6GT", 250, 250, 232, 1, 45, 4.5, "AWV Radiotron, 6V6-GT, December 1944"},
    {"6V6GT", 180, 180, 250, 1, 29, 3, "AWV Radiotron, 6V6-GT, December 1944"},
    {"6V6GT", 315, 225, 317, 1, 34, 2.2, "AWV Radiotron, 6V6-GT, December 1944"},
    {"6V6GT", 250, 100, 250, 1, 17.5, 0.7, "AWV Radiotron, 6V6-GT, December 1944"},
    {"6V6GT", 250, 0, 400, 1, 37.5, 0, "AWV Radiotron, 6V6-GT, December 1944: as a triode"},
    {"6V6GT", 300, 0, 513, 1, 39, 0, "AWV Radiotron, 6V6-GT, December 1944: as a triode"},
    {"6V6GT", 315, 250, 150, 2, 38.3, 2.45, "AWV Radiotron, 6V6-GT, December 1944: pair"},
};

/* Ultra-linear stages have the screen at the anode's mean volts. */
static const struct power_stage power_stages_remembered[] = {
    {"EL34", 430, 0, 470, 1, 72.5, 0, "from memory: Philips, EL34, 43 % ultra-linear"},
    {"KT88", 448, 0, 600, 1, 87, 0, "from memory: GEC, KT88, ultra-linear, 500 V in all"},
};

/* Supplies raised by the bias that the printed current makes. */
static struct deck_rig power_rig(const struct power_stage *stage)
{
    double total = 1e-3 * (stage->amps + stage->screen_amps) * (double)stage->valves;
    double bias = total * stage->cathode_ohms;
    double screen = stage->screen > 0 ? stage->screen : stage->anode;
    const char *second = stage->valves > 1 ? "XV2 a s g k PENTODE value=" : "*";

    return deck_new("V10 a 0 DC %g\nV11 s 0 DC %g\nR1 g 0 470k\nR2 k 0 %g\n"
                    "XV1 a s g k PENTODE value=%s\n%s%s\n.end\n",
                    stage->anode + bias, screen + bias, stage->cathode_ohms, stage->type, second,
                    stage->type);
}

static void check_power(const char *what, const struct power_stage *stages, size_t count)
{
    double worst = 0;

    for (size_t i = 0; i < count; i++) {
        const struct power_stage *stage = &stages[i];
        struct deck_rig rig = power_rig(stage);

        deck_solve(&rig);
        compare(&worst, deck_volts(&rig, "k") / stage->cathode_ohms / (double)stage->valves,
                1e-3 * (stage->amps + stage->screen_amps), 10, stage->source);
        deck_end(&rig);
    }
    report("cathode-biased power stage", what, worst);
}

START_TEST(power_valves)
{
    check_power("total current, 15 points", power_stages, COUNT(power_stages));
}
END_TEST

START_TEST(power_valves_remembered)
{
    check_power("total current, 2 points, from memory", power_stages_remembered,
                COUNT(power_stages_remembered));
}
END_TEST

/* Philips, EL34, from memory: two valves, supply 375 V, one screen resistor of 470 ohm, one cathode resistor of
 * 130 ohm: 75 and 11.5 mA each. */
START_TEST(el34_pair)
{
    struct deck_rig rig = deck_new("V10 b 0 DC 375\nR1 b s 470\nR2 k 0 130\nR3 g 0 330k\n"
                                   "XV1 b s g k PENTODE value=EL34\n"
                                   "XV2 b s g k PENTODE value=EL34\n.end\n");
    double worst = 0;

    deck_solve(&rig);
    compare(&worst, deck_volts(&rig, "k") / 260, 86.5e-3, 10, "EL34 pair");
    deck_end(&rig);
    report("cathode-biased power stage", "EL34 pair with its screen resistor, from memory", worst);
}
END_TEST

Suite *check_stage_points_suite(void);

Suite *check_stage_points_suite(void)
{
    Suite *suite = suite_create("stage points");
    TCase *tests = tcase_create("printed");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, ecc82_table);
    tcase_add_test(tests, ecc83_table);
    tcase_add_test(tests, ecc83_fixed_bias);
    tcase_add_test(tests, ecc82_circuits);
    tcase_add_test(tests, ecc81_cathode_bias);
    tcase_add_test(tests, ef86_stage);
    tcase_add_test(tests, power_valves);
    tcase_add_test(tests, power_valves_remembered);
    tcase_add_test(tests, el34_pair);
    suite_add_tcase(suite, tests);
    return suite;
}
