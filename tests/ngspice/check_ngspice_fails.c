/* A circuit on which the simulator fails and prearc does not: an isolating transformer drawn as two
 * perfectly coupled inductors (K = 1), whose secondary nothing ties to the ground.
 *
 * The simulator finds its matrix singular: it counts every node from the ground, and nothing tells it where
 * the secondary lies. prearc counts a floating part from a node of its own.
 *
 * By hand: with K = 1 and equal inductances both windings have the same volts u. The primary, 12 ohm from
 * the mains U, carries what the inductance takes and what the load takes: (U - u) / 12 = u / (j 2 pi 50 12)
 * + u / 1000. So u = U / (1 + 12/1000 + 12/(j 3769.911)) = U / (1.012 - j 0.0031831), |u| = |U| / 1.012005.
 * With U = 325.27 / sqrt 2 = 230.0006 V, |u| = 227.272 V, and 227.272 mA in the load. */
#include "check_prearc.h"

#include "base/source.h"
#include "ngspice/deck_case.h"

#define BY_HAND 227.272 /* V RMS across the secondary */

static const char drawn[] = "Isolating transformer, secondary floating\n"
                            "VMAINS live 0 SIN(0 325.27 50)\n"
                            "RP live a 12\n"
                            "LP a 0 12\n"
                            "LS sa sb 12\n"
                            "K1 LP LS 1\n"
                            "R1 sa sb 1k\n";
static const char measured[] = ".tran 100u 0.5 0.3 100u%s\n"
                               ".meas tran secondary RMS v(sa,sb) from=0.3 to=0.5\n"
                               ".end\n";

static struct deck_case solve_drawn(void)
{
    struct arena *arena = arena_new();

    return deck_case_read(source_from_bytes(arena, "drawn", drawn, sizeof drawn - 1), arena);
}

/* One end of the winding is what its volts are counted from. */
START_TEST(prearc_agrees_with_hand)
{
    struct deck_case it = solve_drawn();
    const struct net *a = circuit_find_net(it.circuit, "sa"), *b = circuit_find_net(it.circuit, "sb");
    double volts = it.solution->nodes[a->index].rms + it.solution->nodes[b->index].rms;

    ck_assert(it.solution->nodes[a->index].rms == 0 || it.solution->nodes[b->index].rms == 0);
    assert_within(volts, BY_HAND, 0.05);
    deck_case_end(&it);
}
END_TEST

/* Without and with its own operating point to start from. */
START_TEST(simulator_fails_as_drawn)
{
    static const char *const starts[] = {"", " uic"};
    struct text deck = {0};
    char *said;
    double value;

    if (!simulator_wanted("a circuit it cannot solve"))
        return;
    text_add(&deck, drawn);
    text_print(&deck, measured, starts[_i]);
    said = simulator_run(&deck);
    ck_assert_msg(!deck_case_simulated(said, "secondary", &value), "it did not fail: %g V", value);
    ck_assert_msg(strstr(said, "singular matrix") != NULL, "it failed otherwise:\n%.2000s", said);
    printf("ngspice, transformer with a floating secondary%s: singular matrix, as expected\n", starts[_i]);
    free(said);
    text_free(&deck);
}
END_TEST

/* The deck that prearc writes says where the secondary is counted from. */
START_TEST(simulator_runs_the_deck)
{
    struct deck_case it = solve_drawn();
    struct text deck = deck_case_write(&it, NULL, DECK_SOLVED);

    if (simulator_wanted("a floating winding"))
        deck_case_compare(&deck, "drawn");
    text_free(&deck);
    deck_case_end(&it);
}
END_TEST

Suite *check_ngspice_fails_suite(void);

Suite *check_ngspice_fails_suite(void)
{
    Suite *suite = suite_create("ngspice fails");
    TCase *tests = tcase_create("floating winding");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, prearc_agrees_with_hand);
    tcase_add_loop_test(tests, simulator_fails_as_drawn, 0, 2);
    tcase_add_test(tests, simulator_runs_the_deck);
    suite_add_tcase(suite, tests);
    return suite;
}
