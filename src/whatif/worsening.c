/* What a fault makes worse elsewhere: bias gone while the anode keeps its supply, an anode too hot, direct current in a
 * loudspeaker. */
#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "whatif/capacitors.h"
#include "whatif/sweep.h"

/* A valve has lost its bias if less than this share is left of it, while this share is left of its anode's volts. Common
 * practice, no source. */
static const double bias_share = 0.5, anode_share = 0.3;
/* V: less is no bias to lose. */
static const double least_bias = 3;
/* An anode's dissipation has grown if it is this multiple of what it was. */
static const double watts_multiple = 1.3;
/* V across a loudspeaker that a good amplifier stays well below. Common practice, no source. */
static const double speaker_volts = 1;
/* What a regulator feeds is at risk above this multiple of its volts: 18 V for amplifiers run at 15 V, as their sheets rate
 * them. */
static const double supply_multiple = 1.2;
/* A relay whose coil has less than this share of its current lets go: makers' sheets promise 10 %, most do at 30 to 50 %
 * (from memory). */
static const double holding_share = 0.3;

void sweep_add_worse(struct sweep *sweep, struct fault *fault, struct fault_worse worse)
{
    fault->worse = arena_grow(sweep->arena, fault->worse, &fault->worse_capacity, fault->worse_count,
                              sizeof *fault->worse);
    fault->worse[fault->worse_count++] = worse;
}

/* Mean volts from node A to node B of the whole, in the faulted excerpt; NAN: they are not in it. */
static double volts_after(const struct sweep *sweep, size_t a, size_t b)
{
    size_t from = excerpt_node(&sweep->excerpt, &sweep->islands, a);
    size_t to = excerpt_node(&sweep->excerpt, &sweep->islands, b);

    if (from == SIZE_MAX || to == SIZE_MAX)
        return NAN;
    return sweep->solution->nodes[from].mean - sweep->solution->nodes[to].mean;
}

static double volts_before(const struct sweep *sweep, size_t a, size_t b)
{
    return sweep->healthy->nodes[a].mean - sweep->healthy->nodes[b].mean;
}

static void look_at_bias(struct sweep *sweep, struct fault *fault, const struct power_valve *valve)
{
    double before, after, anode;

    if (valve->grid == SIZE_MAX || (sweep->cold != NULL && sweep->cold[valve->info->part->index]))
        return;
    before = volts_before(sweep, valve->grid, valve->cathode);
    after = volts_after(sweep, valve->grid, valve->cathode);
    anode = volts_after(sweep, valve->anode, valve->cathode) /
            volts_before(sweep, valve->anode, valve->cathode);
    if (before < -least_bias && after > bias_share * before && anode > anode_share)
        sweep_add_worse(sweep, fault, (struct fault_worse){WORSE_BIAS, valve->info->part, before, after, NAN, NAN});
}

static void look_at_watts(struct sweep *sweep, struct fault *fault, const struct power_valve *valve)
{
    size_t anode = excerpt_node(&sweep->excerpt, &sweep->islands, valve->anode);
    size_t cathode = excerpt_node(&sweep->excerpt, &sweep->islands, valve->cathode);
    double before = volts_before(sweep, valve->anode, valve->cathode) *
                    sweep->healthy->branches[valve->anode_branch].mean;
    double after = power_valve_watts(sweep->faulted, sweep->solution, valve, anode, cathode);
    double limit = part_figure_value(valve->info, FIGURE_ANODE_WATTS, NAN);

    if (after > watts_multiple * before && !(after <= limit))
        sweep_add_worse(sweep, fault,
                  (struct fault_worse){WORSE_ANODE_WATTS, valve->info->part, before, after, limit, NAN});
}

static void look_at_valves(struct sweep *sweep, struct fault *fault)
{
    for (size_t i = 0; i < sweep->excerpt.own_branches; i++) {
        size_t index = sweep->valves.of_branch[sweep->excerpt.branches[i]];

        if (index == SIZE_MAX)
            continue;
        look_at_bias(sweep, fault, &sweep->valves.items[index]);
        look_at_watts(sweep, fault, &sweep->valves.items[index]);
    }
}

/* ---- loudspeakers ---- */

/* The end of STAGE's loudspeaker that is not the return. */
static size_t hot_end(const struct follower_stage *stage)
{
    for (size_t i = 0; i < stage->speaker->pin_count; i++)
        if (stage->speaker->pins[i].net != NULL && stage->speaker->pins[i].net->index != stage->back)
            return stage->speaker->pins[i].net->index;
    return SIZE_MAX;
}

static void look_at_speaker(struct sweep *sweep, struct fault *fault, const struct follower_stage *stage)
{
    size_t hot = hot_end(stage);
    double before, after;

    if (hot == SIZE_MAX || excerpt_node(&sweep->excerpt, &sweep->islands, hot) == SIZE_MAX)
        return;
    before = volts_before(sweep, hot, stage->back);
    after = volts_after(sweep, hot, stage->back);
    if (fabs(after) > speaker_volts && fabs(after) > 2 * fabs(before))
        sweep_add_worse(sweep, fault,
                  (struct fault_worse){WORSE_SPEAKER, stage->speaker, before, after, speaker_volts, NAN});
}

/* ---- relays ---- */

/* The coil in branch LOCAL. */
static bool has_let_go(const struct sweep *sweep, size_t local)
{
    return sweep->solution->branches[local].rms < holding_share * sweep_healthy_amps(sweep, local);
}

/* Opens the contacts of relays whose coils have lost their current; false: there are none. */
static bool open_contacts(struct sweep *sweep)
{
    const struct network *network = sweep->excerpt.network;
    bool opened = false;

    for (size_t i = 0; i < sweep->excerpt.own_branches; i++) {
        const struct branch *coil = &network->branches[i];

        if (network->parts == NULL || network->parts->items[coil->part->index].kind != PART_RELAY ||
            coil->kind != BRANCH_RESISTANCE || !has_let_go(sweep, i))
            continue;
        for (size_t k = 0; k < sweep->excerpt.own_branches; k++)
            if (network->branches[k].part == coil->part && network->branches[k].kind == BRANCH_CONTACT)
                opened = sweep_open(sweep, k) || opened;
    }
    return opened;
}

/* With a fuse open a relay may let go: then the circuit is another one. */
static void let_relays_go(struct sweep *sweep, struct fault *fault)
{
    const struct solution *solution;

    if (!open_contacts(sweep))
        return;
    solution = sweep_solve(sweep, sweep->solution);
    fault->status = solution->status;
    fault->blame = solution->blame != NULL ? arena_copy(sweep->arena, solution->blame) : NULL;
    sweep->solution = solution;
}

/* ---- supplies ---- */

/* A regulator shorted through hands on what comes in. */
static void look_at_regulator(struct sweep *sweep, struct fault *fault)
{
    size_t ground = sweep->network->ground;
    double before = volts_before(sweep, fault->back, ground), after = volts_after(sweep, fault->back, ground);

    if (fabs(after) > supply_multiple * fabs(before))
        sweep_add_worse(sweep, fault, (struct fault_worse){WORSE_SUPPLY, fault->parts[0], before, after, NAN, NAN});
}

static void look_at_speakers(struct sweep *sweep, struct fault *fault)
{
    for (size_t i = 0; i < sweep->followers.count; i++)
        if (!sweep->followers.items[i].coupled)
            look_at_speaker(sweep, fault, &sweep->followers.items[i]);
}

void worsening_left(struct sweep *sweep, struct fault *fault)
{
    if (fault->site == SITE_TRANSISTOR && fault->stage_count > 0)
        look_at_speakers(sweep, fault);
}

void worsening_find(struct sweep *sweep, struct fault *fault)
{
    if (fault->kind == FAULT_OPEN)
        let_relays_go(sweep, fault);
    if (fault->status == SOLVE_OK && fault->site == SITE_REGULATOR)
        look_at_regulator(sweep, fault);
    if (fault->status != SOLVE_OK)
        return;
    look_at_valves(sweep, fault);
    if (fault->kind == FAULT_SHORT)
        return;
    look_at_speakers(sweep, fault);
    capacitors_look(sweep, fault);
}
