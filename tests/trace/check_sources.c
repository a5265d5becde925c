/* Sources, mains, roles, names, doubts, and how long it takes. */
#include "bench.h"

#include <time.h>

#include "base/text.h"

static const struct trace_source *source_of(const struct bench *bench, const char *id)
{
    for (size_t i = 0; i < bench->trace->source_count; i++)
        if (strcmp(bench->trace->sources[i].id, id) == 0)
            return &bench->trace->sources[i];
    ck_abort_msg("no source %s", id);
    return NULL;
}

static const char *role_of(struct bench *bench, const char *node)
{
    return net_role_name(bench->trace->roles[bench_node(bench, node)]);
}

#define SECONDARY "T1 pri p n 230 10\nT1 ht a 0 250 40\nD1 a B+\nC1 B+ 0 4e-5\nR1 B+ 0 5000\n"

START_TEST(mains_feeds_the_winding)
{
    struct bench bench = bench_read("V1 l n 325\nF1 l l1\nS1 l1 p\n" SECONDARY);
    const struct trace_source *winding = source_of(&bench, "T1.winding2");

    ck_assert_int_eq(source_of(&bench, "V1")->kind, SOURCE_INLET);
    ck_assert_int_eq(winding->kind, SOURCE_WINDING);
    ck_assert_ptr_eq(&bench.trace->sources[winding->feeder], source_of(&bench, "V1"));
    ck_assert_int_eq(bench_upstream(&bench, "F1", "B+"), COVERAGE_FULL);
    ck_assert_int_eq(bench_coverage(&bench, "F1", "B+"), COVERAGE_NONE);
    ck_assert_int_eq(bench_protection(&bench, "B+"), PROTECTION_UPSTREAM);
    ck_assert_str_eq(bench.trace->rails[0].name, "B+");
    ck_assert_str_eq(role_of(&bench, "l1"), "live");
    ck_assert_str_eq(role_of(&bench, "n"), "neutral");
    ck_assert_str_eq(role_of(&bench, "B+"), "rail");
    ck_assert_str_eq(role_of(&bench, "0"), "return");
    bench_free(&bench);
}
END_TEST

static void assert_mains(const char *text, bool live, bool neutral)
{
    struct bench bench = bench_read(text);

    ck_assert_uint_eq(bench.trace->mains_count, 1);
    ck_assert_int_eq(bench.trace->mains[0].live_fused, live);
    ck_assert_int_eq(bench.trace->mains[0].neutral_fused, neutral);
    bench_free(&bench);
}

START_TEST(grounded_nets_are_no_returns)
{
    struct bench bench = bench_read("V1 l n 325\nS1 l p\nF2 earth 0\nS2 in 0\n" SECONDARY);

    ck_assert_str_eq(role_of(&bench, "earth"), "earth");
    ck_assert_str_eq(role_of(&bench, "in"), "signal");
    ck_assert_str_eq(role_of(&bench, "0"), "return");
    bench_free(&bench);
}
END_TEST

START_TEST(fuses_in_conductors)
{
    assert_mains("V1 l n 325\nF1 l p\n" SECONDARY, true, false);
    assert_mains("V1 l m 325\nF1 m n\nS1 l p\n" SECONDARY, false, true);
    assert_mains("V1 l m 325\nF1 l p\nF2 m n\n" SECONDARY, true, true);
    /* A neon before the fuse, and a way round it. */
    assert_mains("V1 l n 325\nR9 l n 220000\nF1 l p\n" SECONDARY, false, false);
    assert_mains("V1 l n 325\nF1 l p\nS1 l p\n" SECONDARY, false, false);
}
END_TEST

START_TEST(bypassed_mains_fuse_covers_nothing)
{
    struct bench bench = bench_read("V1 l n 325\nF1 l p\nS1 l p\n" SECONDARY);

    ck_assert_int_eq(bench_upstream(&bench, "F1", "B+"), COVERAGE_NONE);
    ck_assert_int_eq(bench_protection(&bench, "B+"), PROTECTION_NONE);
    bench_free(&bench);
}
END_TEST

/* A 6.3 V winding drives a second transformer backwards. */
START_TEST(transformer_fed_from_a_transformer)
{
    struct bench bench =
        bench_read("V1 l n 325\nF1 l p\nT1 pri p n 230 10\nT1 lt c d 6.3 0.05\nF2 c e\n"
                   "T2 lt e d 6.3 0.05\nT2 ht a 0 230 80\nD1 a k\nC1 k 0 4e-5\nR1 k 0 50000\n");

    ck_assert_int_eq(bench_upstream(&bench, "F1", "k"), COVERAGE_FULL);
    ck_assert_int_eq(bench_upstream(&bench, "F2", "k"), COVERAGE_FULL);
    ck_assert_uint_eq(bench.trace->rail_count, 1);
    bench_free(&bench);
}
END_TEST

START_TEST(two_sources_in_series_are_one)
{
    struct bench bench = bench_read("V1 a 0 488\nV2 0 b 488\nD1 a k\nD2 b k\nF1 k r\nC1 r 0 4e-5\n"
                                    "R1 r 0 5000\n");

    ck_assert_uint_eq(source_of(&bench, "V1+V2")->branch_count, 2);
    ck_assert_int_eq(bench_rectifier(&bench, "r")->topology, TOPOLOGY_CENTRE_TAP);
    assert_coverage(&bench, "F1", "r", COVERAGE_FULL);
    bench_free(&bench);
}
END_TEST

START_TEST(opposed_sources_are_one)
{
    struct bench bench = bench_read("V1 a 0 488\nV2 b 0 -488\nD1 a k\nD2 b k\nF1 a c\nC1 k 0 4e-5\n"
                                    "R1 k 0 5000\n");

    ck_assert_uint_eq(bench.trace->source_count, 1);
    ck_assert_int_eq(bench_rectifier(&bench, "k")->topology, TOPOLOGY_CENTRE_TAP);
    bench_free(&bench);
}
END_TEST

START_TEST(loose_ends_are_doubts)
{
    struct bench bench = bench_read("V1 l n 325\nT1 pri l n 230 10\nT1 ht a b 250 40\nD1 a k\n"
                                    "C1 k 0 4e-5\nR1 k 0 5000\n");

    /* T1's end b is on no net of the load. */
    ck_assert_uint_gt(bench.trace->doubt_count, 0);
    bench_free(&bench);
}
END_TEST

START_TEST(stray_rectifier_is_a_doubt)
{
    struct bench bench = bench_read("D1 a k\nC1 k 0 4e-5\nR1 k 0 5000\n");

    ck_assert_uint_eq(bench.trace->doubt_count, 1);
    ck_assert_str_eq(bench.trace->doubt_parts[0], "D1");
    bench_free(&bench);
}
END_TEST

START_TEST(nothing_at_all)
{
    struct bench bench = bench_read("R1 a b 100\n");

    ck_assert_uint_eq(bench.trace->rail_count, 0);
    ck_assert_uint_eq(bench.trace->cover_count, 0);
    bench_free(&bench);
}
END_TEST

/* COUNT transformers with a bridge, fuses and a long chain of droppers each: 100 parts a transformer. */
static struct text large_supply(unsigned count)
{
    struct text text = {0};

    text_add(&text, "V1 l n 325\nF1 l p\n");
    for (unsigned i = 0; i < count; i++) {
        text_print(&text, "T%u pri p n 230 10\nT%u ht a%u b%u 250 40\nF%u a%u c%u\n", i, i, i, i,
                   10 + i, i, i);
        text_print(&text, "D%u c%u k%u.0\nD%u b%u k%u.0\nD%u 0 c%u\nD%u 0 b%u\n", i, i, i, i, i, i,
                   i, i, i, i);
        for (unsigned k = 0; k < 30; k++)
            text_print(&text, "R%u.%u k%u.%u k%u.%u 1000\nC%u.%u k%u.%u 0 1e-5\nI%u.%u k%u.%u 0 0.001\n",
                       i, k, i, k, i, k + 1, i, k, i, k + 1, i, k, i, k + 1);
    }
    return text;
}

START_TEST(ten_thousand_parts)
{
    struct text text = large_supply(100);
    struct bench bench = bench_read(text.bytes);
    clock_t before = clock();

    bench.trace = trace_network(bench.arena, bench.network);
    ck_assert_msg(clock() - before < 2 * CLOCKS_PER_SEC, "tracing took %g s",
                  (double)(clock() - before) / CLOCKS_PER_SEC);
    ck_assert_uint_eq(bench.trace->rail_count, 100);
    ck_assert_uint_eq(bench.trace->doubt_count, 0);
    assert_coverage(&bench, "F10", "k0.30", COVERAGE_FULL);
    bench_free(&bench);
    text_free(&text);
}
END_TEST

Suite *check_sources_suite(void);

Suite *check_sources_suite(void)
{
    Suite *suite = suite_create("sources");
    TCase *tests = tcase_create("circuits");

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, mains_feeds_the_winding);
    tcase_add_test(tests, grounded_nets_are_no_returns);
    tcase_add_test(tests, fuses_in_conductors);
    tcase_add_test(tests, bypassed_mains_fuse_covers_nothing);
    tcase_add_test(tests, transformer_fed_from_a_transformer);
    tcase_add_test(tests, two_sources_in_series_are_one);
    tcase_add_test(tests, opposed_sources_are_one);
    tcase_add_test(tests, loose_ends_are_doubts);
    tcase_add_test(tests, stray_rectifier_is_a_doubt);
    tcase_add_test(tests, nothing_at_all);
    tcase_add_test(tests, ten_thousand_parts);
    suite_add_tcase(suite, tests);
    return suite;
}
