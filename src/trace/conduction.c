#include "trace/conduction.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"

/* A rectifier in forward direction counts as one ohm, little against any high-tension winding; so does a regulator. */
#define RECTIFIER_OHMS 1.0
/* What draws a stated current never feeds a fault beyond it: as good as no path wherever another exists. */
#define LOAD_OHMS 1e6
#define DEFAULT_HERTZ 50.0
#define TWO_PI 6.283185307179586

bool conduction_regulates(const struct branch *branch)
{
    return branch->element->device == &device_regulator;
}

static double winding_ohms(const struct branch *branch)
{
    return branch->element->ohms != NULL ? branch->element->ohms[branch->slot] : 0;
}

static double raw_ohms(const struct branch *branch, double hertz)
{
    const double *figures = branch->element->figures;

    switch (branch->kind) {
    case BRANCH_RESISTANCE:
    case BRANCH_FUSE:
    case BRANCH_CONTACT:
        return figures[0];
    case BRANCH_CAPACITANCE:
        return figures[0] > 0 ? 1 / (TWO_PI * hertz * figures[0]) : 0;
    case BRANCH_INDUCTANCE:
        return figures[1];
    case BRANCH_WINDING:
        return winding_ohms(branch);
    case BRANCH_SOURCE:
        return figures[4];
    case BRANCH_RECTIFIER:
        return RECTIFIER_OHMS;
    case BRANCH_LOAD:
        return conduction_regulates(branch) ? RECTIFIER_OHMS : LOAD_OHMS;
    case BRANCH_KIND_COUNT:
        break;
    }
    return LOAD_OHMS;
}

/* Never negative, never not-a-number: a search relies on it. */
static double branch_ohms(const struct branch *branch, double hertz)
{
    double ohms = raw_ohms(branch, hertz);

    return isfinite(ohms) && ohms > 0 ? ohms : ohms > 0 ? LOAD_OHMS : 0;
}

static bool is_zero_source(const struct branch *branch)
{
    return branch->kind == BRANCH_SOURCE && branch->element->device == &device_source &&
           branch->element->figures[0] == 0 &&
           branch->element->figures[1] == 0;
}

static bool is_wire(const struct branch *branch)
{
    return branch->kind == BRANCH_FUSE || branch->kind == BRANCH_CONTACT || is_zero_source(branch);
}

/* Marks resistors and capacitors that lie across DIODE. */
static void mark_beside(struct conduction *conduction, const struct branch *diode)
{
    const struct graph *graph = conduction->graph;
    size_t near = graph_degree(graph, diode->from) <= graph_degree(graph, diode->to) ? diode->from
                                                                                     : diode->to;
    size_t far = near == diode->from ? diode->to : diode->from;

    for (size_t i = graph->first[near]; i < graph->first[near + 1]; i++) {
        size_t index = graph->links[i];
        enum branch_kind kind = conduction->network->branches[index].kind;

        if (graph_other(graph, index, near) == far &&
            (kind == BRANCH_RESISTANCE || kind == BRANCH_CAPACITANCE))
            conduction->beside[index] = true;
    }
}

bool conduction_is_rated_load(const struct conduction *conduction, size_t branch)
{
    enum part_kind kind = conduction_kind(conduction, branch);

    return conduction->network->branches[branch].kind == BRANCH_RESISTANCE &&
           (kind == PART_TRIODE || kind == PART_PENTODE || kind == PART_RECTIFIER_VALVE ||
            kind == PART_LAMP || kind == PART_RELAY);
}

static void fill_edges(struct conduction *conduction)
{
    const struct network *network = conduction->network;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        conduction->edges[i] = (struct graph_edge){branch->from, branch->to, branch->one_way,
                                                   conduction_is_rated_load(conduction, i)
                                                       ? LOAD_OHMS
                                                       : branch_ohms(branch, conduction->hertz)};
        conduction->open[i] =
            branch->kind == BRANCH_CAPACITANCE || branch->kind == BRANCH_KIND_COUNT;
        conduction->wire[i] = is_wire(branch);
        conduction->skip[i] = conduction->open[i];
    }
}

struct conduction *conduction_new(struct arena *arena, const struct network *network)
{
    struct conduction *conduction = arena_alloc(arena, sizeof *conduction);
    size_t branches = network->branch_count + 1;

    conduction->arena = arena;
    conduction->network = network;
    conduction->hertz = network->hertz > 0 ? network->hertz : DEFAULT_HERTZ;
    conduction->edges = arena_array(arena, branches, sizeof *conduction->edges);
    conduction->open = arena_array(arena, branches, sizeof(bool));
    conduction->wire = arena_array(arena, branches, sizeof(bool));
    conduction->riding = arena_array(arena, branches, sizeof(bool));
    conduction->beside = arena_array(arena, branches, sizeof(bool));
    conduction->skip = arena_array(arena, branches, sizeof(bool));
    conduction->barred = arena_array(arena, network->node_count + 1, sizeof(bool));
    conduction->least = arena_array(arena, network->node_count + 1, sizeof(double));
    fill_edges(conduction);
    conduction->graph =
        graph_new(arena, network->node_count, conduction->edges, network->branch_count);
    conduction->search = graph_search_new(arena, conduction->graph);
    conduction->second = graph_search_new(arena, conduction->graph);
    for (size_t i = 0; i < network->branch_count; i++)
        if (network->branches[i].kind == BRANCH_RECTIFIER)
            mark_beside(conduction, &network->branches[i]);
    return conduction;
}

const struct part_info *conduction_info(const struct conduction *conduction, size_t branch)
{
    const struct parts *parts = conduction->network->parts;
    const struct part *part = conduction->network->branches[branch].part;

    if (parts == NULL || part == NULL || part->index >= parts->count)
        return NULL;
    return parts->items[part->index].part == part ? &parts->items[part->index] : NULL;
}

enum part_kind conduction_kind(const struct conduction *conduction, size_t branch)
{
    const struct part_info *info = conduction_info(conduction, branch);

    return info != NULL ? info->kind : PART_UNKNOWN;
}

bool conduction_passive(const struct conduction *conduction, size_t branch)
{
    enum branch_kind kind = conduction->network->branches[branch].kind;

    return conduction->wire[branch] || conduction->riding[branch] || kind == BRANCH_RESISTANCE ||
           kind == BRANCH_INDUCTANCE;
}

bool conduction_small(const struct conduction *conduction, size_t branch)
{
    return conduction->network->branches[branch].kind == BRANCH_RESISTANCE &&
           conduction->edges[branch].length <= CONDUCTION_SMALL_OHMS;
}

bool conduction_is_capacitor(const struct conduction *conduction, size_t branch)
{
    return conduction->network->branches[branch].kind == BRANCH_CAPACITANCE;
}

size_t conduction_other(const struct conduction *conduction, size_t branch, size_t node)
{
    return graph_other(conduction->graph, branch, node);
}

bool conduction_is_ground(const struct conduction *conduction, size_t node)
{
    return node == conduction->network->ground;
}

const char *conduction_node_name(const struct conduction *conduction, size_t node)
{
    const struct node *item = &conduction->network->nodes[node];

    if (item->net != NULL && item->net->leaf != NULL)
        return item->net->leaf;
    return item->name != NULL ? item->name : "";
}
