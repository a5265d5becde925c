#include "whatif/whatif.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/crew.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "trace/trace.h"
#include "whatif/candidates.h"
#include "whatif/fuse_state.h"
#include "whatif/heaters_out.h"
#include "whatif/output_stage.h"
#include "whatif/stress.h"
#include "whatif/sweep.h"

/* A part is said to carry a fault if its current is this share of it and this multiple of what it carries in health. */
static const double carrier_share = 0.1, carrier_multiple = 2;

/* A fuse sees a fault if it carries this multiple of what it carries in health, and no less than this, A. */
static const double more_than_healthy = 1.1, least_amps = 1e-4;

/* A: what carries less suffers nothing from a short that is no rail's. Common practice, no source. */
static const double least_carried = 1e-3;

/* A resistor whose current is the fault's within this share lies in series with it. */
static const double series_share = 0.1;
/* One that also feeds the rest of the rail carries up to this multiple. */
static const double series_most = 1.5;

/* How far FUSE covers the fault's node against the rail's own source or its feeder: the best of both. */
static enum coverage coverage_of(const struct sweep *sweep, const struct fault *fault,
                                 size_t fuse_branch)
{
    enum coverage best = COVERAGE_NONE;

    for (size_t i = sweep->first_cover[fault->rail]; i < sweep->first_cover[fault->rail + 1];
         i++) {
        const struct cover *cover = &sweep->trace->covers[sweep->covers[i]];

        if (cover->fuse == fuse_branch && cover->node == fault->node && cover->coverage > best)
            best = cover->coverage;
    }
    return best;
}

static double peak_of(const struct wave *wave)
{
    return fmax(fabs(wave->low), fabs(wave->high));
}

/* A fuse that the fault makes carry more than in health, whatever the graph says of it. */
static bool sees(const struct sweep *sweep, const struct fault *fault, double amps, size_t local)
{
    return fault->kind == FAULT_SHORT && amps > more_than_healthy * sweep_healthy_amps(sweep, local) &&
           amps > least_amps;
}

/* The fuse in branch LOCAL of the excerpt. */
static void judge_fuse(const struct sweep *sweep, const struct solution *solution,
                       struct fault *fault, size_t local)
{
    size_t index = sweep->fuse_of_branch[sweep->excerpt.branches[local]];
    const struct fuse_state *fuse = &sweep->whatif->fuses[index];
    bool railed = fault->rail != SIZE_MAX;
    enum coverage coverage = railed ? coverage_of(sweep, fault, fuse->branch) : COVERAGE_NONE;
    struct fault_through *through = &fault->through[fault->through_count];

    if (railed ? coverage == COVERAGE_NONE : !sees(sweep, fault, solution->branches[local].rms, local))
        return;
    through->fuse = index;
    through->amps = solution->branches[local].rms;
    through->peak = peak_of(&solution->branches[local]);
    through->opens_by = fuse->known
                            ? gates_opens_by(fuse->gates, fuse->marking.amps, through->amps)
                            : INFINITY;
    if (coverage == COVERAGE_FULL && through->opens_by < fault->opens_by) {
        fault->opens_by = through->opens_by;
        fault->opened_by = index;
    }
    fault->through_count++;
}

static void judge_fuses(const struct sweep *sweep, const struct solution *solution,
                        struct fault *fault)
{
    const struct excerpt *excerpt = &sweep->excerpt;
    size_t count = 0;

    for (size_t i = 0; i < excerpt->network->branch_count; i++)
        count += sweep->fuse_of_branch[excerpt->branches[i]] != SIZE_MAX;
    fault->through = arena_array(sweep->arena, count, sizeof *fault->through);
    for (size_t i = 0; i < excerpt->network->branch_count; i++)
        if (sweep->fuse_of_branch[excerpt->branches[i]] != SIZE_MAX)
            judge_fuse(sweep, solution, fault, i);
}

/* What a shorted capacitor makes a valve draw flows through the valve, not through the capacitor. */
static bool can_suffer(const struct fault *fault, enum branch_kind kind)
{
    if (kind == BRANCH_LOAD)
        return fault->rail == SIZE_MAX;
    return kind == BRANCH_WINDING || kind == BRANCH_RECTIFIER || kind == BRANCH_INDUCTANCE ||
           kind == BRANCH_RESISTANCE;
}

/* RMS of what alternates on a node, V. */
static double alternating(const struct wave *wave)
{
    return sqrt(fmax(0, wave->rms * wave->rms - wave->mean * wave->mean));
}

/* Volts between the fault's nodes in health: direct, or at most what alternates there. */
static double healthy_volts(const struct sweep *sweep, const struct fault *fault)
{
    const struct wave *node = &sweep->healthy->nodes[fault->node];
    const struct wave *back = &sweep->healthy->nodes[fault->back];

    return fmax(fabs(node->mean - back->mean), alternating(node) + alternating(back));
}

/* Of a short that is no rail's: whether resistances in series with it, a transformer's audio windings too, drop at least
 * half of its volts; the one that drops most is its limiter. */
static void find_series(const struct sweep *sweep, const struct solution *solution, struct fault *fault)
{
    double volts = 0, most = 0;
    const struct part *part = NULL;

    for (size_t i = 0; i < sweep->excerpt.own_branches; i++) {
        const struct branch *branch = &sweep->excerpt.network->branches[i];
        double amps = solution->branches[i].rms;

        if (branch->kind != BRANCH_RESISTANCE || amps < (1 - series_share) * fault->amps ||
            amps > series_most * fault->amps)
            continue;
        volts += amps * branch->element->figures[0];
        if (amps * branch->element->figures[0] > most) {
            most = amps * branch->element->figures[0];
            part = branch->part;
        }
    }
    if (volts >= healthy_volts(sweep, fault) / 2)
        fault->limiter = part;
}

/* Parts that carry the fault current while it lasts, each once, with its largest. */
static void list_carriers(const struct sweep *sweep, const struct solution *solution,
                          struct fault *fault)
{
    const struct excerpt *excerpt = &sweep->excerpt;
    double volts = healthy_volts(sweep, fault);
    size_t capacity = 0;

    for (size_t i = 0; i < excerpt->own_branches; i++) {
        const struct branch *branch = &sweep->network->branches[excerpt->branches[i]];
        double amps = solution->branches[i].rms;
        bool drops = branch->element->device == &device_regulator ||
                     (branch->kind == BRANCH_RESISTANCE &&
                      amps * branch->element->figures[0] > volts / 2);

        /* A feed resistor may carry much the same in health; that it lies in series shows in its current. A regulator limits its
         * current by itself. */
        if (drops && fabs(amps - fault->amps) < series_share * fault->amps)
            fault->limiter = branch->part;
        if (!can_suffer(fault, branch->kind) || amps < carrier_share * fault->amps ||
            (fault->rail == SIZE_MAX && amps < least_carried) ||
            amps < carrier_multiple * sweep->healthy->branches[branch->index].rms)
            continue;
        fault->carriers = arena_grow(sweep->arena, fault->carriers, &capacity,
                                     fault->carrier_count, sizeof *fault->carriers);
        fault->carriers[fault->carrier_count++] =
            (struct fault_carrier){.branch = branch->index, .amps = amps};
        if (drops)
            fault->limiter = branch->part;
    }
}

/* What is asked of the parts until the fault is cleared. */
static void list_stresses(const struct sweep *sweep, const struct solution *solution,
                          struct fault *fault)
{
    const struct excerpt *excerpt = &sweep->excerpt;
    struct stress_case at = {.whole = sweep->network, .solved = excerpt->network,
                             .solution = solution, .branches = excerpt->branches,
                             .nodes = excerpt->nodes, .branch_count = excerpt->own_branches,
                             .seconds = fault->opens_by};

    fault->stresses = stress_find(sweep->arena, &at, sweep->healthy, &fault->stress_count);
}

/* Whether both ends of the fault, and the fuse that opens, were solved in health; else the fault is not either, for the same
 * reason. */
static bool was_solved(const struct sweep *sweep, struct fault *fault)
{
    const struct solution *healthy = sweep->healthy;

    if (healthy->node_solved[fault->node] && healthy->node_solved[fault->back] &&
        (fault->branch == SIZE_MAX || healthy->branch_solved[fault->branch]))
        return true;
    fault->status = healthy->status != SOLVE_OK ? healthy->status : SOLVE_NOT_KNOWN;
    fault->blame = healthy->blame;
    return false;
}

/* Nothing is driven that is not in health. */
static bool is_harmless(const struct fault *fault)
{
    return fault->carrier_count == 0 && fault->through_count == 0 && fault->worse_count == 0 && fault->rail == SIZE_MAX;
}

static void settle_outcome(struct sweep *sweep, struct fault *fault)
{
    if (is_harmless(fault)) {
        fault->outcome = OUTCOME_HARMLESS;
        fault->left_amps = fault->amps;
        return;
    }
    if (fault->kind == FAULT_OPEN) {
        fault->outcome = OUTCOME_FED_ON;
        return;
    }
    clearing_follow(sweep, fault);
    if (fault->outcome == OUTCOME_FED_ON)
        worsening_left(sweep, fault);
    if (fault->outcome == OUTCOME_CLEARED)
        fault->worse_count = 0; /* over with the fault */
    if (fault->rail == SIZE_MAX && fault->stage_count > 0 && fault->outcome == OUTCOME_CLEARED) {
        fault->opens_by = fault->stages[0].opens_by;
        fault->opened_by = fault->stages[0].fuse;
    }
}

static void run_fault(struct sweep *sweep, struct fault *fault)
{
    fault->opens_by = fault->cleared_by = INFINITY;
    fault->opened_by = SIZE_MAX;
    fault->outcome = OUTCOME_UNKNOWN;
    if (!was_solved(sweep, fault))
        return;
    sweep_prepare(sweep, fault, NULL);
    sweep->solution = sweep_solve(sweep, NULL);
    if (fault->kind == FAULT_OPEN && sweep->solution->status == SOLVE_OK)
        heaters_out_follow(sweep, fault);
    fault->status = sweep->solution->status;
    fault->blame =
        sweep->solution->blame != NULL ? arena_copy(sweep->arena, sweep->solution->blame) : NULL;
    if (fault->status != SOLVE_OK)
        return;
    if (fault->kind == FAULT_SHORT) {
        fault->amps = sweep->solution->branches[sweep->sound->branch_count].rms;
        judge_fuses(sweep, sweep->solution, fault);
        list_carriers(sweep, sweep->solution, fault);
        if (fault->rail != SIZE_MAX)
            list_stresses(sweep, sweep->solution, fault);
        else
            find_series(sweep, sweep->solution, fault);
        if (fault->site == SITE_COUPLING)
            fault->limiter = NULL; /* what it makes the valve draw is the fault */
    }
    worsening_find(sweep, fault);
    fault->direct = sweep->direct;
    if (fault->kind == FAULT_OPEN)
        sweep_tell_follows(sweep, fault);
    if (fault->status == SOLVE_OK)
        settle_outcome(sweep, fault);
}

/* The faults that are tried, each with what it is tried in. */
struct trials {
    const struct sweep *sweep;
    size_t *faults;        /* indices in whatif->faults */
    struct arena **kept;   /* by trial: what is told of it */
};

static void try_one(void *context, size_t index)
{
    struct trials *trials = context;
    struct sweep sweep = *trials->sweep;

    sweep.arena = trials->kept[index] = arena_new();
    sweep.scratch = arena_new();
    islands_part(sweep.scratch, &sweep.islands);
    run_fault(&sweep, &sweep.whatif->faults[trials->faults[index]]);
    arena_free(sweep.scratch);
}

static void run_all(struct sweep *sweep, bool every, const char *one)
{
    size_t most = sweep->whatif->fault_count, count = 0;
    struct trials trials = {.sweep = sweep, .faults = arena_array(sweep->arena, most, sizeof(size_t)),
                            .kept = arena_array(sweep->arena, most, sizeof(struct arena *))};

    for (size_t i = 0; i < most; i++)
        if (every || (one != NULL && strcmp(sweep->whatif->faults[i].id, one) == 0))
            trials.faults[count++] = i;
    crew_run(count, try_one, &trials);
    for (size_t i = 0; i < count; i++)
        arena_join(sweep->arena, trials.kept[i]);
}

static void index_fuses(struct sweep *sweep)
{
    size_t count = sweep->network->branch_count;

    sweep->fuse_of_branch = arena_array(sweep->arena, count, sizeof *sweep->fuse_of_branch);
    for (size_t i = 0; i < count; i++)
        sweep->fuse_of_branch[i] = SIZE_MAX;
    for (size_t i = 0; i < sweep->whatif->fuse_count; i++)
        sweep->fuse_of_branch[sweep->whatif->fuses[i].branch] = i;
}

static void index_covers(struct sweep *sweep)
{
    const struct trace *trace = sweep->trace;
    size_t *next = arena_array(sweep->arena, trace->rail_count + 1, sizeof *next);

    sweep->first_cover = arena_array(sweep->arena, trace->rail_count + 1, sizeof(size_t));
    sweep->covers = arena_array(sweep->arena, trace->cover_count, sizeof *sweep->covers);
    for (size_t i = 0; i < trace->cover_count; i++)
        sweep->first_cover[trace->covers[i].rail + 1]++;
    for (size_t i = 0; i < trace->rail_count; i++)
        sweep->first_cover[i + 1] += sweep->first_cover[i];
    memcpy(next, sweep->first_cover, (trace->rail_count + 1) * sizeof *next);
    for (size_t i = 0; i < trace->cover_count; i++)
        sweep->covers[next[trace->covers[i].rail]++] = i;
}

static struct whatif *try_faults(struct arena *arena, const struct network *network, const struct trace *trace,
                                 const struct solution *healthy, const struct fitted *fitted, size_t fitted_count,
                                 bool every, const char *one)
{
    struct whatif *whatif = arena_alloc(arena, sizeof *whatif);
    struct sweep sweep = {.arena = arena,
                          .network = network,
                          .trace = trace,
                          .healthy = healthy,
                          .islands = islands_find(arena, network),
                          .reach = reach_find(arena, network, trace),
                          .whatif = whatif};
    struct stage_notes notes = {.arena = arena};

    sweep.valves = power_valves_find(arena, network, &sweep.reach, healthy);
    if (network->parts != NULL)
        sweep.followers = follower_stages_find(arena, network, trace, healthy, 0, &notes);
    whatif->valves = sweep.valves.items;
    whatif->valve_count = sweep.valves.count;
    whatif->valves_passed_over = sweep.valves.passed_over;
    fuse_state_list(arena, network, fitted, fitted_count, whatif);
    index_fuses(&sweep);
    index_covers(&sweep);
    candidates_list(&sweep);
    run_all(&sweep, every, one);
    return whatif;
}

struct whatif *whatif_run(struct arena *arena, const struct network *network,
                          const struct trace *trace, const struct solution *healthy,
                          const struct fitted *fitted, size_t fitted_count)
{
    return try_faults(arena, network, trace, healthy, fitted, fitted_count, true, NULL);
}

struct whatif *whatif_run_one(struct arena *arena, const struct network *network, const struct trace *trace,
                              const struct solution *healthy, const struct fitted *fitted, size_t fitted_count,
                              const char *one)
{
    return try_faults(arena, network, trace, healthy, fitted, fitted_count, false, one);
}

const char *fault_kind_name(enum fault_kind kind)
{
    return kind == FAULT_OPEN ? "open" : "short";
}

const char *fault_site_name(enum fault_site site)
{
    static const char *const names[] = {"rail",     "diode",    "winding",   "heater",     "valve",
                                        "primary",  "coupling", "regulator", "transistor", "fuse"};

    return names[site];
}

const char *fault_outcome_name(enum fault_outcome outcome)
{
    static const char *const names[] = {"cleared", "fed-on", "harmless", "unknown"};

    return names[outcome];
}

const char *fault_worse_name(enum worse_kind kind)
{
    static const char *const names[] = {"bias-volts",   "anode-watts",     "speaker-volts",
                                        "supply-volts", "capacitor-volts", "stored-volts"};

    return names[kind];
}
