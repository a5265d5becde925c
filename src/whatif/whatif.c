#include "whatif/whatif.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "trace/trace.h"
#include "whatif/fuse_state.h"
#include "whatif/island.h"

/* Everything one fault needs. */
struct sweep {
    struct arena *arena;   /* for what is kept */
    struct arena *scratch; /* for one fault's network and solution */
    const struct network *network;
    const struct trace *trace;
    const struct solution *healthy;
    struct islands islands;
    struct whatif *whatif;
};

/* A part is said to carry a fault if its current is this share of it and this multiple of what it carries in health. */
static const double carrier_share = 0.1, carrier_multiple = 2;

/* Ohms of the droppers between the rail's output and its node NODE. */
static double dropper_ohms(const struct network *network, const struct rail *rail, size_t node)
{
    double ohms = 0;

    for (size_t hops = 0; node != SIZE_MAX && hops <= rail->node_count; hops++) {
        const struct rail_node *here = &rail->nodes[node];

        for (size_t i = 0; i < here->path_count; i++) {
            const struct branch *branch = &network->branches[here->path[i]];

            if (branch->kind == BRANCH_RESISTANCE)
                ohms += branch->element->figures[0];
        }
        node = here->upstream;
    }
    return ohms;
}

/* The network with the short, and everything outside the fault's island opened. */
static struct network *faulted_network(const struct sweep *sweep, size_t node, size_t back)
{
    const struct network *network = sweep->network;
    size_t island = sweep->islands.of_node[node], count = 0;
    struct change *changes =
        arena_array(sweep->scratch, network->element_count + 1, sizeof *changes);

    changes[count++] = (struct change){.kind = CHANGE_BRIDGE, .a = node, .b = back};
    if (island == SIZE_MAX)
        island = sweep->islands.of_node[back];
    for (size_t i = 0; i < network->element_count; i++) {
        size_t of = sweep->islands.of_element[i];

        if (of != island && of != SIZE_MAX && network->elements[i]->branch_count > 0)
            changes[count++] = (struct change){
                .kind = CHANGE_OPEN, .a = network->elements[i]->first_branch};
    }
    return network_change(sweep->scratch, network, changes, count);
}

/* How far FUSE covers the fault's node against the rail's own source or its feeder: the best of both. */
static enum coverage coverage_of(const struct sweep *sweep, const struct fault *fault,
                                 size_t fuse_branch)
{
    enum coverage best = COVERAGE_NONE;

    for (size_t i = 0; i < sweep->trace->cover_count; i++) {
        const struct cover *cover = &sweep->trace->covers[i];

        if (cover->fuse == fuse_branch && cover->rail == fault->rail &&
            cover->node == fault->node && cover->coverage > best)
            best = cover->coverage;
    }
    return best;
}

static void judge_fuses(const struct sweep *sweep, const struct solution *solution,
                        struct fault *fault)
{
    const struct whatif *whatif = sweep->whatif;

    fault->through = arena_array(sweep->arena, whatif->fuse_count, sizeof *fault->through);
    for (size_t i = 0; i < whatif->fuse_count; i++) {
        const struct fuse_state *fuse = &whatif->fuses[i];
        enum coverage coverage = coverage_of(sweep, fault, fuse->branch);
        struct fault_through *through = &fault->through[fault->through_count];

        if (coverage == COVERAGE_NONE)
            continue;
        through->fuse = i;
        through->amps = solution->branches[fuse->branch].rms;
        through->opens_by = fuse->known ? gates_opens_by(fuse->gates, fuse->marking.amps,
                                                         through->amps)
                                        : INFINITY;
        if (coverage == COVERAGE_FULL && through->opens_by < fault->opens_by) {
            fault->opens_by = through->opens_by;
            fault->opened_by = i;
        }
        fault->through_count++;
    }
}

static bool can_suffer(enum branch_kind kind)
{
    return kind == BRANCH_WINDING || kind == BRANCH_RECTIFIER || kind == BRANCH_INDUCTANCE ||
           kind == BRANCH_RESISTANCE;
}

/* Parts that carry the fault current while it lasts, each once, with its largest. */
static void list_carriers(const struct sweep *sweep, const struct solution *solution,
                          struct fault *fault)
{
    const struct network *network = sweep->network;
    double volts = fabs(sweep->healthy->nodes[fault->node].mean -
                        sweep->healthy->nodes[fault->back].mean);
    size_t capacity = 0;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        double amps = solution->branches[i].rms;

        if (!can_suffer(branch->kind) || amps < carrier_share * fault->amps ||
            amps < carrier_multiple * sweep->healthy->branches[i].rms)
            continue;
        fault->carriers = arena_grow(sweep->arena, fault->carriers, &capacity,
                                     fault->carrier_count, sizeof *fault->carriers);
        fault->carriers[fault->carrier_count++] =
            (struct fault_carrier){.branch = i, .amps = amps};
        if (branch->kind == BRANCH_RESISTANCE && amps * branch->element->figures[0] > volts / 2)
            fault->limiter = branch->part;
    }
}

static void run_fault(const struct sweep *sweep, struct fault *fault)
{
    const struct network *faulted = faulted_network(sweep, fault->node, fault->back);
    struct solve_options options = {.start = sweep->healthy};
    const struct solution *solution = solve_steady(sweep->scratch, faulted, &options);

    fault->opens_by = INFINITY;
    fault->opened_by = SIZE_MAX;
    fault->status = solution->status;
    fault->blame =
        solution->blame != NULL ? arena_copy(sweep->arena, solution->blame) : NULL;
    if (solution->status != SOLVE_OK)
        return;
    fault->amps = solution->branches[sweep->network->branch_count].rms;
    judge_fuses(sweep, solution, fault);
    list_carriers(sweep, solution, fault);
}

static void short_rail(struct sweep *sweep, size_t rail_index)
{
    const struct rail *rail = &sweep->trace->rails[rail_index];
    struct whatif *whatif = sweep->whatif;

    for (size_t i = 0; i < rail->node_count; i++) {
        struct fault *fault;

        if (rail->nodes[i].node == rail->back)
            continue;
        if (dropper_ohms(sweep->network, rail, i) >= WHATIF_DROPPER_OHMS) {
            whatif->behind_dropper++;
            continue;
        }
        whatif->faults = arena_grow(sweep->arena, whatif->faults, &whatif->fault_capacity,
                                    whatif->fault_count, sizeof *whatif->faults);
        fault = &whatif->faults[whatif->fault_count++];
        fault->rail = rail_index;
        fault->node = rail->nodes[i].node;
        fault->back = rail->back;
        fault->id = arena_print(sweep->arena, "short-%s-%s", rail->id,
                                sweep->network->nodes[fault->node].name);
        sweep->scratch = arena_new();
        run_fault(sweep, fault);
        arena_free(sweep->scratch);
    }
}

struct whatif *whatif_run(struct arena *arena, const struct network *network,
                          const struct trace *trace, const struct solution *healthy,
                          const struct fitted *fitted, size_t fitted_count)
{
    struct whatif *whatif = arena_alloc(arena, sizeof *whatif);
    struct sweep sweep = {.arena = arena,
                          .network = network,
                          .trace = trace,
                          .healthy = healthy,
                          .islands = islands_find(arena, network),
                          .whatif = whatif};

    fuse_state_list(arena, network, fitted, fitted_count, whatif);
    if (healthy->status != SOLVE_OK)
        return whatif;
    for (size_t i = 0; i < trace->rail_count; i++)
        short_rail(&sweep, i);
    return whatif;
}
