#include "trace/loops.h"

#include <math.h>

#include "base/arena.h"
#include "device/network.h"
#include "trace/tracing.h"

/* Windings of unknown resistance, and what wires and contacts add, ohm. */
#define LEAST_LOOP_OHMS 0.1

static void add_cycle(struct half_cycles *cycles, const struct branch *branch, bool from_first)
{
    cycles->items[cycles->count++] =
        (struct half_cycle){branch->index, from_first ? branch->from : branch->to,
                            from_first ? branch->to : branch->from,
                            from_first != branch_is_reversed(branch)};
}

struct half_cycles half_cycles_list(struct tracing *tracing, size_t source)
{
    const struct trace_source *item = &tracing->trace.sources[source];
    struct half_cycles cycles = {
        .items = arena_array(tracing->conduction->arena, 2 * item->branch_count,
                             sizeof *cycles.items)};

    for (size_t i = 0; i < item->branch_count; i++) {
        const struct branch *branch = &tracing->trace.network->branches[item->branches[i]];
        bool alternating = tracing->source_extras[source].alternating;

        if (alternating || branch->element->figures[0] >= 0)
            add_cycle(&cycles, branch, true);
        if (alternating || branch->element->figures[0] < 0)
            add_cycle(&cycles, branch, false);
    }
    return cycles;
}

double loops_limit(double least, double times)
{
    return isinf(least) ? -1 : times * fmax(least, LEAST_LOOP_OHMS);
}

double loops_least(const double *ohms, size_t count, size_t stride)
{
    double least = INFINITY;

    for (size_t i = 0; i < count; i++)
        least = fmin(least, ohms[i * stride]);
    return least;
}

enum coverage loops_compare(const double *all, const double *left, bool *lost, size_t count,
                            size_t stride)
{
    double least = loops_least(all, count, stride);
    double limit = loops_limit(least, LOOPS_COUNTED), most = loops_limit(least, LOOPS_MAIN);
    bool main_lost = false, any_left = false;

    for (size_t at = 0; at < count * stride; at += stride) {
        bool is_left = left[at] <= limit;

        any_left = any_left || is_left;
        if (!(all[at] <= limit) || is_left)
            continue;
        main_lost = main_lost || all[at] <= most;
        if (lost != NULL)
            lost[at] = true;
    }
    if (!main_lost)
        return COVERAGE_NONE;
    return any_left ? COVERAGE_PARTIAL : COVERAGE_FULL;
}
