/* Sources: what drives the circuit, and which transformer each feeds. A primary is a winding in one loop (one block of
 * the graph of wires, windings and small resistances) with a source that is not on the same core. */
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "trace/tracing.h"

/* Sections that are joined in series belong to one winding if their volts agree to this share. */
#define SAME_VOLTS 0.05
/* Mains, aircraft supplies and railway supplies lie within; other sine sources are signals, Hz. */
#define LEAST_SUPPLY_HERTZ 15.0
#define LARGEST_SUPPLY_HERTZ 450.0
#define HALF_PI 1.5707963267948966

static const struct branch *branch_at(const struct tracing *tracing, size_t index)
{
    return &tracing->trace.network->branches[index];
}

bool branch_is_reversed(const struct branch *branch)
{
    double peak, phase;

    if (branch->kind != BRANCH_SOURCE)
        return false;
    peak = branch->element->figures[1];
    phase = fmod(fabs(branch->element->figures[3]), 4 * HALF_PI);
    return (peak < 0) != (phase > HALF_PI && phase < 3 * HALF_PI);
}

static size_t head(const struct branch *branch)
{
    return branch_is_reversed(branch) ? branch->to : branch->from;
}

static size_t tail(const struct branch *branch)
{
    return branch_is_reversed(branch) ? branch->from : branch->to;
}

/* Something in proportion to the volts of a section; 0: not known. */
static double section_volts(const struct branch *branch)
{
    const struct element *element = branch->element;
    size_t slot = branch->slot;

    if (branch->kind == BRANCH_SOURCE)
        return fabs(element->figures[1]);
    if (element->turns != NULL)
        return fabs(element->turns[slot]);
    if (element->matrix != NULL)
        return sqrt(fabs(element->matrix[slot * element->section_count + slot]));
    return 0;
}

static bool same_volts(const struct branch *a, const struct branch *b)
{
    double one = section_volts(a), other = section_volts(b);

    return fabs(one - other) <= SAME_VOLTS * fmax(one, other);
}

static size_t add_source(struct tracing *tracing, const char *id, enum source_kind kind,
                         const struct part *part, bool alternating)
{
    struct trace *trace = &tracing->trace;
    struct arena *arena = tracing->conduction->arena;

    trace->sources = arena_grow(arena, trace->sources, &tracing->source_capacity,
                                trace->source_count, sizeof *trace->sources);
    tracing->source_extras =
        arena_grow(arena, tracing->source_extras, &tracing->source_extra_capacity,
                   trace->source_count, sizeof *tracing->source_extras);
    trace->sources[trace->source_count] =
        (struct trace_source){.id = id, .kind = kind, .part = part, .feeder = SIZE_MAX};
    tracing->source_extras[trace->source_count] =
        (struct source_extra){.alternating = alternating};
    return trace->source_count++;
}

/* Puts BRANCH at the front or the back of a source's sections. */
static void add_section(struct tracing *tracing, size_t source, size_t branch, bool front)
{
    struct trace_source *item = &tracing->trace.sources[source];
    size_t *branches =
        arena_array(tracing->conduction->arena, item->branch_count + 1, sizeof *branches);

    if (item->branch_count > 0)
        memcpy(branches + front, item->branches, item->branch_count * sizeof *branches);
    branches[front ? 0 : item->branch_count] = branch;
    item->branches = branches;
    item->branch_count++;
}

/* Joins BRANCH to a source from index FIRST on that it continues in series, same sense and same volts. Returns that
 * source, SIZE_MAX if there is none. */
static size_t join_series(struct tracing *tracing, size_t first, size_t branch)
{
    const struct branch *added = branch_at(tracing, branch);
    struct arena *arena = tracing->conduction->arena;

    for (size_t i = first; i < tracing->trace.source_count; i++) {
        struct trace_source *source = &tracing->trace.sources[i];
        const struct branch *start = branch_at(tracing, source->branches[0]);
        const struct branch *end = branch_at(tracing, source->branches[source->branch_count - 1]);
        bool front = tail(added) == head(start), back = head(added) == tail(end);

        if (front == back || source->kind != SOURCE_WINDING || start->kind != added->kind ||
            !same_volts(start, added))
            continue;
        source->id = added->section != NULL && source->winding != NULL
                         ? source->id
                         : arena_print(arena, "%s+%s", source->id, added->part->ref);
        add_section(tracing, i, branch, front);
        return i;
    }
    return SIZE_MAX;
}

static bool meets_rectifier(const struct tracing *tracing, size_t node)
{
    const struct graph *graph = tracing->conduction->graph;

    if (conduction_is_ground(tracing->conduction, node))
        return false;
    for (size_t i = graph->first[node]; i < graph->first[node + 1]; i++)
        if (branch_at(tracing, graph->links[i])->kind == BRANCH_RECTIFIER)
            return true;
    return false;
}

static bool is_signal(const struct branch *branch)
{
    double hertz = fabs(branch->element->figures[2]);

    return hertz > 0 && (hertz < LEAST_SUPPLY_HERTZ || hertz > LARGEST_SUPPLY_HERTZ);
}

/* Is there a rectifier at either end of BRANCH? Ground does not count. */
static bool is_rectified(const struct tracing *tracing, const struct branch *branch)
{
    return meets_rectifier(tracing, branch->from) || meets_rectifier(tracing, branch->to);
}

/* A source of unknown volts alternates if it is said to, or if a rectifier hangs on it. */
static bool is_alternating(const struct tracing *tracing, const struct branch *branch)
{
    const struct part_info *info = conduction_info(tracing->conduction, branch->index);
    const char *role = info != NULL && info->role != NULL ? info->role : "";

    if (info != NULL && info->kind == PART_INLET)
        return true;
    if (branch->element->device == &device_open && (info == NULL || info->kind != PART_BATTERY))
        return strcmp(role, "mains") == 0 || strcmp(role, "ac") == 0 ||
               strcmp(role, "heater") == 0 || is_rectified(tracing, branch);
    return branch->element->figures[1] != 0;
}

static enum source_kind voltage_kind(const struct tracing *tracing, const struct branch *branch,
                                     bool alternating)
{
    enum part_kind kind = conduction_kind(tracing->conduction, branch->index);

    if (kind == PART_INLET)
        return SOURCE_INLET;
    if (kind == PART_FEED)
        return SOURCE_FEED;
    if (alternating)
        return SOURCE_WINDING;
    return kind == PART_BATTERY ? SOURCE_BATTERY : SOURCE_SUPPLY;
}

/* A feed of three pins is two branches of one part. */
static bool join_feed(struct tracing *tracing, size_t index)
{
    struct trace *trace = &tracing->trace;
    const struct part *part = branch_at(tracing, index)->part;

    if (trace->source_count == 0 || trace->sources[trace->source_count - 1].part != part ||
        trace->sources[trace->source_count - 1].kind != SOURCE_FEED)
        return false;
    add_section(tracing, trace->source_count - 1, index, false);
    return true;
}

static void add_voltage_source(struct tracing *tracing, size_t index)
{
    const struct branch *branch = branch_at(tracing, index);
    bool alternating = is_alternating(tracing, branch);
    enum source_kind kind = voltage_kind(tracing, branch, alternating);

    if ((kind == SOURCE_WINDING && is_signal(branch)) ||
        (kind == SOURCE_WINDING && join_series(tracing, 0, index) != SIZE_MAX) ||
        (kind == SOURCE_FEED && join_feed(tracing, index)))
        return;
    add_section(tracing, add_source(tracing, branch->part->ref, kind, branch->part, alternating),
                index, false);
}

/* One block number per branch of the graph of wires, windings and small resistances. */
static size_t *power_blocks(struct tracing *tracing)
{
    struct conduction *conduction = tracing->conduction;
    const struct network *network = conduction->network;
    size_t *block = arena_array(conduction->arena, network->branch_count + 1, sizeof *block);
    bool *skip = arena_array(conduction->arena, network->branch_count + 1, sizeof *skip);

    for (size_t i = 0; i < network->branch_count; i++) {
        enum branch_kind kind = network->branches[i].kind;

        skip[i] = !(conduction->wire[i] || kind == BRANCH_WINDING || kind == BRANCH_SOURCE ||
                    kind == BRANCH_INDUCTANCE || conduction_small(conduction, i));
    }
    graph_blocks(conduction->arena, conduction->graph, skip, block);
    return block;
}

static const struct winding *winding_of(const struct tracing *tracing, size_t branch)
{
    const struct section *section = branch_at(tracing, branch)->section;
    const struct part_info *info = conduction_info(tracing->conduction, branch);

    if (section == NULL || info == NULL || section->winding >= info->winding_count)
        return NULL;
    return &info->windings[section->winding];
}

static bool is_named_primary(const struct tracing *tracing, size_t branch)
{
    const struct winding *winding = winding_of(tracing, branch);

    return winding != NULL && winding->primary;
}

static bool has_named_primary(const struct tracing *tracing, const struct core *core)
{
    for (size_t i = 0; i < core->branches.count; i++)
        if (is_named_primary(tracing, core->branches.items[i]))
            return true;
    return false;
}

static bool continues_winding(const struct tracing *tracing, size_t before, size_t branch)
{
    const struct section *a = branch_at(tracing, before)->section;
    const struct section *b = branch_at(tracing, branch)->section;

    return a != NULL && b != NULL && a->winding == b->winding;
}

static const char *winding_id(const struct tracing *tracing, size_t branch)
{
    const struct branch *item = branch_at(tracing, branch);
    const struct winding *winding = winding_of(tracing, branch);
    struct arena *arena = tracing->conduction->arena;

    if (item->section == NULL)
        return item->part->ref;
    if (winding != NULL && winding->name != NULL)
        return arena_print(arena, "%s.%s", item->part->ref, winding->name);
    return arena_print(arena, "%s.winding%zu", item->part->ref, item->section->winding + 1);
}

/* The windings of CORE that are not primaries become sources fed by its feeder. */
static void add_secondaries(struct tracing *tracing, const struct core *core)
{
    size_t first = tracing->trace.source_count, last = SIZE_MAX, current = SIZE_MAX;

    for (size_t i = 0; i < core->branches.count; i++) {
        size_t index = core->branches.items[i];
        const struct branch *branch = branch_at(tracing, index);
        const struct winding *winding = winding_of(tracing, index);

        if (tracing->primary[index])
            continue;
        if (last != SIZE_MAX && continues_winding(tracing, last, index)) {
            add_section(tracing, current, index, false);
        } else if ((current = join_series(tracing, first, index)) == SIZE_MAX) {
            current = add_source(tracing, winding_id(tracing, index), SOURCE_WINDING,
                                 branch->part, true);
            add_section(tracing, current, index, false);
            tracing->trace.sources[current].feeder = core->feeder;
            tracing->trace.sources[current].winding = winding != NULL ? winding->name : NULL;
        }
        last = index;
    }
}

/* Marks the primary sections of a core that lie in the blocks of source FEEDER; true if there are any. */
static bool energise(struct tracing *tracing, const struct core *core, size_t feeder,
                     const size_t *block)
{
    const struct trace_source *source = &tracing->trace.sources[feeder];
    bool named = has_named_primary(tracing, core), any = false;

    for (size_t i = 0; i < core->branches.count; i++) {
        size_t index = core->branches.items[i];

        if (named && !is_named_primary(tracing, index))
            continue;
        for (size_t k = 0; k < source->branch_count; k++)
            if (block[source->branches[k]] == block[index] && block[index] != SIZE_MAX &&
                tracing->core_of[branch_at(tracing, source->branches[k])->element->index] !=
                    tracing->core_of[branch_at(tracing, index)->element->index])
                tracing->primary[index] = any = true;
    }
    return any;
}

/* The core that BRANCH is on: known windings of a transformer are one element, each winding of unknown volts is
 * another, all of one part. LATEST: by part index, the core last made for it, plus one. */
static struct core *core_for(struct tracing *tracing, const struct branch *branch, size_t *latest)
{
    size_t *known = &tracing->core_of[branch->element->index];
    size_t *part = branch->section != NULL ? &latest[branch->part->index] : NULL;

    if (*known == SIZE_MAX && part != NULL && *part > 0)
        *known = *part - 1;
    if (*known == SIZE_MAX) {
        tracing->cores = arena_grow(tracing->conduction->arena, tracing->cores,
                                    &tracing->core_capacity, tracing->core_count,
                                    sizeof *tracing->cores);
        tracing->cores[tracing->core_count] = (struct core){.feeder = SIZE_MAX};
        *known = tracing->core_count++;
    }
    if (part != NULL)
        *part = *known + 1;
    return &tracing->cores[*known];
}

static void list_cores(struct tracing *tracing)
{
    const struct network *network = tracing->trace.network;
    struct arena *arena = tracing->conduction->arena;
    size_t largest = 0, *latest;

    for (size_t i = 0; i < network->branch_count; i++)
        if (network->branches[i].part->index > largest)
            largest = network->branches[i].part->index;
    latest = arena_array(arena, largest + 1, sizeof *latest);
    tracing->core_of = arena_array(arena, network->element_count + 1, sizeof(size_t));
    for (size_t i = 0; i < network->element_count; i++)
        tracing->core_of[i] = SIZE_MAX;
    for (size_t i = 0; i < network->branch_count; i++) {
        if (network->branches[i].kind != BRANCH_WINDING)
            continue;
        indices_add(arena, &core_for(tracing, &network->branches[i], latest)->branches, i);
        tracing->primary[i] = is_named_primary(tracing, i);
    }
}

/* Source by source, in the order in which they come: a secondary may feed another transformer. */
static void follow_feeds(struct tracing *tracing)
{
    size_t *block = tracing->block = power_blocks(tracing);

    for (size_t feeder = 0; feeder < tracing->trace.source_count; feeder++) {
        if (!tracing->source_extras[feeder].alternating)
            continue;
        for (size_t i = 0; i < tracing->core_count; i++) {
            struct core *core = &tracing->cores[i];
            struct trace_source *source = &tracing->trace.sources[feeder];

            if (core->feeder != SIZE_MAX || !energise(tracing, core, feeder, block))
                continue;
            core->feeder = feeder;
            tracing->source_extras[feeder].drives = true;
            if (branch_at(tracing, source->branches[0])->kind == BRANCH_SOURCE &&
                source->kind == SOURCE_WINDING)
                source->kind = SOURCE_INLET;
            add_secondaries(tracing, core);
        }
    }
}

/* A core that nothing in the netlist drives. Coupled inductors without a drive are taken for signal transformers
 * unless a rectifier hangs on them. */
static void add_undriven(struct tracing *tracing, const struct core *core)
{
    const struct branch *first = branch_at(tracing, core->branches.items[0]);
    bool rectified = false;

    for (size_t i = 0; i < core->branches.count; i++)
        rectified =
            rectified || is_rectified(tracing, branch_at(tracing, core->branches.items[i]));
    if (first->section == NULL && !rectified)
        return;
    if (!has_named_primary(tracing, core))
        tracing_doubt(tracing, first->part->ref,
                      arena_print(tracing->conduction->arena,
                                  "%s: no source drives it and no winding is known as its primary; "
                                  "every winding is taken as a source",
                                  first->part->ref));
    add_secondaries(tracing, core);
}

static bool list_has(const size_t *list, size_t count, size_t item)
{
    for (size_t i = 0; i < count; i++)
        if (list[i] == item)
            return true;
    return false;
}

static void list_terminals(struct tracing *tracing, size_t index)
{
    const struct trace_source *source = &tracing->trace.sources[index];
    struct source_extra *extra = &tracing->source_extras[index];
    struct arena *arena = tracing->conduction->arena;

    extra->terminals = arena_array(arena, 2 * source->branch_count, sizeof(size_t));
    for (size_t i = 0; i < source->branch_count; i++) {
        const struct branch *branch = branch_at(tracing, source->branches[i]);
        size_t ends[2] = {head(branch), tail(branch)};

        for (size_t k = 0; k < 2; k++)
            if (!list_has(extra->terminals, extra->terminal_count, ends[k]))
                extra->terminals[extra->terminal_count++] = ends[k];
    }
    extra->grounded = arena_array(arena, extra->terminal_count, sizeof(bool));
    extra->near_ground = arena_array(arena, extra->terminal_count, sizeof(bool));
}

void sources_find(struct tracing *tracing)
{
    const struct network *network = tracing->trace.network;

    for (size_t i = 0; i < network->branch_count; i++)
        if (network->branches[i].kind == BRANCH_SOURCE && !tracing->conduction->wire[i])
            add_voltage_source(tracing, i);
    list_cores(tracing);
    follow_feeds(tracing);
    for (size_t i = 0; i < tracing->core_count; i++)
        if (tracing->cores[i].feeder == SIZE_MAX)
            add_undriven(tracing, &tracing->cores[i]);
    for (size_t i = 0; i < tracing->trace.source_count; i++)
        list_terminals(tracing, i);
}
