#include "rule/judge.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "rule/facts.h"
#include "solve/solve.h"
#include "whatif/whatif.h"

/* A short that drops at least this share of the rail's volts in resistors is limited by them.
 * Common practice, no source: half marks the point where the resistors, not the winding, set the
 * current. */
static const double dropper_share = 0.5;

static int compare_covers(const void *left, const void *right)
{
    const struct cover *a = *(const struct cover *const *)left;
    const struct cover *b = *(const struct cover *const *)right;

    if (a->rail != b->rail)
        return a->rail < b->rail ? -1 : 1;
    if (a->node != b->node)
        return a->node < b->node ? -1 : 1;
    return (a->fuse > b->fuse) - (a->fuse < b->fuse);
}

static void sort_covers(struct judge *judge, struct arena *arena)
{
    const struct trace *trace = judge->stages->trace;

    if (trace == NULL)
        return;
    judge->cover_count = trace->cover_count;
    judge->covers = arena_array(arena, trace->cover_count, sizeof *judge->covers);
    for (size_t i = 0; i < trace->cover_count; i++)
        judge->covers[i] = &trace->covers[i];
    if (judge->cover_count > 1)
        qsort(judge->covers, judge->cover_count, sizeof *judge->covers, compare_covers);
}

static bool comes_before(const struct cover *cover, size_t rail, size_t node)
{
    return cover->rail < rail || (cover->rail == rail && cover->node < node);
}

const struct cover *const *judge_covers(const struct judge *judge, size_t rail, size_t node,
                                        size_t *count)
{
    size_t low = 0, high = judge->cover_count;

    while (low < high) {
        size_t middle = low + (high - low) / 2;

        if (comes_before(judge->covers[middle], rail, node))
            low = middle + 1;
        else
            high = middle;
    }
    *count = 0;
    while (low + *count < judge->cover_count && judge->covers[low + *count]->rail == rail &&
           judge->covers[low + *count]->node == node)
        ++*count;
    return judge->covers + low;
}

static struct fuse_view *find_fuse(const struct judge *judge, size_t branch)
{
    size_t low = 0, high = judge->fuse_count; /* they are in order of branch */

    while (low < high) {
        size_t middle = low + (high - low) / 2;

        if (judge->fuses[middle].branch < branch)
            low = middle + 1;
        else
            high = middle;
    }
    if (low == judge->fuse_count || judge->fuses[low].branch != branch)
        return NULL;
    return &judge->fuses[low];
}

const struct fuse_view *judge_fuse(const struct judge *judge, size_t fuse)
{
    return find_fuse(judge, fuse);
}

static void list_fuses(struct judge *judge, struct arena *arena)
{
    const struct network *network = judge->stages->network;
    const struct whatif *whatif = judge->stages->whatif;
    size_t capacity = 0;

    for (size_t i = 0; i < network->branch_count; i++) {
        if (network->branches[i].kind != BRANCH_FUSE)
            continue;
        judge->fuses = arena_grow(arena, judge->fuses, &capacity, judge->fuse_count,
                                  sizeof *judge->fuses);
        judge->fuses[judge->fuse_count++].branch = i;
    }
    for (size_t i = 0; whatif != NULL && i < whatif->fuse_count; i++) {
        struct fuse_view *fuse = find_fuse(judge, whatif->fuses[i].branch);

        if (fuse != NULL)
            fuse->state = &whatif->fuses[i];
    }
}

static double resistance(const struct network *network, const struct branch *branch)
{
    return part_figure_value(&network->parts->items[branch->part->index], FIGURE_OHMS, 0);
}

/* Volts that resistors of a rail node's own PATH drop while FAULT lasts. */
static double path_drop(const struct network *network, const struct fault *fault,
                        const struct rail_node *node)
{
    double volts = 0;

    for (size_t i = 0; i < node->path_count; i++) {
        const struct branch *branch = &network->branches[node->path[i]];

        for (size_t j = 0; j < fault->carrier_count; j++)
            if (fault->carriers[j].branch == node->path[i] && branch->kind == BRANCH_RESISTANCE)
                volts += fault->carriers[j].amps * resistance(network, branch);
    }
    return volts;
}

static const struct rail_node *find_rail_node(const struct rail *rail, size_t node)
{
    for (size_t i = 0; i < rail->node_count; i++)
        if (rail->nodes[i].node == node)
            return &rail->nodes[i];
    return NULL;
}

/* NODE is an end of one of the COUNT branches. */
static bool is_end(const struct network *network, const size_t *branches, size_t count, size_t node)
{
    for (size_t i = 0; i < count; i++) {
        const struct branch *branch = &network->branches[branches[i]];

        if (branch->from == node || branch->to == node)
            return true;
    }
    return false;
}

/* BRANCH stands directly between RAIL's winding and its rectifier. */
static bool is_ahead_of_rectifier(const struct trace *trace, const struct rail *rail,
                                  const struct branch *branch)
{
    const struct trace_source *source = &trace->sources[rail->source];
    const struct rectifier *rectifier = &trace->rectifiers[rail->rectifier];
    const size_t ends[] = {branch->from, branch->to};

    for (size_t i = 0; i < 2; i++)
        if (is_end(trace->network, source->branches, source->branch_count, ends[i]) &&
            is_end(trace->network, rectifier->branches, rectifier->branch_count, ends[1 - i]))
            return true;
    return false;
}

/* The largest drop in FAULT over a resistor between winding and rectifier. A winding of coupled
 * inductors has its own resistance drawn as such a resistor: it is no dropper. */
static double drop_ahead(const struct judge *judge, const struct fault *fault)
{
    const struct trace *trace = judge->stages->trace;
    const struct network *network = judge->stages->network;
    const struct rail *rail = &trace->rails[fault->rail];
    const struct trace_source *source = &trace->sources[rail->source];
    double volts = 0;

    if (rail->rectifier == SIZE_MAX || source->branch_count == 0 ||
        network->branches[source->branches[0]].section == NULL)
        return 0;
    for (size_t i = 0; i < fault->carrier_count; i++) {
        const struct branch *branch = &network->branches[fault->carriers[i].branch];

        if (branch->kind == BRANCH_RESISTANCE && is_ahead_of_rectifier(trace, rail, branch))
            volts = fmax(volts, fault->carriers[i].amps * resistance(network, branch));
    }
    return volts;
}

static bool is_behind_dropper(const struct judge *judge, const struct fault *fault)
{
    const struct rail *rail = &judge->stages->trace->rails[fault->rail];
    const struct rail_node *node = find_rail_node(rail, fault->node);
    double volts = fabs(judge_rail_volts(judge->stages, rail)), drop = 0;

    for (size_t steps = 0; node != NULL && steps <= rail->node_count; steps++) {
        drop += path_drop(judge->stages->network, fault, node);
        node = node->upstream < rail->node_count ? &rail->nodes[node->upstream] : NULL;
    }
    drop += drop_ahead(judge, fault);
    return isfinite(volts) && drop >= dropper_share * volts && drop > 0;
}

/* Every fuse that could end FAULT has a known marking. */
static bool markings_known(const struct judge *judge, const struct fault *fault)
{
    size_t count;
    const struct cover *const *covers = judge_covers(judge, fault->rail, fault->node, &count);

    for (size_t i = 0; i < count; i++) {
        const struct fuse_view *fuse = judge_fuse(judge, covers[i]->fuse);

        if (fuse == NULL || fuse->state == NULL || !fuse->state->known)
            return false;
    }
    return true;
}

/* A rail below this in normal use is taken for dead: its source's volts are missing. V. */
static const double dead_volts = 0.1;

/* A connector that stands for a feed has a resistance only if a field gives it: what it drives through a short, and so
 * whether a fuse opens, is not known otherwise. */
static bool feed_unknown(const struct judge *judge, const struct fault *fault)
{
    const struct findings_of_stages *stages = judge->stages;
    const struct trace_source *source =
        &stages->trace->sources[stages->trace->rails[fault->rail].source];

    return source->kind == SOURCE_FEED &&
           isnan(part_figure_value(&stages->parts->items[source->part->index], FIGURE_OHMS, NAN));
}

/* The source that feeds FAULT is known: it gives volts, and nothing of its part was left out. */
static bool source_known(const struct judge *judge, const struct fault *fault)
{
    const struct findings_of_stages *stages = judge->stages;
    const struct rail *rail = &stages->trace->rails[fault->rail];
    const struct part *part = stages->trace->sources[rail->source].part;

    if (feed_unknown(judge, fault) || !(fabs(judge_rail_volts(stages, rail)) >= dead_volts))
        return false;
    for (size_t i = 0; stages->network->gap_parts != NULL && i < stages->network->gap_count; i++)
        if (stages->network->gap_parts[i] != NULL &&
            strcmp(stages->network->gap_parts[i], part->ref) == 0)
            return false;
    return true;
}

static void view_faults(struct judge *judge, struct arena *arena)
{
    const struct whatif *whatif = judge->stages->whatif;

    if (whatif == NULL || judge->stages->trace == NULL)
        return;
    judge->fault_count = whatif->rail_faults;
    judge->faults = arena_array(arena, whatif->rail_faults, sizeof *judge->faults);
    for (size_t i = 0; i < whatif->rail_faults; i++) {
        struct fault_view *view = &judge->faults[i];

        view->fault = &whatif->faults[i];
        view->solved = view->fault->status == SOLVE_OK;
        view->source_known = view->solved && source_known(judge, view->fault);
        view->cleared = view->solved && isfinite(view->fault->opens_by) &&
                        !feed_unknown(judge, view->fault);
        view->dropper = view->solved && (view->fault->limiter != NULL ||
                                       is_behind_dropper(judge, view->fault));
        view->judged = view->solved && (view->cleared || (markings_known(judge, view->fault) &&
                                                          view->source_known));
    }
}

/* A is worse off than B (which may be NULL). */
static bool is_worse(const struct fault_view *a, const struct fault_view *b)
{
    if (b == NULL)
        return true;
    if (a->cleared != b->cleared)
        return !a->cleared;
    return a->cleared ? a->fault->opens_by > b->fault->opens_by : a->fault->amps < b->fault->amps;
}

/* A capacitor or a load is on the node: something there can fail short. */
static bool has_parts(const struct network *network, const struct rail *rail,
                      const struct rail_node *node)
{
    for (size_t i = 0; i < rail->load_count; i++) {
        const struct branch *load = &network->branches[rail->loads[i]];

        if (load->from == node->node || load->to == node->node)
            return true;
    }
    return node->capacitor_count > 0;
}

/* Which nodes of RAIL count; all of them if none has parts. */
static bool *counting_nodes(const struct judge *judge, struct arena *arena, const struct rail *rail)
{
    bool *counts = arena_array(arena, rail->node_count, sizeof *counts);
    bool any = false;

    for (size_t i = 0; i < rail->node_count; i++) {
        counts[i] = has_parts(judge->stages->network, rail, &rail->nodes[i]);
        any = any || counts[i];
    }
    for (size_t i = 0; i < rail->node_count; i++)
        counts[i] = counts[i] || !any;
    return counts;
}

static void view_protection(const struct judge *judge, struct arena *arena, size_t index)
{
    const struct trace *trace = judge->stages->trace;
    const struct rail *rail = &trace->rails[index];
    struct rail_view *view = &judge->rails[index];
    bool started = false;

    view->counts = counting_nodes(judge, arena, rail);
    for (size_t i = 0; i < rail->node_count; i++) {
        enum protection protection = trace->protections[rail->nodes[i].node];

        if (!view->counts[i])
            continue;
        if (!started || protection < view->worst) {
            view->worst = protection;
            view->weakest = i;
        }
        if (!started || protection > view->best)
            view->best = protection;
        started = true;
    }
}

static bool counts(const struct rail *rail, const struct rail_view *view, size_t node)
{
    const struct rail_node *found = find_rail_node(rail, node);

    return found == NULL || view->counts[found - rail->nodes];
}

static void view_dropper(struct rail_view *rail, const struct fault_view *fault)
{
    rail->dropper++;
    if (rail->limited == NULL || fault->fault->amps > rail->limited->fault->amps)
        rail->limited = fault;
}

/* Takes FAULT into account in its rail. */
static void view_rail_fault(const struct judge *judge, const struct fault_view *fault)
{
    const struct trace *trace = judge->stages->trace;
    struct rail_view *rail = &judge->rails[fault->fault->rail];
    enum protection protection = trace->protections[fault->fault->node];

    if (!counts(&trace->rails[fault->fault->rail], rail, fault->fault->node)) {
        if (fault->judged && !fault->cleared && protection != PROTECTION_OWN &&
            is_worse(fault, rail->bare))
            rail->bare = fault;
        return;
    }
    if (protection != rail->worst)
        return;
    if (!fault->solved)
        rail->unsolved++;
    else if (fault->dropper)
        view_dropper(rail, fault);
    else if (is_worse(fault, rail->fault))
        rail->fault = fault;
}

static void view_rails(struct judge *judge, struct arena *arena)
{
    const struct trace *trace = judge->stages->trace;

    if (trace == NULL)
        return;
    judge->rail_count = trace->rail_count;
    judge->rails = arena_array(arena, trace->rail_count, sizeof *judge->rails);
    for (size_t i = 0; i < trace->rail_count; i++) {
        view_protection(judge, arena, i);
        judge->rails[i].watts = fabs(judge_rail_volts(judge->stages, &trace->rails[i])) *
                                judge_rail_amps(judge->stages, &trace->rails[i]);
    }
    for (size_t i = 0; i < judge->fault_count; i++)
        view_rail_fault(judge, &judge->faults[i]);
}

/* What fuse branch FUSE sees in FAULT; NULL if it is not told. */
static const struct fault_through *through(const struct judge *judge, const struct fault *fault,
                                           size_t fuse)
{
    for (size_t i = 0; i < fault->through_count; i++)
        if (judge->stages->whatif->fuses[fault->through[i].fuse].branch == fuse)
            return &fault->through[i];
    return NULL;
}

/* Takes FAULT, in the zone of FUSE, into account. ALONE: no other fuse protects that node as
 * well. */
static void view_zone(struct judge *judge, struct fuse_view *fuse, const struct fault_view *fault,
                      bool alone)
{
    const struct fault_through *seen = through(judge, fault->fault, fuse->branch);
    double amps = seen != NULL ? seen->amps : NAN;

    if (!fault->judged) {
        fuse->unjudged++;
        return;
    }
    if (fault->dropper)
        return;
    fuse->opens += seen != NULL && isfinite(seen->opens_by);
    if (isfinite(amps) && (fuse->largest == NULL || amps > fuse->largest_amps)) {
        fuse->largest = fault;
        fuse->largest_amps = amps;
    }
    if (alone && isfinite(amps) && (fuse->least == NULL || amps < fuse->least_amps)) {
        fuse->least = fault;
        fuse->least_amps = amps;
    }
    if (!fault->cleared && (fuse->uncleared == NULL || !(fuse->uncleared_amps <= amps))) {
        fuse->uncleared = fault;
        fuse->uncleared_amps = amps;
    }
    if (fault->cleared &&
        (fuse->slowest == NULL || fault->fault->opens_by > fuse->slowest->fault->opens_by))
        fuse->slowest = fault;
}

static bool is_own(const struct cover *cover)
{
    return cover->coverage == COVERAGE_FULL && !cover->upstream;
}

static void view_fuses(struct judge *judge)
{
    for (size_t i = 0; i < judge->fault_count; i++) {
        const struct fault *fault = judge->faults[i].fault;
        size_t count, own = 0;
        const struct cover *const *covers = judge_covers(judge, fault->rail, fault->node, &count);

        for (size_t j = 0; j < count; j++)
            own += is_own(covers[j]);
        for (size_t j = 0; j < count; j++) {
            struct fuse_view *fuse = is_own(covers[j]) ? find_fuse(judge, covers[j]->fuse) : NULL;

            if (fuse != NULL)
                view_zone(judge, fuse, &judge->faults[i], own == 1);
        }
    }
}

struct judge *judge_stages(struct arena *arena, const struct findings_of_stages *stages)
{
    struct judge *judge = arena_alloc(arena, sizeof *judge);

    judge->stages = stages;
    sort_covers(judge, arena);
    list_fuses(judge, arena);
    view_faults(judge, arena);
    view_rails(judge, arena);
    view_fuses(judge);
    return judge;
}
