#include "deck/deck_measures.h"

#include <math.h>

#include "base/arena.h"
#include "base/forest.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "deck/deck.h"
#include "deck/deck_comment.h"
#include "deck/deck_names.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/solve.h"

/* A net whose mean is less than this share of its RMS value alternates. */
#define ALTERNATING_SHARE 0.5
/* Less ripple than this share of the mean is not worth two lines. */
#define RIPPLE_SHARE 1e-3

/* What most functions here pass on. */
struct measures {
    const struct deck_input *input;
    const struct deck_window *window;
    struct text *out;
    const char *vector;  /* "v(HT)" */
    const char *prefix;  /* "v_HT" */
    const char *what;    /* "net HT" */
    const char *unit;
    bool known;          /* FIGURES mean something */
};

static void measure(const struct measures *measures, const char *suffix, const char *function,
                    double figure, const char *words)
{
    if (measures->known)
        deck_comment(measures->out, "prearc: %s_%s = %.6g %s, %s of %s", measures->prefix, suffix,
                     figure, measures->unit, words, measures->what);
    else
        deck_comment(measures->out, "prearc: %s_%s: not computed, %s of %s", measures->prefix, suffix,
                     words, measures->what);
    text_print(measures->out, ".meas tran %s_%s %s %s from=%.9g to=%.9g\n", measures->prefix, suffix,
               function, measures->vector, measures->window->from, measures->window->to);
}

static void measure_net(const struct measures *measures, const struct wave *wave)
{
    measure(measures, "mean", "AVG", wave->mean, "mean");
    if (!measures->known)
        return;
    if (fabs(wave->mean) < ALTERNATING_SHARE * wave->rms) {
        measure(measures, "rms", "RMS", wave->rms, "RMS");
    } else if (wave->high - wave->low > RIPPLE_SHARE * fabs(wave->mean)) {
        measure(measures, "low", "MIN", wave->low, "lowest");
        measure(measures, "high", "MAX", wave->high, "highest");
    }
}

bool *deck_nodes_in_use(struct arena *arena, const struct network *network)
{
    bool *used = arena_array(arena, network->node_count, sizeof *used);

    for (size_t i = 0; i < network->element_count; i++)
        for (size_t k = 0; k < network->elements[i]->node_count; k++)
            if (network->elements[i]->device != &device_open)
                used[network->elements[i]->nodes[k]] = true;
    return used;
}

/* By node: something linear joins it to a source or to the reference. What junctions alone hold (a net between diodes with a fuse
 * open) has the volts that their stray capacitances and leakage give it. */
static bool *find_held(struct arena *arena, const struct network *network)
{
    size_t *parents = forest_new(arena, network->node_count);
    bool *firm = arena_array(arena, network->node_count, sizeof *firm);
    bool *held = arena_array(arena, network->node_count, sizeof *held);

    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        for (size_t k = 1; element->device->linear && element->device != &device_open && k < element->node_count; k++)
            forest_join(parents, element->nodes[0], element->nodes[k]);
    }
    firm[forest_root(parents, network->ground)] = true;
    for (size_t i = 0; i < network->element_count; i++)
        if (network->elements[i]->device == &device_source)
            firm[forest_root(parents, network->elements[i]->nodes[0])] = true;
    for (size_t i = 0; i < network->node_count; i++)
        held[i] = firm[forest_root(parents, i)];
    return held;
}

static void measure_nets(struct arena *arena, struct measures measures,
                         const struct deck_names *names)
{
    const struct network *network = measures.input->network;
    const struct solution *solution = measures.input->solution;
    bool *used = deck_nodes_in_use(arena, network), *held = find_held(arena, network);

    measures.unit = "V";
    for (size_t i = 0; i < network->node_count; i++) {
        const char *net = deck_words(arena, network->nodes[i].name);

        if (network->nodes[i].net == NULL || i == network->ground)
            continue;
        if (!used[i]) {
            deck_comment(measures.out, "net %s: nothing that conducts is connected to it", net);
            continue;
        }
        if (!held[i]) {
            deck_comment(measures.out, "net %s: only junctions hold it; their strays decide its volts", net);
            continue;
        }
        measures.vector = arena_print(arena, "v(%s)", names->nodes[i]);
        measures.prefix = arena_print(arena, "v_%s", names->nodes[i]);
        measures.what = arena_print(arena, "net %s", net);
        measures.known = solution->node_solved[i];
        measure_net(&measures, &solution->nodes[i]);
    }
}

bool deck_measures_amps(const struct deck_input *input, const struct element *element)
{
    return element->device != &device_open && element->branch_count > 0 &&
           (element->index >= input->sound_elements ||
            input->network->branches[element->first_branch].kind == BRANCH_FUSE);
}

static void measure_current(const struct measures *measures, const struct wave *wave)
{
    double length = measures->window->to - measures->window->from;

    measure(measures, "rms", "RMS", wave->rms, "RMS");
    if (wave->high >= -wave->low)
        measure(measures, "peak", "MAX", wave->high, "highest");
    else
        measure(measures, "peak", "MIN", wave->low, "lowest");
    if (measures->input->start == DECK_REST)
        text_print(measures->out, ".meas tran %s_before RMS %s from=%.9g to=%.9g\n", measures->prefix,
                   measures->vector, measures->window->from - length, measures->window->from);
}

static void measure_currents(struct arena *arena, struct measures measures,
                             const struct deck_names *names)
{
    const struct network *network = measures.input->network;

    measures.unit = "A";
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        if (!deck_measures_amps(measures.input, element))
            continue;
        measures.vector = arena_print(arena, "i(V%s__amps)", names->elements[i]);
        measures.prefix = arena_print(arena, "i_%s", names->elements[i]);
        measures.what = i >= measures.input->sound_elements
                            ? "the short"
                            : arena_print(arena, "fuse %s", deck_words(arena, element->part->ref));
        measures.known = measures.input->solution->branch_solved[element->first_branch];
        measure_current(&measures, &measures.input->solution->branches[element->first_branch]);
    }
}

void deck_measures(struct arena *arena, const struct deck_input *input,
                   const struct deck_names *names, const struct deck_window *window,
                   struct text *out)
{
    struct measures measures = {.input = input, .window = window, .out = out};

    measure_currents(arena, measures, names);
    if (input->start == DECK_REST)
        deck_comment(out,
                     "i_..._before: RMS in the window before; where it is the same, the run was long "
                     "enough");
    measure_nets(arena, measures, names);
}
