/* Assumed values, and gaps: what could not be looked at. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "parts/parts.h"
#include "rule/facts_xml.h"
#include "trace/trace.h"
#include "whatif/full_signal.h"
#include "whatif/stress.h"
#include "whatif/switch_on.h"
#include "whatif/whatif.h"

struct gathering {
    struct arena *arena;
    struct map *seen;
    struct assumption *items;
    size_t count, capacity;
};

static void gather(struct gathering *gathering, const struct assumption *assumption)
{
    const char *key = arena_print(gathering->arena, "%s\n%s",
                                  assumption->part != NULL ? assumption->part : "",
                                  assumption->what != NULL ? assumption->what : "");

    if (!map_add(gathering->seen, key, gathering))
        return;
    gathering->items = arena_grow(gathering->arena, gathering->items, &gathering->capacity,
                                  gathering->count, sizeof *gathering->items);
    gathering->items[gathering->count++] = *assumption;
}

static void gather_figures(struct gathering *gathering, const struct part_info *info)
{
    for (size_t i = 0; i < info->figure_count; i++) {
        const struct figure *figure = &info->figures[i];

        if (figure->origin != FIGURE_ASSUMED)
            continue;
        gather(gathering, &(struct assumption){.part = info->part->ref,
                                               .what = figure_rows[figure->id].name,
                                               .value = figure->value,
                                               .low = figure->low,
                                               .high = figure->high,
                                               .reason = figure->why});
    }
}

/* What the markings of fuses leave open. */
static void gather_characteristics(struct gathering *gathering, const struct findings_of_stages *stages)
{
    for (size_t i = 0; stages->whatif != NULL && i < stages->whatif->fuse_count; i++) {
        const struct fuse_state *fuse = &stages->whatif->fuses[i];

        if (fuse->assumed != NULL)
            gather(gathering, &(struct assumption){.part = stages->network->branches[fuse->branch].part->ref,
                                                   .what = "characteristic",
                                                   .value = NAN,
                                                   .low = NAN,
                                                   .high = NAN,
                                                   .reason = fuse->assumed});
    }
}

/* How warm windings get in a fault rests on how thick their wire was chosen. */
static void gather_densities(struct gathering *gathering, const struct findings_of_stages *stages)
{
    for (size_t i = 0; stages->whatif != NULL && i < stages->whatif->fault_count; i++)
        for (size_t j = 0; j < stages->whatif->faults[i].stress_count; j++) {
            const struct stress *stress = &stages->whatif->faults[i].stresses[j];

            if ((stress->what != STRESS_WINDING && stress->what != STRESS_CHOKE) || isnan(stress->limit))
                continue;
            gather(gathering, &(struct assumption){
                                  .part = stages->network->branches[stress->branch].part->ref,
                                  .what = STRESS_DENSITY,
                                  .value = copper_usual.density,
                                  .low = copper_most.density,
                                  .high = copper_least.density,
                                  .reason = "windings are made for 2.5 to 4 A/mm2 at their rated current "
                                            "(common practice, no source)"});
        }
}

void facts_gather_assumptions(struct facts_build *build)
{
    struct gathering gathering = {.arena = build->arena, .seen = map_new()};
    const struct network *network = build->stages->network;
    const struct parts *parts = build->stages->parts;
    const struct switch_on *switch_on = build->stages->switch_on;

    for (size_t i = 0; i < network->assumption_count; i++)
        gather(&gathering, &network->assumptions[i]);
    for (size_t i = 0; build->stages->full != NULL && i < build->stages->full->notes.assumption_count;
         i++)
        gather(&gathering, &build->stages->full->notes.assumptions[i]);
    for (size_t i = 0; switch_on != NULL && i < switch_on->assumption_count; i++)
        gather(&gathering, &switch_on->assumptions[i]);
    for (size_t i = 0; i < parts->count; i++)
        gather_figures(&gathering, &parts->items[i]);
    gather_characteristics(&gathering, build->stages);
    gather_densities(&gathering, build->stages);
    map_free(gathering.seen);
    build->assumptions = gathering.items;
    build->assumption_count = gathering.count;
}

void facts_add_assumptions(const struct facts_build *build)
{
    for (size_t i = 0; i < build->assumption_count; i++) {
        const struct assumption *assumption = &build->assumptions[i];
        xmlNode *node = fact_element(build->root, "assumption");

        fact_text(node, "id", arena_print(build->arena, "assumption%zu", i + 1));
        fact_text(node, "part", assumption->part);
        fact_text(node, "what", assumption->what);
        fact_number(node, "value", assumption->value);
        fact_number(node, "low", assumption->low);
        fact_number(node, "high", assumption->high);
        fact_text(node, "reason", assumption->reason);
    }
}

/* Stages repeat each other's gaps, a gap may come once for each pin: each is said once. */
static void add_gap(const struct facts_build *build, const char *stage, const char *part,
                    const char *what, const char *need)
{
    const char *key = arena_print(build->arena, "%s\n%s", part != NULL ? part : "", what);
    xmlNode *node;

    if (!map_add(build->gaps_seen, key, build->gaps_seen))
        return;
    node = fact_element(build->root, "gap");
    fact_text(node, "stage", stage);
    fact_text(node, "part", part);
    fact_text(node, "what", what);
    fact_text(node, "need", need);
}

/* A fuse that has no branch is in no path that was looked at. */
static void add_lost_fuses(const struct facts_build *build)
{
    const struct parts *parts = build->stages->parts;
    const struct network *network = build->stages->network;
    bool *seen = arena_array(build->arena, parts->count, sizeof *seen);

    for (size_t i = 0; i < network->branch_count; i++)
        if (network->branches[i].kind == BRANCH_FUSE)
            seen[network->branches[i].part->index] = true;
    for (size_t i = 0; i < parts->count; i++)
        if (parts->items[i].kind == PART_FUSE && !seen[i])
            add_gap(build, "device", parts->items[i].part->ref,
                    "the fuse is in no current path, so nothing was checked for it",
                    "both of its ends connected in the netlist");
}

static bool has_capacitor(const struct network *network, size_t node, size_t back)
{
    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->kind == BRANCH_CAPACITANCE &&
            ((branch->from == node && branch->to == back) ||
             (branch->to == node && branch->from == back)))
            return true;
    }
    return false;
}

/* The node that a pass transistor or regulator on RAIL feeds and a capacitor smooths; SIZE_MAX: it feeds none. */
static size_t passed_node(const struct facts_build *build, const struct rail *rail,
                          const struct branch *load)
{
    size_t in = rail->negative ? load->to : load->from, out = rail->negative ? load->from : load->to;
    bool on_rail = false;

    if (out == rail->back)
        return SIZE_MAX;
    for (size_t i = 0; i < rail->node_count; i++) {
        on_rail |= rail->nodes[i].node == in;
        if (rail->nodes[i].node == out)
            return SIZE_MAX;
    }
    return on_rail && has_capacitor(build->stages->network, out, rail->back) ? out : SIZE_MAX;
}

/* Shorts are tried at rail nodes only; what a transistor or regulator passes current on to is none. */
static void add_untried(const struct facts_build *build, const struct branch *load)
{
    const struct trace *trace = build->stages->trace;

    for (size_t i = 0; i < trace->rail_count; i++) {
        size_t node = passed_node(build, &trace->rails[i], load);

        if (node != SIZE_MAX)
            add_gap(build, "whatif", load->part->ref,
                    arena_print(build->arena, "no short was tried at %s, nor at what it feeds",
                                facts_node_name(build, node)),
                    "the current this part passes into a short, from its data sheet");
    }
}

static void add_all_untried(const struct facts_build *build)
{
    const struct network *network = build->stages->network;

    for (size_t i = 0; build->stages->trace != NULL && i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        enum part_kind kind = facts_part(build, branch->part)->kind;

        if (branch->kind == BRANCH_LOAD && (kind == PART_TRANSISTOR || kind == PART_FET ||
                                            kind == PART_REGULATOR))
            add_untried(build, branch);
    }
}

/* Stages that were found, but not at full signal. */
static void add_full_gaps(const struct facts_build *build)
{
    const struct full_signal *full = build->stages->full;

    for (size_t i = 0; full != NULL && i < full->gap_count; i++)
        add_gap(build, "whatif", full->gaps[i].part, full->gaps[i].what, full->gaps[i].need);
}

void facts_add_gaps(const struct facts_build *build)
{
    const struct network *network = build->stages->network;
    const struct trace *trace = build->stages->trace;

    /* Many say themselves what to give. */
    for (size_t i = 0; i < network->gap_count; i++)
        add_gap(build, "device", network->gap_parts != NULL ? network->gap_parts[i] : NULL,
                network->gaps[i],
                strstr(network->gaps[i], "; give ") != NULL
                    ? NULL
                    : "the missing value, measured if need be, as a field of the part");
    add_lost_fuses(build);
    if (trace == NULL)
        add_gap(build, "trace", NULL, "what protects what was not traced", NULL);
    for (size_t i = 0; trace != NULL && i < trace->doubt_count; i++)
        add_gap(build, "trace", trace->doubt_parts != NULL ? trace->doubt_parts[i] : NULL,
                trace->doubts[i],
                "the connection, from the drawing or with a meter on the chassis");
    if (build->stages->whatif == NULL)
        add_gap(build, "whatif", NULL, "no short was computed", NULL);
    add_full_gaps(build);
    add_all_untried(build);
    facts_add_lost_loads(build);
}
