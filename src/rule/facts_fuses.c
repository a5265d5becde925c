/* Fuses: marking, what the standard promises for it, current, what it protects. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "fuselink/fuselink.h"
#include "parts/parts.h"
#include "rule/facts_rests.h"
#include "rule/facts_stress.h"
#include "rule/facts_xml.h"
#include "rule/fuse_index.h"
#include "rule/judge.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/switch_on.h"
#include "whatif/whatif.h"

const struct fuse_entry *facts_fuse(const struct facts_build *build, size_t fuse)
{
    const struct fuse_view *view = judge_fuse(build->judge, fuse);

    return view != NULL ? &build->fuse_entries[view - build->judge->fuses] : NULL;
}

static const char *placement(const struct fuse_entry *entry)
{
    const struct cover *cover = entry->cover;

    if (entry->in_mains || (cover != NULL && cover->upstream))
        return "mains";
    if (entry->in_rail)
        return "rail";
    return cover != NULL ? "winding" : "signal";
}

/* What the marking says and the standard promises for it. */
static void describe_marking(xmlNode *node, const struct fuse_state *state)
{
    double low, high;

    fact_text(node, "characteristic", speed_name(state->marking.speed));
    if (state->known && marking_breaking_amps(&state->marking) > 0)
        fact_number(node, "breaking-amps", marking_breaking_amps(&state->marking));
    if (state->marking.volts > 0)
        fact_number(node, "rated-volts", state->marking.volts);
    if (!state->known || state->gates == NULL)
        return;
    fact_number(node, "rated-amps", state->marking.amps);
    fact_text(node, "standard", state->gates->standard);
    fact_number(node, "continuous-amps", marking_continuous_amps(&state->marking));
    fact_number(node, "opening-amps", gates_opening_amps(state->gates, state->marking.amps));
    if (marking_melting_i2t(&state->marking, &low, &high)) {
        fact_number(node, "melting-i2t-low", low);
        fact_number(node, "melting-i2t-high", high);
    }
}

static void describe_state(const struct facts_build *build, xmlNode *node,
                           const struct fuse_view *view)
{
    const struct part *part = build->stages->network->branches[view->branch].part;
    const struct fuse_state *state = view->state;
    const char *drawn = facts_part(build, part)->marking;

    fact_text(node, "marking", state != NULL && state->drawn != NULL ? state->drawn : drawn);
    fact_flag(node, "known", state != NULL && state->known);
    if (state == NULL)
        return;
    fact_text(node, "fitted", state->fitted);
    fact_text(node, "assumed", state->assumed);
    describe_marking(node, state);
}

/* To the three digits that are worth telling. */
static double in_three_digits(double number)
{
    char buffer[32];

    snprintf(buffer, sizeof buffer, "%.3g", number);
    return strtod(buffer, NULL);
}

/* What it carries at switch-on, and whether it stands that. */
static void describe_switch_on(const struct facts_build *build, xmlNode *node,
                               const struct fuse_view *view)
{
    const struct switch_on *all = build->stages->switch_on;
    const struct fuse_switch_on *pulse;

    if (all == NULL || view->state == NULL)
        return;
    pulse = &all->fuses[view->state - build->stages->whatif->fuses];
    fact_flag(node, "switch-on-solved", pulse->status == SOLVE_OK);
    if (pulse->status != SOLVE_OK) {
        if (pulse->status != SOLVE_NOT_KNOWN)
            fact_text(node, "switch-on-blame", pulse->blame);
        return;
    }
    facts_rests_surroundings(build, view->branch);
    for (size_t i = 0; i < pulse->rest_count; i++)
        facts_rests_named(build, pulse->rests[i]->part, pulse->rests[i]->what);
    fact_text(node, "switch-on-event", pulse->event);
    fact_number(node, "switch-on-i2t", in_three_digits(pulse->i2t));
    fact_number(node, "switch-on-seconds", in_three_digits(pulse->seconds));
    fact_number(node, "switch-on-peak-amps", in_three_digits(pulse->peak));
    fact_text(node, "switch-on-leaves-out", pulse->missing);
    if (!pulse->judged)
        return;
    fact_flag(node, "switch-on-i2t-printed", pulse->printed);
    fact_number(node, "switch-on-stands-i2t", in_three_digits(pulse->stands));
    fact_number(node, "switch-on-share", in_three_digits(pulse->share));
    fact_number(node, "switch-on-count", pulse->count);
}

/* NAN also where all that it protects is fed by a source that has no volts in the computed circuit. */
static double fuse_rms(const struct facts_build *build, size_t branch)
{
    const struct fuse_entry *entry = facts_fuse(build, branch);
    const struct cover *cover = entry != NULL ? entry->cover : NULL;

    if (cover != NULL && !cover->upstream && !judge_source_solved(build->stages, cover->source))
        return NAN;
    return facts_solved(build) && build->stages->healthy->branch_solved[branch]
               ? build->stages->healthy->branches[branch].rms
               : NAN;
}

static size_t rails_on(const struct trace *trace, size_t source)
{
    size_t count = 0;

    for (size_t i = 0; i < trace->rail_count; i++)
        count += trace->rails[i].source == source;
    return count;
}

/* RMS at full signal, which is nearer to the rating, if that is known, else at idle. */
static double loaded_rms(const struct facts_build *build, size_t branch)
{
    double full = facts_full_rms(build, branch);

    return isnan(full) ? fuse_rms(build, branch) : full;
}

/* The winding that the fuse stands in the way of: its rated current, and the current it carries
 * while the fuse carries its own rating for ever. With one rail on the winding the two are in
 * the ratio of their RMS currents in normal use (a link behind the reservoir carries DC while
 * the winding carries pulses); with several the fuse's own rating is taken. */
struct winding_load facts_winding_load(const struct facts_build *build, size_t fuse)
{
    const struct trace *trace = build->stages->trace;
    const struct cover *cover = facts_fuse(build, fuse)->cover;
    const struct trace_source *source;
    double rated = INFINITY, ratio = 1, winding_rms = 0, rms = loaded_rms(build, fuse);

    if (cover == NULL || cover->upstream)
        return (struct winding_load){NULL, NAN, NAN};
    source = &trace->sources[cover->source];
    for (size_t i = 0; i < source->branch_count; i++) {
        const struct branch *branch = &build->stages->network->branches[source->branches[i]];

        if (branch->section != NULL && branch->section->amps.value > 0)
            rated = fmin(rated, branch->section->amps.value);
        if (facts_solved(build))
            winding_rms = fmax(winding_rms, loaded_rms(build, branch->index));
    }
    if (!isfinite(rated))
        return (struct winding_load){NULL, NAN, NAN};
    if (rms > 0 && winding_rms > 0 && rails_on(trace, cover->source) == 1)
        ratio = winding_rms / rms;
    return (struct winding_load){source->id, rated, ratio};
}

/* The currents of the winding's own sections. */
static void rests_on_winding(const struct facts_build *build, size_t fuse)
{
    const struct trace *trace = build->stages->trace;
    const struct cover *cover = facts_fuse(build, fuse)->cover;
    const struct trace_source *source = &trace->sources[cover->source];

    for (size_t i = 0; i < source->branch_count; i++)
        facts_rests_branch(build, source->branches[i]);
}

static void describe_winding(const struct facts_build *build, xmlNode *node,
                             const struct fuse_view *view)
{
    struct winding_load winding = facts_winding_load(build, view->branch);

    if (winding.id == NULL || view->state == NULL || !view->state->known)
        return;
    rests_on_winding(build, view->branch);
    fact_text(node, "winding", winding.id);
    fact_number(node, "winding-amps", winding.amps);
    fact_number(node, "winding-amps-at-rating", view->state->marking.amps * winding.ratio);
}

static const char *fault_net(const struct facts_build *build, const struct fault_view *fault)
{
    return facts_node_name(build, fault->fault->node);
}

/* A fuse that opens in no short of its zone: the short that comes nearest to opening it, and what clears that. */
static void describe_idle_zone(const struct facts_build *build, xmlNode *node,
                               const struct fuse_view *view)
{
    const struct fault *fault = view->largest->fault;
    const struct whatif *whatif = build->stages->whatif;

    fact_text(node, "never-opens-fault", fault->id);
    fact_text(node, "never-opens-net", fault_net(build, view->largest));
    fact_number(node, "never-opens-amps", view->largest_amps);
    fact_text(node, "never-opens-carriers", facts_carriers(build, fault));
    fact_text(node, "never-opens-cooked", facts_cooked(build, view->largest));
    facts_rests_fault(build, fault);
    if (fault->opened_by == SIZE_MAX)
        return;
    fact_text(node, "backed-by",
              build->stages->network->branches[whatif->fuses[fault->opened_by].branch].part->ref);
    fact_number(node, "backed-by-seconds", fault->opens_by);
}

static void describe_zone(const struct facts_build *build, xmlNode *node,
                          const struct fuse_view *view)
{
    fact_count(node, "shorts-unjudged", view->unjudged);
    if (view->least != NULL) {
        fact_text(node, "least-fault", view->least->fault->id);
        facts_rests_fault(build, view->least->fault);
        fact_number(node, "least-fault-amps", view->least_amps);
    }
    if (view->uncleared != NULL) {
        fact_text(node, "uncleared-fault", view->uncleared->fault->id);
        fact_text(node, "uncleared-net", fault_net(build, view->uncleared));
        fact_number(node, "uncleared-amps", view->uncleared_amps);
        fact_text(node, "uncleared-carriers", facts_carriers(build, view->uncleared->fault));
        fact_text(node, "uncleared-cooked", facts_cooked(build, view->uncleared));
        facts_rests_fault(build, view->uncleared->fault);
    }
    if (view->state != NULL && view->state->known && view->uncleared == NULL &&
        view->largest != NULL && view->opens == 0)
        describe_idle_zone(build, node, view);
    if (view->slowest != NULL) {
        fact_text(node, "slowest-fault", view->slowest->fault->id);
        facts_rests_fault(build, view->slowest->fault);
        fact_text(node, "slowest-net", fault_net(build, view->slowest));
        fact_text(node, "slowest-cooked", facts_cooked(build, view->slowest));
        fact_number(node, "slowest-seconds", view->slowest->fault->opens_by);
        fact_number(node, "slowest-amps", view->slowest->fault->amps);
    }
}

static void add_covers(const struct facts_build *build, xmlNode *node, size_t branch)
{
    const struct trace *trace = build->stages->trace;
    const struct fuse_entry *entry = facts_fuse(build, branch);

    for (size_t i = 0; i < entry->cover_count; i++) {
        const struct cover *cover = entry->covers[i];
        xmlNode *protects;

        if (cover->coverage == COVERAGE_NONE)
            continue;
        protects = fact_element(node, "protects");
        fact_text(protects, "net", facts_node_name(build, cover->node));
        fact_text(protects, "rail", trace->rails[cover->rail].id);
        fact_text(protects, "source", trace->sources[cover->source].id);
        fact_text(protects, "coverage", cover->coverage == COVERAGE_FULL ? "full" : "partial");
        fact_flag(protects, "upstream", cover->upstream);
    }
}

/* On any rail that the fuse protects. */
static const char *unknown_loads(const struct facts_build *build, size_t branch)
{
    const struct trace *trace = build->stages->trace;
    const struct fuse_entry *entry = facts_fuse(build, branch);
    bool *rails = arena_array(build->arena, trace->rail_count, sizeof *rails);

    for (size_t i = 0; i < entry->cover_count; i++)
        rails[entry->covers[i]->rail] = true;
    return facts_unknown_loads(build, rails, trace->rail_count);
}

void facts_add_gates(xmlNode *node, const char *name, const struct gates *gates, double rated_amps)
{
    for (size_t i = 0; i < gates->count; i++) {
        const struct gate *gate = &gates->gates[i];
        xmlNode *element = fact_element(node, name);

        fact_number(element, "amps", gate->multiple * rated_amps);
        if (gate->holds > 0)
            fact_number(element, "holds", gate->holds);
        if (gate->opens > 0)
            fact_number(element, "opens", gate->opens);
    }
}

static void describe_traced(const struct facts_build *build, xmlNode *node,
                            const struct fuse_view *view)
{
    const char *unknown = unknown_loads(build, view->branch);

    fact_text(node, "placement", placement(facts_fuse(build, view->branch)));
    fact_text(node, "unknown-loads", unknown);
    describe_winding(build, node, view);
    describe_zone(build, node, view);
    facts_add_fitted(build, node, view->state);
    facts_add_recommendation(build, node, view, unknown);
    add_covers(build, node, view->branch);
}

/* What carries less than this share of its rating carries nothing. */
static const double nothing_share = 1e-6;

static void add_fuse(const struct facts_build *build, const struct fuse_view *view)
{
    const struct branch *branch = &build->stages->network->branches[view->branch];
    double rms = fuse_rms(build, view->branch), most = fmax(rms, facts_full_rms(build, view->branch));
    xmlNode *node = fact_element(build->root, "fuse");

    fact_text(node, "ref", branch->part->ref);
    fact_text(node, "place", facts_part(build, branch->part)->place);
    fact_text(node, "from", facts_node_name(build, branch->from));
    fact_text(node, "to", facts_node_name(build, branch->to));
    describe_state(build, node, view);
    facts_add_bridge(build, node, view->branch);
    fact_number(node, "idle-amps", rms);
    facts_add_full_fuse(build, node, view->branch);
    if (view->state != NULL && view->state->known && most > nothing_share * view->state->marking.amps)
        fact_number(node, "normal-multiple", view->state->marking.amps / most);
    describe_switch_on(build, node, view);
    fact_place(node, &branch->part->place);
    if (view->state != NULL && view->state->known)
        facts_add_gates(node, "gate", view->state->gates, view->state->marking.amps);
    facts_rests_branch(build, view->branch);
    facts_rests_named(build, branch->part->ref, "characteristic");
    if (build->stages->trace != NULL)
        describe_traced(build, node, view);
    facts_rests_write(build, node);
}

void facts_add_fuses(const struct facts_build *build)
{
    for (size_t i = 0; i < build->judge->fuse_count; i++)
        add_fuse(build, &build->judge->fuses[i]);
}
