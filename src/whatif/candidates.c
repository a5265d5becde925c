/* What credibly fails, in the order of the rails, rectifiers and parts. */
#include "whatif/candidates.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "trace/trace.h"
#include "whatif/sweep.h"

/* A stopper between a capacitor and the grid that it drives has less than this, ohm; grid leaks have more. Common practice, no
 * source. */
static const double stopper_ohms = 50e3;

struct listing_of_faults {
    struct sweep *sweep;
    struct map *pairs; /* "a b" of the nodes, lower first: index of the fault, plus one */
    struct map *ids;
};

/* Nodes that are 0 V by definition count as one. */
static size_t same_node(const struct sweep *sweep, size_t node)
{
    return sweep->islands.is_reference[node] ? sweep->network->ground : node;
}

static const char *pair_key(const struct sweep *sweep, size_t a, size_t b)
{
    a = same_node(sweep, a);
    b = same_node(sweep, b);
    return arena_print(sweep->arena, "%zu %zu", a < b ? a : b, a < b ? b : a);
}

static void add_part(struct sweep *sweep, struct fault *fault, const struct part *part)
{
    for (size_t i = 0; i < fault->part_count; i++)
        if (fault->parts[i] == part)
            return;
    fault->parts = arena_grow(sweep->arena, fault->parts, &fault->part_capacity, fault->part_count,
                              sizeof *fault->parts);
    fault->parts[fault->part_count++] = part;
}

static const char *unused_id(struct listing_of_faults *listing, const char *id, const char *end)
{
    struct arena *arena = listing->sweep->arena;
    const char *found = id;

    if (map_get(listing->ids, found) != NULL && end != NULL)
        found = id = arena_print(arena, "%s-%s", id, end);
    for (size_t i = 2; map_get(listing->ids, found) != NULL; i++)
        found = arena_print(arena, "%s-%zu", id, i);
    map_add(listing->ids, found, (void *)found);
    return found;
}

/* The fault of two nodes; NULL: it is listed already, and is now about PART too, or it is none. END: what tells its id
 * from others. */
static struct fault *add_short(struct listing_of_faults *listing, enum fault_site site, const struct part *part,
                               size_t node, size_t back, const char *id, const char *end)
{
    struct sweep *sweep = listing->sweep;
    struct whatif *whatif = sweep->whatif;
    struct fault *fault;
    const char *key;
    uintptr_t known;

    if (node == SIZE_MAX || back == SIZE_MAX || same_node(sweep, node) == same_node(sweep, back))
        return NULL;
    key = pair_key(sweep, node, back);
    known = (uintptr_t)map_get(listing->pairs, key);
    if (known != 0 && site != SITE_RAIL) {
        add_part(sweep, &whatif->faults[known - 1], part);
        return NULL;
    }
    whatif->faults = arena_grow(sweep->arena, whatif->faults, &whatif->fault_capacity, whatif->fault_count,
                                sizeof *whatif->faults);
    fault = &whatif->faults[whatif->fault_count++];
    *fault = (struct fault){.site = site, .rail = SIZE_MAX, .node = node, .back = back, .branch = SIZE_MAX,
                            .valve = SIZE_MAX};
    fault->on_bias = sweep->trace->roles[node] == NET_BIAS || sweep->trace->roles[back] == NET_BIAS;
    fault->id = unused_id(listing, id, end);
    if (known == 0)
        map_add(listing->pairs, key, (void *)(uintptr_t)whatif->fault_count);
    if (part != NULL)
        add_part(sweep, fault, part);
    return fault;
}

static const char *name_of(const struct sweep *sweep, size_t node)
{
    return sweep->network->nodes[node].name;
}

/* ---- rails ---- */

/* The capacitors on the node, or the wire. */
static const char *rail_words(struct sweep *sweep, struct fault *fault, const struct rail_node *node)
{
    const char *words = NULL;

    for (size_t i = 0; i < node->capacitor_count; i++) {
        const struct part *part = sweep->network->branches[node->capacitors[i]].part;

        add_part(sweep, fault, part);
        words = words == NULL ? part->ref : arena_print(sweep->arena, "%s or %s", words, part->ref);
    }
    if (words == NULL)
        return arena_print(sweep->arena, "%s short to %s", name_of(sweep, fault->node),
                           name_of(sweep, fault->back));
    return arena_print(sweep->arena, "%s short (%s to %s)", words, name_of(sweep, fault->node),
                       name_of(sweep, fault->back));
}

static void list_rail(struct listing_of_faults *listing, size_t index)
{
    struct sweep *sweep = listing->sweep;
    const struct rail *rail = &sweep->trace->rails[index];

    for (size_t i = 0; i < rail->node_count; i++) {
        struct fault *fault;
        bool behind;

        if (rail->nodes[i].node == rail->back)
            continue;
        behind = reach_dropper_ohms(sweep->network, rail, i) >= WHATIF_DROPPER_OHMS;
        if (behind && rail->nodes[i].capacitor_count == 0) {
            sweep->whatif->behind_dropper++;
            continue;
        }
        fault = add_short(listing, SITE_RAIL, NULL, rail->nodes[i].node, rail->back,
                          arena_print(sweep->arena, "short-%s-%s", rail->id,
                                      name_of(sweep, rail->nodes[i].node)),
                          NULL);
        if (fault == NULL)
            continue;
        fault->rail = index;
        fault->what = rail_words(sweep, fault, &rail->nodes[i]);
        if (behind)
            fault->limiter = reach_dropper(sweep->network, rail, i);
    }
}

/* ---- rectifiers ---- */

static void list_diode(struct listing_of_faults *listing, const struct branch *branch)
{
    struct sweep *sweep = listing->sweep;
    const struct parts *parts = sweep->network->parts;
    enum part_kind kind = parts != NULL ? parts->items[branch->part->index].kind : PART_DIODE;
    const char *ref = branch->part->ref, *from = name_of(sweep, branch->from), *to = name_of(sweep, branch->to);
    const char *id = kind == PART_DIODE ? arena_print(sweep->arena, "short-%s", ref)
                     : kind == PART_RECTIFIER_VALVE
                         ? arena_print(sweep->arena, "short-%s-anode-cathode", ref)
                         : arena_print(sweep->arena, "short-%s-%s-%s", ref, from, to);
    struct fault *fault = add_short(listing, SITE_DIODE, branch->part, branch->from, branch->to, id, from);

    if (fault != NULL)
        fault->what = kind == PART_DIODE ? arena_print(sweep->arena, "%s short", ref)
                      : kind == PART_RECTIFIER_VALVE
                          ? arena_print(sweep->arena, "%s anode at %s to cathode", ref, from)
                          : arena_print(sweep->arena, "%s short from %s to %s", ref, from, to);
}

static void list_rectifiers(struct listing_of_faults *listing)
{
    const struct trace *trace = listing->sweep->trace;

    for (size_t i = 0; i < trace->rectifier_count; i++)
        for (size_t k = 0; k < trace->rectifiers[i].branch_count; k++) {
            const struct branch *branch =
                &listing->sweep->network->branches[trace->rectifiers[i].branches[k]];

            if (branch->kind == BRANCH_RECTIFIER)
                list_diode(listing, branch);
        }
}

/* ---- transformers ---- */

/* What a winding is wound around: a shield or frame that is connected, else the chassis, else the reference. */
static size_t frame_of(const struct sweep *sweep, const struct part_info *info)
{
    for (size_t i = 0; info != NULL && i < info->part->pin_count; i++)
        if (info->pins[i].role == PIN_SHIELD && info->part->pins[i].net != NULL)
            return info->part->pins[i].net->index;
    return sweep->network->ground;
}

/* An end that an ideal source holds says nothing when shorted. */
static size_t open_end(const struct sweep *sweep, size_t node)
{
    return sweep->islands.holders[node] != NULL ? SIZE_MAX : node;
}

/* NODE is an end of WINDING ("T1.HT"); INFO: whose frame. */
static void list_winding_end(struct listing_of_faults *listing, const struct part_info *info, const char *winding,
                             size_t node)
{
    struct sweep *sweep = listing->sweep;
    bool heater = node != SIZE_MAX && sweep->trace->roles[node] == NET_HEATER;
    struct fault *fault;

    if (node == SIZE_MAX)
        return;
    fault = add_short(listing, heater ? SITE_HEATER : SITE_WINDING, info->part, node, frame_of(sweep, info),
                      heater ? "short-heater-chassis"
                             : arena_print(sweep->arena, "short-%s-frame", winding),
                      name_of(sweep, node));
    if (fault != NULL)
        fault->what = heater ? arena_print(sweep->arena, "heater wiring %s to chassis", name_of(sweep, node))
                             : arena_print(sweep->arena, "winding %s at %s to frame", winding,
                                           name_of(sweep, node));
}

static void list_primary(struct listing_of_faults *listing, const struct part_info *info)
{
    for (size_t i = 0; i < info->section_count; i++) {
        const struct section *section = &info->sections[i];
        const struct winding *winding = &info->windings[section->winding];
        const char *id = arena_print(listing->sweep->arena, "%s.%s", info->part->ref, winding->name);

        if (!winding->primary)
            continue;
        if (section->start != NULL && section->start->net != NULL)
            list_winding_end(listing, info, id, open_end(listing->sweep, section->start->net->index));
        if (section->end != NULL && section->end->net != NULL)
            list_winding_end(listing, info, id, open_end(listing->sweep, section->end->net->index));
    }
}

/* Every winding that is a source, also one of coupled inductors. */
static void list_secondary(struct listing_of_faults *listing, const struct trace_source *source)
{
    struct sweep *sweep = listing->sweep;

    for (size_t i = 0; i < source->branch_count; i++) {
        const struct branch *branch = &sweep->network->branches[source->branches[i]];
        const struct part_info *info = &sweep->network->parts->items[branch->part->index];

        list_winding_end(listing, info, source->id, open_end(sweep, branch->from));
        list_winding_end(listing, info, source->id, open_end(sweep, branch->to));
    }
}

static void list_primary_end(struct listing_of_faults *listing, const struct part_info *info, size_t node)
{
    struct sweep *sweep = listing->sweep;
    struct fault *fault;

    if (node == SIZE_MAX || isinf(sweep->reach.ohms[node]))
        return;
    fault = add_short(listing, SITE_PRIMARY, info->part, node, frame_of(sweep, info),
                      arena_print(sweep->arena, "short-%s-primary-frame", info->part->ref),
                      name_of(sweep, node));
    if (fault != NULL)
        fault->what = arena_print(sweep->arena, "%s primary at %s to frame", info->part->ref,
                                  name_of(sweep, node));
}

static void list_output_transformer(struct listing_of_faults *listing, const struct part_info *info)
{
    for (size_t i = 0; i < info->section_count; i++) {
        const struct section *section = &info->sections[i];

        if (!info->windings[section->winding].primary)
            continue;
        if (section->start != NULL && section->start->net != NULL)
            list_primary_end(listing, info, section->start->net->index);
        if (section->end != NULL && section->end->net != NULL)
            list_primary_end(listing, info, section->end->net->index);
    }
}

/* ---- valves ---- */

static void list_electrodes(struct listing_of_faults *listing, const struct power_valve *valve, size_t node,
                            const char *electrode)
{
    struct sweep *sweep = listing->sweep;
    const char *ref = valve->info->part->ref;
    struct fault *fault =
        add_short(listing, SITE_VALVE, valve->info->part, node, valve->cathode,
                  arena_print(sweep->arena, "short-%s-%s-cathode", ref, electrode),
                  arena_print(sweep->arena, "%zu", valve->unit + 1));

    if (fault != NULL)
        fault->what = arena_print(sweep->arena, "%s %s to cathode", ref, electrode);
}

static void list_coupling(struct listing_of_faults *listing, size_t index, const struct branch *branch,
                          size_t from)
{
    struct sweep *sweep = listing->sweep;
    const struct power_valve *valve = &sweep->valves.items[index];
    size_t other = branch->from == from ? branch->to : branch->from;
    const char *ref = branch->part->ref;
    struct fault *fault;

    if (branch->kind != BRANCH_CAPACITANCE || sweep->reach.is_rail_node[other] || other == valve->cathode)
        return;
    fault = add_short(listing, SITE_COUPLING, branch->part, branch->from, branch->to,
                      arena_print(sweep->arena, "short-%s", ref), NULL);
    if (fault == NULL)
        return;
    fault->valve = index;
    fault->what = arena_print(sweep->arena, "%s short (to the grid of %s)", ref, valve->info->part->ref);
}

static void list_couplings_at(struct listing_of_faults *listing, size_t index, size_t node)
{
    const struct reach *reach = &listing->sweep->reach;

    for (size_t i = reach->first[node]; i < reach->first[node + 1]; i++)
        list_coupling(listing, index, &listing->sweep->network->branches[reach->links[i]], node);
}

/* Capacitors at the grid, and behind one stopper. */
static void list_couplings(struct listing_of_faults *listing, size_t index)
{
    const struct reach *reach = &listing->sweep->reach;
    const struct network *network = listing->sweep->network;
    size_t grid = listing->sweep->valves.items[index].grid;

    if (grid == SIZE_MAX || reach->is_rail_node[grid])
        return;
    list_couplings_at(listing, index, grid);
    for (size_t i = reach->first[grid]; i < reach->first[grid + 1]; i++) {
        const struct branch *branch = &network->branches[reach->links[i]];
        size_t other = branch->from == grid ? branch->to : branch->from;

        if (branch->kind == BRANCH_RESISTANCE && branch->element->figures[0] < stopper_ohms &&
            !reach->is_rail_node[other])
            list_couplings_at(listing, index, other);
    }
}

static void list_valves(struct listing_of_faults *listing)
{
    const struct power_valves *valves = &listing->sweep->valves;

    for (size_t i = 0; i < valves->count; i++) {
        list_electrodes(listing, &valves->items[i], valves->items[i].anode, "anode");
        list_electrodes(listing, &valves->items[i], valves->items[i].screen, "screen");
    }
    for (size_t i = 0; i < valves->count; i++)
        list_couplings(listing, i);
}

/* ---- semiconductors ---- */

static size_t role_node(const struct part_info *info, enum pin_role role)
{
    for (size_t i = 0; i < info->part->pin_count; i++)
        if (info->pins[i].role == role && info->part->pins[i].net != NULL)
            return info->part->pins[i].net->index;
    return SIZE_MAX;
}

static void list_regulator(struct listing_of_faults *listing, const struct part_info *info)
{
    struct sweep *sweep = listing->sweep;
    struct fault *fault =
        add_short(listing, SITE_REGULATOR, info->part, role_node(info, PIN_INPUT), role_node(info, PIN_OUTPUT),
                  arena_print(sweep->arena, "short-%s-input-output", info->part->ref), NULL);

    if (fault != NULL)
        fault->what = arena_print(sweep->arena, "%s input to output", info->part->ref);
}

static void list_transistor(struct listing_of_faults *listing, const struct part *part)
{
    struct sweep *sweep = listing->sweep;
    const struct part_info *info = &sweep->network->parts->items[part->index];
    bool bipolar = info->kind == PART_TRANSISTOR;
    const char *ends = bipolar ? "collector-emitter" : "drain-source";
    struct fault *fault =
        add_short(listing, SITE_TRANSISTOR, part, role_node(info, bipolar ? PIN_COLLECTOR : PIN_DRAIN),
                  role_node(info, bipolar ? PIN_EMITTER : PIN_SOURCE),
                  arena_print(sweep->arena, "short-%s-%s", part->ref, ends), NULL);

    if (fault != NULL)
        fault->what = arena_print(sweep->arena, "%s %s", part->ref,
                                  bipolar ? "collector to emitter" : "drain to source");
}

/* ---- fuses ---- */

static void list_fuse(struct listing_of_faults *listing, const struct branch *branch)
{
    struct sweep *sweep = listing->sweep;
    struct whatif *whatif = sweep->whatif;
    struct fault *fault;

    whatif->faults = arena_grow(sweep->arena, whatif->faults, &whatif->fault_capacity, whatif->fault_count,
                                sizeof *whatif->faults);
    fault = &whatif->faults[whatif->fault_count++];
    *fault = (struct fault){.kind = FAULT_OPEN, .site = SITE_FUSE, .rail = SIZE_MAX, .node = branch->from,
                            .back = branch->to, .branch = branch->index, .valve = SIZE_MAX};
    fault->id = unused_id(listing, arena_print(sweep->arena, "open-%s", branch->part->ref), NULL);
    fault->what = arena_print(sweep->arena, "%s open", branch->part->ref);
    add_part(sweep, fault, branch->part);
}

/* ---- all ---- */

static void list_parts(struct listing_of_faults *listing)
{
    const struct parts *parts = listing->sweep->network->parts;

    const struct trace *trace = listing->sweep->trace;

    for (size_t i = 0; parts != NULL && i < trace->source_count; i++)
        if (trace->sources[i].kind == SOURCE_WINDING)
            list_secondary(listing, &trace->sources[i]);
    for (size_t i = 0; parts != NULL && i < parts->count; i++)
        if (parts->items[i].kind == PART_TRANSFORMER)
            list_primary(listing, &parts->items[i]);
    list_valves(listing);
    for (size_t i = 0; parts != NULL && i < parts->count; i++)
        if (parts->items[i].kind == PART_OUTPUT_TRANSFORMER)
            list_output_transformer(listing, &parts->items[i]);
    for (size_t i = 0; parts != NULL && i < parts->count; i++)
        if (parts->items[i].kind == PART_REGULATOR)
            list_regulator(listing, &parts->items[i]);
    for (size_t i = 0; i < listing->sweep->followers.count; i++)
        for (size_t k = 0; k < listing->sweep->followers.items[i].count; k++)
            list_transistor(listing, listing->sweep->followers.items[i].followers[k].part);
}

void candidates_list(struct sweep *sweep)
{
    struct listing_of_faults listing = {.sweep = sweep, .pairs = map_new(), .ids = map_new()};

    for (size_t i = 0; i < sweep->trace->rail_count; i++)
        list_rail(&listing, i);
    sweep->whatif->rail_faults = sweep->whatif->fault_count;
    list_rectifiers(&listing);
    list_parts(&listing);
    for (size_t i = 0; i < sweep->whatif->fuse_count; i++)
        list_fuse(&listing, &sweep->network->branches[sweep->whatif->fuses[i].branch]);
    map_free(listing.pairs);
    map_free(listing.ids);
}
