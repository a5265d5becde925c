/* What is solved of one netlist, for `make bench`: read, recognise, trace, steady state, full signal, switch-on; with the
 * word `failures` after it the single failures too, which is all that `prearc check` judges. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/heap.h"
#include "base/source.h"
#include "circuit/circuit.h"
#include "data_dir.h"
#include "device/network.h"
#include "fitting.h"
#include "netlist/reader.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/excursions.h"
#include "whatif/full_signal.h"
#include "whatif/fuse_state.h"
#include "whatif/switch_on.h"
#include "whatif/whatif.h"

static void study(struct arena *arena, const struct parts *parts, bool failures)
{
    struct network *network = network_build(arena, parts);
    struct trace *trace = trace_network(arena, network);
    struct solution *healthy = solve_steady(arena, network, &(struct solve_options){0});
    struct whatif whatif = {0}, *tried = NULL;
    struct full_signal *full;
    struct switch_on *switch_on;
    struct excursions excursions;

    if (failures)
        tried = whatif_run(arena, network, trace, healthy, NULL, 0);
    fuse_state_list(arena, network, NULL, 0, &whatif);
    excursions = excursions_find(arena, network, trace, healthy, &whatif);
    full = excursions.full;
    switch_on = excursions.switch_on;
    for (size_t i = 0; switch_on != NULL && i < switch_on->fuse_count; i++)
        printf("%s %.4g A RMS, at full signal %.4g A RMS, at switch-on %.4g A2s\n",
               network->branches[whatif.fuses[i].branch].part->ref,
               healthy->branches[whatif.fuses[i].branch].rms,
               full_signal_rms(full, SIGNAL_SINE, whatif.fuses[i].branch), switch_on->fuses[i].i2t);
    if (tried != NULL)
        printf("%zu failures\n", tried->fault_count);
    if (switch_on == NULL)
        printf("not solved: %s\n", healthy->blame != NULL ? healthy->blame : "?");
}

static bool study_file(int argc, char **argv)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);
    const char *data_dir = data_dir_find(arena);
    struct read_options read = {.data_dir = data_dir};
    struct parts_options options = {.data_dir = data_dir};
    struct read_input input = {.arena = arena, .diags = &diags, .options = &read};
    struct parts *parts = NULL;
    struct circuit *circuit = NULL;

    input.source = argc > 1 ? source_read(arena, &diags, argv[1]) : NULL;
    if (input.source != NULL)
        circuit = netlist_read(&input);
    if (circuit != NULL)
        parts = parts_recognise(arena, &diags, circuit, &options);
    if (parts != NULL)
        fitting_resistances(arena, parts, NULL, 0);
    if (parts != NULL)
        study(arena, parts, argc > 2 && strcmp(argv[2], "failures") == 0);
    circuit_free(circuit);
    arena_free(arena);
    return parts != NULL;
}

int main(int argc, char **argv)
{
    heap_prepare();
    return study_file(argc, argv) ? EXIT_SUCCESS : EXIT_FAILURE;
}
