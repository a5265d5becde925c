/* Supplies drawn by lot: every one is sound as an equation, so every one must be solved, healthy and with any one rail shorted or
 * any one diode shorted or open. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "check_prearc.h"
#include "rig.h"

enum { SUPPLIES = 60, TESTS = 6 };

enum topology { BRIDGE, CENTRE_TAP, DOUBLER, CASCADE, HALF_WAVE, SPLIT, TOPOLOGIES };

struct lot {
    struct rig rig;
    uint64_t state;
    enum topology topology;
    double volts, amps;      /* of the winding, RMS; of the load */
    size_t diodes[16];       /* branches */
    size_t diode_count;
    size_t rails[8];         /* nodes to short */
    size_t rail_count;
    size_t parts;
};

/* Numerical Recipes' 64-bit linear congruence (Knuth's multiplier); 0 <= result < 1. */
static double drawn(struct lot *lot)
{
    lot->state = lot->state * 6364136223846793005u + 1442695040888963407u;
    return (double)(lot->state >> 11) / 9007199254740992.0;
}

static bool tossed(struct lot *lot)
{
    return drawn(lot) < 0.5;
}

static double between(struct lot *lot, double low, double high)
{
    return low * pow(high / low, drawn(lot));
}

static const char *name(struct lot *lot, const char *stem)
{
    return arena_print(lot->rig.arena, "%s%zu", stem, ++lot->parts);
}

/* One silicon diode, or two in series with equalising resistors. */
static void add_diode(struct lot *lot, const char *anode, const char *cathode, int series)
{
    const char *at = anode;

    for (int i = 0; i < series; i++) {
        const char *next = i + 1 < series ? name(lot, "m") : cathode;

        lot->diodes[lot->diode_count++] = rig_diode(&lot->rig, name(lot, "D"), at, next, 7e-9, 1.8,
                                                    series > 2 ? 0 : 0.034);
        if (series > 1)
            rig_resistor(&lot->rig, name(lot, "RE"), at, next, 470e3);
        at = next;
    }
}

/* Windings with their own magnetising inductance and leakage, as K lines give them. */
static void add_coupled(struct lot *lot, size_t sections, const char *const *ends,
                        const double *turns, const double *ohms, double coefficient)
{
    struct element *element =
        rig_transformer(&lot->rig, name(lot, "T"), sections, ends, turns, ohms, 12);
    double *matrix = arena_array(lot->rig.arena, sections * sections, sizeof *matrix);

    for (size_t i = 0; i < sections; i++)
        for (size_t k = 0; k < sections; k++)
            matrix[i * sections + k] =
                12 * turns[i] * turns[k] / (turns[0] * turns[0]) * (i == k ? 1 : coefficient);
    element->device = &device_coupled;
    element->matrix = matrix;
}

/* Mains, fuse, transformer: "a", "c" and "b" are the ends and the tap of the secondary. */
static void add_transformer(struct lot *lot, bool grounded)
{
    const char *ends[] = {"l1", "n", "a", "c", "c", "b"};
    double turns[] = {230, lot->volts, lot->volts};
    double ohms[] = {between(lot, 2, 20), between(lot, 0.5, 60), between(lot, 0.5, 60)};

    rig_sine(&lot->rig, "V1", "l", "n", 325, between(lot, 0.01, 6), tossed(lot) ? 0.5 : 0);
    rig_resistor(&lot->rig, "F1", "l", "l1", 0.15);
    if (tossed(lot))
        rig_resistor(&lot->rig, "RN", "n", "0", tossed(lot) ? 0.5 : 1e-3);
    if (tossed(lot))
        rig_transformer(&lot->rig, "T1", 3, ends, turns, ohms, between(lot, 2, 30));
    else
        add_coupled(lot, 3, ends, turns, ohms, tossed(lot) ? 0.99999 : 0.999);
    if (grounded)
        rig_resistor(&lot->rig, "RG", "c", "0", tossed(lot) ? 1e-6 : 0.1);
    if (tossed(lot)) /* a damper, often a weak one */
        rig_resistor(&lot->rig, "RD", "a", "b", between(lot, 1e4, 1e6));
    if (drawn(lot) < 0.3)
        rig_capacitor(&lot->rig, "CD", "a", "b", between(lot, 1e-9, 1e-7));
}

static void add_rail(struct lot *lot, const char *node)
{
    lot->rails[lot->rail_count++] = rig_node(&lot->rig, node);
}

/* Reservoir from PLUS to MINUS, perhaps a choke or dropper and a second capacitor, and the load. */
static void add_filter(struct lot *lot, const char *plus, const char *minus)
{
    const char *end = plus;

    if (drawn(lot) < 0.85)
        rig_capacitor(&lot->rig, name(lot, "C"), plus, minus, between(lot, 4e-6, 4.7e-4));
    for (size_t stages = (size_t)(3 * drawn(lot)); stages > 0; stages--) {
        const char *next = name(lot, "ht");

        if (tossed(lot))
            rig_inductor(&lot->rig, name(lot, "L"), end, next, between(lot, 1, 20),
                         between(lot, 30, 400));
        else
            rig_resistor(&lot->rig, name(lot, "R"), end, next, between(lot, 100, 1e4));
        rig_capacitor(&lot->rig, name(lot, "C"), next, minus, between(lot, 4e-6, 1e-4));
        if (lot->rail_count < 6)
            add_rail(lot, next);
        end = next;
    }
    if (tossed(lot))
        rig_load(&lot->rig, name(lot, "I"), end, minus, lot->amps, 20);
    if (tossed(lot))
        rig_resistor(&lot->rig, name(lot, "RB"), end, minus, between(lot, 2e3, 4.7e5));
}

static void add_rectifier(struct lot *lot, const char *back, int series)
{
    switch (lot->topology) {
    case BRIDGE:
    case SPLIT:
        add_diode(lot, "a", "p", series);
        add_diode(lot, "b", "p", series);
        add_diode(lot, back, "a", series);
        add_diode(lot, back, "b", series);
        break;
    case CENTRE_TAP:
        add_diode(lot, "a", "p", series);
        add_diode(lot, "b", "p", series);
        break;
    case DOUBLER:
        add_diode(lot, "a", "p", series);
        add_diode(lot, back, "a", series);
        rig_capacitor(&lot->rig, "CU", "p", "b", 47e-6);
        rig_capacitor(&lot->rig, "CL", "b", back, 47e-6);
        break;
    case CASCADE:
        rig_capacitor(&lot->rig, "CP", "a", "x", 47e-6);
        add_diode(lot, "x", "p", series);
        add_diode(lot, back, "x", series);
        rig_resistor(&lot->rig, "RX", "b", back, 0.1);
        break;
    default:
        add_diode(lot, "a", "p", series);
        break;
    }
}

static void draw_supply(struct lot *lot, uint64_t seed)
{
    const char *back = "0";
    bool tap_grounded;
    int series;

    *lot = (struct lot){.rig = rig_new(50), .state = seed * 7919 + 1};
    for (int i = 0; i < 8; i++)
        drawn(lot);
    lot->topology = (enum topology)(drawn(lot) * TOPOLOGIES);
    lot->volts = between(lot, 6, 350);
    lot->amps = between(lot, 1e-3, 0.3);
    series = drawn(lot) < 0.7 ? 1 : 1 + (int)(3 * drawn(lot));
    if (lot->topology == SPLIT)
        back = "m";
    else if (drawn(lot) < 0.2)
        back = "f"; /* a supply that floats, or is lifted by a resistor */
    tap_grounded = lot->topology == CENTRE_TAP || lot->topology == HALF_WAVE ||
                   lot->topology == SPLIT;
    add_transformer(lot, tap_grounded);
    add_rectifier(lot, back, series);
    add_rail(lot, "p");
    if (lot->topology == SPLIT) {
        add_filter(lot, "p", "0");
        add_filter(lot, "0", "m");
        add_rail(lot, "m");
    } else {
        add_filter(lot, "p", tap_grounded ? "0" : back);
    }
    if (back[0] == 'f' && tossed(lot))
        rig_resistor(&lot->rig, "RF", "f", "0", between(lot, 1, 1e6));
}

/* What the solver is known not to solve, and why. */
struct known {
    uint64_t seed;
    const char *what;
    size_t which;
};

static const struct known known[] = {
    /* A split supply with one half shorted: when the diodes of that half stop conducting 10 A, the leakage
     * inductance kicks and charges the idle reservoir of the other half in spikes of milliamperes. Grids up to 6400 steps a
     * period do not give the RMS value of those spikes to 2 %, and a rectifier's current is not let off. */
    {215, "rail shorted", 0},
    {215, "rail shorted", 5},
};

static bool is_known(uint64_t seed, const char *what, size_t which)
{
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (known[i].seed == seed && strcmp(known[i].what, what) == 0 && known[i].which == which)
            return true;
    return false;
}

/* 1 if the outcome is not the one expected; a known failure that is solved now must leave the list. */
static size_t failures(const struct lot *lot, uint64_t seed, const char *what, size_t which,
                       const struct change *change, const struct solution *healthy)
{
    const struct network *network = lot->rig.network;
    struct arena *arena = arena_new();
    struct solve_options options = {.start = healthy};
    const struct solution *solution;
    size_t failed;

    if (change != NULL)
        network = network_change(arena, network, change, 1);
    solution = solve_steady(arena, network, &options);
    failed = solution->status != SOLVE_OK;
    if (failed || is_known(seed, what, which))
        printf("supply %ju, topology %d, %s %zu: status %d at %s%s\n", (uintmax_t)seed,
               (int)lot->topology, what, which, (int)solution->status, solution->blame,
               is_known(seed, what, which) ? " (listed as known)" : "");
    arena_free(arena);
    return failed != is_known(seed, what, which);
}

static size_t try_supply(uint64_t seed)
{
    struct lot lot;
    const struct solution *healthy;
    size_t count = 0;

    draw_supply(&lot, seed);
    healthy = rig_solve(&lot.rig);
    count += failures(&lot, seed, "healthy", 0, NULL, NULL);
    for (size_t i = 0; i < lot.rail_count; i++)
        count += failures(&lot, seed, "rail shorted", i,
                          &(struct change){CHANGE_BRIDGE, lot.rails[i], 0}, healthy);
    for (size_t i = 0; i < lot.diode_count; i++) {
        count += failures(&lot, seed, "diode shorted", i,
                          &(struct change){CHANGE_SHORT, lot.diodes[i], 0}, healthy);
        count += failures(&lot, seed, "diode open", i,
                          &(struct change){CHANGE_OPEN, lot.diodes[i], 0}, healthy);
    }
    arena_free(lot.rig.arena);
    return count;
}

START_TEST(all_are_solved)
{
    const char *more = getenv("PREARC_SUPPLIES");
    size_t each = (more != NULL ? (size_t)strtoul(more, NULL, 10) : SUPPLIES) / TESTS;
    size_t first = (size_t)_i * each, failed = 0;

    for (size_t seed = first; seed < first + each; seed++)
        failed += try_supply(seed);
    fflush(stdout);
    ck_assert_uint_eq(failed, 0);
}
END_TEST

/* Seeds that once failed: reservoirs that hardly anything is drawn from or that no diode reaches any more, searches that went to
 * and fro, and dampers that ring above the grid. The last two have the failures that are known. */
static const uint64_t hard_seeds[] = {76, 134, 139, 161, 198, 206, 237, 249, 266, 287,
                                      318, 342, 343, 360, 492, 620, 690, 701, 215, 721};

START_TEST(hard_ones_are_solved)
{
    size_t failed = try_supply(hard_seeds[_i]);

    fflush(stdout);
    ck_assert_uint_eq(failed, 0);
}
END_TEST

Suite *check_supplies_suite(void);
Suite *check_supplies_suite(void)
{
    Suite *suite = suite_create("supplies by lot");
    TCase *cases = tcase_create("solved");

    tcase_set_timeout(cases, 300);
    tcase_add_loop_test(cases, all_are_solved, 0, TESTS);
    tcase_add_loop_test(cases, hard_ones_are_solved, 0,
                        (int)(sizeof hard_seeds / sizeof *hard_seeds));
    suite_add_tcase(suite, cases);
    return suite;
}
