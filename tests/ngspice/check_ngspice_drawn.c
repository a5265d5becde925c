/* Every deck under tests/supplies, solved by prearc and run as it was drawn by the general-purpose simulator
 * ngspice: net volts within 2 %, fuse RMS within 5 %. This compares the reading too, which decks written by
 * prearc cannot. Only the fuse markings, which the simulator does not know, are taken out of its copy, and
 * measurements added. */
#include "check_prearc.h"

#include <glob.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "netlist/reader.h"
#include "parts/parts.h"
#include "solve/solve.h"

#include "ngspice/simulator.h"

/* Long enough for the slowest decks (magnetising current: 12 H over 12 ohm, one second). */
static const double stop_seconds = 5, measured_seconds = 0.2, step_seconds = 100e-6;

struct bench {
    struct arena *arena;
    struct diags diags;
    struct circuit *circuit;
    const struct network *network;
    const struct solution *solution;
    const struct source *source;
    double worst_percent; /* of the nets with more than 1 V */
};

static void solve_deck(struct bench *bench, const char *path)
{
    char data_dir[4096];
    struct read_options read = {.data_dir = data_dir};
    struct parts_options options = {.data_dir = data_dir};
    struct read_input input;

    snprintf(data_dir, sizeof data_dir, "%s", source_path("rules"));
    bench->arena = arena_new();
    bench->diags = diags_start(bench->arena);
    bench->source = source_read(bench->arena, &bench->diags, path);
    ck_assert_ptr_nonnull(bench->source);
    input = (struct read_input){bench->arena, &bench->diags, bench->source, &read};
    bench->circuit = netlist_read(&input);
    ck_assert_ptr_nonnull(bench->circuit);
    ck_assert_uint_eq(diag_count_input(&bench->diags, LEVEL_WARNING), 0);
    bench->network =
        network_build(bench->arena, parts_recognise(bench->arena, &bench->diags, bench->circuit,
                                                    &options));
    bench->solution = solve_steady(bench->arena, bench->network, &(struct solve_options){0});
    ck_assert_msg(bench->solution->status == SOLVE_OK, "%s: not solved (%s)", path,
                  bench->solution->blame);
}

static void bench_end(struct bench *bench)
{
    circuit_free(bench->circuit);
    arena_free(bench->arena);
}

/* LINE without its " rating=..." parameter. */
static void add_without_rating(struct text *deck, const char *line, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        if (length - i > 8 && strncmp(line + i, " rating=", 8) == 0)
            for (i++; i < length && line[i] != ' ';)
                i++;
        if (i < length)
            text_add_char(deck, line[i]);
    }
    text_add_char(deck, '\n');
}

static void write_deck(const struct bench *bench, struct text *deck)
{
    size_t length;
    const char *line;
    double stop = stop_seconds, start = stop - measured_seconds, step = step_seconds;

    for (unsigned i = 1; (line = source_line(bench->source, i, &length)) != NULL; i++)
        if (length < 4 || strncmp(line, ".end", 4) != 0 || strncmp(line, ".ends", 5) == 0)
            add_without_rating(deck, line, length);
    text_print(deck, ".options reltol=1e-4\n.tran %g %g %g %g\n", step, stop, start, step);
    for (size_t i = 0; i < bench->circuit->net_count; i++)
        if (i != bench->network->ground)
            text_print(deck, ".meas tran n%zu AVG v(%s) from=%g to=%g\n", i,
                       bench->circuit->nets[i]->name, start, stop);
    for (size_t i = 0; i < bench->network->branch_count; i++)
        if (bench->network->branches[i].kind == BRANCH_FUSE)
            text_print(deck, ".meas tran b%zu RMS i(v.x%s.v1) from=%g to=%g\n", i,
                       bench->network->branches[i].part->ref, start, stop);
    text_add(deck, ".end\n");
}

static double largest_volts(const struct bench *bench)
{
    double largest = 0;

    for (size_t i = 0; i < bench->circuit->net_count; i++)
        largest = fmax(largest, fmax(bench->solution->nodes[i].high, -bench->solution->nodes[i].low));
    return largest;
}

static void compare_net(struct bench *bench, size_t net, double simulated, const char *path)
{
    double got = bench->solution->nodes[net].mean;

    /* A mean near zero (a winding's end) is compared against its own swing, and nothing closer than the
     * simulator's own tolerance of 1e-4 of the volts around it. */
    double swing = bench->solution->nodes[net].high - bench->solution->nodes[net].low;
    double allowed = 0.02 * fabs(simulated) + 0.002 * swing + 1e-4 * largest_volts(bench);

    if (fabs(simulated) > 1)
        bench->worst_percent =
            fmax(bench->worst_percent, 100 * fabs(got / simulated - 1));
    ck_assert_msg(fabs(got - simulated) <= allowed, "%s: net %s: %g V, simulator %g V", path,
                  bench->circuit->nets[net]->name, got, simulated);
}

static void compare_fuse(const struct bench *bench, size_t branch, double simulated,
                         const char *path)
{
    double got = bench->solution->branches[branch].rms;

    ck_assert_msg(within(got, simulated, 5), "%s: fuse %s: %g A RMS, simulator %g A", path,
                  bench->network->branches[branch].part->ref, got, simulated);
    printf("ngspice: %s: %s %.4g A, simulator %.4g A (%+.2f %%)\n", path,
           bench->network->branches[branch].part->ref, got, simulated,
           (got / simulated - 1) * 100);
}

/* Reads "n12 = 3.8e+02 from= ..." and "b3 = ..." lines; returns how many were compared. */
static size_t compare_output(struct bench *bench, FILE *output, const char *path)
{
    char line[1024], kind;
    size_t index, compared = 0;
    double value;

    while (fgets(line, sizeof line, output) != NULL) {
        if (sscanf(line, "%c%zu = %lf from", &kind, &index, &value) != 3)
            continue;
        if (kind == 'n')
            compare_net(bench, index, value, path);
        else if (kind == 'b')
            compare_fuse(bench, index, value, path);
        else
            continue;
        compared++;
    }
    return compared;
}

static size_t expected_count(const struct bench *bench)
{
    size_t count = bench->circuit->net_count - 1;

    for (size_t i = 0; i < bench->network->branch_count; i++)
        count += bench->network->branches[i].kind == BRANCH_FUSE;
    return count;
}

static glob_t decks(void)
{
    glob_t found = {0};

    if (glob(source_path("tests/supplies/*.cir"), 0, NULL, &found) != 0)
        abort(); /* they are part of the sources */
    return found;
}

/* What the simulator says of the deck, compared. */
static void compare(struct bench *bench, const char *path)
{
    struct text deck = {0};
    char *said;
    FILE *lines;

    write_deck(bench, &deck);
    said = simulator_run(&deck);
    lines = fmemopen(said, strlen(said), "r");
    ck_assert_ptr_nonnull(lines);
    ck_assert_uint_eq(compare_output(bench, lines, path), expected_count(bench));
    printf("ngspice: %s: nets above 1 V within %.2f %%\n", path, bench->worst_percent);
    fclose(lines);
    free(said);
    text_free(&deck);
}

START_TEST(drawn_deck_agrees)
{
    glob_t found = decks();
    const char *path = found.gl_pathv[_i];
    struct bench bench = {0};

    solve_deck(&bench, path);
    if (simulator_wanted(path))
        compare(&bench, path);
    bench_end(&bench);
    globfree(&found);
}
END_TEST

Suite *check_ngspice_drawn_suite(void);

Suite *check_ngspice_drawn_suite(void)
{
    Suite *suite = suite_create("ngspice, decks as drawn");
    TCase *tests = tcase_create("supplies");
    glob_t found = decks();

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, drawn_deck_agrees, 0, (int)found.gl_pathc);
    globfree(&found);
    suite_add_tcase(suite, tests);
    return suite;
}
