/* A deck in memory, through reader, recognition, network and solver, as the program does it. */
#ifndef PREARC_TESTS_SOLVE_DECK_RIG_H
#define PREARC_TESTS_SOLVE_DECK_RIG_H

#include "check_prearc.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "netlist/reader.h"
#include "parts/parts.h"
#include "solve/solve.h"

struct deck_rig {
    struct arena *arena;
    struct diags diags;
    struct circuit *circuit;
    struct network *network;
    struct solution *solution;
};

/* Valves by the names of their electrodes; heaters left out. */
#define DECK_SYMBOLS                                                                               \
    "deck\n"                                                                                       \
    ".subckt TRIODE A G K\n.ends\n"                                                                \
    ".subckt PENTODE A G2 G1 K\n.ends\n"                                                           \
    ".subckt TRIODE_PENTODE AT GT KT AP G2P G1P KP\n.ends\n"

static inline void deck_end(struct deck_rig *rig)
{
    circuit_free(rig->circuit);
    arena_free(rig->arena);
}

/* Builds the network of DECK, without solving it. */
static inline struct deck_rig deck_build(const struct source *source, struct arena *arena)
{
    char data_dir[4096];
    struct deck_rig rig = {.arena = arena, .diags = diags_start(arena)};
    struct read_options read = {.data_dir = data_dir};
    struct parts_options options = {.data_dir = data_dir};
    struct read_input input = {arena, &rig.diags, source, &read};
    struct parts *parts;

    snprintf(data_dir, sizeof data_dir, "%s", source_path("rules"));
    ck_assert_ptr_nonnull(source);
    rig.circuit = netlist_read(&input);
    ck_assert_ptr_nonnull(rig.circuit);
    ck_assert_uint_eq(diag_count_input(&rig.diags, LEVEL_WARNING), 0);
    parts = parts_recognise(arena, &rig.diags, rig.circuit, &options);
    ck_assert_ptr_nonnull(parts); /* else the parts library is not where top_srcdir says */
    rig.network = network_build(arena, parts);
    return rig;
}

static inline void deck_solve(struct deck_rig *rig)
{
    rig->solution = solve_steady(rig->arena, rig->network, NULL);
    ck_assert_msg(rig->solution->status == SOLVE_OK, "not solved (%s)", rig->solution->blame);
}

/* The lines of FORMAT after those of DECK_SYMBOLS. */
__attribute__((format(printf, 1, 2))) static inline struct deck_rig deck_new(const char *format, ...)
{
    struct arena *arena = arena_new();
    const char *text;
    va_list args;

    va_start(args, format);
    text = arena_print(arena, "%s%s", DECK_SYMBOLS, arena_vprint(arena, format, args));
    va_end(args);
    return deck_build(source_from_bytes(arena, "deck.cir", text, strlen(text)), arena);
}

/* The N-th branch (0-based) of REF. */
static inline const struct branch *deck_branch(const struct deck_rig *rig, const char *ref, size_t n)
{
    for (size_t i = 0; i < rig->network->branch_count; i++)
        if (strcmp(rig->network->branches[i].part->ref, ref) == 0 && n-- == 0)
            return &rig->network->branches[i];
    ck_abort_msg("%s has too few branches", ref);
    return NULL;
}

/* Mean current of the N-th branch of REF, A; of a valve 0 is the anode's, 1 the screen's. */
static inline double deck_amps(const struct deck_rig *rig, const char *ref, size_t n)
{
    return rig->solution->branches[deck_branch(rig, ref, n)->index].mean;
}

/* Mean volts of NET. */
static inline double deck_volts(const struct deck_rig *rig, const char *net)
{
    for (size_t i = 0; i < rig->circuit->net_count; i++)
        if (strcmp(rig->circuit->nets[i]->name, net) == 0)
            return rig->solution->nodes[i].mean;
    ck_abort_msg("no net %s", net);
    return 0;
}

#endif
