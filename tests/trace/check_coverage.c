/* One supply a test: what each fuse covers, node by node. */
#include "bench.h"

#define MAINS "V1 l n 325\nT1 pri l n 230 10\n"
#define CENTRE_TAP MAINS "T1 ht a m 345 75\nT1 ht m b 345 75\n"
#define LOAD(node) "C1 " node " 0 47e-6\nI1 " node " 0 0.08\n"

static void assert_topology(struct bench *bench, const char *node, enum topology topology)
{
    ck_assert_str_eq(topology_name(bench_rectifier(bench, node)->topology),
                     topology_name(topology));
    ck_assert_uint_eq(bench->trace->doubt_count, 0);
}

/* TEXT has one fuse, F1: what it makes of NODE. */
static void assert_case(const char *text, enum topology topology, const char *node,
                        enum coverage want)
{
    struct bench bench = bench_read(text);

    assert_topology(&bench, node, topology);
    assert_coverage(&bench, "F1", node, want);
    ck_assert_int_eq(bench_protection(&bench, node), want == COVERAGE_FULL ? PROTECTION_OWN
                                                     : want == COVERAGE_PARTIAL
                                                         ? PROTECTION_PARTIAL
                                                         : PROTECTION_NONE);
    bench_free(&bench);
}

START_TEST(centre_tap)
{
    assert_case(CENTRE_TAP "S1 m 0\nD1 a k\nD2 b k\nF1 k r\n" LOAD("r"), TOPOLOGY_CENTRE_TAP, "r",
                COVERAGE_FULL);
    assert_case(CENTRE_TAP "S1 m 0\nD1 a k\nD2 b k\nF1 k r\n" LOAD("r"), TOPOLOGY_CENTRE_TAP, "k",
                COVERAGE_NONE);
    assert_case(CENTRE_TAP "F1 m 0\nD1 a k\nD2 b k\n" LOAD("k"), TOPOLOGY_CENTRE_TAP, "k",
                COVERAGE_FULL);
    assert_case(CENTRE_TAP "S1 m 0\nF1 a c\nD1 c k\nD2 b k\n" LOAD("k"), TOPOLOGY_CENTRE_TAP, "k",
                COVERAGE_PARTIAL);
    assert_case(CENTRE_TAP "S1 m 0\nF1 a c\nU1 c k\nU2 b k\n" LOAD("k"), TOPOLOGY_CENTRE_TAP, "k",
                COVERAGE_PARTIAL);
}
END_TEST

START_TEST(centre_tap_with_back_bias)
{
    assert_case(CENTRE_TAP "R1 m 0 220\nD1 a k\nD2 b k\nF1 k r\n" LOAD("r"), TOPOLOGY_CENTRE_TAP,
                "r", COVERAGE_FULL);
}
END_TEST

START_TEST(fuse_in_each_leg)
{
    struct bench bench =
        bench_read(CENTRE_TAP "S1 m 0\nF1 a c\nF2 b d\nD1 c k\nD2 d k\n" LOAD("k"));

    assert_coverage(&bench, "F1", "k", COVERAGE_PARTIAL);
    assert_coverage(&bench, "F2", "k", COVERAGE_PARTIAL);
    ck_assert_int_eq(bench_protection(&bench, "k"), PROTECTION_OWN);
    bench_free(&bench);
}
END_TEST

START_TEST(fuse_behind_each_diode)
{
    struct bench bench =
        bench_read(CENTRE_TAP "S1 m 0\nD1 a c\nF1 c k\nD2 b d\nF2 d k\n" LOAD("k"));

    assert_topology(&bench, "k", TOPOLOGY_CENTRE_TAP);
    ck_assert_uint_eq(bench.trace->rail_count, 1);
    assert_coverage(&bench, "F1", "k", COVERAGE_PARTIAL);
    ck_assert_int_eq(bench_protection(&bench, "k"), PROTECTION_OWN);
    ck_assert_int_eq(bench_protection(&bench, "c"), PROTECTION_PARTIAL);
    bench_free(&bench);
}
END_TEST

#define BRIDGE(a, b) "D1 " a " k\nD2 " b " k\nD3 0 " a "\nD4 0 " b "\n"

START_TEST(bridge)
{
    assert_case(MAINS "T1 ht a b 250 40\nF1 a c\n" BRIDGE("c", "b") LOAD("k"), TOPOLOGY_BRIDGE, "k",
                COVERAGE_FULL);
    assert_case(MAINS "T1 ht a b 250 40\nF1 k r\n" BRIDGE("a", "b") LOAD("r"), TOPOLOGY_BRIDGE, "r",
                COVERAGE_FULL);
    assert_case(MAINS "T1 ht a b 250 40\nF1 e 0\nD1 a k\nD2 b k\nD3 e a\nD4 e b\n" LOAD("k"),
                TOPOLOGY_BRIDGE, "k", COVERAGE_FULL);
}
END_TEST

/* Two series diodes in every arm, each with a resistor and a capacitor across it. */
START_TEST(series_diodes)
{
    struct bench bench = bench_read(
        MAINS "T1 ht a b 250 40\nF1 a c\nD1 c x\nD2 x k\nR1 c x 220000\nR2 x k 220000\n"
              "C2 c x 1e-8\nC3 x k 1e-8\nD3 b y\nD4 y k\nD5 0 u\nD6 u c\nD7 0 v\nD8 v b\n" LOAD("k"));

    assert_topology(&bench, "k", TOPOLOGY_BRIDGE);
    ck_assert_uint_eq(bench.trace->rectifier_count, 1);
    ck_assert_uint_eq(bench.trace->rectifiers[0].branch_count, 8);
    assert_coverage(&bench, "F1", "k", COVERAGE_FULL);
    bench_free(&bench);
}
END_TEST

/* A winding's resistance drawn as a resistor on one side, and a damping resistor across it. */
START_TEST(series_diodes_behind_a_resistor)
{
    struct bench bench = bench_read(
        MAINS "T1 ht i b 250 1\nR1 i a 90\nR2 b a 220000\nD1 a x\nD2 x k\nR3 a x 470000\n"
              "R4 x k 470000\nD3 b y\nD4 y k\nR5 b y 470000\nR6 y k 470000\nD5 r u\nD6 u a\n"
              "D7 r v\nD8 v b\nF1 r 0\n" LOAD("k"));

    assert_topology(&bench, "k", TOPOLOGY_BRIDGE);
    ck_assert_uint_eq(bench.trace->rectifiers[0].branch_count, 8);
    assert_coverage(&bench, "F1", "k", COVERAGE_FULL);
    bench_free(&bench);
}
END_TEST

START_TEST(split_bridge)
{
    struct bench bench = bench_read(
        MAINS "T1 ht a m 25 0.5\nT1 ht m b 25 0.5\nS1 m 0\nF1 a c\nD1 c k\nD2 b k\nD3 e c\nD4 e b\n"
              "C2 0 e 4e-3\nI2 0 e 0.5\n" LOAD("k"));

    assert_topology(&bench, "k", TOPOLOGY_BRIDGE_SPLIT);
    ck_assert_uint_eq(bench.trace->rectifier_count, 1);
    ck_assert_uint_eq(bench.trace->rail_count, 2);
    assert_coverage(&bench, "F1", "k", COVERAGE_PARTIAL);
    assert_coverage(&bench, "F1", "e", COVERAGE_PARTIAL);
    ck_assert(bench.trace->rails[bench_rail(&bench, "e")].negative);
    ck_assert(!bench.trace->rails[bench_rail(&bench, "k")].negative);
    bench_free(&bench);
}
END_TEST

START_TEST(half_wave)
{
    assert_case(MAINS "T1 ht a 0 250 40\nF1 a c\nD1 c k\n" LOAD("k"), TOPOLOGY_HALF_WAVE, "k",
                COVERAGE_FULL);
    assert_case(MAINS "T1 ht a b 250 40\nF1 b 0\nD1 a k\n" LOAD("k"), TOPOLOGY_HALF_WAVE, "k",
                COVERAGE_FULL);
}
END_TEST

#define DOUBLER "C2 p j 1e-4\nC3 j 0 1e-4\nR1 p j 220000\nR2 j 0 220000\nI1 p 0 0.05\n"

START_TEST(doubler)
{
    assert_case(MAINS "T1 ht a j 120 20\nF1 a c\nD1 c p\nD2 0 c\n" DOUBLER, TOPOLOGY_DOUBLER, "p",
                COVERAGE_FULL);
    /* Without D1 the capacitors would block: no half-cycle is left over. */
    assert_case(MAINS "T1 ht a j 120 20\nF1 a c\nD1 c p\nD2 0 a\n" DOUBLER, TOPOLOGY_DOUBLER, "p",
                COVERAGE_FULL);
    assert_case(MAINS "T1 ht a j 120 20\nD1 a p\nD2 0 a\nF1 p q\nR3 q s 1000\nC4 s 0 1e-5\n" DOUBLER,
                TOPOLOGY_DOUBLER, "s", COVERAGE_FULL);
}
END_TEST

START_TEST(cascade)
{
    assert_case(MAINS "T1 ht a 0 120 20\nF1 a c\nC2 c x 1e-4\nD1 0 x\nD2 x k\n" LOAD("k"),
                TOPOLOGY_CASCADE, "k", COVERAGE_FULL);
    assert_case(MAINS "T1 ht a 0 120 20\nC2 a x 1e-4\nD1 0 x\nF1 x y\nD2 y k\n" LOAD("k"),
                TOPOLOGY_CASCADE, "k", COVERAGE_FULL);
}
END_TEST

START_TEST(four_fold_cascade)
{
    struct bench bench = bench_read(
        MAINS "T1 ht a 0 120 20\nF1 a c\nC2 c x 1e-4\nD1 0 x\nD2 x p\nC3 p 0 1e-4\nC4 x y 1e-4\n"
              "D3 p y\nD4 y k\n" LOAD("k"));

    assert_topology(&bench, "k", TOPOLOGY_CASCADE);
    ck_assert_uint_eq(bench.trace->rails[bench_rail(&bench, "k")].back,
                      bench_node(&bench, "0"));
    assert_coverage(&bench, "F1", "k", COVERAGE_FULL);
    assert_coverage(&bench, "F1", "p", COVERAGE_FULL);
    bench_free(&bench);
}
END_TEST

START_TEST(fuse_behind_reservoir)
{
    struct bench bench = bench_read(CENTRE_TAP "S1 m 0\nD1 a k\nD2 b k\nF1 k r\nL1 r s 10 100\n"
                                               "C2 s 0 4e-5\nR1 s t 22000\nC3 t 0 2e-5\n" LOAD("k"));
    const struct rail *rail;

    assert_coverage(&bench, "F1", "k", COVERAGE_NONE);
    assert_coverage(&bench, "F1", "r", COVERAGE_FULL);
    assert_coverage(&bench, "F1", "s", COVERAGE_FULL);
    assert_coverage(&bench, "F1", "t", COVERAGE_FULL);
    rail = &bench.trace->rails[bench_rail(&bench, "t")];
    ck_assert_uint_eq(rail->node_count, 4);
    for (size_t i = 0; i < 4; i++) {
        const char *names[] = {"k", "r", "s", "t"};

        ck_assert_str_eq(bench.network->nodes[rail->nodes[i].node].name, names[i]);
        ck_assert_uint_eq(rail->nodes[i].upstream, i == 0 ? SIZE_MAX : i - 1);
    }
    ck_assert_uint_eq(rail->nodes[3].path[0], bench_branch(&bench, "R1"));
    ck_assert_uint_eq(rail->load_count, 1);
    ck_assert_str_eq(protection_name(bench_protection(&bench, "k")), "none");
    bench_free(&bench);
}
END_TEST

START_TEST(two_rails_with_a_fuse_each)
{
    struct bench bench = bench_read(
        MAINS "T1 ht a 0 250 40\nT1 lt c 0 50 2\nF1 a a1\nD1 a1 k\nF2 c c1\nD2 c1 q\n"
              "C2 q 0 1e-3\nR2 q 0 1000\n" LOAD("k"));

    assert_coverage(&bench, "F1", "k", COVERAGE_FULL);
    assert_coverage(&bench, "F2", "k", COVERAGE_NONE);
    assert_coverage(&bench, "F1", "q", COVERAGE_NONE);
    assert_coverage(&bench, "F2", "q", COVERAGE_FULL);
    bench_free(&bench);
}
END_TEST

#define BIAS "R5 a x 47000\nD5 bi x\nC5 bi 0 1e-5\nR6 bi 0 56000\n"

START_TEST(bias_from_a_tap_of_the_ht_winding)
{
    struct bench bench =
        bench_read(CENTRE_TAP "S1 m 0\nD1 a k\nD2 b k\nF1 k r\nF2 a a9\n" LOAD("r") BIAS);
    const struct rail *rail = &bench.trace->rails[bench_rail(&bench, "bi")];

    ck_assert(rail->negative);
    ck_assert_str_eq(rail->name, "bi");
    assert_topology(&bench, "bi", TOPOLOGY_HALF_WAVE);
    assert_coverage(&bench, "F1", "bi", COVERAGE_NONE);
    assert_coverage(&bench, "F1", "r", COVERAGE_FULL);
    bench_free(&bench);
}
END_TEST

/* The bias network is a way round the tap's fuse, but through 103 kilohm. */
START_TEST(bias_does_not_bypass_the_fuse_of_the_tap)
{
    struct bench bench = bench_read(CENTRE_TAP "F1 m 0\nD1 a k\nD2 b k\n" LOAD("k") BIAS);

    assert_coverage(&bench, "F1", "k", COVERAGE_FULL);
    bench_free(&bench);
}
END_TEST

START_TEST(bias_through_a_capacitor)
{
    struct bench bench = bench_read(
        MAINS "T1 ht a b 250 40\nF1 a c\n" BRIDGE("c", "b") LOAD("k")
            "C7 c x 1e-7\nD7 x 0\nF2 bi y\nD8 y x\nC8 bi 0 1e-5\nR8 bi 0 100000\n");

    assert_topology(&bench, "bi", TOPOLOGY_CASCADE);
    ck_assert(bench.trace->rails[bench_rail(&bench, "bi")].negative);
    assert_coverage(&bench, "F1", "bi", COVERAGE_FULL);
    assert_coverage(&bench, "F2", "bi", COVERAGE_FULL);
    assert_coverage(&bench, "F2", "k", COVERAGE_NONE);
    bench_free(&bench);
}
END_TEST

START_TEST(bias_winding)
{
    assert_case(MAINS "T1 bias a 0 50 20\nF1 a c\nD1 k c\nC1 0 k 1e-5\nR1 k 0 47000\n",
                TOPOLOGY_HALF_WAVE, "k", COVERAGE_FULL);
}
END_TEST

START_TEST(bypassed_fuses)
{
    /* A wire round it. */
    assert_case(CENTRE_TAP "S1 m 0\nD1 a k\nD2 b k\nF1 k r\nS2 k r\n" LOAD("r"),
                TOPOLOGY_CENTRE_TAP, "r", COVERAGE_NONE);
    /* 100 ohm lets a fault through, 220 kilohm does not. */
    assert_case(CENTRE_TAP "S1 m 0\nD1 a k\nD2 b k\nF1 k r\nR1 k r 100\n" LOAD("r"),
                TOPOLOGY_CENTRE_TAP, "r", COVERAGE_NONE);
    assert_case(CENTRE_TAP "S1 m 0\nD1 a k\nD2 b k\nF1 k r\nR1 k r 220000\n" LOAD("r"),
                TOPOLOGY_CENTRE_TAP, "r", COVERAGE_FULL);
    /* But 220 kilohm is a way when the node itself is fed through as much. */
    assert_case(CENTRE_TAP "S1 m 0\nD1 a k\nD2 b k\nF1 k r\nR1 k r 220000\nR2 r t 220000\n"
                           "C2 t 0 1e-5\n" LOAD("r"),
                TOPOLOGY_CENTRE_TAP, "t", COVERAGE_NONE);
}
END_TEST

START_TEST(fuses_in_series_and_parallel)
{
    struct bench series =
        bench_read(MAINS "T1 ht a 0 250 40\nF1 a c\nD1 c k\nF2 k r\n" LOAD("r"));
    struct bench parallel =
        bench_read(MAINS "T1 ht a 0 250 40\nF1 a c\nF2 a c\nD1 c k\n" LOAD("k"));

    assert_coverage(&series, "F1", "r", COVERAGE_FULL);
    assert_coverage(&series, "F2", "r", COVERAGE_FULL);
    assert_coverage(&series, "F2", "k", COVERAGE_NONE);
    assert_coverage(&parallel, "F1", "k", COVERAGE_NONE);
    assert_coverage(&parallel, "F2", "k", COVERAGE_NONE);
    bench_free(&series);
    bench_free(&parallel);
}
END_TEST

START_TEST(standby_switch)
{
    assert_case(CENTRE_TAP "S1 m 0\nD1 a k\nD2 b k\nF1 k q\nS2 q r\n" LOAD("r"),
                TOPOLOGY_CENTRE_TAP, "r", COVERAGE_FULL);
    assert_case(CENTRE_TAP "S1 m 0\nD1 a k\nD2 b k\nS2 k q\nF1 q r\n" LOAD("r"),
                TOPOLOGY_CENTRE_TAP, "q", COVERAGE_NONE);
}
END_TEST

START_TEST(heater_winding)
{
    struct bench direct = bench_read(MAINS "T1 h a b 6.3 0.05\nF1 a c\nR1 c b 2\n");
    struct bench virtual_tap = bench_read(
        MAINS "T1 h a b 6.3 0.05\nF1 a c\nR1 c b 2\nR2 c 0 100\nR3 b 0 100\n");
    struct bench tap =
        bench_read(MAINS "T1 h a 0 3.15 0.03\nT1 h 0 b 3.15 0.03\nF1 a c\nR1 c b 2\n");

    assert_coverage(&direct, "F1", "c", COVERAGE_FULL);
    assert_coverage(&direct, "F1", "a", COVERAGE_NONE);
    ck_assert_str_eq(net_role_name(direct.trace->roles[bench_node(&direct, "c")]), "heater");
    ck_assert_uint_eq(direct.trace->rails[0].rectifier, SIZE_MAX);
    assert_coverage(&virtual_tap, "F1", "c", COVERAGE_FULL);
    ck_assert_uint_eq(virtual_tap.trace->rail_count, 1);
    ck_assert_uint_eq(tap.trace->rail_count, 2);
    ck_assert_int_ne(bench_coverage(&tap, "F1", "c"), COVERAGE_NONE);
    assert_coverage(&tap, "F1", "a", COVERAGE_NONE);
    assert_coverage(&tap, "F1", "b", COVERAGE_NONE);
    bench_free(&direct);
    bench_free(&virtual_tap);
    bench_free(&tap);
}
END_TEST

START_TEST(dc_supply)
{
    struct bench bench = bench_read("B1 p 0 9\nF1 p q\nR1 q 0 1000\nB2 0 m 9\nF2 m o\nR2 o 0 100\n");

    assert_coverage(&bench, "F1", "q", COVERAGE_FULL);
    assert_coverage(&bench, "F1", "p", COVERAGE_NONE);
    assert_coverage(&bench, "F2", "o", COVERAGE_FULL);
    ck_assert(bench.trace->rails[bench_rail(&bench, "o")].negative);
    bench_free(&bench);
}
END_TEST

START_TEST(regulating_load_feeds_its_output)
{
    struct bench bench = bench_read(MAINS "T1 ht a 0 250 40\nD1 a k\nF1 k r\nI2 r g 0.01\n"
                                          "R1 g 0 1000\n" LOAD("r"));
    const struct rail *rail = &bench.trace->rails[0];

    assert_coverage(&bench, "F1", "g", COVERAGE_FULL);
    for (size_t i = 0; i < rail->node_count; i++)
        ck_assert_uint_ne(rail->nodes[i].node, bench_node(&bench, "g"));
    bench_free(&bench);
}
END_TEST

Suite *check_coverage_suite(void);

Suite *check_coverage_suite(void)
{
    Suite *suite = suite_create("coverage");
    TCase *tests = tcase_create("supplies");

    tcase_add_test(tests, centre_tap);
    tcase_add_test(tests, centre_tap_with_back_bias);
    tcase_add_test(tests, fuse_in_each_leg);
    tcase_add_test(tests, fuse_behind_each_diode);
    tcase_add_test(tests, bridge);
    tcase_add_test(tests, series_diodes);
    tcase_add_test(tests, series_diodes_behind_a_resistor);
    tcase_add_test(tests, split_bridge);
    tcase_add_test(tests, half_wave);
    tcase_add_test(tests, doubler);
    tcase_add_test(tests, cascade);
    tcase_add_test(tests, four_fold_cascade);
    tcase_add_test(tests, fuse_behind_reservoir);
    tcase_add_test(tests, two_rails_with_a_fuse_each);
    tcase_add_test(tests, bias_from_a_tap_of_the_ht_winding);
    tcase_add_test(tests, bias_does_not_bypass_the_fuse_of_the_tap);
    tcase_add_test(tests, bias_through_a_capacitor);
    tcase_add_test(tests, bias_winding);
    tcase_add_test(tests, bypassed_fuses);
    tcase_add_test(tests, fuses_in_series_and_parallel);
    tcase_add_test(tests, standby_switch);
    tcase_add_test(tests, heater_winding);
    tcase_add_test(tests, dc_supply);
    tcase_add_test(tests, regulating_load_feeds_its_output);
    suite_add_tcase(suite, tests);
    return suite;
}
