/* From rest with loads that are not linear: every amplifier under tests/amplifiers, by prearc and by the general-purpose
 * simulator ngspice with the same equations. I2t of each fuse over the first SECONDS and its peak within 2 %; a fuse in a centre tap, which carries what the two
 * halves of a supply differ by, in narrow pulses, within 10 %. Once with the valves
 * warm, drawing from the first instant, once as cold as prearc takes them to be at first, but for the cores' inrush, which has no
 * equation of its own. */
#include "check_prearc.h"

#include <glob.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "deck/deck_names.h"
#include "device/device.h"
#include "ngspice/deck_case.h"
#include "solve/start_up.h"
#include "solve/warming.h"
#include "whatif/cold_network.h"

/* Past the charging of the reservoirs. */
#define SECONDS 0.5
#define STEP 25e-6
/* A spike that is over within this is the affair of the mains' own impedance, which is in no drawing: its height is not compared. */
#define SPIKE_SECONDS 0.8e-6
/* A fuse whose peak is less than SMALL_SHARE of the largest may be off by ROUGH_SHARE, others by FINE_SHARE. */
#define SMALL_SHARE 0.1
#define FINE_SHARE 0.02
#define ROUGH_SHARE 0.1
/* The time constant of what valves take for the mean of their grids in a deck that starts from rest. */
#define GRID_SECONDS 0.04

#define QUARTER_TURN 1.5707963267948966

/* The mains comes at its crossing and at its crest. */
static const struct start {
    double angle; /* rad */
    bool cold;
} starts[] = {{0, false}, {QUARTER_TURN, false}, {QUARTER_TURN, true}};
enum { STARTS = sizeof starts / sizeof *starts };

struct bench {
    struct deck_case it;
    struct network *network; /* as run */
    struct surge *surges;
    size_t surge_count;
};

/* Heaters at their cold resistance throughout, rectifier valves conducting at once, no inrush of cores. */
static struct network *frozen(struct arena *arena, const struct network *network)
{
    struct cold_network *cold = cold_network_new(arena, network);

    for (size_t i = 0; i < cold->warming_count; i++) {
        const struct warming *warming = &cold->warmings[i];
        struct element *element = cold->network->elements[warming->element];

        if (element->device == &device_core_inrush)
            element->device = &device_open;
        else if (warming->course == WARMING_EXPONENTIAL)
            element->figures[0] = warming->cold;
    }
    return cold->network;
}

static void start_at(struct network *network, double angle)
{
    for (size_t i = 0; i < network->element_count; i++) {
        struct element *element = network->elements[i];

        if (element->device == &device_mean_filter)
            element->figures[0] = GRID_SECONDS;
        if (element->device == &device_source && element->figures[1] != 0)
            element->figures[3] = angle;
    }
}

static struct bench bench_run(const char *path, const struct start *start)
{
    struct bench bench = {.it = deck_case_open(path)};
    struct arena *arena = bench.it.arena;
    struct start_up_options options = {.angle = start->angle, .seconds = SECONDS};
    const struct network *network = bench.it.network;

    bench.network = start->cold ? frozen(arena, network) : network_change(arena, network, NULL, 0);
    start_at(bench.network, start->angle);
    bench.surges = arena_array(arena, network->branch_count, sizeof *bench.surges);
    for (size_t i = 0; i < network->branch_count; i++)
        if (network->branches[i].kind == BRANCH_FUSE)
            bench.surges[bench.surge_count++].branch = i;
    start_up_run(arena, bench.network, &options, bench.surges, bench.surge_count);
    return bench;
}

/* The deck of the circuit, with a run and measurements of its own. */
static struct text write_deck(const struct bench *bench)
{
    struct deck_case it = bench->it;
    struct deck_names names;
    struct text whole, deck = {0};
    const char *end;

    it.network = bench->network;
    it.solution = solve_steady(it.arena, it.network, &(struct solve_options){.start = it.solution});
    ck_assert_int_eq(it.solution->status, SOLVE_OK);
    whole = deck_case_write(&it, NULL, DECK_REST);
    names = deck_names_choose(it.arena, it.network, it.network->element_count);
    end = strstr(text_bytes(&whole), "\n.tran ");
    ck_assert_ptr_nonnull(end);
    text_add_span(&deck, text_bytes(&whole), (size_t)(end - text_bytes(&whole)));
    text_print(&deck, "\n.tran %g %g 0 %g uic\n", SPIKE_SECONDS, SECONDS, STEP);
    for (size_t i = 0; i < bench->surge_count; i++) {
        const struct branch *branch = &it.network->branches[bench->surges[i].branch];

        text_print(&deck, "BQ%zu q%zu 0 V=i(V%s__amps)^2\nRQ%zu q%zu 0 1\n", i, i,
                   names.elements[branch->element->index], i, i);
        text_print(&deck, ".meas tran s%zu INTEG v(q%zu) from=0 to=%g\n", i, i, SECONDS);
        text_print(&deck, ".meas tran p%zu MAX v(q%zu) from=%g to=%g\n", i, i, SPIKE_SECONDS,
                   SECONDS);
    }
    text_add(&deck, ".end\n");
    text_free(&whole);
    return deck;
}

/* A2s until SECONDS: it may have stopped before, when nothing changed any more. */
static double total(const struct surge *surge)
{
    const struct surge_point *last = &surge->points[surge->point_count - 1];

    return last->i2t + surge->settled_square * (SECONDS - last->seconds);
}

static double simulated(const char *said, char kind, size_t index)
{
    char name[32];
    double value = NAN;

    snprintf(name, sizeof name, "%c%zu", kind, index);
    ck_assert_msg(deck_case_simulated(said, name, &value), "no %s; the simulator said:\n%.2000s", name, said);
    return value;
}

static double largest_peak(const struct bench *bench)
{
    double largest = 0;

    for (size_t i = 0; i < bench->surge_count; i++)
        largest = fmax(largest, bench->surges[i].peak);
    return largest;
}

static void compare(const struct bench *bench, size_t index, const char *said, const char *path)
{
    const struct surge *surge = &bench->surges[index];
    const char *ref = bench->network->branches[surge->branch].part->ref;
    double got[] = {total(surge), surge->peak};
    double want[] = {simulated(said, 's', index), sqrt(simulated(said, 'p', index))};
    double allowed = want[1] < SMALL_SHARE * largest_peak(bench) ? ROUGH_SHARE : FINE_SHARE;
    static const char *const words[] = {"A2s", "A peak"};

    for (size_t i = 0; i < 2; i++) {
        double off = got[i] / want[i] - 1;

        printf("ngspice: %s: %s %s %.4g, simulator %.4g (%+.2f %%)\n", path, ref, words[i], got[i], want[i],
               100 * off);
        ck_assert_msg(fabs(off) <= allowed, "%s: %s: %s %g, simulator %g", path, ref, words[i], got[i], want[i]);
    }
}

static glob_t decks(void)
{
    glob_t found = {0};
    char pattern[4096];

    snprintf(pattern, sizeof pattern, "%s/*.cir", source_path("tests/amplifiers"));
    if (glob(pattern, 0, NULL, &found) != 0 || found.gl_pathc < 10) {
        fprintf(stderr, "not ten amplifiers: %s\n", pattern);
        exit(1);
    }
    return found;
}

START_TEST(inrush_agrees)
{
    glob_t found = decks();
    const char *path = found.gl_pathv[_i / STARTS];
    struct bench bench = bench_run(path, &starts[_i % STARTS]);
    struct text deck;
    char *said;

    ck_assert_uint_gt(bench.surge_count, 0);
    for (size_t i = 0; i < bench.surge_count; i++)
        ck_assert_msg(bench.surges[i].status == SOLVE_OK, "%s: stuck at %s", path, bench.surges[i].blame);
    if (simulator_wanted(path)) {
        deck = write_deck(&bench);
        said = simulator_run(&deck);
        for (size_t i = 0; i < bench.surge_count; i++)
            compare(&bench, i, said, path);
        free(said);
        text_free(&deck);
    }
    deck_case_end(&bench.it);
    globfree(&found);
}
END_TEST

Suite *check_inrush_loads_suite(void);

Suite *check_inrush_loads_suite(void)
{
    Suite *suite = suite_create("inrush of loads that are not linear, against ngspice");
    TCase *tests = tcase_create("amplifiers");
    glob_t found = decks();

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, inrush_agrees, 0, (int)found.gl_pathc * STARTS);
    globfree(&found);
    suite_add_tcase(suite, tests);
    return suite;
}
