/* Contacts of jacks: what volts they carry, what could feed them, and what the loudspeaker's side looks like without one. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "rule/facts_rests.h"
#include "rule/facts_xml.h"
#include "rule/ways.h"
#include "solve/solve.h"
#include "trace/trace.h"

/* Largest steady direct voltage of class ES1, V: IEC 62368-1 table 4. */
static const double safe_volts = 60;
/* A resistance of more than this drains no leaking capacitor, ohm. Common practice, no source. */
static const double leak_ohms = 10e6;
/* What lies behind so little still counts as the contact itself, ohm. Common practice, no source. */
static const double stopper_ohms = 1e4;

static double mean_volts(const struct facts_build *build, size_t node)
{
    const struct solution *healthy = build->stages->healthy;

    return healthy != NULL && healthy->node_solved[node] ? healthy->nodes[node].mean : NAN;
}

/* Where the volts that reach NODE through resistors alone come from: the firm node with the least ohms to it among those that
 * rails hold up. */
static void add_supply(const struct facts_build *build, xmlNode *contact, size_t node)
{
    const struct trace *trace = build->stages->trace;
    double least = INFINITY;
    size_t found = SIZE_MAX;
    const double *ohms = ways_from(build->ways, node, WAY_ALL, 0);

    for (size_t r = 0; trace != NULL && r < trace->rail_count; r++) {
        const struct rail *rail = &trace->rails[r];

        /* A battery's rail counts if it is not the jack itself that closes its circuit. */
        bool counts = rail->rectifier < trace->rectifier_count || rail->back == build->stages->network->ground;

        for (size_t i = 0; i < rail->node_count && counts; i++) {
            size_t at = rail->nodes[i].node;

            if (ways_is_firm(build->ways, at) && ohms[at] < least && fabs(mean_volts(build, at)) > 1) {
                least = ohms[at];
                found = at;
            }
        }
    }
    if (found == SIZE_MAX || found == build->stages->network->ground)
        return;
    fact_text(contact, "supply", facts_node_name(build, found));
    fact_number(contact, "supply-volts", mean_volts(build, found));
    fact_number(contact, "supply-ohms", least);
    fact_number(contact, "supply-amps", fabs(mean_volts(build, found)) / fmax(least, 1e-3));
    facts_rests_node(build, found);
    facts_rests_named(build, NULL, "wiper");
}

/* The capacitor that alone stands between the contact and dangerous direct volts. */
static void add_blocking(const struct facts_build *build, xmlNode *contact, size_t node)
{
    const struct network *network = build->stages->network;
    const double *ohms = ways_from(build->ways, node, WAY_ALL, stopper_ohms);

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        bool from, to;
        size_t far;

        if (branch->kind != BRANCH_CAPACITANCE || branch->from == network->ground || branch->to == network->ground)
            continue;
        from = ohms[branch->from] <= stopper_ohms;
        to = ohms[branch->to] <= stopper_ohms;
        far = from ? branch->to : branch->from;
        if (from == to || !(fabs(mean_volts(build, far)) > safe_volts))
            continue;
        fact_text(contact, "blocked-by", branch->part->ref);
        fact_number(contact, "blocked-volts", mean_volts(build, far));
        facts_rests_node(build, far);
        return;
    }
}

/* ---- inputs ---- */

/* Signals go on through so much, and no further, ohm. Common practice, no source. */
static const double signal_ohms = 1e6;

/* What signals from NODE reach through resistors and capacitors, ground and what is firmly held apart. */
static bool *signal_reach(const struct facts_build *build, size_t node)
{
    const struct network *network = build->stages->network;
    bool *reached = arena_array(build->arena, network->node_count, sizeof *reached);
    size_t *queue = arena_array(build->arena, network->node_count, sizeof *queue), count = 0;

    reached[node] = true;
    queue[count++] = node;
    for (size_t i = 0; i < count; i++) {
        size_t links;
        const size_t *at = ways_branches(build->ways, queue[i], &links);

        for (size_t k = 0; k < links; k++) {
            const struct branch *branch = &network->branches[at[k]];
            size_t other = branch->from == queue[i] ? branch->to : branch->from;

            if (reached[other] || ways_is_firm(build->ways, other) ||
                (branch->kind != BRANCH_CAPACITANCE && branch->kind != BRANCH_CONTACT &&
                 !(ways_branch_ohms(network, branch->index) <= signal_ohms)))
                continue;
            reached[other] = true;
            queue[count++] = other;
        }
    }
    return reached;
}

static bool takes_signal(enum pin_role role)
{
    return role == PIN_GRID || role == PIN_GATE || role == PIN_BASE;
}

static bool gives_signal(enum pin_role role)
{
    return role == PIN_ANODE || role == PIN_COLLECTOR || role == PIN_DRAIN || role == PIN_CATHODE ||
           role == PIN_EMITTER || role == PIN_SOURCE || role == PIN_OUTPUT || role == PIN_WINDING;
}

/* The valve or transistor that the tip at NODE drives; NULL: none, or something else drives it too. */
static const char *driven_by_tip(const struct facts_build *build, size_t node)
{
    const struct network *network = build->stages->network;
    const bool *reached = signal_reach(build, node);
    const char *found = NULL;

    for (size_t i = 0; i < network->node_count; i++) {
        const struct net *net = reached[i] ? network->nodes[i].net : NULL;

        for (size_t k = 0; net != NULL && k < net->pin_count; k++) {
            const struct part_info *info = facts_part(build, net->pins[k]->part);
            enum pin_role role = info->pins[net->pins[k]->index].role;

            if (gives_signal(role))
                return NULL;
            if (takes_signal(role))
                found = info->part->ref;
        }
    }
    return found;
}

void facts_add_input(const struct facts_build *build, xmlNode *contact, size_t node, bool plugged)
{
    const struct network *network = build->stages->network;
    const char *driven = node != network->ground ? driven_by_tip(build, node) : NULL;

    fact_text(contact, "input-of", driven);
    if (driven != NULL && !plugged)
        fact_number(contact, "unplugged-ohms", ways_ohms(build->ways, node, network->ground, WAY_ALL));
}

void facts_add_contact(const struct facts_build *build, xmlNode *contact, size_t node)
{
    const struct network *network = build->stages->network;
    const struct solution *healthy = build->stages->healthy;
    double ohms;

    if (node == network->ground) {
        fact_flag(contact, "grounded", true);
        return;
    }
    ohms = ways_ohms(build->ways, node, network->ground, WAY_ALL);
    fact_flag(contact, "grounded", ways_joined(build->ways, node, network->ground));
    fact_flag(contact, "drained", ohms <= leak_ohms);
    if (!facts_solved(build))
        return;
    fact_number(contact, "peak-volts", fmax(fabs(healthy->nodes[node].high), fabs(healthy->nodes[node].low)));
    fact_number(contact, "alternating-peak-volts", fmax(healthy->nodes[node].high - healthy->nodes[node].mean,
                                                        healthy->nodes[node].mean - healthy->nodes[node].low));
    add_supply(build, contact, node);
    add_blocking(build, contact, node);
}

/* ---- loudspeakers ---- */

/* The winding that loads hang on: the first that is not the primary. */
static const struct branch *secondary_of(const struct facts_build *build, const struct part_info *info)
{
    const struct network *network = build->stages->network;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->part == info->part && branch->section != NULL &&
            !info->windings[branch->section->winding].primary)
            return branch;
    }
    return NULL;
}

/* What a plug in a jack or connector on either end of SECONDARY does: *JACK: there is one; *SHORTS: one closes the winding while
 * nothing is plugged in. The reference has every jack's sleeve on it and says nothing. */
static void look_at_jacks(const struct facts_build *build, size_t node, bool *jack, bool *shorts)
{
    const struct net *net = build->stages->network->nodes[node].net;

    if (node == build->stages->network->ground)
        return;
    for (size_t i = 0; net != NULL && i < net->pin_count; i++) {
        const struct part_info *info = facts_part(build, net->pins[i]->part);
        const struct pin *normal = part_role_pin(info, PIN_TIP_NORMAL, 0);

        *jack = *jack || info->kind == PART_JACK || info->kind == PART_CONNECTOR;
        *shorts = *shorts || (info->kind == PART_JACK && normal != NULL && normal->net != NULL &&
                              normal->net->pin_count > 1);
    }
}

/* The least resistance straight across WINDING, the transformer itself left out, ohm; NAN: none. */
static double load_across(const struct facts_build *build, const struct branch *winding)
{
    const struct network *network = build->stages->network;
    size_t count;
    const size_t *at = ways_branches(build->ways, winding->from, &count);
    double least = NAN;

    for (size_t i = 0; i < count; i++) {
        const struct branch *branch = &network->branches[at[i]];

        if (branch->kind == BRANCH_RESISTANCE && branch->part != winding->part &&
            (branch->from == winding->to || branch->to == winding->to))
            least = fmin(least, ways_branch_ohms(network, branch->index));
    }
    return least;
}

/* The least resistance straight across the winding, and whether a plug can take the loudspeaker away. */
void facts_add_loudspeaker_sides(const struct facts_build *build)
{
    const struct parts *parts = build->stages->parts;

    for (size_t i = 0; i < parts->count; i++) {
        const struct part_info *info = &parts->items[i];
        const struct branch *secondary =
            info->kind == PART_OUTPUT_TRANSFORMER ? secondary_of(build, info) : NULL;
        bool jack = false, shorts = false;
        xmlNode *node;

        if (secondary == NULL || info->part->not_fitted)
            continue;
        node = fact_element(build->root, "loudspeaker-side");
        fact_text(node, "part", info->part->ref);
        look_at_jacks(build, secondary->from, &jack, &shorts);
        look_at_jacks(build, secondary->to, &jack, &shorts);
        fact_flag(node, "jack", jack);
        fact_flag(node, "shorting-contact", shorts);
        fact_number(node, "load-ohms", load_across(build, secondary));
    }
}
