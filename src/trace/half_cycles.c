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
                            from_first ? branch->to : branch->from};
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

double loops_largest(double least)
{
    return isinf(least) ? -1 : LOOPS_COUNTED * fmax(least, LEAST_LOOP_OHMS);
}
