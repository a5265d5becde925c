#include "rule/facts_rests.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "parts/parts.h"
#include "rule/facts_build.h"
#include "rule/facts_xml.h"
#include "solve/island.h"
#include "trace/trace.h"
#include "whatif/influence.h"
#include "whatif/whatif.h"

/* A figure that rests on more than so many rests on "every" one: telling them apart would help nobody. */
enum { LISTED_LARGEST = 64 };

/* Indices of assumptions. */
struct index_list {
    size_t *items;
    size_t count, capacity;
};

struct facts_rests {
    struct islands islands;
    struct influence *influence;
    struct index_list *of_island; /* by island: those not measured whose part is in it */
    struct index_list everywhere; /* not measured, and of no place: an ideal source, what volts are from */
    struct index_list *hanging;   /* by island: all whose part is in it */
    struct index_list measured;   /* those whose influence was measured */
    struct index_list *of_part;   /* by part of the circuit; after the last those of none */
    struct map *of_what;          /* index_list by what is assumed */
    double *weights;              /* by assumption: influence on the figures noted; 0: none */
    struct index_list noted;      /* those whose weight is not 0 */
    bool every;
};

static const double limiter_weight = 1e3; /* what limits a fault comes first */

static void push(struct arena *arena, struct index_list *list, size_t index)
{
    if (list->count > 0 && list->items[list->count - 1] == index)
        return;
    list->items = arena_grow(arena, list->items, &list->capacity, list->count, sizeof *list->items);
    list->items[list->count++] = index;
}

/* Assumption INDEX is about a part with BRANCH. */
static void place_branch(const struct facts_build *build, struct facts_rests *rests, size_t index,
                         const struct branch *branch)
{
    bool measured = rests->influence->measured[index];
    size_t at[] = {rests->islands.of_element[branch->element->index],
                   rests->islands.of_node[branch->from], rests->islands.of_node[branch->to]};

    for (size_t k = 0; k < 3; k++) {
        if (at[k] == SIZE_MAX)
            continue;
        push(build->arena, &rests->hanging[at[k]], index);
        if (!measured)
            push(build->arena, &rests->of_island[at[k]], index);
    }
    if (at[0] == SIZE_MAX && branch->element->device == &device_source)
        push(build->arena, &rests->everywhere, index);
}

/* First branch of each part, and the next of each branch; branch_count ends a list. */
static size_t *list_branches(const struct facts_build *build, size_t **next)
{
    const struct network *network = build->stages->network;
    size_t part_count = build->stages->parts->count;
    size_t *first = arena_array(build->arena, part_count + 1, sizeof *first);

    *next = arena_array(build->arena, network->branch_count + 1, sizeof **next);
    for (size_t i = 0; i < part_count; i++)
        first[i] = network->branch_count;
    for (size_t i = network->branch_count; i-- > 0;) {
        size_t part = network->branches[i].part->index;

        (*next)[i] = first[part];
        first[part] = i;
    }
    return first;
}

static void place_all(const struct facts_build *build, struct facts_rests *rests)
{
    const struct network *network = build->stages->network;
    size_t *next, *first = list_branches(build, &next);

    for (size_t i = 0; i < build->assumption_count; i++) {
        const char *ref = build->assumptions[i].part;
        bool enters = influence_enters(&build->assumptions[i]);
        const struct part *part = ref != NULL ? circuit_find_part(build->stages->circuit, ref) : NULL;

        if (part == NULL && enters)
            push(build->arena, &rests->everywhere, i);
        for (size_t b = part != NULL && enters ? first[part->index] : network->branch_count;
             b < network->branch_count; b = next[b])
            place_branch(build, rests, i, &network->branches[b]);
    }
}

/* Those about REF. */
static struct index_list *list_of_part(const struct facts_build *build, struct facts_rests *rests, const char *ref)
{
    const struct part *part = ref != NULL ? circuit_find_part(build->stages->circuit, ref) : NULL;

    return &rests->of_part[part != NULL ? part->index : build->stages->parts->count];
}

static void index_by_name(const struct facts_build *build, struct facts_rests *rests, size_t index)
{
    const struct assumption *assumption = &build->assumptions[index];
    struct index_list *alike = map_get(rests->of_what, assumption->what);

    if (alike == NULL) {
        alike = arena_alloc(build->arena, sizeof *alike);
        *alike = (struct index_list){0};
        map_add(rests->of_what, assumption->what, alike);
    }
    push(build->arena, alike, index);
    push(build->arena, list_of_part(build, rests, assumption->part), index);
    if (rests->influence->measured[index])
        push(build->arena, &rests->measured, index);
}

struct facts_rests *facts_rests_new(const struct facts_build *build)
{
    const struct network *network = build->stages->network;
    struct facts_rests *rests = arena_alloc(build->arena, sizeof *rests);

    *rests = (struct facts_rests){.islands = islands_find(build->arena, network)};
    rests->influence = influence_measure(build->arena, network, build->stages->healthy,
                                         build->assumptions, build->assumption_count);
    rests->weights = arena_array(build->arena, build->assumption_count + 1, sizeof *rests->weights);
    rests->of_island =
        arena_array(build->arena, rests->islands.count + 1, sizeof *rests->of_island);
    rests->hanging = arena_array(build->arena, rests->islands.count + 1, sizeof *rests->hanging);
    rests->of_part = arena_array(build->arena, build->stages->parts->count + 1, sizeof *rests->of_part);
    rests->of_what = map_new();
    for (size_t i = 0; i < build->assumption_count; i++)
        index_by_name(build, rests, i);
    place_all(build, rests);
    return rests;
}

void facts_rests_free(struct facts_rests *rests)
{
    map_free(rests->of_what);
}

static void note(const struct facts_build *build, size_t index, double weight)
{
    struct facts_rests *rests = build->rests;

    if (weight < INFLUENCE_LEAST)
        return;
    if (rests->weights[index] == 0)
        push(build->arena, &rests->noted, index);
    rests->weights[index] = fmax(rests->weights[index], weight);
    rests->every = rests->every || rests->noted.count > LISTED_LARGEST;
}

static void note_list(const struct facts_build *build, const struct index_list *list)
{
    build->rests->every = build->rests->every || list->count > LISTED_LARGEST;
    for (size_t i = 0; i < list->count && !build->rests->every; i++)
        note(build, list->items[i], INFLUENCE_LEAST);
}

/* What was measured of the sound circuit at place AT, and what could not be and hangs together with
 * ISLAND. */
static void note_place(const struct facts_build *build, const float *const *measured, size_t at,
                       size_t island)
{
    const struct index_list *list = &build->rests->measured;

    for (size_t i = 0; i < list->count; i++)
        note(build, list->items[i], measured[list->items[i]][at]);
    note_list(build, &build->rests->everywhere);
    if (island != SIZE_MAX)
        note_list(build, &build->rests->of_island[island]);
}

void facts_rests_node(const struct facts_build *build, size_t node)
{
    if (facts_solved(build))
        note_place(build, build->rests->influence->nodes, node, build->rests->islands.of_node[node]);
}

void facts_rests_branch(const struct facts_build *build, size_t branch)
{
    size_t element = build->stages->network->branches[branch].element->index;

    if (facts_solved(build))
        note_place(build, build->rests->influence->branches, branch,
                   build->rests->islands.of_element[element]);
}

static bool is_about(const struct assumption *assumption, const char *part)
{
    return assumption->part != NULL && strcmp(assumption->part, part) == 0;
}

void facts_rests_named(const struct facts_build *build, const char *part, const char *what)
{
    const struct index_list *list =
        part != NULL ? list_of_part(build, build->rests, part) : map_get(build->rests->of_what, what);

    for (size_t i = 0; list != NULL && i < list->count && !build->rests->every; i++) {
        const struct assumption *assumption = &build->assumptions[list->items[i]];

        if (part == NULL || (is_about(assumption, part) && strcmp(assumption->what, what) == 0))
            note(build, list->items[i], 1);
    }
}

void facts_rests_part(const struct facts_build *build, const char *part)
{
    const struct index_list *list = list_of_part(build, build->rests, part);

    for (size_t i = 0; i < list->count && !build->rests->every; i++)
        if (is_about(&build->assumptions[list->items[i]], part))
            note(build, list->items[i], 1);
}

void facts_rests_source(const struct facts_build *build, const struct trace_source *source)
{
    static const char *const figures[] = {"winding-volts", "winding-ohms"};
    static const char *const others[] = {"ac-peak-volts", "dc-volts", "hertz"};

    for (size_t i = 0; i < 2 && source->winding != NULL; i++)
        facts_rests_named(build, source->part->ref,
                          arena_print(build->arena, "%s %s", figures[i], source->winding));
    for (size_t i = 0; i < 3; i++)
        facts_rests_named(build, source->part->ref, others[i]);
}

void facts_rests_rectifier(const struct facts_build *build, const struct rectifier *rectifier)
{
    for (size_t i = 0; i < rectifier->branch_count; i++) {
        const struct branch *branch = &build->stages->network->branches[rectifier->branches[i]];

        facts_rests_branch(build, branch->index);
        facts_rests_node(build, branch->from);
        facts_rests_node(build, branch->to);
    }
}

void facts_rests_rail(const struct facts_build *build, const struct rail *rail)
{
    const struct trace *trace = build->stages->trace;

    facts_rests_node(build, rail->output);
    facts_rests_node(build, rail->back);
    for (size_t i = 0; i < rail->node_count; i++)
        facts_rests_node(build, rail->nodes[i].node);
    for (size_t i = 0; i < rail->load_count; i++)
        facts_rests_branch(build, rail->loads[i]);
    if (rail->rectifier < trace->rectifier_count)
        facts_rests_rectifier(build, &trace->rectifiers[rail->rectifier]);
    for (size_t i = 0; i < trace->sources[rail->source].branch_count; i++)
        facts_rests_branch(build, trace->sources[rail->source].branches[i]);
}

/* The resistance of what carries a fault limits it. */
static void note_carrier(const struct facts_build *build, const struct branch *branch)
{
    struct facts_rests *rests = build->rests;

    for (size_t i = 0; i < rests->noted.count && !rests->every; i++) {
        size_t index = rests->noted.items[i];
        const struct assumption *assumption = &build->assumptions[index];

        if (is_about(assumption, branch->part->ref) && strstr(assumption->what, "ohms") != NULL)
            rests->weights[index] = fmax(rests->weights[index], limiter_weight);
    }
}

static void note_island(const struct facts_build *build, size_t node)
{
    size_t island = build->rests->islands.of_node[node];

    if (island != SIZE_MAX)
        note_list(build, &build->rests->hanging[island]);
}

void facts_rests_surroundings(const struct facts_build *build, size_t branch)
{
    note_list(build, &build->rests->everywhere);
    note_island(build, build->stages->network->branches[branch].from);
    note_island(build, build->stages->network->branches[branch].to);
}

void facts_rests_fault(const struct facts_build *build, const struct fault *fault)
{
    const struct network *network = build->stages->network;

    note_list(build, &build->rests->everywhere);
    note_island(build, fault->node);
    note_island(build, fault->back);
    for (size_t i = 0; i < fault->through_count; i++) {
        size_t branch = build->stages->whatif->fuses[fault->through[i].fuse].branch;

        facts_rests_named(build, network->branches[branch].part->ref, "characteristic");
    }
    facts_rests_node(build, fault->node);
    for (size_t i = 0; i < fault->carrier_count; i++)
        note_carrier(build, &network->branches[fault->carriers[i].branch]);
}

struct noted {
    size_t index;
    double weight;
};

static int compare_noted(const void *a, const void *b)
{
    const struct noted *first = a, *second = b;

    if (first->weight != second->weight)
        return first->weight < second->weight ? 1 : -1;
    return (first->index > second->index) - (first->index < second->index);
}

static void write_sorted(const struct facts_build *build, xmlNode *node)
{
    struct facts_rests *rests = build->rests;
    struct noted sorted[LISTED_LARGEST];
    struct text text = {0};

    for (size_t i = 0; i < rests->noted.count; i++)
        sorted[i] = (struct noted){rests->noted.items[i], rests->weights[rests->noted.items[i]]};
    qsort(sorted, rests->noted.count, sizeof *sorted, compare_noted);
    for (size_t i = 0; i < rests->noted.count; i++)
        text_print(&text, "%sassumption%zu", i > 0 ? " " : "", sorted[i].index + 1);
    fact_text(node, "rests-on", text_bytes(&text));
    text_free(&text);
}

void facts_rests_write(const struct facts_build *build, xmlNode *node)
{
    struct facts_rests *rests = build->rests;

    if (rests->every)
        fact_text(node, "rests-on", "every");
    else if (rests->noted.count > 0)
        write_sorted(build, node);
    for (size_t i = 0; i < rests->noted.count; i++)
        rests->weights[rests->noted.items[i]] = 0;
    rests->noted.count = 0;
    rests->every = false;
}
