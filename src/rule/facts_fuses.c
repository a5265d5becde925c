/* Fuses: marking, what the standard promises for it, current, what it protects. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "fuselink/fuselink.h"
#include "parts/parts.h"
#include "rule/facts_rests.h"
#include "rule/facts_xml.h"
#include "rule/judge.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

/* UL 248-14 links are loaded to 75 % at most in continuous use at room temperature; an IEC 60127
 * link may carry its rated current. Source: makers' fuse selection guides (25 % derating at 25
 * C). */
static const double ul_share = 0.75, iec_share = 1.0;

static bool is_among(const size_t *branches, size_t count, size_t branch)
{
    for (size_t i = 0; i < count; i++)
        if (branches[i] == branch)
            return true;
    return false;
}

static bool is_in_mains(const struct trace *trace, size_t branch)
{
    for (size_t i = 0; i < trace->mains_count; i++) {
        const struct mains *mains = &trace->mains[i];

        if (is_among(mains->live_fuses, mains->live_fuse_count, branch) ||
            is_among(mains->neutral_fuses, mains->neutral_fuse_count, branch) ||
            is_among(mains->earth_fuses, mains->earth_fuse_count, branch))
            return true;
    }
    return false;
}

/* Behind a rectifier, on the way to one of a rail's nodes. */
static bool is_in_rail(const struct trace *trace, size_t branch)
{
    for (size_t i = 0; i < trace->rail_count; i++) {
        const struct rail *rail = &trace->rails[i];

        enum source_kind kind = trace->sources[rail->source].kind;

        if (rail->rectifier == SIZE_MAX && kind != SOURCE_SUPPLY && kind != SOURCE_BATTERY)
            continue;
        for (size_t j = 0; j < rail->node_count; j++)
            if (is_among(rail->nodes[j].path, rail->nodes[j].path_count, branch))
                return true;
    }
    return false;
}

/* The first cover by fuse BRANCH that is its own (not through the transformer), else any; NULL:
 * it protects nothing. */
static const struct cover *cover_of(const struct trace *trace, size_t branch)
{
    const struct cover *found = NULL;

    for (size_t i = 0; i < trace->cover_count; i++) {
        if (trace->covers[i].fuse != branch)
            continue;
        if (!trace->covers[i].upstream)
            return &trace->covers[i];
        found = &trace->covers[i];
    }
    return found;
}

static const char *placement(const struct trace *trace, size_t branch)
{
    const struct cover *cover = cover_of(trace, branch);

    if (is_in_mains(trace, branch) || (cover != NULL && cover->upstream))
        return "mains";
    if (is_in_rail(trace, branch))
        return "rail";
    return cover != NULL ? "winding" : "signal";
}

/* What the marking says and the standard promises for it. */
static void describe_marking(xmlNode *node, const struct fuse_state *state)
{
    double low, high;

    fact_text(node, "characteristic", speed_name(state->marking.speed));
    fact_number(node, "breaking-amps", state->marking.breaking != BREAKING_UNKNOWN && state->known
                                           ? marking_breaking_amps(&state->marking)
                                           : NAN);
    if (state->marking.volts > 0)
        fact_number(node, "rated-volts", state->marking.volts);
    if (!state->known || state->gates == NULL)
        return;
    fact_number(node, "rated-amps", state->marking.amps);
    fact_text(node, "standard", state->gates->standard);
    fact_number(node, "continuous-amps",
                state->marking.amps *
                    (strncmp(state->gates->standard, "UL", 2) == 0 ? ul_share : iec_share));
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

/* NAN also where all that it protects is fed by a source that has no volts in the computed circuit. */
static double fuse_rms(const struct facts_build *build, size_t branch)
{
    const struct trace *trace = build->stages->trace;
    const struct cover *cover = trace != NULL ? cover_of(trace, branch) : NULL;

    if (cover != NULL && !cover->upstream && !judge_source_solved(build->stages, cover->source))
        return NAN;
    return facts_solved(build) ? build->stages->healthy->branches[branch].rms : NAN;
}

static size_t rails_on(const struct trace *trace, size_t source)
{
    size_t count = 0;

    for (size_t i = 0; i < trace->rail_count; i++)
        count += trace->rails[i].source == source;
    return count;
}

/* The winding that the fuse stands in the way of: its rated current, and the current it carries
 * while the fuse carries its own rating for ever. With one rail on the winding the two are in
 * the ratio of their RMS currents in normal use (a link behind the reservoir carries DC while
 * the winding carries pulses); with several the fuse's own rating is taken. */
static void describe_winding(const struct facts_build *build, xmlNode *node,
                             const struct fuse_view *view)
{
    const struct trace *trace = build->stages->trace;
    const struct cover *cover = cover_of(trace, view->branch);
    const struct trace_source *source;
    double rated = INFINITY, ratio = 1, winding_rms = 0, rms = fuse_rms(build, view->branch);

    if (cover == NULL || cover->upstream || view->state == NULL || !view->state->known)
        return;
    source = &trace->sources[cover->source];
    for (size_t i = 0; i < source->branch_count; i++) {
        const struct branch *branch = &build->stages->network->branches[source->branches[i]];

        if (branch->section != NULL && branch->section->amps.value > 0)
            rated = fmin(rated, branch->section->amps.value);
        if (facts_solved(build))
            winding_rms = fmax(winding_rms, build->stages->healthy->branches[branch->index].rms);
    }
    if (!isfinite(rated))
        return;
    if (rms > 0 && winding_rms > 0 && rails_on(trace, cover->source) == 1)
        ratio = winding_rms / rms;
    fact_text(node, "winding", source->id);
    for (size_t i = 0; i < source->branch_count; i++)
        facts_rests_branch(build, source->branches[i]);
    fact_number(node, "winding-amps", rated);
    fact_number(node, "winding-amps-at-rating", view->state->marking.amps * ratio);
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
        facts_rests_fault(build, view->uncleared->fault);
    }
    if (view->state != NULL && view->state->known && view->uncleared == NULL &&
        view->largest != NULL && view->opens == 0)
        describe_idle_zone(build, node, view);
    if (view->slowest != NULL) {
        fact_text(node, "slowest-fault", view->slowest->fault->id);
        facts_rests_fault(build, view->slowest->fault);
        fact_text(node, "slowest-net", fault_net(build, view->slowest));
        fact_number(node, "slowest-seconds", view->slowest->fault->opens_by);
        fact_number(node, "slowest-amps", view->slowest->fault->amps);
    }
}

static void add_covers(const struct facts_build *build, xmlNode *node, size_t branch)
{
    const struct trace *trace = build->stages->trace;

    for (size_t i = 0; i < trace->cover_count; i++) {
        const struct cover *cover = &trace->covers[i];
        xmlNode *protects;

        if (cover->fuse != branch || cover->coverage == COVERAGE_NONE)
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
    bool *rails = arena_array(build->arena, trace->rail_count, sizeof *rails);

    for (size_t i = 0; i < trace->cover_count; i++)
        if (trace->covers[i].fuse == branch)
            rails[trace->covers[i].rail] = true;
    return facts_unknown_loads(build, rails, trace->rail_count);
}

static void describe_traced(const struct facts_build *build, xmlNode *node,
                            const struct fuse_view *view)
{
    fact_text(node, "placement", placement(build->stages->trace, view->branch));
    fact_text(node, "unknown-loads", unknown_loads(build, view->branch));
    describe_winding(build, node, view);
    describe_zone(build, node, view);
    add_covers(build, node, view->branch);
}

static void add_fuse(const struct facts_build *build, const struct fuse_view *view)
{
    const struct branch *branch = &build->stages->network->branches[view->branch];
    double rms = fuse_rms(build, view->branch);
    xmlNode *node = fact_element(build->root, "fuse");

    fact_text(node, "ref", branch->part->ref);
    fact_text(node, "place", facts_part(build, branch->part)->place);
    fact_text(node, "from", facts_node_name(build, branch->from));
    fact_text(node, "to", facts_node_name(build, branch->to));
    describe_state(build, node, view);
    facts_add_bridge(build, node, view->branch);
    fact_number(node, "idle-amps", rms);
    if (view->state != NULL && view->state->known && rms > 0)
        fact_number(node, "normal-multiple", view->state->marking.amps / rms);
    fact_place(node, &branch->part->place);
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
