/* Circuits that people draw and that no formula likes: each is solved, or refused with the net or part named; and the start-up
 * of each comes to an end likewise. */
#include "check_prearc.h"

#include <math.h>
#include <string.h>

#include "solve/deck_rig.h"
#include "solve/rig.h"
#include "solve/start_up.h"

static struct rig rig;

static void setup(void)
{
    rig = rig_new(50);
}

static void teardown(void)
{
    arena_free(rig.arena);
}

static bool all_finite(const struct solution *solution)
{
    for (size_t i = 0; i < rig.network->node_count; i++)
        if (!isfinite(solution->nodes[i].rms))
            return false;
    for (size_t i = 0; i < rig.network->branch_count; i++)
        if (!isfinite(solution->branches[i].rms))
            return false;
    return true;
}

static const struct solution *solved(void)
{
    const struct solution *solution = rig_solve(&rig);

    ck_assert_msg(solution->status == SOLVE_OK, "status %d at %s", solution->status,
                  solution->blame != NULL ? solution->blame : "nobody");
    ck_assert(all_finite(solution));
    return solution;
}

/* Named: what is refused tells where. */
static void refused(const char *first, const char *second)
{
    const struct solution *solution = rig_solve(&rig);

    ck_assert_int_ne(solution->status, SOLVE_OK);
    ck_assert_ptr_nonnull(solution->blame);
    ck_assert_msg(strcmp(solution->blame, first) == 0 || strcmp(solution->blame, second) == 0,
                  "blames %s", solution->blame);
}

/* The start-up of branch FUSE ends with finite figures or names somebody. */
static void starts(size_t fuse)
{
    struct surge surge = {.branch = fuse};

    start_up_run(rig.arena, rig.network, &(struct start_up_options){0}, &surge, 1);
    if (surge.status != SOLVE_OK) {
        ck_assert_ptr_nonnull(surge.blame);
        return;
    }
    for (size_t i = 0; i < surge.point_count; i++)
        ck_assert(isfinite(surge.points[i].i2t) && surge.points[i].i2t >= 0);
    ck_assert(isfinite(surge.peak));
}

/* A winding that nothing ties to ground, rectified and loaded. */
START_TEST(floating_supply)
{
    static const char *const ends[] = {"l1", "0", "a", "b"};
    size_t fuse, load;

    rig_sine(&rig, "V1", "l", "0", 325, 0, 0.5);
    fuse = rig_resistor(&rig, "F1", "l", "l1", 0.2);
    rig_transformer(&rig, "T1", 2, ends, (double[]){230, 250}, (double[]){12, 60}, 14);
    rig_diode(&rig, "D1", "a", "p", 7e-9, 1.8, 0.034);
    rig_diode(&rig, "D2", "b", "p", 7e-9, 1.8, 0.034);
    rig_diode(&rig, "D3", "m", "a", 7e-9, 1.8, 0.034);
    rig_diode(&rig, "D4", "m", "b", 7e-9, 1.8, 0.034);
    rig_capacitor(&rig, "C1", "p", "m", 47e-6);
    load = rig_resistor(&rig, "R1", "p", "m", 5e3);
    ck_assert(within(solved()->branches[load].mean, 0.065, 8));
    starts(fuse);
}
END_TEST

/* A rail whose rectifier was never wired: nothing reaches it. */
START_TEST(rail_without_a_source)
{
    size_t fuse, load;

    rig_sine(&rig, "V1", "a", "0", 325, 0, 10);
    fuse = rig_resistor(&rig, "F1", "a", "0", 1e3);
    rig_capacitor(&rig, "C1", "p", "0", 47e-6);
    load = rig_resistor(&rig, "R1", "p", "q", 5e3);
    rig_capacitor(&rig, "C2", "q", "0", 47e-6);
    ck_assert_double_lt(fabs(solved()->branches[load].mean), 1e-9);
    starts(fuse);
}
END_TEST

/* A node that only capacitors meet. */
START_TEST(capacitors_alone)
{
    const struct solution *solution;
    size_t fuse;

    rig_sine(&rig, "V1", "a", "0", 100, 0, 0);
    fuse = rig_resistor(&rig, "F1", "a", "b", 10);
    rig_capacitor(&rig, "C1", "b", "c", 1e-6);
    rig_capacitor(&rig, "C2", "c", "0", 1e-6);
    rig_capacitor(&rig, "C3", "c", "d", 1e-6);
    solution = solved();
    ck_assert(within(rig_volts(&rig, solution, "c")->rms, 35.4, 1));
    ck_assert(within(rig_volts(&rig, solution, "d")->rms, 35.4, 1));
    starts(fuse);
}
END_TEST

/* Three wires in a ring: how the current shares is not determined by ideal ones, so they are taken as no ohms at all only as far
 * as arithmetic goes. */
START_TEST(ring_of_wires)
{
    const struct solution *solution;
    size_t load;

    rig_sine(&rig, "V1", "a", "0", 100, 0, 1);
    rig_resistor(&rig, "W1", "a", "b", 0);
    rig_resistor(&rig, "W2", "b", "c", 0);
    rig_resistor(&rig, "W3", "c", "a", 0);
    load = rig_resistor(&rig, "R1", "c", "0", 99);
    solution = solved();
    ck_assert(within(solution->branches[load].rms, 0.7071, 0.2));
    starts(load);
}
END_TEST

START_TEST(ring_of_coils)
{
    const struct solution *solution;
    size_t load;

    rig_sine(&rig, "V1", "a", "0", 100, 0, 1);
    rig_inductor(&rig, "L1", "a", "b", 1, 0);
    rig_inductor(&rig, "L2", "a", "b", 1, 0);
    load = rig_resistor(&rig, "R1", "b", "0", 1000);
    solution = solved();
    ck_assert(within(solution->branches[load].rms, 70.71 / hypot(1001, 157.08), 0.5));
    starts(load);
}
END_TEST

/* A wire across an ideal source: its current has no bound. Either it is named, or the wire is taken as the least resistance. */
START_TEST(wire_across_a_source)
{
    const struct solution *solution;
    size_t wire;

    rig_sine(&rig, "V1", "a", "0", 100, 0, 0);
    wire = rig_resistor(&rig, "W1", "a", "0", 0);
    solution = rig_solve(&rig);
    if (solution->status == SOLVE_OK)
        ck_assert_double_gt(solution->branches[wire].rms, 1e5);
    else
        ck_assert_ptr_nonnull(solution->blame);
    starts(wire);
}
END_TEST

START_TEST(sources_side_by_side)
{
    rig_sine(&rig, "V1", "a", "0", 100, 0, 0);
    rig_sine(&rig, "V2", "a", "0", 120, 0, 0);
    rig_resistor(&rig, "R1", "a", "0", 100);
    refused("V1", "V2");
}
END_TEST

/* Across a capacitor and a choke: impossible for neither. */
START_TEST(source_across_everything)
{
    const struct solution *solution;
    size_t load;

    rig_sine(&rig, "V1", "a", "0", 100, 0.3, 0);
    rig_capacitor(&rig, "C1", "a", "0", 47e-6);
    rig_inductor(&rig, "L1", "a", "0", 10, 100);
    load = rig_resistor(&rig, "R1", "a", "0", 100);
    solution = solved();
    ck_assert(within(solution->branches[load].rms, 0.7071, 0.1));
    starts(load);
}
END_TEST

/* Twenty decades of values beside each other. */
START_TEST(huge_and_tiny)
{
    const struct solution *solution;
    size_t fuse;

    rig_sine(&rig, "V1", "a", "0", 325, 0, 1e-6);
    fuse = rig_resistor(&rig, "F1", "a", "b", 1e-5);
    rig_diode(&rig, "D1", "b", "p", 1e-14, 1, 1e-3);
    rig_capacitor(&rig, "C1", "p", "0", 1);
    rig_capacitor(&rig, "C2", "p", "q", 1e-13);
    rig_resistor(&rig, "R1", "q", "0", 1e12);
    rig_resistor(&rig, "R2", "p", "0", 1e9);
    rig_inductor(&rig, "L1", "p", "r", 1e-9, 1e-9);
    rig_resistor(&rig, "R3", "r", "0", 1e4);
    solution = solved();
    ck_assert(within(rig_volts(&rig, solution, "p")->mean, 324, 1));
    starts(fuse);
}
END_TEST

/* A diode without resistance onto a capacitor without any, from an ideal source: charged at once. */
START_TEST(nothing_limits)
{
    size_t fuse;
    const struct solution *solution;

    rig_sine(&rig, "V1", "a", "0", 100, 0, 0);
    rig_diode(&rig, "D1", "a", "p", 1e-9, 1, 0);
    rig_capacitor(&rig, "C1", "p", "0", 100e-6);
    fuse = rig_resistor(&rig, "R1", "p", "0", 1e3);
    solution = rig_solve(&rig);
    if (solution->status == SOLVE_OK)
        ck_assert(within(rig_volts(&rig, solution, "p")->high, 99.4, 2));
    else
        ck_assert_ptr_nonnull(solution->blame);
    starts(fuse);
}
END_TEST

/* An output valve whose coupling capacitor is shorted: its grid is pulled up by the anode before it and draws current. The valve
 * draws more than with a sound one, and the grid stays near the cathode. */
static double anode_amps(const char *capacitor, double *grid)
{
    struct deck_rig deck = deck_new("VHT ht 0 300\nVB bias 0 -35\nRA ht a1 100k\nR1 a1 0 470k\n%s\n"
                                    "RG g bias 220k\nRS g g1 1k5\nXV1 a s g1 k PENTODE value=6L6GC\nRK k 0 10\n"
                                    "RL ht a 200\nRS2 ht s 470\n.end\n",
                                    capacitor);
    double amps;

    deck_solve(&deck);
    amps = deck_amps(&deck, "V1", 0);
    *grid = deck_volts(&deck, "g1") - deck_volts(&deck, "k");
    deck_end(&deck);
    return amps;
}

START_TEST(grid_driven_positive)
{
    double grid, sound = anode_amps("CC a1 g 22n", &grid), shorted;

    ck_assert_double_lt(grid, -20);
    shorted = anode_amps("RC a1 g 1m", &grid);
    ck_assert_double_gt(shorted, 3 * sound);
    ck_assert(grid > -5 && grid < 5);
}
END_TEST

Suite *check_awkward_suite(void);
Suite *check_awkward_suite(void)
{
    Suite *suite = suite_create("awkward circuits");
    TCase *cases = tcase_create("solved or named");

    tcase_add_checked_fixture(cases, setup, teardown);
    tcase_add_test(cases, floating_supply);
    tcase_add_test(cases, rail_without_a_source);
    tcase_add_test(cases, capacitors_alone);
    tcase_add_test(cases, ring_of_wires);
    tcase_add_test(cases, ring_of_coils);
    tcase_add_test(cases, wire_across_a_source);
    tcase_add_test(cases, sources_side_by_side);
    tcase_add_test(cases, source_across_everything);
    tcase_add_test(cases, huge_and_tiny);
    tcase_add_test(cases, nothing_limits);
    tcase_add_test(cases, grid_driven_positive);
    suite_add_tcase(suite, cases);
    return suite;
}
