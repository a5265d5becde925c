#include "whatif/follower_stage.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/quantity.h"
#include "circuit/circuit.h"
#include "circuit/graph.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/output_stage.h"

/* Ohms that may lie between loudspeaker and transistor, and between a transistor and its supply:
 * emitter resistors, fuses and wiring, but no base or dropper resistor. */
#define OUTPUT_OHMS 3.0
#define COLLECTOR_OHMS 10.0
/* F: an output capacitor is at least so large. */
#define COUPLING_FARADS 100e-6
/* Ohm: what is plugged in is no loudspeaker if it has more. */
#define LARGEST_SPEAKER_OHMS 100.0
/* V: less between its supplies is no power stage. */
#define LEAST_VOLTS 4.0

static const double pi = 3.14159265358979323846;

struct hunt {
    struct arena *arena;
    const struct network *network;
    const struct solution *healthy;
    struct stage_notes *notes;
    struct audio_net supply, output; /* the latter through output capacitors too */
    bool *returns;                   /* by node: the reference, or where a rail's current returns to */
};

static size_t node_of(const struct part_info *info, enum pin_role role, size_t n)
{
    for (size_t i = 0; i < info->part->pin_count; i++)
        if (info->pins[i].role == role && n-- == 0)
            return info->part->pins[i].net != NULL ? info->part->pins[i].net->index : SIZE_MAX;
    return SIZE_MAX;
}

/* What the value of a jack or connector says of the loudspeaker plugged in: "speaker 8R"; 0: nothing. */
static double plugged_ohms(const struct part_info *info)
{
    double ohms;

    if ((info->kind != PART_JACK && info->kind != PART_CONNECTOR) || info->part->value == NULL ||
        !quantity_find(info->part->value, info->part->dialect, UNIT_NONE, UNIT_OHM, &ohms))
        return 0;
    return ohms > 0 && ohms <= LARGEST_SPEAKER_OHMS ? ohms : 0;
}

/* The ends of a loudspeaker, or of what it is plugged into. */
static bool speaker_ends(const struct part_info *info, size_t ends[2])
{
    if (info->kind == PART_SPEAKER) {
        ends[0] = node_of(info, PIN_END, 0);
        ends[1] = node_of(info, PIN_END, 1);
        if (ends[0] == SIZE_MAX) {
            ends[0] = node_of(info, PIN_PLUS, 0);
            ends[1] = node_of(info, PIN_MINUS, 0);
        }
    } else if (plugged_ohms(info) > 0 && info->kind == PART_JACK) {
        ends[0] = node_of(info, PIN_TIP, 0);
        ends[1] = node_of(info, PIN_SLEEVE, 0);
    } else if (plugged_ohms(info) > 0 && info->part->pin_count == 2) {
        for (size_t i = 0; i < 2; i++)
            ends[i] = info->part->pins[i].net != NULL ? info->part->pins[i].net->index : SIZE_MAX;
    } else {
        return false;
    }
    return ends[0] != SIZE_MAX && ends[1] != SIZE_MAX && ends[0] != ends[1];
}

static double speaker_ohms(struct hunt *hunt, const struct part_info *info)
{
    double ohms = part_figure_value(info, FIGURE_OHMS, 0);

    if (ohms > 0)
        return ohms;
    if (plugged_ohms(info) > 0)
        return plugged_ohms(info);
    return stage_notes_assume(
        hunt->notes,
        &(struct assumption){.part = info->part->ref, .what = figure_rows[FIGURE_OHMS].name, .value = 8,
                             .low = 4, .high = 16,
                             .reason = "loudspeakers are mostly 4 to 16 ohm (common practice, no source)"});
}

/* The terminals of the main current. */
static bool main_nodes(const struct part_info *info, size_t nodes[2])
{
    bool fet = info->kind == PART_FET;

    if (info->kind != PART_TRANSISTOR && !fet)
        return false;
    nodes[0] = node_of(info, fet ? PIN_DRAIN : PIN_COLLECTOR, 0);
    nodes[1] = node_of(info, fet ? PIN_SOURCE : PIN_EMITTER, 0);
    return nodes[0] != SIZE_MAX && nodes[1] != SIZE_MAX && !info->part->not_fitted;
}

static size_t main_branch(const struct network *network, const struct part *part,
                          const size_t nodes[2])
{
    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->part == part && ((branch->from == nodes[0] && branch->to == nodes[1]) ||
                                     (branch->from == nodes[1] && branch->to == nodes[0])))
            return i;
    }
    return SIZE_MAX;
}

/* Takes the transistor if one of its terminals was reached from the loudspeaker and the other is
 * near a supply. */
static void take(struct hunt *hunt, struct follower_stage *stage, size_t *capacity,
                 const struct part_info *info, const bool *reached)
{
    struct follower follower = {.part = info->part};
    size_t nodes[2];

    if (!main_nodes(info, nodes) || reached[nodes[0]] == reached[nodes[1]])
        return;
    follower.supply = reached[nodes[0]] ? nodes[1] : nodes[0];
    follower.path = audio_path_find(hunt->arena, &hunt->supply, follower.supply,
                                    hunt->supply.still, COLLECTOR_OHMS);
    if (!follower.path.found)
        return;
    follower.branch = main_branch(hunt->network, info->part, nodes);
    stage->followers = arena_grow(hunt->arena, stage->followers, capacity, stage->count,
                                  sizeof *stage->followers);
    stage->followers[stage->count++] = follower;
}

/* Nodes within OUTPUT_OHMS of START, not through a return. */
static bool *reach(struct hunt *hunt, size_t start)
{
    struct graph_query query = {.start = start, .target = SIZE_MAX, .barred = hunt->returns,
                                .limit = OUTPUT_OHMS};
    bool *reached = arena_array(hunt->arena, hunt->network->node_count, sizeof *reached);

    graph_search_run(hunt->output.search, &query);
    for (size_t i = 0; i < hunt->output.search->reached_count; i++)
        reached[hunt->output.search->reached[i]] = true;
    return reached;
}

static double volts_at(const struct solution *solution, size_t node)
{
    return solution->nodes[node].mean;
}

/* Finds both supplies and puts each transistor on its side; false: there are no two. */
static bool find_supplies(const struct hunt *hunt, struct follower_stage *stage)
{
    bool upper = false, lower = false;
    double middle;

    if (stage->count < 2)
        return false;
    stage->plus = stage->minus = stage->followers[0].supply;
    for (size_t i = 1; i < stage->count; i++) {
        size_t end = stage->followers[i].supply;

        if (volts_at(hunt->healthy, end) > volts_at(hunt->healthy, stage->plus))
            stage->plus = end;
        if (volts_at(hunt->healthy, end) < volts_at(hunt->healthy, stage->minus))
            stage->minus = end;
    }
    middle = (volts_at(hunt->healthy, stage->plus) + volts_at(hunt->healthy, stage->minus)) / 2;
    for (size_t i = 0; i < stage->count; i++) {
        struct follower *follower = &stage->followers[i];

        follower->upper = volts_at(hunt->healthy, follower->supply) > middle;
        upper |= follower->upper;
        lower |= !follower->upper;
    }
    return upper && lower && volts_at(hunt->healthy, stage->plus) -
                                     volts_at(hunt->healthy, stage->minus) >= LEAST_VOLTS;
}

static size_t count_upper(const struct follower_stage *stage)
{
    size_t count = 0;

    for (size_t i = 0; i < stage->count; i++)
        count += stage->followers[i].upper;
    return count;
}

/* The way of the whole current from the upper transistors' side to the loudspeaker's end HOT; of
 * parallel ones their resistors share it. */
static void find_way(struct hunt *hunt, struct follower_stage *stage, size_t hot,
                     const bool *reached)
{
    const struct follower *first = NULL;
    size_t nodes[2], output;

    for (size_t i = stage->count; i-- > 0;)
        if (stage->followers[i].upper)
            first = &stage->followers[i];
    if (first == NULL || !main_nodes(&hunt->network->parts->items[first->part->index], nodes))
        return;
    output = reached[nodes[0]] ? nodes[0] : nodes[1];
    stage->speaker_path = audio_path_between(hunt->arena, &hunt->output, output, hot,
                                             hunt->returns, OUTPUT_OHMS);
    for (size_t i = 0; i < stage->speaker_path.count; i++)
        stage->coupled |= hunt->network->branches[stage->speaker_path.branches[i]].kind ==
                          BRANCH_CAPACITANCE;
    stage->series_ohms = stage->speaker_path.found
                             ? stage->speaker_path.ohms / (double)count_upper(stage) : 0;
}

static double idle_of(const struct hunt *hunt, const struct follower_stage *stage)
{
    double amps = 0;

    for (size_t i = 0; i < stage->count; i++)
        if (stage->followers[i].upper && stage->followers[i].branch != SIZE_MAX)
            amps += fabs(hunt->healthy->branches[stage->followers[i].branch].mean);
    return amps;
}

static void add_stage(struct hunt *hunt, struct follower_stages *stages,
                      const struct part_info *info, size_t hot, size_t back, size_t number)
{
    const struct parts *parts = hunt->network->parts;
    struct follower_stage stage = {.speaker = info->part, .back = back};
    const bool *reached = reach(hunt, hot);
    size_t capacity = 0;

    for (size_t i = 0; i < parts->count; i++)
        take(hunt, &stage, &capacity, &parts->items[i], reached);
    if (!find_supplies(hunt, &stage))
        return;
    find_way(hunt, &stage, hot, reached);
    stage.id = arena_print(hunt->arena, "stage%zu", number);
    stage.idle = idle_of(hunt, &stage);
    stage.speaker_ohms = speaker_ohms(hunt, info);
    stage.drop_volts = stage_notes_assume(
        hunt->notes,
        &(struct assumption){.part = stage.followers[0].part->ref, .what = "output-drop-volts", .value = 3,
                             .low = 1, .high = 6,
                             .reason = "output pairs with their drivers stay 2 to 5 V below "
                                       "their supplies (common practice, no source)"});
    stages->items = arena_grow(hunt->arena, stages->items, &stages->capacity, stages->count,
                               sizeof *stages->items);
    stages->items[stages->count++] = stage;
}

/* Neither end is a return, and transistors are near both. */
static bool is_bridged(struct hunt *hunt, const size_t ends[2])
{
    const struct parts *parts = hunt->network->parts;

    for (size_t end = 0; end < 2; end++) {
        const bool *reached = reach(hunt, ends[end]);
        bool found = false;

        for (size_t i = 0; i < parts->count; i++) {
            size_t nodes[2];

            found |= main_nodes(&parts->items[i], nodes) && (reached[nodes[0]] || reached[nodes[1]]);
        }
        if (!found)
            return false;
    }
    return true;
}

static void look_at_speaker(struct hunt *hunt, struct follower_stages *stages,
                            const struct part_info *info, size_t first)
{
    size_t ends[2];

    if (info->part->not_fitted || !speaker_ends(info, ends))
        return;
    if (hunt->returns[ends[0]] != hunt->returns[ends[1]]) {
        size_t hot = hunt->returns[ends[0]] ? 1 : 0;

        add_stage(hunt, stages, info, ends[hot], ends[1 - hot], first + stages->count + 1);
    } else if (!hunt->returns[ends[0]] && is_bridged(hunt, ends)) {
        stages->bridged = arena_grow(hunt->arena, stages->bridged, &stages->bridged_capacity,
                                     stages->bridged_count, sizeof *stages->bridged);
        stages->bridged[stages->bridged_count++] = info->part;
    }
}

static bool any_transistor(const struct parts *parts)
{
    for (size_t i = 0; i < parts->count; i++)
        if (parts->items[i].kind == PART_TRANSISTOR || parts->items[i].kind == PART_FET)
            return true;
    return false;
}

struct follower_stages follower_stages_find(struct arena *arena, const struct network *network,
                                            const struct trace *trace,
                                            const struct solution *healthy, size_t first,
                                            struct stage_notes *notes)
{
    struct hunt hunt = {.arena = arena, .network = network, .healthy = healthy, .notes = notes};
    struct follower_stages stages = {0};

    if (!any_transistor(network->parts))
        return stages;
    hunt.supply = audio_net_new(arena, network, trace, 0);
    hunt.output = audio_net_new(arena, network, trace, COUPLING_FARADS);
    hunt.returns = arena_array(arena, network->node_count, sizeof *hunt.returns);
    hunt.returns[network->ground] = true;
    for (size_t i = 0; trace != NULL && i < trace->rail_count; i++)
        if (trace->rails[i].rectifier != SIZE_MAX)
            hunt.returns[trace->rails[i].back] = true;
    for (size_t i = 0; i < network->parts->count; i++)
        look_at_speaker(&hunt, &stages, &network->parts->items[i], first);
    return stages;
}

/* Peak current is (half of the volts between the supplies, less the drop) over all ohms; of a
 * sine each supply gives 1/pi of it on the mean, of a square wave 1/2. */
static double mean_share(bool square)
{
    return square ? 0.5 : 1 / pi;
}

/* The N-th of a side's transistors, counted round. */
static const struct follower *nth(const struct follower_stage *stage, bool upper, size_t n)
{
    size_t count = upper ? count_upper(stage) : stage->count - count_upper(stage);

    n %= count;
    for (size_t i = 0; i < stage->count; i++)
        if (stage->followers[i].upper == upper && n-- == 0)
            return &stage->followers[i];
    return NULL;
}

/* From each upper transistor's supply to a lower one's, so that fuses of their own carry their share. */
void follower_stage_load(struct network *network, const struct follower_stage *stage, bool square)
{
    double ohms = stage->speaker_ohms + stage->series_ohms, share = mean_share(square) / ohms;
    size_t upper = count_upper(stage), lower = stage->count - upper;
    size_t pairs = upper > lower ? upper : lower;

    for (size_t i = 0; i < pairs; i++) {
        size_t plus = nth(stage, true, i)->supply, minus = nth(stage, false, i)->supply;
        size_t nodes[] = {plus, minus, plus, minus, minus};
        struct element *element = network_add_element(network, &device_averaged,
                                                      stage->followers[0].part, nodes, 5);

        element->figures[0] = -(share * stage->drop_volts + stage->idle) / (double)pairs;
        element->figures[1] = share / 2 / (double)pairs;
        network_add_branch(network, element, plus, minus, BRANCH_LOAD, true);
    }
}

struct follower_signal follower_stage_signal(const struct follower_stage *stage,
                                             const struct solution *solution, bool square)
{
    double between = volts_at(solution, stage->plus) - volts_at(solution, stage->minus);
    double ohms = stage->speaker_ohms + stage->series_ohms;
    double peak = fmax(0, between / 2 - stage->drop_volts) / ohms, drawn;
    struct follower_signal signal = {.peak_amps = peak, .peak_volts = peak * stage->speaker_ohms};

    signal.amps = fmax(stage->idle, mean_share(square) * peak);
    signal.watts = peak * signal.peak_volts / (square ? 1 : 2);
    drawn = between * signal.amps;
    signal.heat_watts = fmax(0, drawn - signal.watts) / (double)stage->count;
    return signal;
}

/* The share of its side's current that flows in BRANCH of FOLLOWER's path; 0: an earlier one of
 * the side has it in its own. */
static double share_of(const struct follower_stage *stage, size_t index, size_t branch)
{
    size_t side = 0, through = 0;

    for (size_t i = 0; i < stage->count; i++) {
        const struct follower *other = &stage->followers[i];
        bool has = false;

        if (other->upper != stage->followers[index].upper)
            continue;
        side++;
        for (size_t k = 0; k < other->path.count; k++)
            has |= other->path.branches[k] == branch;
        if (has && i < index)
            return 0;
        through += has;
    }
    return (double)through / (double)side;
}

/* Half a wave has an RMS of 1/2 of the peak (square: 1/sqrt 2); its mean is not counted here. */
void follower_stage_share(const struct follower_stage *stage,
                          const struct follower_signal *signal, bool square, double *audio)
{
    double mean = mean_share(square), rms = square ? sqrt(0.5) : 0.5;
    double half = signal->peak_amps * sqrt(rms * rms - mean * mean);
    double whole = signal->peak_amps * (square ? 1 : sqrt(0.5));
    const struct audio_path *way = &stage->speaker_path;

    for (size_t i = 0; i < stage->count; i++) {
        const struct audio_path *path = &stage->followers[i].path;

        for (size_t k = 0; k < path->count; k++) {
            double *at = &audio[path->branches[k]];

            *at = hypot(*at, half * share_of(stage, i, path->branches[k]));
        }
    }
    for (size_t i = 0; way->found && i < way->count; i++)
        audio[way->branches[i]] = hypot(audio[way->branches[i]], whole);
}
