/* Output stages at full signal against the zero- and maximum-signal currents that makers print. */
#include "check_prearc.h"

#include <math.h>

#include "base/text.h"
#include "solve/deck_rig.h"
#include "whatif/full_signal.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

#define STAGE_SYMBOLS                                                                              \
    ".subckt OT_PP P1 CT P2 S1 S2\n.ends\n"                                                        \
    ".subckt OT_SE P1 P2 S1 S2\n.ends\n"                                                           \
    ".subckt OT_UL P1 U1 CT U2 P2 S1 S2\n.ends\n"

enum class { FIXED_BIAS, COMMON_CATHODE, SCREEN_RESISTOR, SINGLE, TRIODES, ULTRA_LINEAR, CLASSES };
static const char *const class_names[CLASSES] = {
    "pair at fixed bias", "pair on a common cathode resistor", "pair with a screen resistor",
    "single-ended", "pair as triodes", "pair, ultra-linear"};

/* One printed row. Volts of the electrodes are against the cathode without a signal; a bias below 0 is fixed, above 0 it is the
 * ohms of the cathode resistor (of each valve where EACH is set). Amps in mA of one valve. */
struct printed {
    enum class class;
    const char *type;
    double anode, screen, bias, load, screen_ohms;
    double idle, idle_screen, full, full_screen;
    bool each;
    const char *source;
    bool remembered; /* from memory: shown, not asserted */
};

static const struct printed rows[] = {
    {FIXED_BIAS, "EL84", 250, 250, -11.6, 8000, 0, 10, 1.1, 37.5, 7.5, false,
     "Philips, EL84, sheet 4, 3 March 1955", false},
    {FIXED_BIAS, "EL84", 300, 300, -14.7, 8000, 0, 7.5, 0.8, 46, 11, false,
     "Philips, EL84, sheet 4, 3 March 1955", false},
    {FIXED_BIAS, "6V6GT", 250, 250, -15, 10000, 0, 35, 2.5, 39.5, 6.5, false,
     "AWV Radiotron, 6V6-GT, December 1944", false},
    {FIXED_BIAS, "6V6GT", 285, 285, -19, 8000, 0, 35, 2, 46, 6.75, false,
     "AWV Radiotron, 6V6-GT, December 1944", false},
    {FIXED_BIAS, "6L6GC", 360, 270, -22.5, 6600, 0, 44, 2.5, 66, 7.5, false, "RCA, 6L6GC", true},
    {FIXED_BIAS, "6L6GC", 450, 400, -37, 5600, 0, 58, 2.8, 105, 11, false, "RCA, 6L6GC", true},
    {FIXED_BIAS, "6550", 400, 275, -23, 3500, 0, 90, 4.5, 135, 22, false, "Tung-Sol, 6550", true},
    {FIXED_BIAS, "6550", 600, 300, -31, 5000, 0, 57.5, 1.9, 140, 22.5, false, "Tung-Sol, 6550", true},
    {FIXED_BIAS, "KT88", 560, 300, -34, 4500, 0, 60, 1.7, 145, 15, false, "GEC, KT88", true},
    {FIXED_BIAS, "6AQ5", 250, 250, -15, 10000, 0, 35, 2.5, 39.5, 6.5, false, "6AQ5", true},
    {COMMON_CATHODE, "EL84", 250, 250, 130, 8000, 0, 31, 3.5, 37.5, 7.5, false,
     "Philips, EL84, sheet 4, 3 March 1955", false},
    {COMMON_CATHODE, "EL84", 300, 300, 130, 8000, 0, 36, 4, 46, 11, false,
     "Philips, EL84, sheet 4, 3 March 1955", false},
    {COMMON_CATHODE, "EL34", 350, 325, 130, 3400, 470, 75, 11.5, 95, 22.5, false, "Philips, EL34",
     true},
    {SCREEN_RESISTOR, "6V6GT", 315, 250, 150, 12000, 3000, 38.3, 2.45, 35, 5.25, false,
     "AWV Radiotron, 6V6-GT, December 1944", false},
    {SCREEN_RESISTOR, "EL34", 775, 395, -39, 11000, 750, 25, 3, 91, 19, false,
     "Philips, EL34, as quoted: 400 V, common screen resistor 750 ohm", false},
    {SCREEN_RESISTOR, "EL34", 420, 416, -38, 3400, 1000, 30, 4.4, 120, 25, false, "Philips, EL34",
     true},
    {SINGLE, "EL84", 250, 250, 135, 5200, 0, 48, 5.5, 49.5, 10.8, false,
     "Philips, EL84, sheet 2, 3 March 1955", false},
    {SINGLE, "EL84", 250, 250, 210, 7000, 0, 36, 4.1, 36.8, 8.5, false,
     "Philips, EL84, sheet 3, 3 March 1955", false},
    {SINGLE, "6V6GT", 250, 250, 232, 5000, 0, 45, 4.5, 47, 7, false,
     "AWV Radiotron, 6V6-GT, December 1944", false},
    {SINGLE, "6V6GT", 180, 180, 250, 5500, 0, 29, 3, 30, 4, false,
     "AWV Radiotron, 6V6-GT, December 1944", false},
    {SINGLE, "6V6GT", 315, 225, 317, 8500, 0, 34, 2.2, 35, 6, false,
     "AWV Radiotron, 6V6-GT, December 1944", false},
    {SINGLE, "6L6GC", 250, 250, -14, 2500, 0, 72, 5, 79, 7.3, false, "RCA, 6L6GC", true},
    {SINGLE, "6L6GC", 350, 250, -18, 4200, 0, 54, 2.5, 66, 7, false, "RCA, 6L6GC", true},
    {TRIODES, "EL84", 250, 0, 270, 10000, 0, 20, 0, 21.7, 0, false,
     "Philips, EL84, sheet 5, 3 March 1955", false},
    {TRIODES, "EL84", 300, 0, 270, 10000, 0, 24, 0, 26, 0, false,
     "Philips, EL84, sheet 5, 3 March 1955", false},
    {ULTRA_LINEAR, "EL34", 400, 400, 470, 6600, 0, 62.5, 10, 70, 15, true, "Philips, EL34", true},
    {ULTRA_LINEAR, "KT88", 450, 450, 600, 6000, 0, 87, 0, 96, 0, true, "GEC, KT88", true},
};

/* V of the bias that the printed idle currents make. */
static double bias_volts(const struct printed *row)
{
    double valves = row->class == SINGLE || row->each ? 1 : 2;

    return row->bias < 0 ? -row->bias : row->bias * 1e-3 * (row->idle + row->idle_screen) * valves;
}

static const char *screen_of(const struct printed *row, int valve)
{
    static const char *const anodes[] = {"a1", "a2"}, *const taps[] = {"u1", "u2"};

    return row->class == TRIODES ? anodes[valve] : row->class == ULTRA_LINEAR ? taps[valve] : "s";
}

/* Supplies are raised by a cathode resistor's volts and by what the screens' resistor drops. */
static struct deck_rig build_row(const struct printed *row)
{
    bool fixed = row->bias < 0;
    double raise = fixed ? 0 : bias_volts(row), valves = row->class == SINGLE ? 1 : 2;
    double drop = row->screen_ohms * 1e-3 * row->idle_screen * valves;
    const char *second_cathode = row->each ? "k2" : "k1";
    struct arena *arena = arena_new();
    struct text deck = {0};
    const char *bytes;

    text_print(&deck, "%s%s", DECK_SYMBOLS, STAGE_SYMBOLS);
    text_print(&deck, "V10 b 0 DC %g\nV11 sb 0 DC %g\nV12 gb 0 DC %g\n", row->anode + raise,
               row->screen + raise + drop, fixed ? row->bias : 0);
    text_print(&deck, "R1 g1 gb 100k\nR2 g2 gb 100k\nR9 sb s %g\n",
               row->screen_ohms > 0 ? row->screen_ohms : 0.01);
    text_print(&deck, "R3 k1 0 %g\nC3 k1 0 100u\n", fixed ? 0.01 : row->bias);
    if (row->each)
        text_print(&deck, "R4 k2 0 %g\nC4 k2 0 100u\n", row->bias);
    text_print(&deck, "XV1 a1 %s g1 k1 PENTODE value=%s\n", screen_of(row, 0), row->type);
    if (row->class == SINGLE)
        text_print(&deck, "XT1 a1 b o 0 OT_SE value=%g:8 windings=\"primary 1-2 1R; secondary 3-4 "
                          "0.1R\"\n", row->load);
    else if (row->class == ULTRA_LINEAR)
        text_print(&deck, "XT1 a1 u1 b u2 a2 o 0 OT_UL value=%g:8 windings=\"primary 1-2-3-4-5 "
                          "1+1+1+1R; secondary 6-7 0.1R\"\n", row->load);
    else
        text_print(&deck, "XT1 a1 b a2 o 0 OT_PP value=%g:8 windings=\"primary 1-2-3 1+1R; "
                          "secondary 4-5 0.1R\"\n", row->load);
    if (row->class != SINGLE)
        text_print(&deck, "XV2 a2 %s g2 %s PENTODE value=%s\n", screen_of(row, 1), second_cathode,
                   row->type);
    text_add(&deck, "R8 o 0 8\n.end\n");
    bytes = arena_copy(arena, text_bytes(&deck));
    text_free(&deck);
    return deck_build(source_from_bytes(arena, "deck.cir", bytes, strlen(bytes)), arena);
}

static struct full_signal *full_of(struct deck_rig *rig)
{
    deck_solve(rig);
    return full_signal_find(rig->arena, rig->network, NULL, rig->solution);
}

static double percent(double got, double want)
{
    return want > 0 ? 100 * (got / want - 1) : 0;
}

/* Sum of anode and screen of a valve, without a signal and at full signal, against the print: the pair's supply. */
static void compare_row(const struct printed *row, double *worst_idle, double *worst_full)
{
    struct deck_rig rig = build_row(row);
    struct full_signal *full = full_of(&rig);
    const struct stage_signal *sine, *square;
    double idle, top;

    ck_assert_uint_eq(full->stages.count, 1);
    ck_assert_msg(full->states[SIGNAL_SINE].solution != NULL, "%s: not solved at %s", row->source,
                  full->states[SIGNAL_SINE].blame);
    ck_assert_ptr_nonnull(full->states[SIGNAL_SQUARE].solution);
    sine = &full->states[SIGNAL_SINE].stages[0];
    square = &full->states[SIGNAL_SQUARE].stages[0];
    idle = percent(full->idle[0].anode + full->idle[0].screen, 1e-3 * (row->idle + row->idle_screen));
    top = percent(sine->cycle.anode + sine->cycle.screen, 1e-3 * (row->full + row->full_screen));
    printf("full signal: %s %g/%g V%s: idle %.1f + %.2f mA (%+.1f %%), full %.1f + %.2f mA (%+.1f %%), "
           "printed %g + %g; %.1f W; square %.1f + %.2f mA%s\n",
           row->type, row->anode, row->screen, row->remembered ? " (from memory)" : "",
           1e3 * full->idle[0].anode, 1e3 * full->idle[0].screen, idle, 1e3 * sine->cycle.anode,
           1e3 * sine->cycle.screen, top, row->full, row->full_screen, sine->cycle.watts,
           1e3 * square->cycle.anode, 1e3 * square->cycle.screen, sine->cycle.cuts_off ? ", AB" : ", A");
    fflush(stdout);
    if (!row->remembered) {
        if (fabs(idle) > fabs(*worst_idle))
            *worst_idle = idle;
        if (fabs(top) > fabs(*worst_full))
            *worst_full = top;
    }
    deck_end(&rig);
}

START_TEST(printed_rows)
{
    double idle = 0, top = 0;

    for (size_t i = 0; i < COUNT(rows); i++)
        if ((int)rows[i].class == _i)
            compare_row(&rows[i], &idle, &top);
    printf("full signal: %s: worst %+.1f %% without a signal, %+.1f %% at full signal\n",
           class_names[_i], idle, top);
    ck_assert_msg(fabs(idle) <= 20, "%s: %+.1f %% without a signal", class_names[_i], idle);
    ck_assert_msg(fabs(top) <= 20, "%s: %+.1f %% at full signal", class_names[_i], top);
}
END_TEST

Suite *check_full_signal_suite(void);

Suite *check_full_signal_suite(void)
{
    Suite *suite = suite_create("full signal");
    TCase *tests = tcase_create("printed");

    tcase_set_timeout(tests, 60);
    tcase_add_loop_test(tests, printed_rows, 0, CLASSES);
    suite_add_tcase(suite, tests);
    return suite;
}
