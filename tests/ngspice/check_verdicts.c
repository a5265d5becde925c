/* Which fuse opens, and by when, of bolted shorts in fifteen supplies: the currents as the simulator gave them for the decks of
 * check_ngspice.c, the verdicts by hand from the gates of IEC 60127-2 sheet 3 (links T of 125 mA to 6.3 A, low breaking
 * capacity). The latest times there are 120 s at 2.1 times the rating, 10 s at 2.75, 3 s at 4 and 0.3 s at 10 times. On a line
 * between two gates, both scales logarithmic, M times the rating gives
 *   3 s (M/4)^-3.213 from 2.75 to 4 (log(10/3) / log(4/2.75)),    3 s (M/4)^-2.513 from 4 to 10 (log 10 / log 2.5),
 * and from 10 times on, where heat cannot leave, 0.3 s (10/M)^2. Below 2.1 times nothing is promised. */
#include "check_prearc.h"

#include <math.h>
#include <stdio.h>

#include "base/source.h"
#include "circuit/circuit.h"
#include "ngspice/deck_case.h"

struct verdict {
    const char *path, *fault;
    const char *fuse;    /* that opens first; NULL: none need */
    const char *largest; /* with the largest multiple of its rating */
    double amps;         /* RMS in LARGEST, as the simulator gave it, A */
    double rating;       /* of LARGEST, A */
    double seconds;      /* by hand from these two */
};

static const struct verdict verdicts[] = {
    {"tests/amplifiers/choke-input.cir", "short-rail1-rect", "F1", "F1", 4.333, 1, 2.45},         /* 4.333 times: 3 * 0.818 */
    {"tests/amplifiers/doubler.cir", "short-rail1-ht", "F2", "F2", 4.197, 0.4, 0.273},            /* 10.49 times: 0.3 * 0.908 */
    {"tests/amplifiers/half-height-screens.cir", "short-rail1-rect", "F1", "F1", 8.417, 1, 0.463}, /* 8.417 times: 3 * 0.154 */
    {"tests/amplifiers/push-pull-gz34.cir", "short-rail1-rect", "F1", "F1", 3.833, 1, 3.44},      /* 3.833 times: 3 * 1.147 */
    {"tests/amplifiers/silicon-bridge.cir", "short-rail1-rect", "F1", "F1", 4.070, 1, 2.87},      /* 4.070 times: 3 * 0.957 */
    {"tests/amplifiers/silicon-centre-tap.cir", "short-rail1-ht", "F2", "F2", 3.857, 0.5, 0.576}, /* 7.715 times: 3 * 0.192 */
    {"tests/amplifiers/zener-screens.cir", "short-rail1-rect", "F1", "F1", 5.812, 1, 1.17},       /* 5.812 times: 3 * 0.391 */
    {"tests/supplies/bridge-ac-leg.cir", "short-rail1-ht", "F2", "F2", 3.524, 0.63, 1.29},        /* 5.594 times: 3 * 0.431 */
    {"tests/supplies/cascade.cir", "short-rail1-ht", "F2", "F2", 3.657, 0.8, 2.15},               /* 4.571 times: 3 * 0.715 */
    {"tests/supplies/centre-tap-after.cir", "short-rail1-rect", "F1", "F1", 5.057, 1, 1.66},      /* 5.057 times: 3 * 0.555 */
    {"tests/supplies/centre-tap-lead.cir", "short-rail1-ht", "F2", "F2", 3.833, 0.5, 0.585},      /* 7.666 times: 3 * 0.195 */
    {"tests/supplies/half-wave.cir", "short-rail1-ht", "F2", "F2", 3.118, 0.4, 0.561},            /* 7.796 times: 3 * 0.187 */
    {"tests/supplies/series-diodes.cir", "short-rail1-ht", "F2", "F2", 2.909, 0.4, 0.668},        /* 7.273 times: 3 * 0.223 */
    {"tests/supplies/split-bridge.cir", "short-rail1-vpr", "F1", "F1", 7.480, 1, 0.622},          /* 7.480 times: 3 * 0.207 */
    {"tests/amplifiers/single-ended-ez80.cir", "short-rail1-rect", NULL, "F1", 1.141, 1, INFINITY}, /* 1.14 times */
};

static const struct fault *find_fault(const struct deck_case *it, const char *id)
{
    for (size_t i = 0; i < it->whatif->fault_count; i++)
        if (strcmp(it->whatif->faults[i].id, id) == 0)
            return &it->whatif->faults[i];
    return NULL;
}

static const char *ref_of(const struct deck_case *it, size_t fuse)
{
    return it->network->branches[it->whatif->fuses[fuse].branch].part->ref;
}

static double amps_in(const struct deck_case *it, const struct fault *fault, const char *ref)
{
    for (size_t i = 0; i < fault->through_count; i++)
        if (strcmp(ref_of(it, fault->through[i].fuse), ref) == 0)
            return fault->through[i].amps;
    return NAN;
}

START_TEST(verdict_by_hand)
{
    const struct verdict *want = &verdicts[_i];
    const char *path = source_path(want->path);
    struct deck_case it = deck_case_open(path);
    const struct fault *fault;
    double amps;

    it.whatif = whatif_run_one(it.arena, it.network, trace_network(it.arena, it.network), it.solution, NULL, 0, want->fault);
    fault = find_fault(&it, want->fault);
    ck_assert_msg(fault != NULL, "%s: no %s", path, want->fault);
    amps = amps_in(&it, fault, want->largest);
    ck_assert_msg(fabs(amps / want->amps - 1) <= 0.05, "%s: %g A in %s, the simulator %g A", path, amps, want->largest, want->amps);
    if (want->fuse == NULL) {
        ck_assert_uint_eq(fault->stage_count, 0);
        ck_assert_int_eq(fault->outcome, OUTCOME_FED_ON);
        ck_assert(isinf(fault->opens_by));
    } else {
        ck_assert_uint_ge(fault->stage_count, 1);
        ck_assert_str_eq(ref_of(&it, fault->stages[0].fuse), want->fuse);
        /* the currents agree far better than within 5 %: the times may differ by what three digits leave open */
        ck_assert_msg(fabs(fault->stages[0].opens_by / want->seconds - 1) <= 0.01, "%s: within %g s, by hand %g s", path,
                      fault->stages[0].opens_by, want->seconds);
    }
    deck_case_end(&it);
}
END_TEST

Suite *check_verdicts_suite(void);

Suite *check_verdicts_suite(void)
{
    Suite *suite = suite_create("verdicts");
    TCase *tests = tcase_create("by hand");

    tcase_set_timeout(tests, 60);
    tcase_add_loop_test(tests, verdict_by_hand, 0, (int)(sizeof verdicts / sizeof *verdicts));
    suite_add_tcase(suite, tests);
    return suite;
}
