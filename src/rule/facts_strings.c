/* Capacitors and diodes in series, and whether resistors share the volts between them; windings that diodes short. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "rule/facts_high_mains.h"
#include "rule/facts_rests.h"
#include "rule/facts_xml.h"
#include "rule/judge.h"
#include "rule/ways.h"
#include "solve/solve.h"
#include "trace/trace.h"

/* Capacitors from here up are those of supplies, F. Common practice, no source. */
static const double supply_farads = 1e-6;
/* A resistance of more than this does not share anything, ohm. Common practice, no source. */
static const double sharing_ohms = 10e6;

/* ---- capacitors ---- */

/* The two capacitors that meet at NODE, if nothing but capacitors and resistances stand there. */
static size_t meeting_at(const struct facts_build *build, size_t node, const struct branch *found[2])
{
    const struct network *network = build->stages->network;
    size_t count, capacitors = 0;
    const size_t *at = ways_branches(build->ways, node, &count);

    for (size_t i = 0; i < count; i++) {
        const struct branch *branch = &network->branches[at[i]];

        if (branch->kind == BRANCH_CAPACITANCE && branch->element->figures[0] >= supply_farads) {
            if (capacitors < 2)
                found[capacitors] = branch;
            capacitors++;
        } else if (branch->kind != BRANCH_RESISTANCE) {
            return 0;
        }
    }
    return capacitors;
}

static size_t far_end(const struct branch *branch, size_t node)
{
    return branch->from == node ? branch->to : branch->from;
}

const struct branch *facts_string_below(const struct facts_build *build, size_t middle, const struct branch *above)
{
    const struct branch *found[2];

    if (middle == build->stages->network->ground || meeting_at(build, middle, found) != 2)
        return NULL;
    return found[0] == above ? found[1] : found[0];
}

static double least_rating(const struct facts_build *build, const struct branch *const found[2])
{
    double a = part_figure_value(facts_part(build, found[0]->part), FIGURE_RATED_VOLTS, NAN);
    double b = part_figure_value(facts_part(build, found[1]->part), FIGURE_RATED_VOLTS, NAN);

    return isnan(a) || isnan(b) ? NAN : fmin(a, b);
}

static void add_capacitor_string(const struct facts_build *build, size_t node)
{
    const struct branch *found[2];
    const struct solution *healthy = build->stages->healthy;
    size_t a, b;
    xmlNode *element;

    if (node == build->stages->network->ground || meeting_at(build, node, found) != 2)
        return;
    a = far_end(found[0], node);
    b = far_end(found[1], node);
    if (a == b || a == node || b == node)
        return;
    element = fact_element(build->root, "capacitor-string");
    fact_text(element, "net", facts_node_name(build, node));
    fact_text(element, "parts", arena_print(build->arena, "%s %s", found[0]->part->ref, found[1]->part->ref));
    fact_flag(element, "shared",
              ways_ohms(build->ways, node, a, WAY_ALL) <= sharing_ohms &&
                  ways_ohms(build->ways, node, b, WAY_ALL) <= sharing_ohms);
    if (facts_solved(build)) {
        fact_number(element, "volts", fabs(healthy->nodes[a].mean - healthy->nodes[b].mean));
        facts_rests_node(build, a);
        facts_rests_node(build, b);
        facts_rests_write(build, element);
    }
    fact_number(element, "least-rated-volts", least_rating(build, found));
}

/* ---- diodes ---- */

/* Resistance across DIODE that takes its share; a bridge's legs and valves have none to take. */
static bool has_sharing(const struct facts_build *build, const struct branch *diode)
{
    return ways_ohms(build->ways, diode->from, diode->to, 0) <= sharing_ohms;
}

/* BRANCH shares volts or takes spikes across one of two diodes that meet, and does nothing else. */
static bool lies_across(const struct branch *branch, const struct branch *before, const struct branch *after)
{
    size_t far = far_end(branch, before->to);

    return far == before->from || (after != NULL && far == after->to);
}

/* The diode that DIODE leads into, if nothing else but resistors and capacitors across either meets there. */
static const struct branch *following(const struct facts_build *build, const struct rectifier *rectifier,
                                      const struct branch *diode)
{
    const struct network *network = build->stages->network;
    size_t rectifiers = 0, count;
    const size_t *at = ways_branches(build->ways, diode->to, &count);
    const struct branch *next = NULL;

    for (size_t i = 0; i < rectifier->branch_count; i++)
        if (network->branches[rectifier->branches[i]].from == diode->to)
            next = &network->branches[rectifier->branches[i]];
    for (size_t i = 0; i < count; i++) {
        const struct branch *branch = &network->branches[at[i]];

        if (branch->kind == BRANCH_RECTIFIER)
            rectifiers++;
        else if ((branch->kind != BRANCH_RESISTANCE && branch->kind != BRANCH_CAPACITANCE) ||
                 !lies_across(branch, diode, next))
            return NULL;
    }
    return rectifiers == 2 ? next : NULL;
}

static bool is_first(const struct facts_build *build, const struct rectifier *rectifier, const struct branch *diode)
{
    const struct network *network = build->stages->network;

    for (size_t i = 0; i < rectifier->branch_count; i++)
        if (following(build, rectifier, &network->branches[rectifier->branches[i]]) == diode)
            return false;
    return true;
}

/* The leg that begins at FIRST. */
static void add_diode_string(const struct facts_build *build, const struct rectifier *rectifier,
                             const struct branch *first)
{
    struct text parts = {0};
    double rated = INFINITY;
    bool shared = true;
    size_t count = 0;
    xmlNode *node;

    for (const struct branch *diode = first; diode != NULL && count <= rectifier->branch_count; count++) {
        rated = fmin(rated, part_figure_value(facts_part(build, diode->part), FIGURE_REVERSE_VOLTS, -1));
        shared = shared && has_sharing(build, diode);
        text_print(&parts, "%s%s", count > 0 ? " " : "", diode->part->ref);
        diode = following(build, rectifier, diode);
    }
    if (count > 1) {
        node = fact_element(build->root, "diode-string");
        fact_text(node, "part", first->part->ref);
        fact_text(node, "parts", text_bytes(&parts));
        fact_flag(node, "shared", shared);
        fact_number(node, "high-reverse-volts", facts_high_reverse_volts(build, rectifier));
        if (rated > 0)
            fact_number(node, "least-rated-volts", rated);
        facts_rests_high_mains(build, &build->stages->trace->sources[rectifier->source]);
        facts_rests_write(build, node);
    }
    text_free(&parts);
}

void facts_add_strings(const struct facts_build *build)
{
    const struct network *network = build->stages->network;
    const struct trace *trace = build->stages->trace;

    for (size_t i = 0; i < network->node_count; i++)
        if (network->nodes[i].net != NULL)
            add_capacitor_string(build, i);
    for (size_t i = 0; trace != NULL && i < trace->rectifier_count; i++)
        for (size_t k = 0; k < trace->rectifiers[i].branch_count; k++) {
            const struct branch *diode = &network->branches[trace->rectifiers[i].branches[k]];

            if (following(build, &trace->rectifiers[i], diode) != NULL &&
                is_first(build, &trace->rectifiers[i], diode))
                add_diode_string(build, &trace->rectifiers[i], diode);
        }
}

/* ---- windings that diodes short ---- */

/* A walk from one end of a winding through wires, and through diodes the way they conduct. */
struct short_walk {
    const struct facts_build *build;
    size_t *arrival; /* by node: branch it was reached by; SIZE_MAX: not reached */
    size_t *queue;
    size_t count;
};

static bool passes(const struct branch *branch, size_t node)
{
    return branch->kind == BRANCH_FUSE || branch->kind == BRANCH_CONTACT ||
           (branch->kind == BRANCH_RECTIFIER && branch->from == node);
}

static void walk_on(struct short_walk *walk, size_t node, size_t start)
{
    const struct network *network = walk->build->stages->network;
    size_t count;
    const size_t *at = ways_branches(walk->build->ways, node, &count);

    for (size_t i = 0; i < count; i++) {
        const struct branch *branch = &network->branches[at[i]];
        size_t other = far_end(branch, node);

        if (!passes(branch, node) || other == start || walk->arrival[other] != SIZE_MAX)
            continue;
        walk->arrival[other] = branch->index;
        walk->queue[walk->count++] = other;
    }
}

/* The diodes on the way found, from END back to START, as "D1 D2"; NULL: there are none. */
static const char *diodes_on_way(const struct short_walk *walk, size_t start, size_t end)
{
    struct text text = {0};
    const char *words = NULL;

    for (size_t node = end; node != start;) {
        const struct branch *branch = &walk->build->stages->network->branches[walk->arrival[node]];

        if (branch->kind == BRANCH_RECTIFIER)
            text_print(&text, "%s%s", text.length > 0 ? " " : "", branch->part->ref);
        node = far_end(branch, node);
    }
    if (text.length > 0)
        words = arena_copy(walk->build->arena, text_bytes(&text));
    text_free(&text);
    return words;
}

static const char *shorting_diodes(struct short_walk *walk, size_t start, size_t end)
{
    const char *words = NULL;

    walk->count = 0;
    walk->queue[walk->count++] = start;
    for (size_t i = 0; i < walk->count && walk->arrival[end] == SIZE_MAX; i++)
        walk_on(walk, walk->queue[i], start);
    if (walk->arrival[end] != SIZE_MAX)
        words = diodes_on_way(walk, start, end);
    for (size_t i = 0; i < walk->count; i++)
        walk->arrival[walk->queue[i]] = SIZE_MAX;
    return words;
}

/* Where the resistance of a winding is drawn beside it, what lies behind that is its end. */
static size_t beyond_resistance(const struct short_walk *walk, const struct branch *section, size_t node)
{
    const struct network *network = walk->build->stages->network;
    size_t count;
    const size_t *at = ways_branches(walk->build->ways, node, &count);

    if (section->section != NULL || count != 2 || node == network->ground)
        return node;
    for (size_t i = 0; i < 2; i++)
        if (network->branches[at[i]].kind == BRANCH_RESISTANCE)
            return far_end(&network->branches[at[i]], node);
    return node;
}

/* Diodes that join an end of one section to an end of the other, or to its own other end. */
static const char *shorted_between(struct short_walk *walk, const struct branch *one, const struct branch *other)
{
    const size_t from[] = {beyond_resistance(walk, one, one->from), beyond_resistance(walk, one, one->to)};
    const size_t to[] = {beyond_resistance(walk, other, other->from), beyond_resistance(walk, other, other->to)};
    const char *words = NULL;

    for (size_t i = 0; i < 2; i++)
        for (size_t k = 0; k < 2; k++) {
            if (words == NULL && from[i] != to[k])
                words = shorting_diodes(walk, from[i], to[k]);
            if (words == NULL && from[i] != to[k])
                words = shorting_diodes(walk, to[k], from[i]);
        }
    return words;
}

const char *facts_shorted_by(const struct facts_build *build, const struct trace_source *source)
{
    const struct network *network = build->stages->network;
    struct short_walk walk = {.build = build};
    const char *words = NULL;

    if (source->kind != SOURCE_WINDING)
        return NULL;
    walk.arrival = arena_array(build->arena, network->node_count, sizeof *walk.arrival);
    walk.queue = arena_array(build->arena, network->node_count, sizeof *walk.queue);
    for (size_t i = 0; i < network->node_count; i++)
        walk.arrival[i] = SIZE_MAX;
    for (size_t i = 0; i < source->branch_count; i++) {
        const struct branch *section = &network->branches[source->branches[i]];

        /* From any tap to any other: a diode turned round in one leg shorts both halves. */
        for (size_t k = 0; words == NULL && k <= i; k++)
            words = shorted_between(&walk, section, &network->branches[source->branches[k]]);
    }
    return words;
}
