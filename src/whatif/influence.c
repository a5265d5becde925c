#include "whatif/influence.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "base/crew.h"
#include "device/network.h"
#include "solve/solve.h"
#include "whatif/stress.h"

/* At most so many assumptions are measured, and so much work is done: elements solved for in all, of the
 * order of a second. Beyond that what hangs together counts as resting on each other. */
enum { ASSUMPTIONS_LARGEST = 48, WORK_LARGEST = 16000 };

/* Steps a period. All are compared on the same grid, so that its own error cancels. */
enum { STEPS = 96 };

/* Volts and amperes below which nothing is told apart. */
static const double least_value = 1e-9;

struct measuring {
    const struct network *network;
    const struct solution *start, *base; /* base: as assumed, on the grid of comparison */
    const struct assumption *assumptions;
    bool *measured; /* by assumption, as are these: */
    float **nodes, **branches;
};

static double share(double before, double after, double scale)
{
    return fabs(after - before) / fmax(fabs(before), scale);
}

double influence_between(const struct wave *before, const struct wave *after)
{
    double scale = fmax(1e-3 * fmax(fabs(before->low), fabs(before->high)), least_value);
    double most = share(before->mean, after->mean, scale);

    most = fmax(most, share(before->rms, after->rms, scale));
    most = fmax(most, share(before->low, after->low, scale));
    most = fmax(most, share(before->high, after->high, scale));
    return fmax(most, share(before->high - before->low, after->high - after->low, scale));
}

static void compare(const struct wave *before, const struct wave *after, size_t count, float *most)
{
    for (size_t i = 0; i < count; i++)
        most[i] = fmaxf(most[i], (float)influence_between(&before[i], &after[i]));
}

/* One end of the range of assumption INDEX; false if there is no solution to compare. */
static bool measure_end(struct measuring *measuring, const struct alteration *alteration, float *nodes,
                        float *branches)
{
    const struct network *network = measuring->network;
    struct arena *work = arena_new();
    struct network *altered = network_build_altered(work, network->parts, alteration);
    bool same = altered->element_count == network->element_count &&
                altered->branch_count == network->branch_count &&
                altered->node_count == network->node_count;

    if (same) {
        struct solution *solution = solve_steady(
            work, altered, &(struct solve_options){.steps = STEPS, .start = measuring->start});

        same = solution->status == SOLVE_OK;
        if (same) {
            compare(measuring->base->nodes, solution->nodes, network->node_count, nodes);
            compare(measuring->base->branches, solution->branches, network->branch_count, branches);
        }
    }
    arena_free(work);
    return same;
}

bool influence_enters(const struct assumption *assumption)
{
    return !isnan(assumption->value) && strcmp(assumption->what, "tolerance") != 0 &&
           strcmp(assumption->what, STRESS_DENSITY) != 0;
}

static bool measure(struct measuring *measuring, const struct assumption *assumption, float *nodes,
                    float *branches)
{
    const double ends[] = {assumption->low, assumption->high};
    bool moved = !influence_enters(assumption);

    for (size_t k = 0; k < 2; k++) {
        if (assumption->part == NULL || !influence_enters(assumption) || ends[k] == assumption->value)
            continue;
        if (!measure_end(measuring, &(struct alteration){assumption, ends[k]}, nodes, branches))
            return false;
        moved = true;
    }
    return moved;
}

static bool is_affordable(const struct network *network, const struct solution *healthy, size_t count)
{
    return healthy != NULL && healthy->status == SOLVE_OK && network->parts != NULL &&
           count <= ASSUMPTIONS_LARGEST && 2 * count * network->element_count <= WORK_LARGEST;
}

/* Room for what is measured of assumption INDEX. */
static void make_room(struct measuring *measuring, struct arena *arena, size_t index)
{
    measuring->nodes[index] = arena_array(arena, measuring->network->node_count, sizeof(float));
    measuring->branches[index] = arena_array(arena, measuring->network->branch_count, sizeof(float));
}

static void measure_one(void *context, size_t index)
{
    struct measuring *measuring = context;

    measuring->measured[index] = measure(measuring, &measuring->assumptions[index],
                                         measuring->nodes[index], measuring->branches[index]);
}

struct influence *influence_measure(struct arena *arena, const struct network *network,
                                    const struct solution *healthy,
                                    const struct assumption *assumptions, size_t count)
{
    struct influence *influence = arena_alloc(arena, sizeof *influence);
    struct measuring measuring = {.network = network, .start = healthy, .assumptions = assumptions,
                                  .measured = arena_array(arena, count, sizeof(bool)),
                                  .nodes = arena_array(arena, count, sizeof(float *)),
                                  .branches = arena_array(arena, count, sizeof(float *))};

    *influence = (struct influence){measuring.measured, (const float **)measuring.nodes,
                                    (const float **)measuring.branches, count};
    if (!is_affordable(network, healthy, count))
        return influence;
    measuring.base = solve_steady(
        arena, network, &(struct solve_options){.steps = STEPS, .start = healthy});
    if (measuring.base->status != SOLVE_OK)
        return influence;
    for (size_t i = 0; i < count; i++)
        make_room(&measuring, arena, i);
    crew_run(count, measure_one, &measuring);
    return influence;
}
