#include "whatif/full_signal.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "whatif/signal_share.h"

/* Supply and stages are solved in turn until no mean current moves by more than this share of the whole. */
#define SETTLED_SHARE 0.005
enum { MOST_ROUNDS = 8 };

/* One signal being worked out. */
struct pursuit {
    struct arena *arena;   /* of what is kept */
    const struct network *network;
    struct full_signal *full;
    bool square;
    const struct solution *solution;
    struct mean_current *means;     /* by stage: the tangents that the solution was found with */
    struct electrode_volts *volts;  /* by stage: in the solution */
    struct valve_amps *amps;        /* by stage: in the solution */
    const char *blame;
};

static struct electrode_volts mean_volts(const struct network *network,
                                         const struct output_stage *stage,
                                         const struct solution *solution)
{
    struct electrode_volts sum = {0, 0, 0};
    double count = (double)stage->valve_count;

    for (size_t v = 0; v < stage->valve_count; v++) {
        struct electrode_volts volts = stage_valve_volts(network, &stage->valves[v], solution);

        sum.anode += volts.anode / count;
        sum.screen += volts.screen / count;
        sum.grid += volts.grid / count;
    }
    return sum;
}

static struct valve_amps mean_amps(const struct output_stage *stage,
                                   const struct solution *solution)
{
    struct valve_amps sum = {0, 0};
    double count = (double)stage->valve_count;

    for (size_t v = 0; v < stage->valve_count; v++) {
        sum.anode += solution->branches[stage->valves[v].anode].mean / count;
        sum.screen += stage_valve_screen_amps(&stage->valves[v], solution) / count;
    }
    return sum;
}

static void read_solution(struct pursuit *pursuit)
{
    const struct output_stages *stages = &pursuit->full->stages;

    for (size_t i = 0; i < stages->count; i++) {
        pursuit->volts[i] = mean_volts(pursuit->network, &stages->items[i], pursuit->solution);
        pursuit->amps[i] = mean_amps(&stages->items[i], pursuit->solution);
    }
}

/* Makes SLOT of an element the mean current of TANGENT; SWAPPED: anode and screen are changed about. */
static void set_figures(double *figures, const struct mean_tangent *tangent, double grid_shift,
                        bool swapped)
{
    figures[0] = tangent->amps + tangent->by_grid * grid_shift;
    figures[1] = swapped ? tangent->by_screen : tangent->by_anode;
    figures[2] = swapped ? tangent->by_anode : tangent->by_screen;
    figures[3] = tangent->by_grid;
}

static void set_element(struct arena *arena, struct element *element, const size_t nodes[5])
{
    element->device = &device_averaged;
    element->nodes = arena_array(arena, 5, sizeof *nodes);
    memcpy(element->nodes, nodes, 5 * sizeof *nodes);
    element->node_count = 5;
    memset(element->figures, 0, sizeof element->figures);
}

/* In a copy of the network: the valve as what it draws on the mean. */
static void set_valve(struct arena *arena, struct network *copy, const struct stage_valve *valve,
                      const struct mean_current *mean)
{
    const struct branch *anode = &copy->branches[valve->anode];
    struct element *element = copy->elements[anode->element->index], *other;
    size_t screen = valve->screen != SIZE_MAX ? copy->branches[valve->screen].from : anode->from;
    size_t nodes[] = {anode->from, anode->to, screen, anode->to, valve->grid};
    size_t swapped[] = {screen, anode->to, anode->from, anode->to, valve->grid};

    set_element(arena, element, nodes);
    set_figures(element->figures, &mean->anode, valve->grid_shift, false);
    if (valve->screen == SIZE_MAX)
        return;
    other = copy->elements[copy->branches[valve->screen].element->index];
    if (other == element) {
        set_figures(element->figures + 4, &mean->screen, valve->grid_shift, false);
        return;
    }
    set_element(arena, other, swapped);
    set_figures(other->figures, &mean->screen, valve->grid_shift, true);
}

static bool solve_supply(struct pursuit *pursuit)
{
    struct network *copy = network_change(pursuit->arena, pursuit->network, NULL, 0);
    struct solve_options options = {.start = pursuit->solution};
    struct solution *solution;

    for (size_t i = 0; i < pursuit->full->stages.count; i++) {
        const struct output_stage *stage = &pursuit->full->stages.items[i];

        for (size_t v = 0; v < stage->valve_count; v++)
            set_valve(pursuit->arena, copy, &stage->valves[v], &pursuit->means[i]);
    }
    for (size_t i = 0; i < pursuit->full->followers.count; i++)
        follower_stage_load(copy, &pursuit->full->followers.items[i], pursuit->square);
    solution = solve_steady(pursuit->arena, copy, &options);
    pursuit->solution = solution;
    pursuit->blame = solution->blame;
    return solution->status == SOLVE_OK;
}

/* The stages at the volts of the solution; *MOVED is the largest share by which a mean current
 * is not what the solution was found with. */
static bool solve_stages(struct pursuit *pursuit, double *moved)
{
    const struct full_signal *full = pursuit->full;

    *moved = 0;
    for (size_t i = 0; i < full->stages.count; i++) {
        struct mean_current *mean = &pursuit->means[i];
        struct valve_amps now;

        *mean = mean_current_find(&full->stages.items[i], pursuit->volts[i], pursuit->amps[i],
                                  full->idle[i], pursuit->square);
        pursuit->blame = full->stages.items[i].valves[0].part->ref;
        if (!mean->solved)
            return false;
        now = (struct valve_amps){mean_tangent_amps(&mean->anode, pursuit->volts[i]),
                                  mean_tangent_amps(&mean->screen, pursuit->volts[i])};
        *moved = fmax(*moved, (fabs(now.anode - pursuit->amps[i].anode) +
                               fabs(now.screen - pursuit->amps[i].screen)) /
                                  (now.anode + now.screen));
    }
    pursuit->blame = NULL;
    return isfinite(*moved);
}

static bool pursue(struct pursuit *pursuit)
{
    double moved;

    read_solution(pursuit);
    for (int round = 0; round < MOST_ROUNDS; round++) {
        if (!solve_stages(pursuit, &moved))
            return false;
        if (round > 0 && moved <= SETTLED_SHARE)
            return true;
        if (!solve_supply(pursuit))
            return false;
        read_solution(pursuit);
    }
    return false;
}

static void keep(struct pursuit *pursuit, struct signal_state *state)
{
    const struct output_stages *stages = &pursuit->full->stages;

    state->solution = (struct solution *)pursuit->solution;
    for (size_t i = 0; i < stages->count; i++) {
        state->stages[i] = (struct stage_signal){.solved = true,
                                                 .cycle = pursuit->means[i].cycle,
                                                 .grid_peak = pursuit->means[i].grid_peak,
                                                 .volts = pursuit->volts[i]};
        signal_share_add(pursuit->network, &stages->items[i],
                         &pursuit->means[i].cycle,
                         pursuit->square ? drive_square().count : DRIVE_LEVELS_LARGEST,
                         state->audio);
    }
}

static void keep_followers(struct pursuit *pursuit, struct signal_state *state)
{
    const struct follower_stages *followers = &pursuit->full->followers;

    for (size_t i = 0; i < followers->count; i++) {
        state->followers[i] =
            follower_stage_signal(&followers->items[i], pursuit->solution, pursuit->square);
        follower_stage_share(&followers->items[i], &state->followers[i], pursuit->square,
                             state->audio);
    }
}

static void find_signal(struct full_signal *full, enum signal signal, const struct solution *start,
                        struct arena *arena, const struct network *network)
{
    size_t count = full->stages.count;
    struct signal_state *state = &full->states[signal];
    struct pursuit pursuit = {.arena = arena, .network = network, .full = full,
                              .square = signal == SIGNAL_SQUARE, .solution = start,
                              .means = arena_array(arena, count, sizeof *pursuit.means),
                              .volts = arena_array(arena, count, sizeof *pursuit.volts),
                              .amps = arena_array(arena, count, sizeof *pursuit.amps)};

    state->stages = arena_array(arena, count, sizeof *state->stages);
    state->followers =
        arena_array(arena, full->followers.count, sizeof *state->followers);
    state->audio = arena_array(arena, network->branch_count, sizeof *state->audio);
    if (!pursue(&pursuit)) {
        state->blame = pursuit.blame;
        return;
    }
    keep(&pursuit, state);
    keep_followers(&pursuit, state);
}

static void add_gap(struct full_signal *full, const char *part, const char *what, const char *need)
{
    full->gaps = arena_grow(full->notes.arena, full->gaps, &full->gap_capacity, full->gap_count,
                            sizeof *full->gaps);
    full->gaps[full->gap_count++] = (struct full_gap){part, what, need};
}

static bool has_stage(const struct full_signal *full, const struct part *transformer)
{
    for (size_t i = 0; i < full->stages.count; i++)
        if (full->stages.items[i].transformer == transformer)
            return true;
    return false;
}

/* An output transformer says that there is an output stage. */
static void note_undriven(struct full_signal *full, const struct network *network)
{
    for (size_t i = 0; i < network->parts->count; i++) {
        const struct part_info *info = &network->parts->items[i];

        if (info->kind == PART_OUTPUT_TRANSFORMER && !info->part->not_fitted &&
            !has_stage(full, info->part))
            add_gap(full, info->part->ref,
                    "no output stage was found on it, so nothing was computed at full signal",
                    "the types and pins of the valves whose anodes are at its primary, and what feeds it");
    }
}

static void note_bridged(struct full_signal *full)
{
    for (size_t i = 0; i < full->followers.bridged_count; i++)
        add_gap(full, full->followers.bridged[i]->ref,
                "it lies between two outputs, and what they draw at full signal was not computed",
                "the rail's current measured at full output");
}

/* Says of every stage that SIGNAL was not solved, and at what it stuck. */
static void note_unsolved(struct full_signal *full, enum signal signal)
{
    const char *blame = full->states[signal].blame;
    const char *what = arena_print(full->notes.arena, "what its stage draws %s was not found%s%s",
                                   signal == SIGNAL_SINE ? "at full signal" : "driven to a square wave",
                                   blame != NULL ? "; it stuck at " : "", blame != NULL ? blame : "");

    for (size_t i = 0; i < full->stages.count; i++)
        add_gap(full, full->stages.items[i].valves[0].part->ref, what,
                "the rail's current measured at full output");
    for (size_t i = 0; i < full->followers.count; i++)
        add_gap(full, full->followers.items[i].followers[0].part->ref, what,
                "the rail's current measured at full output");
}

static void note_estimate(struct full_signal *full, const struct output_stage *stage)
{
    const struct estimate_share *shares[] = {&estimate_swing, &estimate_screen};

    for (size_t i = 0; stage->estimated && i < 2; i++)
        stage_notes_assume(&full->notes,
                           &(struct assumption){.part = stage->valves[0].part->ref,
                                                .what = shares[i]->what,
                                                .value = shares[i]->value,
                                                .low = shares[i]->low, .high = shares[i]->high,
                                                .reason = shares[i]->reason});
}

struct full_signal *full_signal_find(struct arena *arena, const struct network *network,
                                     const struct trace *trace, const struct solution *healthy)
{
    struct full_signal *full = arena_alloc(arena, sizeof *full);

    full->notes.arena = arena;
    if (healthy == NULL || healthy->status != SOLVE_OK)
        return full;
    full->stages = output_stages_find(arena, network, trace, healthy, &full->notes);
    full->followers = follower_stages_find(arena, network, trace, healthy, full->stages.count,
                                           &full->notes);
    note_bridged(full);
    note_undriven(full, network);
    if (full->stages.count + full->followers.count == 0)
        return full;
    full->idle = arena_array(arena, full->stages.count, sizeof *full->idle);
    full->idle_volts = arena_array(arena, full->stages.count, sizeof *full->idle_volts);
    for (size_t i = 0; i < full->stages.count; i++) {
        full->idle[i] = mean_amps(&full->stages.items[i], healthy);
        full->idle_volts[i] = mean_volts(network, &full->stages.items[i], healthy);
        note_estimate(full, &full->stages.items[i]);
    }
    find_signal(full, SIGNAL_SINE, healthy, arena, network);
    if (full->states[SIGNAL_SINE].solution == NULL) {
        note_unsolved(full, SIGNAL_SINE);
        return full;
    }
    find_signal(full, SIGNAL_SQUARE, full->states[SIGNAL_SINE].solution, arena, network);
    if (full->states[SIGNAL_SQUARE].solution == NULL)
        note_unsolved(full, SIGNAL_SQUARE);
    return full;
}

double full_signal_rms(const struct full_signal *full, enum signal signal, size_t branch)
{
    const struct signal_state *state = &full->states[signal];

    if (state->solution == NULL)
        return NAN;
    return hypot(state->solution->branches[branch].rms, state->audio[branch]);
}
