/* Transistor circuits: operating points by hand, steady states on rails that hum, and stages that have none. */
#include "check_prearc.h"

#include <math.h>

#include "device/device.h"
#include "solve/deck_rig.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define VT 0.025864926

#define MODELS                                                                                     \
    ".model QN NPN(IS=1e-14 BF=150 BR=5)\n.model QP PNP(IS=1e-14 BF=150 BR=5)\n"

/* Four-resistor bias: I = (10 V - Vbe) / (1.01 kohm (with 150/151) + 20 kohm || 20 kohm / 151), Vbe = VT ln(I/IS) = 0.71 V at 9 mA. */
START_TEST(four_resistors)
{
    struct deck_rig rig = deck_new(MODELS "V1 p 0 DC 20\nR1 p b 20k\nR2 b 0 20k\nR3 p c 470\nR4 e 0 1k\nQ1 c b e QN\n.end\n");
    double base, emitter;

    deck_solve(&rig);
    base = deck_volts(&rig, "b");
    emitter = deck_volts(&rig, "e");
    assert_within(base - emitter, VT * log(deck_amps(&rig, "Q1", 0) / 1e-14), 0.01);
    assert_within(emitter, (10 - (base - emitter)) * 1000 / (1000 + 10000 / 151.0), 0.1);
    assert_within(deck_amps(&rig, "Q1", 0), emitter / 1000 * 150 / 151, 0.1);
    deck_end(&rig);
}
END_TEST

/* A mirror of equal transistors copies its current but for two bases: I (1 - 2/(152)). */
START_TEST(current_mirror)
{
    struct deck_rig rig = deck_new(MODELS "V1 p 0 DC -15\nR1 0 m 15k\nQ1 m m p QN\nQ2 o m p QN\nR2 0 o 1k\n.end\n");

    deck_solve(&rig);
    assert_within(deck_amps(&rig, "Q2", 0), deck_amps(&rig, "R1", 0) * 150 / 152, 0.1);
    deck_end(&rig);
}
END_TEST

/* Saturated: VT ln((1/aR + If/Ib stuff)) is some tens of mV; the base takes what its resistor gives. */
START_TEST(saturated_switch)
{
    struct deck_rig rig = deck_new(MODELS "V1 p 0 DC 12\nR1 p b 10k\nR2 p c 1k\nQ1 c b 0 QN\n.end\n");

    deck_solve(&rig);
    ck_assert(deck_volts(&rig, "c") > 0.01 && deck_volts(&rig, "c") < 0.15);
    assert_within(deck_amps(&rig, "Q1", 1), (12 - deck_volts(&rig, "b")) / 10000, 0.1);
    deck_end(&rig);
}
END_TEST

/* Junction gate, self bias: I = BETA (2 - 1k I)^2 (1 mA/V^2): 1 mA at 1 V. */
START_TEST(self_bias)
{
    struct deck_rig rig = deck_new(".model JN NJF(VTO=-2 BETA=1m)\nV1 p 0 DC 20\nR1 p d 4.7k\nR2 g 0 1MEG\nR3 s 0 1k\nJ1 d g s JN\n.end\n");

    deck_solve(&rig);
    assert_within(deck_amps(&rig, "J1", 0), 1e-3, 0.2); /* the leak of the solver through the gate: 1.4 mV */
    deck_end(&rig);
}
END_TEST

/* A transistor whose collector is left open, whose emitter is, or that is reversed is no trouble. */
START_TEST(odd_ones)
{
    static const char *const lines[] = {
        "Q1 c b 0 QN\nR1 p b 10k\nC1 c 0 1u\n",
        "Q1 p b e QN\nR1 p b 10k\nC1 e 0 1u\n",
        "Q1 0 b p QN\nR1 p b 10k\n",
        "Q1 p b b2 QN\nQ2 p b2 0 QN\nR1 p b 1k\n",
    };

    for (size_t i = 0; i < COUNT(lines); i++) {
        struct deck_rig rig = deck_new(MODELS "V1 p 0 DC 12\n%s.end\n", lines[i]);

        deck_solve(&rig);
        deck_end(&rig);
    }
}
END_TEST

/* Four stages, each with a gain of a hundred or more, on one rail that hums and behind one decoupling resistor: no steady state. Their
 * mean currents are those of the operating point on a rail without hum. */
START_TEST(motorboat)
{
    char stages[2048];
    size_t length = 0;
    struct deck_rig hums, still;

    for (int i = 1; i <= 4; i++)
        length += (size_t)snprintf(stages + length, sizeof stages - length,
                                   "R1%d v c%d 10k\nQ%d c%d b%d e%d QN\nR2%d v b%d 330k\nR3%d b%d 0 47k\nR4%d e%d 0 1.5k\n"
                                   "C1%d e%d 0 100u\nC2%d c%d b%d 1u\n",
                                   i, i, i, i, i, i, i, i, i, i, i, i, i, i, i, i, i + 1);
    hums = deck_new(MODELS "V1 a 0 SIN(0 36 50)\nD1 a p DR\n.model DR D(IS=7n N=1.8 RS=34m)\nR9 p 0 300\nC9 p 0 2200u\n"
                    "R5 p v 1k\nC5 v 0 100u\nR6 b5 0 47k\n%s.end\n", stages);
    deck_solve(&hums);
    ck_assert(hums.solution->averaged);
    still = deck_new(MODELS "V1 p 0 DC %g\nR5 p v 1k\nR6 b5 0 47k\n%s.end\n", deck_volts(&hums, "p"),
                     stages);
    deck_solve(&still);
    assert_within(deck_volts(&hums, "v"), deck_volts(&still, "v"), 0.5);
    assert_within(deck_amps(&hums, "Q4", 0), deck_amps(&still, "Q4", 0), 2);
    deck_end(&hums);
    deck_end(&still);
}
END_TEST

/* The amplifier and the regulators that the simulator is compared on: solved, without that help, and twice to the same bits. */
START_TEST(amplifiers)
{
    static const char *const decks[] = {"tests/stages/complementary-feedback.cir",
                                        "tests/stages/field-effect.cir",
                                        "tests/stages/regulators.cir"};
    struct arena *arenas[2] = {arena_new(), arena_new()};
    struct deck_rig rigs[2];

    for (size_t i = 0; i < 2; i++) {
        struct diags diags = diags_start(arenas[i]);

        rigs[i] = deck_build(source_read(arenas[i], &diags, source_path(decks[_i])), arenas[i]);
        ck_assert_uint_eq(rigs[i].network->gap_count, 0);
        deck_solve(&rigs[i]);
        ck_assert(!rigs[i].solution->averaged);
    }
    ck_assert_mem_eq(rigs[0].solution->nodes, rigs[1].solution->nodes,
                     rigs[0].network->node_count * sizeof *rigs[0].solution->nodes);
    deck_end(&rigs[0]);
    deck_end(&rigs[1]);
}
END_TEST

/* The demo: nothing is left out or guessed at, and it idles in class AB with next to nothing across the loudspeaker. */
START_TEST(demo)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);
    struct deck_rig rig =
        deck_build(source_read(arena, &diags, source_path("netlists/wendlebury-25/spice/sound.cir")),
                   arena);

    ck_assert_uint_eq(rig.network->gap_count, 0);
    deck_solve(&rig);
    ck_assert(fabs(deck_volts(&rig, "SPK")) < 0.2);
    ck_assert(deck_amps(&rig, "Q8", 0) > 0.05 && deck_amps(&rig, "Q8", 0) < 0.25);
    assert_within(deck_volts(&rig, "P15"), 15, 4);
    assert_within(deck_volts(&rig, "N15"), -15, 4);
    deck_end(&rig);
}
END_TEST

Suite *check_transistor_amps_suite(void);

Suite *check_transistor_amps_suite(void)
{
    Suite *suite = suite_create("transistor amplifiers");
    TCase *tests = tcase_create("circuits");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, four_resistors);
    tcase_add_test(tests, current_mirror);
    tcase_add_test(tests, saturated_switch);
    tcase_add_test(tests, self_bias);
    tcase_add_test(tests, odd_ones);
    tcase_add_test(tests, motorboat);
    tcase_add_loop_test(tests, amplifiers, 0, 3);
    tcase_add_test(tests, demo);
    suite_add_tcase(suite, tests);
    return suite;
}
