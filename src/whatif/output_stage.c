#include "whatif/output_stage.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/direct_path.h"
#include "device/network.h"
#include "parts/parts.h"
#include "whatif/output_transformer.h"

struct finding {
    struct arena *arena;
    const struct network *network;
    struct stage_notes *notes;
    struct stage_valve_search search;
    struct output_transformers transformers;
    struct stage_valve *valves; /* all of the circuit that reach a winding */
    size_t valve_count, valve_capacity;
};

static void add_valve(struct finding *finding, const struct part_info *info, size_t unit)
{
    struct stage_valve valve;
    size_t start = 0;

    /* Two sections may be joined at their anodes. */
    for (size_t v = 0; v < finding->valve_count; v++)
        if (finding->valves[v].part == info->part)
            start = finding->valves[v].anode + 1;
    if (!stage_valve_find(&finding->search, info, unit, start, &valve))
        return;
    finding->valves = arena_grow(finding->arena, finding->valves, &finding->valve_capacity,
                                 finding->valve_count, sizeof *finding->valves);
    finding->valves[finding->valve_count++] = valve;
}

static void add_valves(struct finding *finding)
{
    const struct parts *parts = finding->network->parts;

    for (size_t i = 0; i < parts->count; i++) {
        const struct part_info *info = &parts->items[i];
        size_t units = part_unit_count(info);

        if ((info->kind != PART_TRIODE && info->kind != PART_PENTODE) || info->part->not_fitted)
            continue;
        for (size_t unit = 0; unit < (units > 0 ? units : 1); unit++)
            add_valve(finding, info, unit);
    }
}

/* The node of TRANSFORMER that hangs together with NODE and is nearest to its supply; SIZE_MAX: none. */
static size_t find_feed(struct finding *finding, const struct output_transformer *transformer,
                        size_t node, struct audio_path *path)
{
    const double *turns =
        output_transformer_turns(finding->arena, finding->network, transformer, node);
    const struct audio_net *net = &finding->search.net;
    size_t feed = SIZE_MAX;

    for (size_t i = 0; i < 2 * transformer->section_count; i++) {
        const struct wound *section = &transformer->sections[i / 2];
        size_t end = i % 2 == 0 ? section->start : section->end;
        struct audio_path found;

        if (isnan(turns[end]))
            continue;
        found = audio_path_find(finding->arena, net, end, net->still, STAGE_SUPPLY_OHMS);
        if (found.found && (feed == SIZE_MAX || found.ohms < path->ohms)) {
            feed = end;
            *path = found;
        }
    }
    return feed;
}

double stage_notes_assume(struct stage_notes *notes, const struct assumption *assumption)
{
    notes->assumptions =
        arena_grow(notes->arena, notes->assumptions, &notes->assumption_capacity,
                   notes->assumption_count, sizeof *notes->assumptions);
    notes->assumptions[notes->assumption_count++] = *assumption;
    return assumption->value;
}

/* Ohm, of the whole primary. */
static double assumed_load(const struct finding *finding, const struct output_stage *stage)
{
    bool pair = stage->kind == STAGE_PUSH_PULL;
    double share = pair ? 2 / (double)stage->valve_count : 1 / (double)stage->valve_count;

    return stage_notes_assume(finding->notes,
                  &(struct assumption){
                      .part = stage->transformer->ref, .what = "load-ohms",
                      .value = (pair ? 6600 : 5000) * share, .low = (pair ? 3400 : 2500) * share,
                      .high = (pair ? 10000 : 8500) * share,
                      .reason = pair ? "the load of the output stage is not stated; makers "
                                       "print 3.4 to 10 kohm between the anodes of a pair"
                                     : "the load of the output stage is not stated; makers "
                                       "print 2.5 to 8.5 kohm for one valve"});
}

/* SPAN: turns of the primary between anodes, or from anode to supply. */
static void find_load(const struct finding *finding, struct output_stage *stage,
                      const struct output_transformer *transformer, const double *turns,
                      double span)
{
    bool assumed;
    double reflected =
        transformer->turns_known || transformer->ratio > 0
            ? output_transformer_reflected(finding->network, transformer, turns, span, &assumed)
            : 0;

    if (!transformer->turns_known && transformer->ratio > 0)
        reflected *= transformer->ratio * transformer->ratio / (span * span);
    stage->circuit.load_ohms = transformer->primary_ohms > 0 ? transformer->primary_ohms
                               : reflected > 0               ? reflected
                                                             : assumed_load(finding, stage);
}

/* The share of the anode's swing that the screens see, and the resistors before them. */
static void find_screens(const struct finding *finding, struct output_stage *stage,
                         const double *turns, bool turns_known)
{
    const struct stage_valve *valve = &stage->valves[0];
    double anode = turns[valve->anode_path.end], tap = 0;

    if (valve->screen == SIZE_MAX) {
        stage->screens = SCREENS_TRIODE;
        return;
    }
    if (valve->screen_path.found && !isnan(turns[valve->screen_path.end]))
        tap = turns[valve->screen_path.end] / anode;
    if (finding->network->branches[valve->anode].from == valve->screen_path.end)
        tap = 1;
    if (tap > 0.01 && tap < 0.99) {
        stage->screens = SCREENS_ULTRA_LINEAR;
        if (!turns_known)
            tap = stage_notes_assume(finding->notes,
                         &(struct assumption){.part = stage->transformer->ref, .what = "screen-tap",
                                              .value = 0.43, .low = 0.2, .high = 0.5,
                                              .reason = "ultra-linear taps are at 20 to 50 % of "
                                                        "the turns, mostly at 43 % (common "
                                                        "practice, no source)"});
    } else if (tap >= 0.99) {
        stage->screens = SCREENS_TRIODE;
    }
    stage->circuit.tap = tap > 0.01 ? tap : 0;
}

/* Branches, from the end on, that the screen paths of all valves share, with their ohms. */
static void find_screen_ohms(const struct finding *finding, struct output_stage *stage)
{
    const struct audio_path *first = &stage->valves[0].screen_path;
    double common = 0, total = 0;
    size_t shared = stage->valve_count > 1 ? first->count : 0;

    for (size_t v = 0; v < stage->valve_count; v++) {
        const struct audio_path *path = &stage->valves[v].screen_path;
        size_t same = 0;

        while (same < shared && same < path->count && path->branches[same] == first->branches[same])
            same++;
        shared = same;
        total += path->found ? path->ohms : 0;
    }
    for (size_t i = 0; i < shared; i++) {
        const struct branch *branch = &finding->network->branches[first->branches[i]];

        if (branch->kind == BRANCH_RESISTANCE || branch->kind == BRANCH_FUSE)
            common += branch->element->figures[0];
    }
    stage->circuit.common_ohms = common;
    stage->circuit.screen_ohms = fmax(0, total / (double)stage->valve_count - common);
}

/* Sides' equations are those of the first valve of each. */
static void set_sides(struct output_stage *stage)
{
    stage->circuit.side_count = stage->kind == STAGE_PUSH_PULL ? 2 : 1;
    for (size_t v = stage->valve_count; v-- > 0;) {
        struct cycle_side *side = &stage->circuit.sides[stage->valves[v].side];

        side->valve = stage->valves[v].model;
        side->valves++;
        stage->estimated |= stage->valves[v].model == NULL;
    }
}

/* Puts each valve on its side; false: they are all at the supply's end. */
static bool sort_valves(struct output_stage *stage, const double *turns, double *span)
{
    double low = 0, high = 0;

    for (size_t v = 0; v < stage->valve_count; v++) {
        double at = turns[stage->valves[v].anode_path.end];

        low = fmin(low, at);
        high = fmax(high, at);
    }
    for (size_t v = 0; v < stage->valve_count; v++)
        stage->valves[v].side =
            low < 0 && high > 0 && turns[stage->valves[v].anode_path.end] < 0 ? 1 : 0;
    stage->kind = low < 0 && high > 0 ? STAGE_PUSH_PULL : STAGE_SINGLE_ENDED;
    *span = high - low;
    return high - low > 0;
}

/* Those of the found valves that are on the same windings as the one at NODE, but not at their
 * supply's end. */
static void take_valves(struct finding *finding, struct output_stage *stage, const double *turns)
{
    size_t capacity = 0;

    for (size_t v = 0; v < finding->valve_count; v++) {
        double at = turns[finding->valves[v].anode_path.end];

        if (isnan(at) || at == 0)
            continue;
        stage->valves = arena_grow(finding->arena, stage->valves, &capacity, stage->valve_count,
                                   sizeof *stage->valves);
        stage->valves[stage->valve_count++] = finding->valves[v];
    }
}

/* The stage on TRANSFORMER that the valve with its anode at NODE is in. */
static void add_stage(struct finding *finding, struct output_stages *stages,
                      const struct output_transformer *transformer, size_t node)
{
    struct output_stage stage = {.transformer = transformer->part};
    const double *turns;
    double span;

    stage.feed = find_feed(finding, transformer, node, &stage.feed_path);
    if (stage.feed == SIZE_MAX)
        return;
    turns = output_transformer_turns(finding->arena, finding->network, transformer, stage.feed);
    take_valves(finding, &stage, turns);
    if (stage.valve_count == 0 || !sort_valves(&stage, turns, &span))
        return;
    stage.id = arena_print(finding->arena, "stage%zu", stages->count + 1);
    set_sides(&stage);
    find_screens(finding, &stage, turns, transformer->turns_known);
    find_screen_ohms(finding, &stage);
    find_load(finding, &stage, transformer, turns, span);
    stages->items = arena_grow(finding->arena, stages->items, &stages->capacity, stages->count,
                               sizeof *stages->items);
    stages->items[stages->count++] = stage;
}

static bool is_taken(const struct output_stages *stages, const struct stage_valve *valve)
{
    for (size_t i = 0; i < stages->count; i++)
        for (size_t v = 0; v < stages->items[i].valve_count; v++)
            if (stages->items[i].valves[v].anode == valve->anode)
                return true;
    return false;
}

static void mark_stops(struct finding *finding)
{
    struct stage_valve_search *search = &finding->search;
    size_t count = finding->network->node_count;

    search->primary = arena_array(finding->arena, count, sizeof(bool));
    search->screen_stops = arena_array(finding->arena, count, sizeof(bool));
    for (size_t i = 0; i < count; i++) {
        search->primary[i] = finding->transformers.of_node[i] != SIZE_MAX;
        search->screen_stops[i] = search->primary[i] || search->net.still[i];
    }
}

struct output_stages output_stages_find(struct arena *arena, const struct network *network,
                                        const struct trace *trace,
                                        const struct solution *healthy,
                                        struct stage_notes *notes)
{
    struct finding finding = {.arena = arena, .network = network, .notes = notes};
    struct output_stages stages = {0};

    finding.transformers = output_transformers_find(arena, network);
    if (finding.transformers.count == 0)
        return stages;
    finding.search = (struct stage_valve_search){
        .arena = arena, .network = network, .healthy = healthy,
        .net = audio_net_new(arena, network, trace, 0), .direct = direct_paths(arena, network)};
    mark_stops(&finding);
    add_valves(&finding);
    for (size_t v = 0; v < finding.valve_count; v++) {
        size_t node = finding.valves[v].anode_path.end;

        if (!is_taken(&stages, &finding.valves[v]))
            add_stage(&finding, &stages,
                      &finding.transformers.items[finding.transformers.of_node[node]], node);
    }
    return stages;
}

const char *stage_kind_name(enum stage_kind kind)
{
    return kind == STAGE_PUSH_PULL ? "push-pull" : "single-ended";
}

const char *stage_screens_name(enum stage_screens screens)
{
    static const char *const names[] = {[SCREENS_OWN] = "own-supply",
                                        [SCREENS_ULTRA_LINEAR] = "ultra-linear",
                                        [SCREENS_TRIODE] = "triode"};

    return names[screens];
}
