#include "check_prearc.h"

#include <math.h>

#include "solve/rig.h"

/* Two rectifiers at one ideal source: what it delivers is the sum of both, instant by instant. */
START_TEST(source_of_two_islands)
{
    struct rig rig = rig_new(50);
    const struct solution *solution;
    size_t source = rig_sine(&rig, "V1", "l", "0", 100, 0, 0);
    size_t up, down;

    up = rig_diode(&rig, "D1", "l", "p", 7e-9, 1.8, 0.03);
    rig_resistor(&rig, "R1", "p", "0", 100);
    down = rig_diode(&rig, "D2", "m", "l", 7e-9, 1.8, 0.03);
    rig_resistor(&rig, "R2", "m", "0", 100);
    solution = rig_solve(&rig);
    ck_assert_int_eq(solution->status, SOLVE_OK);
    /* half sines that never overlap: squares add up, and the means cancel */
    assert_within(solution->branches[source].rms,
                  hypot(solution->branches[up].rms, solution->branches[down].rms), 0.1);
    ck_assert_double_lt(fabs(solution->branches[source].mean),
                        0.01 * solution->branches[up].mean);
    assert_within(solution->branches[source].high, solution->branches[down].high, 0.1);
    arena_free(rig.arena);
}
END_TEST

/* A contradiction in one island is named, and does not spoil the other. */
START_TEST(one_island_fails)
{
    struct rig rig = rig_new(50);
    const struct solution *solution;
    size_t good;

    rig_direct(&rig, "V1", "a", "0", 9);
    rig_direct(&rig, "V2", "a", "0", 12);
    rig_sine(&rig, "V3", "b", "0", 10, 0, 1);
    good = rig_resistor(&rig, "R1", "b", "0", 99);
    solution = rig_solve(&rig);
    ck_assert_int_eq(solution->status, SOLVE_SINGULAR);
    ck_assert_ptr_nonnull(solution->blame);
    ck_assert(solution->branch_solved[good]);
    ck_assert(!solution->branch_solved[1]);
    ck_assert(solution->node_solved[rig_node(&rig, "b")]);
    assert_within(solution->branches[good].rms, 0.1 / sqrt(2), 0.1);
    arena_free(rig.arena);
}
END_TEST

/* A source with nothing connected still has its volts. */
START_TEST(idle_source)
{
    struct rig rig = rig_new(50);
    const struct solution *solution;

    rig_direct(&rig, "V1", "a", "0", 9);
    rig_sine(&rig, "V2", "b", "0", 10, 0, 1);
    solution = rig_solve(&rig);
    ck_assert_int_eq(solution->status, SOLVE_OK);
    assert_within(rig_volts(&rig, solution, "a")->mean, 9, 1e-6);
    arena_free(rig.arena);
}
END_TEST

Suite *check_islands_suite(void);

Suite *check_islands_suite(void)
{
    Suite *suite = suite_create("islands");
    TCase *cases = tcase_create("islands");

    tcase_add_test(cases, source_of_two_islands);
    tcase_add_test(cases, one_island_fails);
    tcase_add_test(cases, idle_source);
    suite_add_tcase(suite, cases);
    return suite;
}
