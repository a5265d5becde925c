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

/* One printed row. Volts of the electrodes are against the cathode without a signal; a bias
 * below 0 is fixed, above 0 it is the ohms of the cathode resistor (of each valve where EACH is
 * set). Amps in mA of one valve. */
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

/* Sum of anode and screen of a valve, without a signal and at full signal, against the print:
 * the pair's supply. */
static void compare_row(const struct printed *row, double worst[2])
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
    if (fabs(idle) > fabs(worst[0]))
        worst[0] = idle;
    if (fabs(top) > fabs(worst[1]))
        worst[1] = top;
    deck_end(&rig);
}

START_TEST(printed_rows)
{
    double seen[2] = {0, 0}, remembered[2] = {0, 0};
    size_t count = 0;

    for (size_t i = 0; i < COUNT(rows); i++) {
        if ((int)rows[i].class != _i)
            continue;
        compare_row(&rows[i], rows[i].remembered ? remembered : seen);
        count += !rows[i].remembered;
    }
    printf("full signal: %s: %zu rows, worst %+.1f %% without a signal, %+.1f %% at full signal; "
           "from memory, not asserted: %+.1f %%, %+.1f %%\n",
           class_names[_i], count, seen[0], seen[1], remembered[0], remembered[1]);
    ck_assert_msg(fabs(seen[0]) <= 20, "%s: %+.1f %% without a signal", class_names[_i], seen[0]);
    ck_assert_msg(fabs(seen[1]) <= 20, "%s: %+.1f %% at full signal", class_names[_i], seen[1]);
}
END_TEST

/* A pair on real supplies; the lines of FORMAT after those that all such decks have. */
#define SUPPLY                                                                                     \
    ".subckt C14 L N E\n.ends\n" STAGE_SYMBOLS                                                     \
    "XJ1 live neutral 0 C14\n"                                                                     \
    "XT1 live neutral hta 0 htb bi 0 PT windings=\"primary 1-2 230V 14R; HT 3-4-5 230-0-230V "     \
    "60+62R 200mA; bias 6-7 20V 20R 50mA\"\n"                                                      \
    "D1 hta rect 1N4007\nD2 htb rect 1N4007\nXF1 rect ht FUSE rating=T400mAL250V\n"                \
    "C1 ht 0 47u\nR9 ht s 470\nC2 s 0 47u\nD3 b1 bi 1N4007\nC3 0 b1 47u\nR1 b1 b2 10k\n"           \
    "R2 b2 0 13k\nC4 0 b2 47u\nR3 g1 b2 100k\nR4 g2 b2 100k\n"
#define PAIR                                                                                       \
    "XV1 a1 s g1 0 PENTODE value=EL84\nXV2 a2 s g2 0 PENTODE value=EL84\n"                         \
    "XT2 a1 ct a2 o 0 OT_PP value=8k:8 windings=\"primary 1-2-3 120+125R; secondary 4-5 0.5R\"\n"

static size_t fuse_of(const struct deck_rig *rig, const char *ref)
{
    return deck_branch(rig, ref, 0)->index;
}

/* A fuse with the reservoir behind it carries the mean alone of the signal; one between
 * reservoir and transformer its wave. */
START_TEST(capacitor_behind_fuse)
{
    struct deck_rig rig = deck_new(SUPPLY PAIR "XF2 ht ct FUSE rating=T125mAL250V\n.end\n");
    struct full_signal *full = full_of(&rig);
    const struct signal_state *sine = &full->states[SIGNAL_SINE];
    const struct wave *wave;

    ck_assert_ptr_nonnull(sine->solution);
    wave = &sine->solution->branches[fuse_of(&rig, "F2")];
    ck_assert(sine->audio[fuse_of(&rig, "F1")] == 0);
    assert_within(sine->stages[0].cycle.anode * 2, wave->mean, 1);
    /* Nearly class B: the sum of two half-waves has an RMS of pi / sqrt 8 = 1.11 of its mean. */
    assert_within(full_signal_rms(full, SIGNAL_SINE, fuse_of(&rig, "F2")) / wave->mean, 1.11, 2);
    /* A square wave's sum is a direct current. */
    ck_assert_double_le(full->states[SIGNAL_SQUARE].audio[fuse_of(&rig, "F2")], 1e-6);
    deck_end(&rig);
}
END_TEST

/* A fuse in a cathode carries half-waves, whose RMS is pi / 2 of their mean; with a capacitor across it the mean alone. */
START_TEST(cathode_fuses)
{
    struct deck_rig rig = deck_new(
        "V10 b 0 DC 300\nV12 gb 0 DC -14.7\n" STAGE_SYMBOLS
        "XV1 a1 b gb k1 PENTODE value=EL84\nXV2 a2 b gb k2 PENTODE value=EL84\n"
        "XF1 k1 0 FUSE rating=T125mAL250V ohms=1\nXF2 k2 0 FUSE rating=T125mAL250V ohms=1\nC1 k2 0 100u\n"
        "XT2 a1 b a2 o 0 OT_PP value=8k:8 windings=\"primary 1-2-3 1+1R; secondary 4-5 0.5R\"\n.end\n");
    struct full_signal *full = full_of(&rig);
    const struct solution *solution = full->states[SIGNAL_SINE].solution;
    size_t bare = fuse_of(&rig, "F1"), bypassed = fuse_of(&rig, "F2");

    ck_assert_ptr_nonnull(solution);
    assert_within(full_signal_rms(full, SIGNAL_SINE, bare) / solution->branches[bare].mean, 1.57, 6);
    ck_assert(full->states[SIGNAL_SINE].audio[bypassed] == 0);
    deck_end(&rig);
}
END_TEST

/* Each state draws more than the one before; two runs give the same bits. */
START_TEST(order_and_bits)
{
    struct deck_rig rigs[2];
    struct full_signal *full[2];

    for (int i = 0; i < 2; i++) {
        rigs[i] = deck_new(SUPPLY PAIR "XF2 ht ct FUSE rating=T125mAL250V\n.end\n");
        full[i] = full_of(&rigs[i]);
    }
    for (size_t b = 0; b < rigs[0].network->branch_count; b++) {
        double idle = rigs[0].solution->branches[b].rms;

        if (rigs[0].network->branches[b].kind != BRANCH_FUSE)
            continue;
        ck_assert_double_ge(full_signal_rms(full[0], SIGNAL_SINE, b), idle);
        ck_assert_double_ge(full_signal_rms(full[0], SIGNAL_SQUARE, b),
                            full_signal_rms(full[0], SIGNAL_SINE, b));
    }
    for (int s = 0; s < SIGNAL_COUNT; s++)
        ck_assert_mem_eq(full[0]->states[s].solution->branches, full[1]->states[s].solution->branches,
                         rigs[0].network->branch_count * sizeof(struct wave));
    deck_end(&rigs[0]);
    deck_end(&rigs[1]);
}
END_TEST

/* The same stage with the idle current stated, as it was computed: the same full signal. */
START_TEST(told_idle)
{
    struct deck_rig plain = deck_new(SUPPLY PAIR "R5 ht ct 1\n.end\n"), told;
    struct full_signal *first = full_of(&plain), *second;

    told = deck_new(SUPPLY "XV1 a1 s g1 0 PENTODE value=EL84 idlecurrent=%gmA screencurrent=%gmA\n"
                    "XV2 a2 s g2 0 PENTODE value=EL84 idlecurrent=%gmA screencurrent=%gmA\n"
                    "XT2 a1 ct a2 o 0 OT_PP value=8k:8 windings=\"primary 1-2-3 120+125R; secondary 4-5 "
                    "0.5R\"\nR5 ht ct 1\n.end\n",
                    1e3 * first->idle[0].anode, 1e3 * first->idle[0].screen,
                    1e3 * first->idle[0].anode, 1e3 * first->idle[0].screen);
    second = full_of(&told);
    ck_assert_ptr_nonnull(second->states[SIGNAL_SINE].solution);
    assert_within(second->idle[0].anode, first->idle[0].anode, 0.1);
    assert_within(second->states[SIGNAL_SINE].stages[0].cycle.anode,
                  first->states[SIGNAL_SINE].stages[0].cycle.anode, 1);
    assert_within(second->states[SIGNAL_SQUARE].stages[0].cycle.screen,
                  first->states[SIGNAL_SQUARE].stages[0].cycle.screen, 1);
    deck_end(&plain);
    deck_end(&told);
}
END_TEST

/* A told current on a cathode resistor: the bias shifts like a computed one's. */
START_TEST(told_on_cathode_resistor)
{
    const char *format = "V10 b 0 DC 310\n" STAGE_SYMBOLS
                         "R1 g1 0 470k\nR2 g2 0 470k\nRK k 0 130\nC1 k 0 100u\n"
                         "XV1 a1 b g1 k PENTODE value=EL84%s\nXV2 a2 b g2 k PENTODE value=EL84%s\n"
                         "XT2 a1 b a2 o 0 OT_PP value=8k:8 windings=\"primary 1-2-3 1+1R; secondary "
                         "4-5 0.5R\"\n.end\n";
    struct deck_rig plain = deck_new(format, "", ""), told;
    struct full_signal *first = full_of(&plain), *second;
    char words[80];

    snprintf(words, sizeof words, " idlecurrent=%.6gmA screencurrent=%.6gmA",
             1e3 * first->idle[0].anode, 1e3 * first->idle[0].screen);
    told = deck_new(format, words, words);
    second = full_of(&told);
    assert_within(second->states[SIGNAL_SINE].stages[0].cycle.anode,
                  first->states[SIGNAL_SINE].stages[0].cycle.anode, 1);
    assert_within(second->states[SIGNAL_SINE].stages[0].volts.grid,
                  first->states[SIGNAL_SINE].stages[0].volts.grid, 1);
    deck_end(&plain);
    deck_end(&told);
}
END_TEST

/* Two valves a side draw twice what one does with twice the load. */
START_TEST(parallel_push_pull)
{
    struct deck_rig rig = deck_new(
        "V10 b 0 DC 300\nV12 gb 0 DC -14.7\n" STAGE_SYMBOLS
        "XV1 a1 b gb 0 PENTODE value=EL84\nXV2 a2 b gb 0 PENTODE value=EL84\n"
        "XV3 a1 b gb 0 PENTODE value=EL84\nR1 a2 a4 10\nXV4 a4 b gb 0 PENTODE value=EL84\n"
        "XT2 a1 b a2 o 0 OT_PP value=4k:8 windings=\"primary 1-2-3 1+1R; secondary 4-5 0.5R\"\n.end\n");
    struct full_signal *full = full_of(&rig);

    ck_assert_uint_eq(full->stages.count, 1);
    ck_assert_uint_eq(full->stages.items[0].valve_count, 4);
    assert_within(full->states[SIGNAL_SINE].stages[0].cycle.anode, 45.5e-3, 1);
    deck_end(&rig);
}
END_TEST

/* A type without constants: the hand estimate, which says what it rests on. EL84 under another
 * name, at 300 V. */
START_TEST(estimate)
{
    struct deck_rig rig = deck_new(
        "V10 b 0 DC 300\nV12 gb 0 DC -14.7\n" STAGE_SYMBOLS
        "XV1 a1 b gb 0 PENTODE value=9XY99 idlecurrent=7.5mA\n"
        "XV2 a2 b gb 0 PENTODE value=9XY99 idlecurrent=7.5mA\n"
        "XT2 a1 b a2 o 0 OT_PP value=8k:8 windings=\"primary 1-2-3 1+1R; secondary 4-5 0.5R\"\n.end\n");
    struct full_signal *full;

    ck_assert_int_eq(rig.network->parts->items[2].kind, PART_PENTODE);
    full = full_of(&rig);
    ck_assert_uint_eq(full->stages.count, 1);
    ck_assert(full->stages.items[0].estimated);
    ck_assert_uint_eq(full->notes.assumption_count, 2);
    assert_within(full->states[SIGNAL_SINE].stages[0].cycle.anode, 46e-3, 20);
    ck_assert_double_ge(full->states[SIGNAL_SQUARE].stages[0].cycle.anode,
                        full->states[SIGNAL_SINE].stages[0].cycle.anode);
    deck_end(&rig);
}
END_TEST

/* Loads as values, windings and loudspeakers tell them; without any an assumption. */
START_TEST(loads)
{
    static const struct {
        const char *value, *windings, *speaker;
        double ohms;
        size_t assumptions;
    } cases[] = {
        {"5k6:8", "primary 1-2-3 55+60R; secondary 4-5 0.4R", "", 5600, 0},
        {"\"8k p-p / 20W\"", "primary 1-2-3 55+60R; secondary 4-5 0.4R", "", 8000, 0},
        {"\"6.6k a-a\"", "primary 1-2-3 55+60R; secondary 4-5 0.4R", "XLS1 o 0 SPEAKER value=8R\n", 6600, 0},
        {"OT", "primary 1-2-3 126.5+126.5V 55+60R; secondary 4-5 8V 0.4R",
         "XLS1 o 0 SPEAKER value=8R\n", 8001, 0},
        {"OT", "primary 1-2-3 126.5+126.5V 55+60R; secondary 4-5 8V 0.4R", "R9 o 0 4\n", 4000.6, 0},
        {"OT", "primary 1-2-3 55+60R; secondary 4-5 0.4R", "XLS1 o 0 SPEAKER value=8R\n", 6600, 1},
        {"OT", "primary 1-2-3 55+60R; secondary 4-5 0.4R", "", 6600, 1},
    };

    for (size_t i = 0; i < COUNT(cases); i++) {
        struct deck_rig rig = deck_new(
            "V10 b 0 DC 300\nV12 gb 0 DC -14.7\n" STAGE_SYMBOLS
            "XV1 a1 b gb 0 PENTODE value=EL84\nXV2 a2 b gb 0 PENTODE value=EL84\n%s"
            "XT2 a1 b a2 o 0 OT_PP value=%s windings=\"%s\"\n.end\n",
            cases[i].speaker, cases[i].value, cases[i].windings);
        struct full_signal *full = full_of(&rig);

        ck_assert_msg(full->stages.count == 1, "%s: no stage", cases[i].value);
        ck_assert_msg(within(full->stages.items[0].circuit.load_ohms, cases[i].ohms, 0.1), "%s: %g",
                      cases[i].value, full->stages.items[0].circuit.load_ohms);
        ck_assert_uint_eq(full->notes.assumption_count, cases[i].assumptions);
        deck_end(&rig);
    }
}
END_TEST

/* No output stage, no figures; a cathode follower at the supply's end of a primary is none. That
 * nothing drives the transformer is said. */
START_TEST(no_stage)
{
    struct deck_rig rig = deck_new("V10 b 0 DC 250\n" STAGE_SYMBOLS
                                   "R1 b a 100k\nR2 k1 0 1k5\nR3 g 0 1MEG\n"
                                   "XV1 a g k1 TRIODE value=12AX7\nR4 k2 0 100k\n"
                                   "XV2 b a k2 TRIODE value=12AX7\n"
                                   "XT2 x1 b x2 o 0 OT_PP value=8k:8 windings=\"primary 1-2-3 1+1R; "
                                   "secondary 4-5 0.5R\"\nR5 x1 0 1MEG\nR6 x2 0 1MEG\nR7 o 0 8\n.end\n");
    struct full_signal *full = full_of(&rig);

    ck_assert_uint_eq(full->stages.count, 0);
    ck_assert_ptr_null(full->states[SIGNAL_SINE].solution);
    ck_assert(isnan(full_signal_rms(full, SIGNAL_SINE, 0)));
    ck_assert_uint_eq(full->gap_count, 1);
    ck_assert_str_eq(full->gaps[0].part, "T2");
    deck_end(&rig);
}
END_TEST

/* A positive grid has no room to be driven in: a gap, not a figure. */
START_TEST(no_bias)
{
    struct deck_rig rig = deck_new(
        "V10 b 0 DC 250\nR1 g1 0 1k\n" STAGE_SYMBOLS "XV1 a1 b g1 0 PENTODE value=EL84\n"
        "XT2 a1 b o 0 OT_SE value=5k:8 windings=\"primary 1-2 1R; secondary 3-4 0.5R\"\n.end\n");
    struct full_signal *full = full_of(&rig);

    ck_assert_uint_eq(full->stages.count, 1);
    ck_assert_ptr_null(full->states[SIGNAL_SINE].solution);
    ck_assert_uint_eq(full->gap_count, 1);
    ck_assert_str_eq(full->gaps[0].part, "V1");
    deck_end(&rig);
}
END_TEST

/* Transistors: mean of each supply Vpk / (pi R), and half the wave's RMS in a fuse without a
 * capacitor behind it. */
START_TEST(transistor_pair)
{
    struct deck_rig rig = deck_new(
        ".model NP NPN\n.model PN PNP\nV10 p 0 DC 35\nV11 0 m DC 35\n"
        "XF1 p vp FUSE rating=T2AL250V ohms=0.01\n"
        "Q1 vp b1 e1 NP idlecurrent=50mA\nQ2 m b2 e2 PN idlecurrent=50mA\nR1 e1 out 0.22\nR2 e2 out 0.22\n"
        "R3 vp b1 2k2\nR4 b2 m 2k2\nR5 b1 b2 100\nXLS1 out 0 SPEAKER value=8R\n.end\n");
    struct full_signal *full = full_of(&rig);
    double peak = (35 - 3) / 8.22;

    ck_assert_uint_eq(full->followers.count, 1);
    ck_assert_ptr_nonnull(full->states[SIGNAL_SINE].solution);
    assert_within(full->states[SIGNAL_SINE].followers[0].amps, peak / 3.14159265, 0.5);
    assert_within(full_signal_rms(full, SIGNAL_SINE, fuse_of(&rig, "F1")), peak / 2, 1);
    assert_within(full_signal_rms(full, SIGNAL_SQUARE, fuse_of(&rig, "F1")), peak / sqrt(2), 1);
    assert_within(full->states[SIGNAL_SINE].followers[0].watts, peak * peak / 2 * 8, 1);
    deck_end(&rig);
}
END_TEST

/* One supply and an output capacitor: half of it is the swing. */
START_TEST(transistors_with_output_capacitor)
{
    struct deck_rig rig = deck_new(
        ".model NP NPN\n.model PN PNP\nV10 p 0 DC 46\nXF1 p vp FUSE rating=T2AL250V ohms=0.01\n"
        "Q1 vp b1 e1 NP idlecurrent=30mA\nQ2 0 b2 e2 PN idlecurrent=30mA\nR1 e1 out 0.5\nR2 e2 out 0.5\n"
        "R3 vp b1 2k2\nR4 b2 0 2k2\nR5 b1 b2 100\nR6 out 0 10k\nC1 out spk 2200u\n"
        "XLS1 spk 0 SPEAKER value=8R\n.end\n");
    struct full_signal *full = full_of(&rig);

    ck_assert_uint_eq(full->followers.count, 1);
    ck_assert(full->followers.items[0].coupled);
    assert_within(full->states[SIGNAL_SINE].followers[0].amps, 20 / 8.5 / 3.14159265, 0.5);
    deck_end(&rig);
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
    tests = tcase_create("stages");
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, capacitor_behind_fuse);
    tcase_add_test(tests, cathode_fuses);
    tcase_add_test(tests, order_and_bits);
    tcase_add_test(tests, told_idle);
    tcase_add_test(tests, told_on_cathode_resistor);
    tcase_add_test(tests, parallel_push_pull);
    tcase_add_test(tests, estimate);
    tcase_add_test(tests, loads);
    tcase_add_test(tests, no_stage);
    tcase_add_test(tests, no_bias);
    tcase_add_test(tests, transistor_pair);
    tcase_add_test(tests, transistors_with_output_capacitor);
    suite_add_tcase(suite, tests);
    return suite;
}
