#include "deck/deck.h"

#include <math.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "deck/deck_comment.h"
#include "deck/deck_head.h"
#include "deck/deck_measures.h"
#include "deck/deck_names.h"
#include "device/device.h"
#include "device/network.h"
#include "device/spelling.h"
#include "parts/parts.h"
#include "solve/island.h"
#include "solve/settling.h"
#include "solve/solve.h"
#include "solve/system.h"

/* Periods: those measured, and those before where the run starts from the solution. Steps of each. */
enum { MEASURED_PERIODS = 10, FIRST_PERIODS = 2, REST_STEPS = 200, SOLVED_STEPS = 400 };
/* Period of what has no AC source, s. */
#define DIRECT_PERIOD 0.02

/* From rest: so near the steady state, and then this many times as long. */
#define SETTLED_SHARE 0.01
#define SETTLED_MARGIN 1.25
#define MOST_SECONDS 60.0
/* Where the time to settle is not known, s. */
#define UNKNOWN_SECONDS 10.0

/* s: from rest no filter may take 100 s. This leaves a twelfth of a hum of 50 Hz, less of a higher one. */
#define REST_GRID_SECONDS 0.04

/* What most functions here pass on. */
struct writing {
    struct arena *arena;
    const struct deck_input *input;
    const struct network *network; /* as written */
    struct deck_names names;
    struct text *out;
};

const char *deck_refusal(struct arena *arena, const struct network *network)
{
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        if (element->device->spell == NULL)
            return arena_print(arena, "%s: how a %s is written in a deck is not known", element->part->ref,
                               element->device->name);
    }
    return NULL;
}

/* As NETWORK, but what the valves follow settles within a run that starts from rest. */
static const struct network *quick_grids(struct arena *arena, const struct network *network)
{
    struct network *quick = network_change(arena, network, NULL, 0);

    for (size_t i = 0; i < quick->element_count; i++)
        if (quick->elements[i]->device == &device_mean_filter)
            quick->elements[i]->figures[0] = REST_GRID_SECONDS;
    return quick;
}

static double period_of(const struct network *network)
{
    return network->hertz > 0 ? 1 / network->hertz : DIRECT_PERIOD;
}

/* Energy states at time 0; zeros from rest and where nothing was solved. */
static const double *start_of(const struct writing *writing, const struct element *element)
{
    const struct solution *solution = writing->input->solution;
    size_t count = element->device->states(element);
    double *start = arena_array(writing->arena, count, sizeof *start);

    for (size_t s = 0; s < count && s < element->branch_count; s++) {
        size_t branch = element->first_branch + s;

        if (writing->input->start == DECK_SOLVED && branch < solution->state_count &&
            solution->branch_solved[branch])
            start[s] = solution->charge[branch];
    }
    return start;
}

/* Names of the terminals; the first behind the source of 0 V that measures its current. */
static const char **terminals(const struct writing *writing, const struct element *element)
{
    const char **nodes = arena_array(writing->arena, element->node_count, sizeof *nodes);
    const char *name = writing->names.elements[element->index];

    for (size_t k = 0; k < element->node_count; k++)
        nodes[k] = writing->names.nodes[element->nodes[k]];
    if (deck_measures_amps(writing->input, element)) {
        text_print(writing->out, "V%s__amps %s %s__amps 0\n", name, nodes[0], name);
        nodes[0] = arena_print(writing->arena, "%s__amps", name);
    }
    return nodes;
}

static void write_element(const struct writing *writing, const struct element *element)
{
    struct spelling spelling = {.out = writing->out, .gmin = SYSTEM_GMIN};

    if (element->device == &device_open)
        return;
    spelling.name = writing->names.elements[element->index];
    spelling.nodes = terminals(writing, element);
    spelling.start = start_of(writing, element);
    element->device->spell(element, &spelling);
}

static void introduce(const struct writing *writing, const struct element *element)
{
    const struct part *part = element->part;

    if (element->index >= writing->input->sound_elements)
        deck_comment(writing->out, "the fault");
    else
        deck_comment(writing->out, "%s: %s%s%s", deck_words(writing->arena, part->ref),
                     part_kind_name(writing->network->parts->items[part->index].kind),
                     part->value != NULL ? ", " : "",
                     part->value != NULL ? deck_words(writing->arena, part->value) : "");
}

static void write_elements(const struct writing *writing)
{
    const struct part *part = NULL;

    for (size_t i = 0; i < writing->network->element_count; i++) {
        const struct element *element = writing->network->elements[i];

        if (element->part != part || i == writing->input->sound_elements)
            introduce(writing, element);
        part = element->part;
        write_element(writing, element);
    }
}

/* Parts of the circuit that nothing ties to the ground are counted from a node of their own. */
static void write_references(const struct writing *writing)
{
    struct islands islands = islands_find(writing->arena, writing->network);
    bool *used = deck_nodes_in_use(writing->arena, writing->network);
    size_t count = 0;

    for (size_t i = 0; i < writing->network->node_count; i++) {
        if (!islands.is_reference[i] || i == writing->network->ground || !used[i])
            continue;
        if (count++ == 0)
            deck_comment(writing->out,
                         "floating: nothing ties these to the ground, so their volts are counted from "
                         "here; no current flows");
        text_print(writing->out, "Vfloating__%zu %s 0 0\n", count, writing->names.nodes[i]);
    }
}

/* The time before the window, and words about it. */
static double lead_in(const struct writing *writing)
{
    const struct deck_input *input = writing->input;
    double period = period_of(writing->network), seconds;

    if (input->start == DECK_SOLVED) {
        deck_comment(writing->out,
                     "Starts from the steady state as prearc solved it (IC=): %d periods, then %d that "
                     "are measured.",
                     FIRST_PERIODS, MEASURED_PERIODS);
        return FIRST_PERIODS * period;
    }
    if (settling_from_rest(writing->network, input->solution, SETTLED_SHARE, MOST_SECONDS, &seconds)) {
        deck_comment(writing->out,
                     "Starts from rest, every capacitor and inductor empty. In prearc's own run from "
                     "there everything is within %g %% of the steady state and hardly moves after %.3g s; "
                     "this one lasts a quarter longer before it is measured.",
                     100 * SETTLED_SHARE, seconds);
        seconds *= SETTLED_MARGIN;
    } else {
        deck_comment(writing->out,
                     "Starts from rest, every capacitor and inductor empty. How long it takes to settle "
                     "is not known; if i_..._before differ, make the run longer.");
        seconds = UNKNOWN_SECONDS;
    }
    deck_comment(writing->out,
                 "The filters through which valves see the mean volts of their grids take %g s here, so "
                 "that they settle too, instead of the 100 s of prearc.",
                 REST_GRID_SECONDS);
    return fmax(ceil(seconds / period), MEASURED_PERIODS) * period;
}

static void write_analysis(const struct writing *writing, double lead)
{
    double period = period_of(writing->network);
    double step = period / (writing->input->start == DECK_REST ? REST_STEPS : SOLVED_STEPS);
    struct deck_window window = {lead, lead + MEASURED_PERIODS * period};
    double saved = writing->input->start == DECK_REST ? 2 * lead - window.to : lead;

    deck_comment(writing->out,
                 "CJO is the one thing that prearc leaves out: %g F across every diode, less than any "
                 "has; without it the step may become too small where all diodes of a bridge stop at once.",
                 SPELL_STRAY_FARADS);
    text_print(writing->out,
               ".options reltol=1e-4 chgtol=1e-9 temp=27 tnom=27 gmin=" SPELL_FIGURE "\n", SYSTEM_GMIN);
    text_print(writing->out, ".tran %.9g %.9g %.9g %.9g uic\n", step, window.to, fmax(saved, 0), step);
    deck_measures(writing->arena, writing->input, &writing->names, &window, writing->out);
    text_add(writing->out, ".end\n");
}

void deck_write(struct arena *arena, const struct deck_input *input, struct text *out)
{
    struct writing writing = {.arena = arena, .input = input, .network = input->network, .out = out};
    double lead;

    if (input->start == DECK_REST)
        writing.network = quick_grids(arena, input->network);
    writing.names = deck_names_choose(arena, writing.network, input->sound_elements);
    deck_head(arena, input, &writing.names, out);
    lead = lead_in(&writing);
    write_elements(&writing);
    write_references(&writing);
    write_analysis(&writing, lead);
}
