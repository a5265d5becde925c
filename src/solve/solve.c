/* Each island by itself, then put together. */
#include "solve/solve.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/average.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/excerpt.h"
#include "solve/island.h"
#include "solve/operating_point.h"
#include "solve/period.h"
#include "solve/solution.h"
#include "solve/steady.h"
#include "solve/trail.h"

struct assembly {
    struct arena *work;
    const struct network *network;
    const struct solve_options *options; /* NULL: operating points only */
    struct islands islands;
    struct trail *trails;      /* by branch: of the holding sources */
    size_t *draws;             /* by branch: excerpts that a holding source was in */
    struct solution *solution;
};

/* Worse: less is known. */
static const int badness[] = {
    [SOLVE_OK] = 0, [SOLVE_NOT_CONVERGED] = 1, [SOLVE_SINGULAR] = 2, [SOLVE_TOO_LARGE] = 3};

static bool is_finite(const struct wave *wave)
{
    return isfinite(wave->mean) && isfinite(wave->rms) && isfinite(wave->low) &&
           isfinite(wave->high);
}

/* What is not a number is not a solution, whatever the search thought of it. */
static void refuse_infinities(const struct network *network, struct solution *part)
{
    if (part->status != SOLVE_OK)
        return;
    for (size_t i = 0; i < network->node_count && part->status == SOLVE_OK; i++)
        if (!is_finite(&part->nodes[i])) {
            part->status = SOLVE_NOT_CONVERGED;
            part->blame = network->nodes[i].name;
        }
    for (size_t i = 0; i < network->branch_count && part->status == SOLVE_OK; i++)
        if (!is_finite(&part->branches[i])) {
            part->status = SOLVE_NOT_CONVERGED;
            part->blame = network->branches[i].part->ref;
        }
}

static void note_status(const struct assembly *assembly, const struct solution *part)
{
    struct solution *whole = assembly->solution;

    whole->periods += part->periods;
    whole->averaged |= part->averaged;
    if (badness[part->status] <= badness[whole->status])
        return;
    whole->status = part->status;
    whole->blame = part->blame != NULL ? part->blame : whole->blame;
}

/* What the islands of this excerpt draw from its holding source BRANCH comes on top of what others drew. */
static void add_draw(struct assembly *assembly, const struct excerpt *excerpt,
                     const struct solution *part, const struct record *record, size_t branch)
{
    size_t whole = excerpt->branches[branch];
    struct wave *wave = &assembly->solution->branches[whole];
    struct trail *trail = &assembly->trails[whole], more = {.hertz = part->hertz, .count = 1};

    more.count = part->hertz > 0 ? record->steps : 1;
    more.amps = arena_array(assembly->work, more.count, sizeof *more.amps);
    more.amps[0] = part->branches[branch].mean;
    for (size_t i = 0; i < more.count && part->hertz > 0; i++)
        more.amps[i] = record->amps[i * record->width + branch - record->first];
    if (assembly->draws[whole]++ == 0) {
        *trail = more;
        *wave = part->branches[branch];
        return;
    }
    *trail = trail_add(assembly->work, trail, &more);
    *wave = trail_wave(trail);
}

static void put_in_place(struct assembly *assembly, const struct excerpt *excerpt,
                         const struct solution *part, const struct record *record)
{
    struct solution *whole = assembly->solution;
    bool solved = part->status == SOLVE_OK;

    note_status(assembly, part);
    for (size_t i = 1; i < excerpt->network->node_count; i++) {
        if (!solved && assembly->islands.holders[excerpt->nodes[i]] != NULL)
            continue; /* not this island's affair */
        whole->nodes[excerpt->nodes[i]] = part->nodes[i];
        whole->node_solved[excerpt->nodes[i]] = solved;
    }
    for (size_t i = 0; i < excerpt->own_branches; i++) {
        whole->branches[excerpt->branches[i]] = part->branches[i];
        whole->branch_solved[excerpt->branches[i]] = solved;
        whole->charge[excerpt->branches[i]] = part->charge[i];
    }
    for (size_t i = excerpt->own_branches; i < excerpt->network->branch_count; i++)
        if (solved)
            add_draw(assembly, excerpt, part, record, i);
        else
            whole->branch_solved[excerpt->branches[i]] = false;
}

/* The steady state of the excerpt; of transistors on the average where their full equations have none that is found. */
static struct solution *solve_periodic(struct arena *arena, const struct network *network,
                                       const struct solve_options *options, struct record *record)
{
    struct solve_options cold = *options;
    struct solution *solution;

    if (!average_applies(network))
        return steady_solve(arena, network, options, record);
    if (options->start == NULL || !options->start->averaged) {
        solution = steady_solve(arena, network, options, record);
        if (solution->status != SOLVE_NOT_CONVERGED)
            return solution;
    }
    cold.start = NULL;
    solution = steady_solve(arena, average_network(arena, network), &cold, record);
    solution->averaged = true;
    return solution;
}

static void solve_excerpt(struct assembly *assembly, const struct excerpt_wish *wish)
{
    struct arena *arena = arena_new();
    struct excerpt excerpt = excerpt_new(arena, &assembly->islands, wish);
    struct record record = {.first = excerpt.own_branches};
    struct solution *part;

    if (assembly->options == NULL || excerpt.network->hertz <= 0) {
        part = operating_point_solve(arena, excerpt.network);
    } else {
        struct solve_options options = *assembly->options;

        if (options.start != NULL)
            options.start = excerpt_start(arena, &excerpt, options.start);
        part = solve_periodic(arena, excerpt.network, &options, &record);
    }
    refuse_infinities(excerpt.network, part);
    put_in_place(assembly, &excerpt, part, &record);
    arena_free(arena);
}

/* Sources that hold a node where nothing is connected: they are in no island. */
static void solve_idle_holders(struct assembly *assembly)
{
    const struct islands *islands = &assembly->islands;
    size_t *nodes = arena_array(assembly->work, assembly->network->node_count, sizeof *nodes);
    struct excerpt_wish wish = {.nodes = nodes};

    for (size_t i = 0; i < assembly->network->node_count; i++)
        if (islands->holders[i] != NULL && islands->holders[i]->branch_count > 0 &&
            assembly->draws[islands->holders[i]->first_branch] == 0)
            nodes[wish.node_count++] = i;
    if (wish.node_count > 0)
        solve_excerpt(assembly, &wish);
}

static struct solution *assemble(struct arena *arena, const struct network *network,
                                 const struct solve_options *options)
{
    struct assembly assembly = {.work = arena_new(), .network = network, .options = options,
                                .solution = solution_new(arena, network)};

    if (network->node_count == 0) {
        assembly.solution->status = SOLVE_TOO_LARGE;
    } else {
        assembly.islands = islands_find(assembly.work, network);
        assembly.trails = arena_array(assembly.work, network->branch_count, sizeof(struct trail));
        assembly.draws = arena_array(assembly.work, network->branch_count, sizeof(size_t));
        for (size_t i = 0; i < assembly.islands.count; i++)
            solve_excerpt(&assembly, &(struct excerpt_wish){.islands = &i, .island_count = 1});
        solve_idle_holders(&assembly);
    }
    arena_free(assembly.work);
    return assembly.solution;
}

struct solution *solve_operating_point(struct arena *arena, const struct network *network)
{
    return assemble(arena, network, NULL);
}

struct solution *solve_steady(struct arena *arena, const struct network *network,
                              const struct solve_options *options)
{
    static const struct solve_options none = {0};
    struct solution *solution;

    if (network->hertz <= 0)
        return solve_operating_point(arena, network);
    solution = assemble(arena, network, options != NULL ? options : &none);
    solution->hertz = network->hertz;
    return solution;
}
