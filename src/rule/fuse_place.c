#include "rule/fuse_place.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "parts/parts.h"
#include "rule/facts_xml.h"
#include "rule/fuse_index.h"
#include "rule/judge.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/stress.h"
#include "whatif/switch_on.h"
#include "whatif/whatif.h"

/* Switchings that a link is to last: three a day for nine years. Common practice, no source. */
static const double switchings = 1e4;

/* Prospective current at a socket, A RMS: what links of high breaking capacity are made for (IEC 60127-2),
 * because the impedance of the supply is not known. Common practice, no source. */
static const double mains_amps = 1500;

static bool is_placed(xmlNode *node, const char *placement)
{
    xmlChar *text = xmlGetProp(node, (const xmlChar *)"placement");
    bool same = text != NULL && strcmp((const char *)text, placement) == 0;

    xmlFree(text);
    return same;
}

/* ---- volts ---- */

static bool taps_winding(const struct trace *trace, const struct rail *rail)
{
    enum topology topology;

    if (rail->rectifier == SIZE_MAX)
        return false;
    topology = trace->rectifiers[rail->rectifier].topology;
    return topology == TOPOLOGY_CENTRE_TAP || topology == TOPOLOGY_BRIDGE_SPLIT;
}

/* The largest section's, where each half works by itself; else the whole winding's. RMS. */
static double winding_volts(const struct facts_build *build, const struct cover *cover)
{
    const struct trace *trace = build->stages->trace;
    const struct trace_source *source = &trace->sources[cover->source];
    double largest = NAN;

    for (size_t i = 0; i < source->branch_count; i++) {
        const struct section *section = build->stages->network->branches[source->branches[i]].section;

        if (section != NULL && section->volts.value > 0)
            largest = fmax(largest, section->volts.value);
    }
    return taps_winding(trace, &trace->rails[cover->rail]) && isfinite(largest) ? largest
                                                                                : build->source_volts[cover->source];
}

/* The highest that any mains inlet has. */
static double mains_volts(const struct facts_build *build)
{
    const struct trace *trace = build->stages->trace;
    double volts = NAN;

    for (size_t i = 0; i < trace->mains_count; i++)
        volts = fmax(volts, build->source_volts[trace->mains[i].source]);
    return volts;
}

static void find_volts(const struct facts_build *build, xmlNode *node, const struct cover *cover,
                       struct fuse_need *need)
{
    const struct trace *trace = build->stages->trace;

    if (is_placed(node, "mains")) {
        need->volts = mains_volts(build);
    } else if (cover != NULL && is_placed(node, "rail")) {
        need->dc = true;
        need->volts = fabs(judge_rail_volts(build->stages, &trace->rails[cover->rail]));
    } else if (cover != NULL) {
        need->volts = winding_volts(build, cover);
    }
}

/* ---- reservoirs ---- */

static bool is_on_path(const struct rail_node *node, size_t branch)
{
    for (size_t i = 0; i < node->path_count; i++)
        if (node->path[i] == branch)
            return true;
    return false;
}

/* A capacitor stands on the rail between its output and FUSE. */
static bool is_behind_reservoir(const struct rail *rail, size_t fuse)
{
    for (size_t i = 0; i < rail->node_count; i++) {
        size_t at = rail->nodes[i].upstream;

        if (!is_on_path(&rail->nodes[i], fuse))
            continue;
        for (size_t steps = 0; at < rail->node_count && steps < rail->node_count; steps++) {
            if (rail->nodes[at].capacitor_count > 0)
                return true;
            at = rail->nodes[at].upstream;
        }
        return false;
    }
    return false;
}

/* ---- shorts ---- */

static double amps_through(const struct facts_build *build, const struct fault *fault, size_t fuse)
{
    for (size_t i = 0; i < fault->through_count; i++)
        if (build->stages->whatif->fuses[fault->through[i].fuse].branch == fuse)
            return fault->through[i].amps;
    return NAN;
}

/* FUSE's cover of FAULT's node, full, the own before the upstream; NULL: none. *OWN: how many fuses protect
 * it there. */
static const struct cover *full_cover(const struct judge *judge, const struct fault *fault, size_t fuse,
                                      size_t *own)
{
    size_t count;
    const struct cover *const *covers = judge_covers(judge, fault->rail, fault->node, &count);
    const struct cover *found = NULL;

    *own = 0;
    for (size_t i = 0; i < count; i++) {
        if (covers[i]->coverage != COVERAGE_FULL)
            continue;
        *own += !covers[i]->upstream;
        if (covers[i]->fuse == fuse && (found == NULL || found->upstream))
            found = covers[i];
    }
    return found;
}

/* Room for every fault that may concern FUSE; what is used is counted. */
static void make_room(const struct facts_build *build, size_t fuse, struct fuse_place *place, struct need_fault **faults,
                      double **amps)
{
    size_t count = facts_fuse(build, fuse)->fault_count;

    *faults = arena_array(build->arena, count, sizeof **faults);
    *amps = arena_array(build->arena, count, sizeof **amps);
    place->faults = arena_array(build->arena, count, sizeof *place->faults);
    place->upstream = arena_array(build->arena, count, sizeof *place->upstream);
    place->need.faults = *faults;
    place->upstream_amps = *amps;
}

/* s that the windings of known rating stand FAULT; what is known of other parts is no promise. INFINITY: none
 * tells. */
static double winding_seconds(const struct fault *fault)
{
    double seconds = INFINITY;

    for (size_t i = 0; i < fault->stress_count; i++)
        if (fault->stresses[i].what == STRESS_WINDING && !isnan(fault->stresses[i].withstands.seconds))
            seconds = fmin(seconds, fault->stresses[i].withstands.seconds);
    return seconds;
}

/* The shorts of its zone, as fuse-oversized counts them, and those that nothing nearer clears. */
static void find_faults(const struct facts_build *build, size_t fuse, struct fuse_place *place)
{
    const struct fuse_entry *entry = facts_fuse(build, fuse);
    struct need_fault *faults;
    double *upstream;

    make_room(build, fuse, place, &faults, &upstream);
    for (size_t i = 0; i < entry->fault_count; i++) {
        const struct fault_view *view = &build->judge->faults[entry->faults[i]];
        size_t own;
        const struct cover *cover = full_cover(build->judge, view->fault, fuse, &own);
        double amps = amps_through(build, view->fault, fuse);

        if (cover == NULL || (cover->upstream && own > 0))
            continue;
        if (!view->source_known || isnan(amps)) {
            place->unjudged += !cover->upstream;
        } else if (view->dropper) {
            continue;
        } else if (cover->upstream) {
            upstream[place->upstream_count] = amps;
            place->upstream[place->upstream_count++] = view;
        } else {
            faults[place->need.fault_count] =
                (struct need_fault){amps, winding_seconds(view->fault), own == 1};
            place->faults[place->need.fault_count++] = view;
        }
    }
}

/* The most that any computed short drives through FUSE, A RMS; NAN: none was computed. */
static double worst_short(const struct facts_build *build, size_t fuse)
{
    const struct fuse_entry *entry = facts_fuse(build, fuse);
    double worst = NAN;

    for (size_t i = 0; i < entry->fault_count; i++) {
        const struct fault_view *view = &build->judge->faults[entry->faults[i]];

        if (view->source_known)
            worst = fmax(worst, amps_through(build, view->fault, fuse));
    }
    return worst;
}

/* Behind a reservoir its discharge counts too, which is not computed. */
static double prospective(const struct facts_build *build, xmlNode *node, const struct fuse_place *place,
                          size_t fuse)
{
    if (is_placed(node, "mains"))
        return mains_amps;
    return place->need.surges ? worst_short(build, fuse) : NAN;
}

static bool is_in_earth(const struct trace *trace, size_t fuse)
{
    for (size_t i = 0; i < trace->mains_count; i++)
        for (size_t j = 0; j < trace->mains[i].earth_fuse_count; j++)
            if (trace->mains[i].earth_fuses[j] == fuse)
                return true;
    return false;
}

/* What hangs on a winding directly, heaters and lamps, draws with a signal what it draws without. */
static bool is_steady(const struct trace *trace, xmlNode *node, const struct cover *cover)
{
    return cover != NULL && !cover->upstream && is_placed(node, "winding") &&
           trace->rails[cover->rail].rectifier == SIZE_MAX;
}

/* How the pulse at switch-on passes. */
static void find_pulse(const struct facts_build *build, const struct fuse_view *view, struct fuse_need *need)
{
    const struct switch_on *all = build->stages->switch_on;
    const struct fuse_switch_on *pulse;

    if (all == NULL || view->state == NULL)
        return;
    pulse = &all->fuses[view->state - build->stages->whatif->fuses];
    need->pulse_points = pulse->points;
    need->pulse_point_count = pulse->point_count;
}

struct fuse_place fuse_place_find(const struct facts_build *build, xmlNode *node,
                                  const struct fuse_view *view)
{
    const struct trace *trace = build->stages->trace;
    struct winding_load winding = facts_winding_load(build, view->branch);
    const struct cover *cover = facts_fuse(build, view->branch)->cover;
    struct fuse_place place = {.need = {.pulses = switchings, .volts = NAN}};
    struct fuse_need *need = &place.need;

    need->idle_amps = fact_read_number(node, "idle-amps");
    need->full_amps = fact_read_number(node, "full-amps");
    if (isnan(need->full_amps) && is_steady(trace, node, cover))
        need->full_amps = need->idle_amps;
    need->clipped_amps = fact_read_number(node, "clipped-amps");
    need->pulse_i2t = fact_read_number(node, "switch-on-i2t");
    need->pulse_seconds = fact_read_number(node, "switch-on-seconds");
    find_pulse(build, view, need);
    need->link_ohms = part_figure_value(
        facts_part(build, build->stages->network->branches[view->branch].part), FIGURE_OHMS, NAN);
    need->winding_amps = winding.amps;
    need->winding_ratio = winding.ratio;
    need->american = view->state != NULL && view->state->marking.american;
    need->surges = is_placed(node, "mains") || is_placed(node, "winding") ||
                   (is_placed(node, "rail") && cover != NULL &&
                    !is_behind_reservoir(&trace->rails[cover->rail], view->branch));
    find_volts(build, node, cover, need);
    find_faults(build, view->branch, &place);
    need->prospective_amps = prospective(build, node, &place, view->branch);
    place.known = (cover != NULL || is_placed(node, "mains")) && !is_placed(node, "signal") &&
                  !is_in_earth(trace, view->branch) && xmlHasProp(node, (const xmlChar *)"bridge") == NULL;
    return place;
}
