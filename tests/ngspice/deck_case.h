/* A netlist through the stages, its decks, and what the simulator makes of them. */
#ifndef PREARC_TESTS_NGSPICE_DECK_CASE_H
#define PREARC_TESTS_NGSPICE_DECK_CASE_H

#include <math.h>
#include <stdbool.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "circuit/circuit.h"
#include "deck/deck.h"
#include "device/network.h"
#include "netlist/reader.h"
#include "ngspice/simulator.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

struct deck_case {
    struct arena *arena;
    struct diags diags;
    struct circuit *circuit;
    const struct network *network;
    const struct solution *solution;
    const struct whatif *whatif;
};

static inline struct deck_case deck_case_read(const struct source *source, struct arena *arena)
{
    struct deck_case it = {.arena = arena, .diags = diags_start(arena)};
    const char *data_dir = arena_copy(arena, source_path("rules"));
    struct read_options read = {.data_dir = data_dir};
    struct parts_options options = {.data_dir = data_dir};

    ck_assert_ptr_nonnull(source);
    it.circuit = netlist_read(&(struct read_input){arena, &it.diags, source, &read});
    ck_assert_ptr_nonnull(it.circuit);
    ck_assert_uint_eq(diag_count_input(&it.diags, LEVEL_WARNING), 0);
    it.network =
        network_build(arena, parts_recognise(arena, &it.diags, it.circuit, &options));
    ck_assert_msg(it.network->gap_count == 0, "%s: %s", source->name,
                  it.network->gaps != NULL ? it.network->gaps[0] : "");
    it.solution = solve_steady(arena, it.network, &(struct solve_options){0});
    ck_assert_msg(it.solution->status == SOLVE_OK, "%s: not solved (%s)", source->name,
                  it.solution->blame);
    return it;
}

static inline struct deck_case deck_case_open(const char *path)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);

    return deck_case_read(source_read(arena, &diags, path), arena);
}

static inline void deck_case_end(struct deck_case *it)
{
    circuit_free(it->circuit);
    arena_free(it->arena);
}

/* The deck of the circuit, or with FAULT (NULL: none). */
static inline struct text deck_case_write(const struct deck_case *it, const struct fault *fault,
                                          enum deck_start start)
{
    struct deck_input input = {.title = it->circuit->title, .program = "prearc", .state = "test",
                               .network = it->network, .solution = it->solution,
                               .sound_elements = it->network->element_count, .start = start};
    struct text deck = {0};

    ck_assert_msg(deck_refusal(it->arena, it->network) == NULL, "%s",
                  deck_refusal(it->arena, it->network));
    if (fault != NULL) {
        input.network = whatif_network(it->arena, it->whatif, fault, it->network);
        input.solution = solve_steady(it->arena, input.network,
                                      &(struct solve_options){.start = it->solution});
        ck_assert_int_eq(input.solution->status, SOLVE_OK);
    }
    deck_write(it->arena, &input, &deck);
    return deck;
}

/* Worst differences met, %: of means, lowest and highest of nets above 1 V, of RMS where they alternate; of
 * RMS and of peak currents above 1 mA. */
struct deck_worst {
    double volts, amps, peaks;
    size_t figures;
};

/* The simulator's figure called NAME; false: it gave none. */
static inline bool deck_case_simulated(const char *said, const char *name, double *value)
{
    size_t length = strlen(name);

    for (const char *line = said; line != NULL; line = strchr(line, '\n')) {
        line += *line == '\n';
        if (strncasecmp(line, name, length) == 0 && (line[length] == ' ' || line[length] == '='))
            return sscanf(line + length, " = %lf", value) == 1;
    }
    return false;
}

static inline bool ends_in(const char *name, const char *end)
{
    return strlen(name) >= strlen(end) && strcmp(name + strlen(name) - strlen(end), end) == 0;
}

/* The largest volts and amps among the figures of a deck. */
struct deck_largest {
    double volts, amps;
};

/* Volts within 2 %, or 0.2 % of the net's SWING (a winding's end may have next to no mean); RMS currents
 * within 5 %, their peaks within 10 %; none closer than the simulator's own tolerance, 1e-4 of the LARGEST
 * there are. */
static inline double allowed(const char *name, double want, const struct deck_largest *largest, double swing)
{
    if (name[0] == 'v')
        return 0.02 * fabs(want) + 0.002 * swing + 1e-4 * largest->volts;
    return (ends_in(name, "_peak") ? 0.1 : 0.05) * fabs(want) + 1e-4 * largest->amps + 1e-9;
}

static inline void deck_note_worst(struct deck_worst *worst, const char *name, double got, double want,
                                   bool alternates)
{
    double percent = 100 * fabs(got / want - 1);

    worst->figures++;
    if (name[0] == 'v' && fabs(want) > 1 && (!alternates || ends_in(name, "_rms")))
        worst->volts = fmax(worst->volts, percent);
    if (name[0] == 'i' && fabs(want) > 1e-3 && ends_in(name, "_peak"))
        worst->peaks = fmax(worst->peaks, percent);
    else if (name[0] == 'i' && fabs(want) > 1e-3)
        worst->amps = fmax(worst->amps, percent);
}

/* Figures of the comments of DECK: one at a time from *AT on. False: no more. */
static inline bool deck_next_figure(const char **at, char name[64], double *figure)
{
    static const char lead[] = "* prearc: ";

    while ((*at = strstr(*at, lead)) != NULL) {
        *at += sizeof lead - 1;
        if (sscanf(*at, "%63[^ ] = %lf", name, figure) == 2)
            return true;
    }
    return false;
}

static inline struct deck_largest deck_find_largest(const char *deck)
{
    struct deck_largest largest = {0};
    double figure;
    char name[64];

    for (const char *at = deck; deck_next_figure(&at, name, &figure);)
        if (name[0] == 'v')
            largest.volts = fmax(largest.volts, fabs(figure));
        else
            largest.amps = fmax(largest.amps, fabs(figure));
    return largest;
}

/* The figure of DECK whose name is NAME with END in place of its own ending; 0: there is none. */
static inline double deck_sibling(const char *deck, const char *name, const char *end)
{
    char wanted[80], other[64];
    double figure;

    snprintf(wanted, sizeof wanted, "%.*s%s", (int)(strrchr(name, '_') - name), name, end);
    for (const char *at = deck; deck_next_figure(&at, other, &figure);)
        if (strcmp(other, wanted) == 0)
            return figure;
    return 0;
}

/* From the lowest to the highest volts of the net of NAME: of a sine where only its RMS value is there. */
static inline double deck_swing(const char *deck, const char *name)
{
    double rms = deck_sibling(deck, name, "_rms");

    return rms > 0 ? 2.83 * rms : deck_sibling(deck, name, "_high") - deck_sibling(deck, name, "_low");
}

/* Holds every figure of the comments of DECK against what the simulator SAID. */
static inline struct deck_worst deck_case_hold(const struct text *deck, const char *said, const char *path)
{
    char name[64];
    const char *text = text_bytes(deck);
    struct deck_largest largest = deck_find_largest(text);
    double got, want;
    struct deck_worst worst = {0};

    for (const char *at = text; deck_next_figure(&at, name, &got);) {
        bool alternates = name[0] == 'v' && deck_sibling(text, name, "_rms") > 0;
        double swing = name[0] == 'v' ? deck_swing(text, name) : 0;

        ck_assert_msg(deck_case_simulated(said, name, &want), "%s: no %s; the simulator said:\n%.2000s",
                      path, name, said);
        ck_assert_msg(fabs(got - want) <= allowed(name, want, &largest, swing), "%s: %s: %g, simulator %g",
                      path, name, got, want);
        deck_note_worst(&worst, name, got, want, alternates);
    }
    ck_assert_uint_gt(worst.figures, 0);
    return worst;
}

/* Runs DECK and holds it. */
static inline struct deck_worst deck_case_compare(const struct text *deck, const char *path)
{
    char *said = simulator_run(deck);
    struct deck_worst worst = deck_case_hold(deck, said, path);

    free(said);
    return worst;
}

#endif
