/* prearc deck FILE: the circuit as solved, or with a fault, as a SPICE deck. */
#include "cli.h"

#include "config.h"

#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "output.h"
#include "run.h"

/* The fault ID; NULL, after a message that lists what there is. */
static const struct fault *find_fault(const struct run *run, const char *id)
{
    const struct whatif *whatif = run->whatif;
    struct text ids = {0};

    for (size_t i = 0; i < whatif->fault_count; i++)
        if (strcmp(whatif->faults[i].id, id) == 0)
            return &whatif->faults[i];
    for (size_t i = 0; i < whatif->fault_count; i++)
        text_print(&ids, "%s%s", i > 0 ? ", " : "", whatif->faults[i].id);
    if (whatif->fault_count > 0)
        output_complain("%s: there is no fault %.100s; there are %s", run->netlist, id, text_bytes(&ids));
    else
        output_complain("%s: there is no fault %.100s, nor any other: no rail was found to short",
                        run->netlist, id);
    text_free(&ids);
    return NULL;
}

static void add_fault(const struct run *run, const struct fault *fault, struct deck_input *input)
{
    const struct node *nodes = run->network->nodes;

    input->network = whatif_network(run->arena, run->whatif, fault, run->network);
    input->solution =
        solve_steady(run->arena, input->network, &(struct solve_options){.start = run->healthy});
    input->state =
        fault->kind == FAULT_OPEN
            ? arena_print(run->arena, "with the fault %s, %s%s", fault->id, fault->what,
                          fault->follow_count > 0 ? " and what goes cold or lets go with it" : "")
            : arena_print(run->arena, "with the fault %s, net %s shorted to %s by %g ohm", fault->id,
                          nodes[fault->node].name, nodes[fault->back].name, NETWORK_SHORT_OHMS);
}

static bool write_deck(const struct run *run, const struct options *options,
                       const struct fault *fault)
{
    struct deck_input input = {.title = run->circuit->title,
                               .program = PACKAGE_NAME " " PACKAGE_VERSION,
                               .state = "as solved",
                               .network = run->network,
                               .solution = run->healthy,
                               .sound_elements = run->network->element_count,
                               .start = options->start};
    struct text text = {0};
    bool written;

    if (fault != NULL)
        add_fault(run, fault, &input);
    if (input.solution->status != SOLVE_OK)
        output_complain("%s: not all of it was solved (%s); what was not starts from rest and has no figures",
                        run->netlist, input.solution->blame != NULL ? input.solution->blame : "?");
    deck_write(run->arena, &input, &text);
    written = output_write(options->output, &text);
    text_free(&text);
    return written;
}

static bool write_wanted(const struct run *run, const struct options *options)
{
    const char *refusal = deck_refusal(run->arena, run->network);
    const struct fault *fault = NULL;

    if (refusal != NULL) {
        output_complain("%s: %s", run->netlist, refusal);
        return false;
    }
    if (options->fault != NULL) {
        fault = find_fault(run, options->fault);
        if (fault == NULL)
            return false;
    }
    return write_deck(run, options, fault);
}

static int deck(const struct options *options)
{
    struct options wanted = *options;
    struct run *run;
    bool good;

    wanted.for_deck = true;
    run = run_one(&wanted, options->operands, options->operand_count);
    good = run != NULL && run_complain(run);
    if (run != NULL && run->network != NULL && !write_wanted(run, options))
        good = false;
    run_free(run);
    return good ? OUTCOME_CLEAN : OUTCOME_BAD;
}

const struct command deck_command = {
    .name = "deck",
    .arguments = "FILE...",
    .help = "the circuit as solved, as a SPICE deck",
    .bit = ON_DECK,
    .least = 1,
    .most = SIZE_MAX,
    .run = deck,
};
