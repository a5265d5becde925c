/* What a winding of unknown volts feeds is not known; what others feed beside it is. */
#include "check_prearc.h"

#include <string.h>

#include "solve/deck_rig.h"
#include "trace/trace.h"
#include "whatif/unknown_feed.h"
#include "whatif/whatif.h"

static struct deck_rig deck;
static struct trace *trace;

static void teardown(void)
{
    deck_end(&deck);
}

/* PRIMARY and HT: fields of the windings. */
static void solve(const char *primary, const char *ht)
{
    deck = deck_new(".subckt C14 L N E\n.ends\nXJ1 live neutral 0 C14\nXF1 live lf FUSE rating=T500mAL250V\n"
                    "XT1 lf neutral hta 0 htb ha hb ba 0 PT windings=\"primary 1-2 %s; HT 3-4-5 %s; "
                    "heater 6-7 6.3V 0.05R 3A; bias 8-9 50V 22R 100mA\"\n"
                    "D1 hta rect 1N4007\nD2 htb rect 1N4007\nXF2 rect ht FUSE rating=T250mAL250V\nC1 ht 0 47u\n"
                    "R1 ht ht2 10k\nC2 ht2 0 22u\nR2 ht2 0 220k\nD3 bias ba 1N4007\nC3 0 bias 47u\nR3 bias 0 22k\n"
                    "R4 ha 0 100\nR5 hb 0 100\nR6 ht2 plate 100k\nR7 plate 0 1meg\n.end\n", primary, ht);
    deck_solve(&deck);
    trace = trace_network(deck.arena, deck.network);
    unknown_feed_mark(deck.network, trace, deck.solution);
}

static bool known(const char *net)
{
    for (size_t i = 0; i < deck.network->node_count; i++)
        if (strcmp(deck.network->nodes[i].name, net) == 0)
            return deck.solution->node_solved[i];
    ck_abort_msg("no net %s", net);
    return false;
}

static bool fuse_known(const char *ref)
{
    for (size_t i = 0; i < deck.network->branch_count; i++)
        if (strcmp(deck.network->branches[i].part->ref, ref) == 0)
            return deck.solution->branch_solved[i];
    ck_abort_msg("no fuse %s", ref);
    return false;
}

START_TEST(all_known)
{
    solve("230V 12R", "300-0-300V 55+58R");
    ck_assert(known("rect") && known("ht2") && known("plate") && known("bias") && known("ha"));
    ck_assert(fuse_known("F1") && fuse_known("F2"));
}
END_TEST

START_TEST(secondary_unknown)
{
    solve("230V 12R", "");
    ck_assert(!known("hta") && !known("rect") && !known("ht") && !known("ht2") && !known("plate"));
    ck_assert(known("0") && known("bias") && known("ha") && known("lf"));
    ck_assert(fuse_known("F1") && !fuse_known("F2"));
}
END_TEST

START_TEST(primary_unknown)
{
    solve("", "300-0-300V 55+58R");
    ck_assert(!known("ht") && !known("bias") && !known("ha"));
    ck_assert(known("lf") && known("live"));
    ck_assert(!fuse_known("F1") && !fuse_known("F2"));
}
END_TEST

static enum solve_status status_of(const struct whatif *whatif, const char *id)
{
    for (size_t i = 0; i < whatif->fault_count; i++)
        if (strcmp(whatif->faults[i].id, id) == 0)
            return whatif->faults[i].status;
    ck_abort_msg("no fault %s", id);
    return SOLVE_OK;
}

START_TEST(faults_are_not_passed)
{
    const struct whatif *whatif;

    solve("230V 12R", "");
    whatif = whatif_run(deck.arena, deck.network, trace, deck.solution, NULL, 0);
    ck_assert_int_eq(status_of(whatif, "short-D1"), SOLVE_NOT_KNOWN);
    ck_assert_int_eq(status_of(whatif, "open-F2"), SOLVE_NOT_KNOWN);
    ck_assert_int_eq(status_of(whatif, "short-D3"), SOLVE_OK);
    for (size_t i = 0; i < whatif->fault_count; i++)
        if (whatif->faults[i].status != SOLVE_OK)
            ck_assert_int_eq(whatif->faults[i].outcome, OUTCOME_UNKNOWN);
}
END_TEST

Suite *check_unknown_feed_suite(void);

Suite *check_unknown_feed_suite(void)
{
    Suite *suite = suite_create("unknown feeds");
    TCase *tcase = tcase_create("all");

    tcase_add_checked_fixture(tcase, NULL, teardown);
    tcase_add_test(tcase, all_known);
    tcase_add_test(tcase, secondary_unknown);
    tcase_add_test(tcase, primary_unknown);
    tcase_add_test(tcase, faults_are_not_passed);
    suite_add_tcase(suite, tcase);
    return suite;
}
