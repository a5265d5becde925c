/* Ways for direct current over decks: ohms of the shortest, what holds volts, what hangs together. */
#include "check_prearc.h"

#include <math.h>
#include <stdio.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "netlist/reader.h"
#include "parts/parts.h"
#include "rule/ways.h"

struct deck {
    struct arena *arena;
    struct circuit *circuit;
    struct network *network;
    struct ways *ways;
};

static struct deck start(const char *name)
{
    char data_dir[4096];
    struct deck deck = {.arena = arena_new()};
    struct diags diags = diags_start(deck.arena);
    struct read_options read = {.data_dir = data_dir};
    struct parts_options options = {.data_dir = data_dir};
    struct read_input input = {.arena = deck.arena, .options = &read, .diags = &diags};

    snprintf(data_dir, sizeof data_dir, "%s", source_path("rules"));
    input.source = source_read(deck.arena, &diags, source_path(name));
    ck_assert_msg(input.source != NULL, "%s", name);
    deck.circuit = netlist_read(&input);
    ck_assert_msg(deck.circuit != NULL, "%s", name);
    deck.network = network_build(deck.arena, parts_recognise(deck.arena, &diags, deck.circuit, &options));
    deck.ways = ways_new(deck.arena, deck.network);
    return deck;
}

static size_t node(const struct deck *deck, const char *name)
{
    const struct net *net = circuit_find_net(deck->circuit, name);

    ck_assert_msg(net != NULL, "%s", name);
    return net->index;
}

/* Two bleed resistors of 470 kohm in series across the inlet; the primary lies behind the switch. */
START_TEST(bleed_without_contacts)
{
    struct deck deck = start("tests/rules/capacitor-x-undischarged/good-bleed.cir");
    size_t live = node(&deck, "lf"), neutral = node(&deck, "neutral");

    assert_within(ways_ohms(deck.ways, live, neutral, WAY_WINDING), 940e3, 0.1);
    assert_within(ways_ohms(deck.ways, live, neutral, WAY_ALL), 38, 1);
    ck_assert(ways_ohms(deck.ways, live, node(&deck, "ht"), WAY_ALL) == INFINITY);
    ck_assert(ways_ohms(deck.ways, live, live, 0) == 0);
    assert_within(ways_from(deck.ways, live, WAY_WINDING, 0)[node(&deck, "mid")], 470e3, 0.1);
    circuit_free(deck.circuit);
    arena_free(deck.arena);
}
END_TEST

/* 220 kohm to a bias supply held by 100 uF; the cathode is not held, and a way never goes through ground. */
START_TEST(firm_nodes)
{
    struct deck deck = start("tests/rules/bias-fused/good-resistor.cir");

    assert_within(ways_firm_ohms(deck.ways, node(&deck, "grid"), WAY_ALL), 220e3, 0.1);
    ck_assert_uint_eq(ways_firm_node(deck.ways), node(&deck, "bneg"));
    ck_assert(ways_is_firm(deck.ways, node(&deck, "ht")));
    ck_assert(!ways_is_firm(deck.ways, node(&deck, "k")));
    ck_assert(ways_ohms(deck.ways, node(&deck, "k"), node(&deck, "grid"), WAY_ALL) == INFINITY);
    circuit_free(deck.circuit);
    arena_free(deck.arena);
}
END_TEST

/* A capacitor joins nothing, a valve does not join its grid to anything; a diode joins. */
START_TEST(what_hangs_together)
{
    struct deck deck = start("tests/rules/valve-grid-open/bad-output-valve.cir");

    ck_assert(!ways_joined(deck.ways, node(&deck, "grid"), node(&deck, "in")));
    ck_assert(!ways_joined(deck.ways, node(&deck, "grid"), deck.network->ground));
    ck_assert(ways_joined(deck.ways, node(&deck, "in"), deck.network->ground));
    ck_assert(ways_joined(deck.ways, node(&deck, "hta"), node(&deck, "rect")));
    circuit_free(deck.circuit);
    arena_free(deck.arena);
}
END_TEST

Suite *check_ways_suite(void);
Suite *check_ways_suite(void)
{
    Suite *suite = suite_create("check_ways");
    TCase *tests = tcase_create("ways");

    tcase_add_test(tests, bleed_without_contacts);
    tcase_add_test(tests, firm_nodes);
    tcase_add_test(tests, what_hangs_together);
    suite_add_tcase(suite, tests);
    return suite;
}
