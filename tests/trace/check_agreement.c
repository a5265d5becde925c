/* What the graph says of a fuse and what the solved circuit says must be the same. With the fuse open and the node
 * shorted: full, there is less than 1 % of the fault current; none, there is most of it; partial, there is some of it,
 * but in one half-cycle a section of the winding that carried current carries none any more. How much is left in that
 * case says nothing: behind a choke or dropper the other half-cycle alone keeps the fault going. In a doubler or cascade
 * the winding goes on charging the other capacitor, so there the fuse must have carried part of the fault current. */
#include "bench.h"
#include "generate.h"
#include "solve/solve.h"

/* Under the sanitizers, which slow everything down, a fifth of them. */
enum { SUPPLIES = 300, SANITIZED = 60, SLICES = 6 };

/* Of the fault current with every fuse in. The graph counts resistances only up to the factor of 100 that corresponds. */
#define GONE 0.01
#define MOST 0.50 /* a bypass of 10 ohm takes its part */
/* Of a section's peak in one direction, with the fuse in: below this it carries nothing. */
#define DEAD 0.05

enum { SECTIONS = 4, FUSES = 32 };

/* A short at a node, solved. */
struct fault {
    bool solved;
    double amps;                 /* RMS through the short */
    double fuse_amps[FUSES];     /* RMS through each fuse */
    double peaks[2 * SECTIONS];  /* of the source's sections, each way, A */
};

static void read_peaks(const struct trace_source *source, const struct solution *solution,
                       struct fault *fault)
{
    for (size_t i = 0; i < source->branch_count && i < SECTIONS; i++) {
        fault->peaks[2 * i] = solution->branches[source->branches[i]].high;
        fault->peaks[2 * i + 1] = -solution->branches[source->branches[i]].low;
    }
}

/* Did some half-cycle of the source that had current lose it? */
static bool lost_half_cycle(const struct fault *with, const struct fault *without)
{
    double largest = 0;

    for (size_t i = 0; i < 2 * SECTIONS; i++)
        largest = with->peaks[i] > largest ? with->peaks[i] : largest;
    for (size_t i = 0; i < 2 * SECTIONS; i++)
        if (with->peaks[i] > DEAD * largest && without->peaks[i] < DEAD * with->peaks[i])
            return true;
    return false;
}

/* The fault current at NODE with fuse OPEN open (SIZE_MAX: none). */
static struct fault solve_fault(struct bench *bench, const struct rail *rail, size_t node,
                                size_t open, const size_t *fuses, size_t fuse_count)
{
    struct arena *arena = arena_new();
    struct change changes[] = {{CHANGE_BRIDGE, node, rail->back}, {CHANGE_OPEN, open, 0}};
    struct network *network =
        network_change(arena, bench->network, changes, open == SIZE_MAX ? 1 : 2);
    struct solution *solution = solve_steady(arena, network, &(struct solve_options){0});
    struct fault fault = {.solved = solution->status == SOLVE_OK};

    if (fault.solved) {
        fault.amps = solution->branches[bench->network->branch_count].rms;
        for (size_t i = 0; i < fuse_count && i < FUSES; i++)
            fault.fuse_amps[i] = solution->branches[fuses[i]].rms;
        read_peaks(&bench->trace->sources[rail->source], solution, &fault);
    }
    arena_free(arena);
    return fault;
}

static bool is_capacitive(const struct trace *trace, const struct rail *rail)
{
    enum topology topology;

    if (rail->rectifier == SIZE_MAX)
        return false;
    topology = trace->rectifiers[rail->rectifier].topology;
    return topology == TOPOLOGY_DOUBLER || topology == TOPOLOGY_CASCADE;
}

/* SHARED: the rail is fed through capacitors and the fuse carried part of the fault current. */
static bool agrees(enum coverage coverage, bool shared, const struct fault *with,
                   const struct fault *without)
{
    double share = without->amps / with->amps;

    if (coverage == COVERAGE_FULL)
        return share < GONE;
    if (coverage == COVERAGE_PARTIAL)
        return share >= GONE && (lost_half_cycle(with, without) || shared);
    return share >= MOST;
}

struct tally {
    size_t compared, unsolved, full, partial, none;
};

static void compare(struct bench *bench, size_t rail, size_t node, const size_t *fuses,
                    size_t fuse_count, unsigned seed, struct tally *tally)
{
    const struct rail *item = &bench->trace->rails[rail];
    struct fault with = solve_fault(bench, item, node, SIZE_MAX, fuses, fuse_count);

    ck_assert_uint_le(fuse_count, FUSES);
    for (size_t i = 0; i < fuse_count; i++) {
        enum coverage coverage = trace_coverage(bench->trace, fuses[i], rail, node);
        bool capacitive = is_capacitive(bench->trace, item);
        struct fault without = {0};

        if (with.solved)
            without = solve_fault(bench, item, node, fuses[i], fuses, 0);
        tally->unsolved += !without.solved;
        if (!without.solved)
            continue;
        tally->compared++;
        tally->full += coverage == COVERAGE_FULL;
        tally->partial += coverage == COVERAGE_PARTIAL;
        tally->none += coverage == COVERAGE_NONE;
        ck_assert_msg(agrees(coverage, capacitive && with.fuse_amps[i] > DEAD * with.amps, &with,
                             &without),
                      "seed %u: %s and node %s: traced %d, but %g of %g A are left", seed,
                      bench->network->branches[fuses[i]].part->ref,
                      bench->network->nodes[node].name, (int)coverage, without.amps, with.amps);
    }
}

static void compare_supply(unsigned seed, struct tally *tally)
{
    struct text text = generate_supply(seed);
    struct bench bench = bench_read(text.bytes);
    size_t fuse_count, *fuses = trace_fuses(bench.arena, bench.network, &fuse_count);

    ck_assert_msg(bench.trace->doubt_count == 0, "seed %u: %s", seed,
                  bench.trace->doubt_count > 0 ? bench.trace->doubts[0] : "");
    ck_assert_msg(bench.trace->rail_count > 0, "seed %u: no rail", seed);
    for (size_t r = 0; r < bench.trace->rail_count; r++) {
        const struct rail *rail = &bench.trace->rails[r];

        compare(&bench, r, rail->output, fuses, fuse_count, seed, tally);
        if (rail->node_count > 1)
            compare(&bench, r, rail->nodes[rail->node_count - 1].node, fuses, fuse_count, seed,
                    tally);
    }
    bench_free(&bench);
    text_free(&text);
}

/* One slice of the seeds a test, so that they may run side by side and none runs into a time limit. */
START_TEST(graph_and_numbers_agree)
{
    unsigned supplies = getenv("PREARC_SANITIZED") != NULL ? SANITIZED : SUPPLIES;
    struct tally tally = {0};

    for (unsigned seed = (unsigned)_i; seed < supplies; seed += SLICES)
        compare_supply(seed, &tally);
    if (supplies == SUPPLIES) {
        ck_assert_uint_gt(tally.full, 20);
        ck_assert_uint_gt(tally.partial, 3);
        ck_assert_uint_gt(tally.none, 20);
    }
    ck_assert_uint_gt(tally.compared, 0);
    /* A circuit that the solver gives up says nothing about the tracing. */
    ck_assert_msg(tally.unsolved == 0, "%zu of %zu were not solved", tally.unsolved,
                  tally.compared + tally.unsolved);
}
END_TEST

Suite *check_agreement_suite(void);

Suite *check_agreement_suite(void)
{
    Suite *suite = suite_create("agreement");
    TCase *tests = tcase_create("generated supplies");

    tcase_set_timeout(tests, 300);
    tcase_add_loop_test(tests, graph_and_numbers_agree, 0, SLICES);
    suite_add_tcase(suite, tests);
    return suite;
}
