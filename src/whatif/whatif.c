#include "whatif/whatif.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/excerpt.h"
#include "solve/island.h"
#include "trace/trace.h"
#include "whatif/fuse_state.h"
#include "whatif/stress.h"

/* Everything one fault needs. */
struct sweep {
    struct arena *arena;   /* for what is kept */
    struct arena *scratch; /* for one fault's network and solution */
    struct excerpt excerpt; /* the islands that the fault is in */
    const struct network *network;
    const struct trace *trace;
    const struct solution *healthy;
    struct islands islands;
    size_t *fuse_of_branch; /* index in whatif->fuses; SIZE_MAX: no fuse */
    size_t *first_cover;    /* by rail, in covers; one more for the end */
    size_t *covers;         /* indices in trace->covers */
    struct whatif *whatif;
};

/* A part is said to carry a fault if its current is this share of it and this multiple of what it carries in health. */
static const double carrier_share = 0.1, carrier_multiple = 2;

/* A resistor whose current is the fault's within this share lies in series with it. */
static const double series_share = 0.1;

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

/* The islands of NODE and BACK, COUNT of them: a short may join two. */
static struct excerpt cut_out(const struct sweep *sweep, size_t node, size_t back)
{
    size_t ends[2] = {node, back}, islands[2];
    struct excerpt_wish wish = {.islands = islands, .nodes = ends, .node_count = 2};

    for (size_t i = 0; i < 2; i++) {
        size_t island = sweep->islands.of_node[ends[i]];

        if (island != SIZE_MAX && (wish.island_count == 0 || islands[0] != island))
            islands[wish.island_count++] = island;
    }
    return excerpt_new(sweep->scratch, &sweep->islands, &wish);
}

struct change whatif_change(const struct fault *fault)
{
    return (struct change){.kind = CHANGE_BRIDGE, .a = fault->node, .b = fault->back};
}

static const struct network *faulted_network(const struct sweep *sweep,
                                             const struct fault *fault)
{
    const struct excerpt *excerpt = &sweep->excerpt;
    struct change change = whatif_change(fault);

    change.a = excerpt_node(excerpt, &sweep->islands, change.a);
    change.b = excerpt_node(excerpt, &sweep->islands, change.b);
    return network_change(sweep->scratch, excerpt->network, &change, 1);
}

/* How far FUSE covers the fault's node against the rail's own source or its feeder: the best of both. */
static enum coverage coverage_of(const struct sweep *sweep, const struct fault *fault,
                                 size_t fuse_branch)
{
    enum coverage best = COVERAGE_NONE;

    for (size_t i = sweep->first_cover[fault->rail]; i < sweep->first_cover[fault->rail + 1];
         i++) {
        const struct cover *cover = &sweep->trace->covers[sweep->covers[i]];

        if (cover->fuse == fuse_branch && cover->node == fault->node && cover->coverage > best)
            best = cover->coverage;
    }
    return best;
}

/* The fuse in branch LOCAL of the excerpt. */
static void judge_fuse(const struct sweep *sweep, const struct solution *solution,
                       struct fault *fault, size_t local)
{
    size_t index = sweep->fuse_of_branch[sweep->excerpt.branches[local]];
    const struct fuse_state *fuse = &sweep->whatif->fuses[index];
    enum coverage coverage = coverage_of(sweep, fault, fuse->branch);
    struct fault_through *through = &fault->through[fault->through_count];

    if (coverage == COVERAGE_NONE)
        return;
    through->fuse = index;
    through->amps = solution->branches[local].rms;
    through->opens_by = fuse->known
                            ? gates_opens_by(fuse->gates, fuse->marking.amps, through->amps)
                            : INFINITY;
    if (coverage == COVERAGE_FULL && through->opens_by < fault->opens_by) {
        fault->opens_by = through->opens_by;
        fault->opened_by = index;
    }
    fault->through_count++;
}

static void judge_fuses(const struct sweep *sweep, const struct solution *solution,
                        struct fault *fault)
{
    const struct excerpt *excerpt = &sweep->excerpt;
    size_t count = 0;

    for (size_t i = 0; i < excerpt->network->branch_count; i++)
        count += sweep->fuse_of_branch[excerpt->branches[i]] != SIZE_MAX;
    fault->through = arena_array(sweep->arena, count, sizeof *fault->through);
    for (size_t i = 0; i < excerpt->network->branch_count; i++)
        if (sweep->fuse_of_branch[excerpt->branches[i]] != SIZE_MAX)
            judge_fuse(sweep, solution, fault, i);
}

static bool can_suffer(enum branch_kind kind)
{
    return kind == BRANCH_WINDING || kind == BRANCH_RECTIFIER || kind == BRANCH_INDUCTANCE ||
           kind == BRANCH_RESISTANCE;
}

/* RMS of what alternates on a node, V. */
static double alternating(const struct wave *wave)
{
    return sqrt(fmax(0, wave->rms * wave->rms - wave->mean * wave->mean));
}

/* Volts between the fault's nodes in health: direct, or at most what alternates there. */
static double healthy_volts(const struct sweep *sweep, const struct fault *fault)
{
    const struct wave *node = &sweep->healthy->nodes[fault->node];
    const struct wave *back = &sweep->healthy->nodes[fault->back];

    return fmax(fabs(node->mean - back->mean), alternating(node) + alternating(back));
}

/* Parts that carry the fault current while it lasts, each once, with its largest. */
static void list_carriers(const struct sweep *sweep, const struct solution *solution,
                          struct fault *fault)
{
    const struct excerpt *excerpt = &sweep->excerpt;
    double volts = healthy_volts(sweep, fault);
    size_t capacity = 0;

    for (size_t i = 0; i < excerpt->own_branches; i++) {
        const struct branch *branch = &sweep->network->branches[excerpt->branches[i]];
        double amps = solution->branches[i].rms;
        bool drops = branch->element->device == &device_regulator ||
                     (branch->kind == BRANCH_RESISTANCE &&
                      amps * branch->element->figures[0] > volts / 2);

        /* A feed resistor may carry much the same in health; that it lies in series shows in its current. A regulator limits its
         * current by itself. */
        if (drops && fabs(amps - fault->amps) < series_share * fault->amps)
            fault->limiter = branch->part;
        if (!can_suffer(branch->kind) || amps < carrier_share * fault->amps ||
            amps < carrier_multiple * sweep->healthy->branches[branch->index].rms)
            continue;
        fault->carriers = arena_grow(sweep->arena, fault->carriers, &capacity,
                                     fault->carrier_count, sizeof *fault->carriers);
        fault->carriers[fault->carrier_count++] =
            (struct fault_carrier){.branch = branch->index, .amps = amps};
        if (drops)
            fault->limiter = branch->part;
    }
}

/* What is asked of the parts until the fault is cleared. */
static void list_stresses(const struct sweep *sweep, const struct solution *solution,
                          struct fault *fault)
{
    const struct excerpt *excerpt = &sweep->excerpt;
    struct stress_case at = {.whole = sweep->network, .solved = excerpt->network,
                             .solution = solution, .branches = excerpt->branches,
                             .nodes = excerpt->nodes, .branch_count = excerpt->own_branches,
                             .seconds = fault->opens_by};

    fault->stresses = stress_find(sweep->arena, &at, sweep->healthy, &fault->stress_count);
}

/* Whether both ends of the fault were solved in health; else the fault is not either, for the same reason. */
static bool was_solved(const struct sweep *sweep, struct fault *fault)
{
    const struct solution *healthy = sweep->healthy;

    if (healthy->node_solved[fault->node] && healthy->node_solved[fault->back])
        return true;
    fault->status = healthy->status;
    fault->blame = healthy->blame;
    return false;
}

static void run_fault(struct sweep *sweep, struct fault *fault)
{
    struct solve_options options = {0};
    const struct network *faulted;
    const struct solution *solution;

    fault->opens_by = INFINITY;
    fault->opened_by = SIZE_MAX;
    if (!was_solved(sweep, fault))
        return;
    sweep->excerpt = cut_out(sweep, fault->node, fault->back);
    faulted = faulted_network(sweep, fault);
    options.start = excerpt_start(sweep->scratch, &sweep->excerpt, sweep->healthy);
    solution = solve_steady(sweep->scratch, faulted, &options);
    fault->status = solution->status;
    fault->blame =
        solution->blame != NULL ? arena_copy(sweep->arena, solution->blame) : NULL;
    if (solution->status != SOLVE_OK)
        return;
    fault->amps = solution->branches[sweep->excerpt.network->branch_count].rms;
    judge_fuses(sweep, solution, fault);
    list_carriers(sweep, solution, fault);
    list_stresses(sweep, solution, fault);
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

static void index_fuses(struct sweep *sweep)
{
    size_t count = sweep->network->branch_count;

    sweep->fuse_of_branch = arena_array(sweep->arena, count, sizeof *sweep->fuse_of_branch);
    for (size_t i = 0; i < count; i++)
        sweep->fuse_of_branch[i] = SIZE_MAX;
    for (size_t i = 0; i < sweep->whatif->fuse_count; i++)
        sweep->fuse_of_branch[sweep->whatif->fuses[i].branch] = i;
}

static void index_covers(struct sweep *sweep)
{
    const struct trace *trace = sweep->trace;
    size_t *next = arena_array(sweep->arena, trace->rail_count + 1, sizeof *next);

    sweep->first_cover = arena_array(sweep->arena, trace->rail_count + 1, sizeof(size_t));
    sweep->covers = arena_array(sweep->arena, trace->cover_count, sizeof *sweep->covers);
    for (size_t i = 0; i < trace->cover_count; i++)
        sweep->first_cover[trace->covers[i].rail + 1]++;
    for (size_t i = 0; i < trace->rail_count; i++)
        sweep->first_cover[i + 1] += sweep->first_cover[i];
    memcpy(next, sweep->first_cover, (trace->rail_count + 1) * sizeof *next);
    for (size_t i = 0; i < trace->cover_count; i++)
        sweep->covers[next[trace->covers[i].rail]++] = i;
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
    index_fuses(&sweep);
    index_covers(&sweep);
    for (size_t i = 0; i < trace->rail_count; i++)
        short_rail(&sweep, i);
    return whatif;
}
