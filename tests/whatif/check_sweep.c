/* The sweep of everything that can fail: what is tried, stages until cleared, what an open fuse makes worse. */
#include "check_prearc.h"

#include <glob.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "solve/deck_rig.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

static struct deck_rig deck;
static const struct trace *trace;
static const struct whatif *whatif;

static void teardown(void)
{
    deck_end(&deck);
}

static void sweep(void)
{
    deck_solve(&deck);
    trace = trace_network(deck.arena, deck.network);
    whatif = whatif_run(deck.arena, deck.network, trace, deck.solution, NULL, 0);
}

static void sweep_file(const char *path)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);

    deck = deck_build(source_read(arena, &diags, path), arena);
    sweep();
}

static const struct fault *find(const char *id)
{
    for (size_t i = 0; i < whatif->fault_count; i++)
        if (strcmp(whatif->faults[i].id, id) == 0)
            return &whatif->faults[i];
    return NULL;
}

static const struct fault *fault_of(const char *id)
{
    const struct fault *fault = find(id);

    ck_assert_msg(fault != NULL, "no fault %s", id);
    ck_assert_msg(fault->status == SOLVE_OK, "%s not solved (%s)", id, fault->blame);
    return fault;
}

static const char *fuse_ref(size_t fuse)
{
    return deck.network->branches[whatif->fuses[fuse].branch].part->ref;
}

static const struct fault_worse *worse_of(const struct fault *fault, enum worse_kind kind)
{
    for (size_t i = 0; i < fault->worse_count; i++)
        if (fault->worse[i].kind == kind)
            return &fault->worse[i];
    return NULL;
}

/* 230 V at 10 ohm and 10 ohm, one to one: the ohms of a short can be added by hand. HT link and mains link as given. */
#define BRIDGE                                                                                     \
    ".subckt PT 1 2 3 4\n.ends\n.model DHT D(IS=7n N=1.8 RS=34m)\n"                                   \
    "VMAINS live 0 SIN(0 325.27 50)\nXF1 live lf FUSE rating=%s\n"                                 \
    "XT1 lf 0 ha hb PT windings=\"primary 1-2 230V 10R 1A; HT 3-4 230V 10R 1A\"\n"                    \
    "D1 ha rect DHT\nD2 hb rect DHT\nD3 0 ha DHT\nD4 0 hb DHT\n"                                   \
    "XF2 rect ht FUSE rating=%s\nC1 ht 0 47u\nR1 ht 0 3k\n.end\n"

/* A short of C1: (230 V less some 2 V) / 20 ohm, 11.3 A RMS in both fuses. T1A: 11.3 times the rating: by the adiabatic end of
 * IEC 60127-2 sheet 3 (10 In: 0.3 s) within 0.3 * (10/11.3)^2 = 0.235 s. T500mA: 22.6 times: 0.3 * (10/22.6)^2 = 0.059 s. */
START_TEST(first_fuse_ends_it)
{
    const struct fault *fault;

    deck = deck_new(BRIDGE, "T1AL250V", "T500mAL250V");
    sweep();
    fault = fault_of("short-rail1-ht");
    ck_assert(within(fault->amps, 11.3, 3));
    ck_assert_int_eq(fault->outcome, OUTCOME_CLEARED);
    ck_assert_uint_eq(fault->stage_count, 1);
    ck_assert_str_eq(fuse_ref(fault->stages[0].fuse), "F2");
    ck_assert_msg(within(fault->cleared_by, 0.059, 10), "%g", fault->cleared_by);
    ck_assert(within(fault->stages[0].opens_by, fault->opens_by, 0.001));
    ck_assert_str_eq(fuse_ref(fault->opened_by), "F2");
    ck_assert_double_lt(fault->left_amps, 0.01 * fault->amps);
}
END_TEST

/* The HT link is T10A: 11.3 A is 1.1 times its rating, nothing is promised below 2.1 times. The mains fuse T1A opens within
 * 0.24 s: the oversized link is backed up. With T6.3A in the mains, 1.8 times, nothing is. */
START_TEST(oversized_link_backed_up_or_not)
{
    const struct fault *fault;

    deck = deck_new(BRIDGE, "T1AL250V", "T10AL250V");
    sweep();
    fault = fault_of("short-rail1-ht");
    ck_assert_int_eq(fault->outcome, OUTCOME_CLEARED);
    ck_assert_str_eq(fuse_ref(fault->stages[0].fuse), "F1");
    ck_assert_msg(within(fault->cleared_by, 0.235, 10), "%g", fault->cleared_by);
    deck_end(&deck);
    deck = deck_new(BRIDGE, "T6.3AL250V", "T10AL250V");
    sweep();
    fault = fault_of("short-rail1-ht");
    ck_assert_int_eq(fault->outcome, OUTCOME_FED_ON);
    ck_assert_uint_eq(fault->stage_count, 0);
    ck_assert(isinf(fault->cleared_by));
    ck_assert(within(fault->left_amps, fault->amps, 0.001));
    ck_assert_double_gt(fault->overload_amps, 2);
}
END_TEST

#define CENTRE_TAP                                                                                 \
    ".subckt PT 1 2 3 4 5\n.ends\n.model DHT D(IS=7n N=1.8 RS=34m)\n"                                \
    "VMAINS live 0 SIN(0 325.27 50)\nXF1 live lf FUSE rating=%s\n"                                 \
    "XT1 lf 0 ha 0 hb PT windings=\"primary 1-2 230V 10R 1A; HT 3-4-5 230-0-230V 20+20R 0.2A\"\n"     \
    "%sD1 %s ht DHT\nD2 hb ht DHT\nC1 ht 0 47u\nR1 ht 0 3k\n.end\n"

/* One leg of two fused (T500mA), T1A in the mains. The reservoir shorted: both legs conduct 230 V / (20 + 10 ohm) by half-waves.
 * The leg's link opens first. Then the other half goes on alone, as half-wave current through the transformer, until the mains
 * fuse opens: two stages, whose times add. */
START_TEST(two_stages)
{
    const struct fault *fault;

    deck = deck_new(CENTRE_TAP, "T1AL250V", "XF2 ha leg FUSE rating=T500mAL250V\n", "leg");
    sweep();
    fault = fault_of("short-rail1-ht");
    ck_assert_uint_eq(fault->stage_count, 2);
    ck_assert_int_eq(fault->outcome, OUTCOME_CLEARED);
    ck_assert_str_eq(fuse_ref(fault->stages[0].fuse), "F2");
    ck_assert_str_eq(fuse_ref(fault->stages[1].fuse), "F1");
    ck_assert_double_gt(fault->stages[1].opens_by, fault->stages[0].opens_by);
    ck_assert(within(fault->cleared_by, fault->stages[1].opens_by, 1e-9));
    ck_assert(within(fault->stages[1].opens_by - fault->stages[0].opens_by,
                     gates_opens_by(whatif->fuses[fault->stages[1].fuse].gates, 1, fault->stages[1].amps), 0.001));
}
END_TEST

/* The same with T10A in the mains: the second stage never comes, and what flows on is said. */
START_TEST(second_stage_never_comes)
{
    const struct fault *fault;

    deck = deck_new(CENTRE_TAP, "T10AL250V", "XF2 ha leg FUSE rating=T500mAL250V\n", "leg");
    sweep();
    fault = fault_of("short-rail1-ht");
    ck_assert_uint_eq(fault->stage_count, 1);
    ck_assert_int_eq(fault->outcome, OUTCOME_FED_ON);
    ck_assert_double_gt(fault->left_amps, 1);
    ck_assert_double_lt(fault->left_amps, fault->amps);
}
END_TEST

/* A shorted diode of the pair: the winding's two halves in series, 460 V, by half-waves, and no link between rectifier and
 * reservoir sees it. What alternates of the current meets the winding's 40 ohm and 4 times the primary's 10 ohm, its mean the
 * winding's alone: between 460 / 80 / sqrt 2 = 4.1 A and 460 / 40 / sqrt 2 = 8.1 A RMS. */
START_TEST(shorted_diode)
{
    const struct fault *fault;

    deck = deck_new(CENTRE_TAP, "T1AL250V", "", "ha");
    sweep();
    fault = fault_of("short-D1");
    ck_assert_int_eq(fault->site, SITE_DIODE);
    ck_assert_str_eq(fault->what, "D1 short");
    ck_assert_int_eq(fault->outcome, OUTCOME_CLEARED);
    ck_assert_str_eq(fuse_ref(fault->stages[0].fuse), "F1");
    ck_assert_msg(fault->amps > 4.1 && fault->amps < 8.1, "%g", fault->amps);
}
END_TEST

/* One of two diodes in series: the other blocks still. */
START_TEST(diode_in_series_is_harmless)
{
    sweep_file(source_path("tests/supplies/series-diodes.cir"));
    for (size_t i = 0; i < whatif->fault_count; i++)
        if (whatif->faults[i].site == SITE_DIODE)
            ck_assert_msg(whatif->faults[i].outcome == OUTCOME_HARMLESS, "%s: %s", whatif->faults[i].id,
                          fault_outcome_name(whatif->faults[i].outcome));
}
END_TEST

static bool is_about(const struct fault *fault, const char *ref)
{
    for (size_t i = 0; i < fault->part_count; i++)
        if (strcmp(fault->parts[i]->ref, ref) == 0)
            return true;
    return false;
}

/* What is tried of a push-pull amplifier, each once, the same two nodes once. */
START_TEST(everything_credible)
{
    static const char *const wanted[] = {
        "short-rail1-ht", "short-V9-anode-cathode", "short-T1.HT-frame", "short-V2-anode-cathode",
        "short-V2-screen-cathode", "short-C6", "open-F1", "open-F2", "short-D1"};

    sweep_file(source_path("tests/amplifiers/push-pull-gz34.cir"));
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        fault_of(wanted[i]);
    ck_assert(is_about(find("short-rail1-ht"), "C1"));
    /* its cathode is at the frame: the primary's end short to frame is the same */
    ck_assert(is_about(find("short-V2-anode-cathode"), "T2"));
    ck_assert_ptr_null(find("short-V1-anode-cathode")); /* behind 47 kohm */
    ck_assert_uint_gt(whatif->valves_passed_over, 0);
    for (size_t i = 0; i < whatif->fault_count; i++)
        for (size_t k = 0; k < i; k++)
            ck_assert_str_ne(whatif->faults[i].id, whatif->faults[k].id);
}
END_TEST

/* The graph and the numbers agree: a fuse that covers a node fully, once open, leaves nothing flowing through the short. */
START_TEST(graph_and_numbers_agree)
{
    static const char *const folders[] = {"tests/supplies", "tests/amplifiers"};
    glob_t found = {0};
    char pattern[4096];
    size_t seen = 0;

    snprintf(pattern, sizeof pattern, "%s/*.cir", source_path(folders[_i]));
    ck_assert_int_eq(glob(pattern, 0, NULL, &found), 0);
    for (size_t n = 0; n < found.gl_pathc; n++) {
        sweep_file(found.gl_pathv[n]);
        for (size_t i = 0; i < whatif->rail_faults; i++) {
            const struct fault *fault = &whatif->faults[i];

            if (fault->opened_by == SIZE_MAX || fault->stages[0].fuse != fault->opened_by)
                continue;
            ck_assert_msg(fault->stage_count == 1 && fault->outcome == OUTCOME_CLEARED,
                          "%s %s: the graph says that %s ends it, the numbers leave %g A", found.gl_pathv[n],
                          fault->id, fuse_ref(fault->opened_by), fault->left_amps);
            ck_assert_double_eq(fault->cleared_by, fault->opens_by);
            seen++;
        }
        deck_end(&deck);
    }
    ck_assert_uint_gt(seen, 10);
    globfree(&found);
    deck = deck_new("R1 a 0 1\n.end\n"); /* for teardown */
}
END_TEST

/* The bias winding's own fuse: the grids go to 0 V, the anodes keep their HT. */
START_TEST(bias_lost)
{
    const struct fault_worse *bias, *watts;

    sweep_file(source_path("tests/rules/bias-lost-with-ht/bad-bias-winding-fused.cir"));
    bias = worse_of(fault_of("open-F3"), WORSE_BIAS);
    watts = worse_of(fault_of("open-F3"), WORSE_ANODE_WATTS);
    ck_assert_ptr_nonnull(bias);
    ck_assert_ptr_nonnull(watts);
    ck_assert_double_lt(bias->before, -30);
    ck_assert_double_gt(bias->after, -1);
    ck_assert_double_gt(watts->after, 2 * watts->limit);
    ck_assert_uint_eq(find("open-F1")->worse_count, 0);
    ck_assert_uint_eq(find("open-F2")->worse_count, 0);
}
END_TEST

/* The same where the netlist says what the valves draw: then their equation, fitted to that, answers. */
START_TEST(bias_lost_told_current)
{
    const struct fault_worse *watts;

    sweep_file(source_path("tests/rules/bias-lost-with-ht/bad-bias-winding-fused-told-current.cir"));
    ck_assert_ptr_nonnull(worse_of(fault_of("open-F3"), WORSE_BIAS));
    watts = worse_of(fault_of("open-F3"), WORSE_ANODE_WATTS);
    ck_assert_ptr_nonnull(watts);
    ck_assert(within(watts->before, 15, 5));
    ck_assert_double_gt(watts->after, 2 * watts->limit);
}
END_TEST

START_TEST(cathode_bias_is_not_lost)
{
    sweep_file(source_path("tests/amplifiers/single-ended-ez80.cir"));
    for (size_t i = 0; i < whatif->fault_count; i++)
        if (whatif->faults[i].kind == FAULT_OPEN)
            ck_assert_uint_eq(whatif->faults[i].worse_count, 0);
    ck_assert_ptr_nonnull(fault_of("open-F2"));
}
END_TEST

/* The heater's fuse open, the valve draws nothing: the reservoir charges to the peak of its winding, 230 V * sqrt 2 = 325 V, more by
 * what the transformer no longer drops and less by a diode. The bleed alone draws some 1.5 mA. */
START_TEST(heaters_out)
{
    const struct fault_worse *volts;
    const struct fault *fault;

    sweep_file(source_path("tests/rules/heaters-lost-volts-rise/bad-reservoir-315.cir"));
    fault = fault_of("open-F3");
    volts = worse_of(fault, WORSE_CAPACITOR);
    ck_assert_ptr_nonnull(volts);
    ck_assert_str_eq(volts->part->ref, "C1");
    ck_assert_msg(within(volts->after, 323, 2), "%g", volts->after);
    ck_assert_double_lt(volts->before, 305);
    ck_assert_ptr_null(worse_of(fault, WORSE_BIAS)); /* cold valves need none */
    ck_assert_double_eq(volts->limit, 315);
    ck_assert_uint_ge(fault->follow_count, 1); /* anode and screen */
    ck_assert_ptr_null(worse_of(fault_of("open-F2"), WORSE_CAPACITOR));
}
END_TEST

/* 47 uF at 323 V: 2.45 J, with the bleed on the other side of the open link. */
START_TEST(charge_left_behind)
{
    const struct fault_worse *stored;

    sweep_file(source_path("tests/rules/capacitor-stranded-by-fuse/bad-bleed-behind-fuse.cir"));
    stored = worse_of(fault_of("open-F2"), WORSE_STORED);
    ck_assert_ptr_nonnull(stored);
    ck_assert_str_eq(stored->part->ref, "C1");
    ck_assert_msg(within(stored->joules, 2.45, 5), "%g", stored->joules);
    ck_assert_ptr_null(worse_of(fault_of("open-F1"), WORSE_STORED));
    ck_assert_ptr_null(worse_of(fault_of("open-F3"), WORSE_STORED));
}
END_TEST

/* Q9 short puts the negative rail on the loudspeaker; once its fuse has opened the other rail is there instead, and its link holds
 * 28 V / 8 ohm = 3.5 A. */
START_TEST(shorted_transistor_leaves_direct_current)
{
    const struct fault *fault;

    sweep_file(source_path("netlists/wendlebury-25/spice/sound.cir"));
    fault = fault_of("short-Q9-collector-emitter");
    ck_assert_int_eq(fault->outcome, OUTCOME_FED_ON);
    ck_assert_uint_eq(fault->stage_count, 1);
    ck_assert_str_eq(fuse_ref(fault->stages[0].fuse), "F3");
    ck_assert_ptr_nonnull(worse_of(fault, WORSE_SPEAKER));
    ck_assert_double_gt(worse_of(fault, WORSE_SPEAKER)->after, 20);
    ck_assert_ptr_null(worse_of(fault_of("open-F2"), WORSE_SPEAKER));
}
END_TEST

/* A valve driven by a leaking capacitor draws more. */
START_TEST(coupling_capacitor)
{
    const struct fault_worse *watts;

    sweep_file(source_path("tests/amplifiers/single-ended-ez80.cir"));
    watts = worse_of(fault_of("short-C4"), WORSE_ANODE_WATTS);
    ck_assert_ptr_nonnull(watts);
    ck_assert_double_gt(watts->after, watts->limit);
}
END_TEST

START_TEST(direct_current_in_loudspeaker)
{
    const struct fault_worse *volts;

    sweep_file(source_path("netlists/wendlebury-25/spice/sound.cir"));
    volts = worse_of(fault_of("open-F3"), WORSE_SPEAKER);
    ck_assert_ptr_nonnull(volts);
    ck_assert_str_eq(volts->part->ref, "LS1");
    ck_assert_double_gt(fabs(volts->after), 10);
    ck_assert_ptr_nonnull(worse_of(fault_of("short-U1-input-output"), WORSE_SUPPLY));
    ck_assert_int_eq(fault_of("short-Q8-collector-emitter")->outcome, OUTCOME_CLEARED);
}
END_TEST

/* Two sweeps give the same bits. */
START_TEST(twice_the_same)
{
    const struct whatif *again;

    sweep_file(source_path("tests/amplifiers/silicon-centre-tap.cir"));
    again = whatif_run(deck.arena, deck.network, trace, deck.solution, NULL, 0);
    ck_assert_uint_eq(again->fault_count, whatif->fault_count);
    for (size_t i = 0; i < again->fault_count; i++) {
        const struct fault *a = &whatif->faults[i], *b = &again->faults[i];

        ck_assert_str_eq(a->id, b->id);
        ck_assert(a->amps == b->amps && a->cleared_by == b->cleared_by && a->outcome == b->outcome);
        ck_assert_uint_eq(a->stage_count, b->stage_count);
    }
}
END_TEST

Suite *check_sweep_suite(void);

Suite *check_sweep_suite(void)
{
    Suite *suite = suite_create("sweep");
    TCase *tests = tcase_create("sweep");

    tcase_add_checked_fixture(tests, NULL, teardown);
    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, first_fuse_ends_it);
    tcase_add_test(tests, oversized_link_backed_up_or_not);
    tcase_add_test(tests, two_stages);
    tcase_add_test(tests, second_stage_never_comes);
    tcase_add_test(tests, shorted_diode);
    tcase_add_test(tests, diode_in_series_is_harmless);
    tcase_add_test(tests, everything_credible);
    tcase_add_loop_test(tests, graph_and_numbers_agree, 0, 2);
    tcase_add_test(tests, bias_lost);
    tcase_add_test(tests, bias_lost_told_current);
    tcase_add_test(tests, cathode_bias_is_not_lost);
    tcase_add_test(tests, coupling_capacitor);
    tcase_add_test(tests, heaters_out);
    tcase_add_test(tests, charge_left_behind);
    tcase_add_test(tests, shorted_transistor_leaves_direct_current);
    tcase_add_test(tests, direct_current_in_loudspeaker);
    tcase_add_test(tests, twice_the_same);
    suite_add_tcase(suite, tests);
    return suite;
}
