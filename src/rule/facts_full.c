/* Full signal: the output stages, and what rails, nodes and fuses then give. */
#include "rule/facts_build.h"

#include <math.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "rule/facts_rests.h"
#include "rule/facts_xml.h"
#include "rule/judge.h"
#include "solve/solve.h"
#include "whatif/full_signal.h"

/* The stages' results with the solution under SIGNAL in place of the healthy one. False: there is none. */
static bool at_signal(const struct facts_build *build, enum signal signal,
                      struct findings_of_stages *stages)
{
    *stages = *build->stages;
    if (stages->full == NULL || stages->full->states[signal].solution == NULL)
        return false;
    stages->healthy = stages->full->states[signal].solution;
    return true;
}

/* What was assumed of the stages and of their parts. */
static void rest_on_stages(const struct facts_build *build)
{
    const struct full_signal *full = build->stages->full;

    for (size_t i = 0; i < full->notes.assumption_count; i++)
        facts_rests_named(build, full->notes.assumptions[i].part, full->notes.assumptions[i].what);
    for (size_t i = 0; i < full->stages.count; i++) {
        const struct output_stage *stage = &full->stages.items[i];

        facts_rests_part(build, stage->transformer->ref);
        for (size_t v = 0; v < stage->valve_count; v++)
            facts_rests_part(build, stage->valves[v].part->ref);
    }
    for (size_t i = 0; i < full->followers.count; i++) {
        const struct follower_stage *stage = &full->followers.items[i];

        facts_rests_part(build, stage->speaker->ref);
        for (size_t k = 0; k < stage->count; k++)
            facts_rests_part(build, stage->followers[k].part->ref);
    }
}

void facts_add_full_rail(const struct facts_build *build, xmlNode *node, const struct rail *rail)
{
    struct findings_of_stages stages;

    if (at_signal(build, SIGNAL_SINE, &stages)) {
        rest_on_stages(build);
        fact_number(node, "full-volts", judge_rail_volts(&stages, rail));
        fact_number(node, "full-amps", judge_rail_amps(&stages, rail));
    }
    if (at_signal(build, SIGNAL_SQUARE, &stages))
        fact_number(node, "clipped-amps", judge_rail_amps(&stages, rail));
}

void facts_add_full_node(const struct facts_build *build, xmlNode *node, const struct rail *rail,
                         size_t index)
{
    struct findings_of_stages stages;

    if (at_signal(build, SIGNAL_SINE, &stages))
        fact_number(node, "full-volts", judge_node_volts(&stages, rail, index));
}

double facts_full_rms(const struct facts_build *build, size_t branch)
{
    const struct findings_of_stages *stages = build->stages;

    return stages->full != NULL && stages->healthy->branch_solved[branch]
               ? full_signal_rms(stages->full, SIGNAL_SINE, branch)
               : NAN;
}

void facts_add_full_fuse(const struct facts_build *build, xmlNode *node, size_t branch)
{
    const struct full_signal *full = build->stages->full;

    if (full == NULL || full->states[SIGNAL_SINE].solution == NULL)
        return;
    rest_on_stages(build);
    fact_number(node, "full-amps", full_signal_rms(full, SIGNAL_SINE, branch));
    fact_number(node, "clipped-amps", full_signal_rms(full, SIGNAL_SQUARE, branch));
    if (full->states[SIGNAL_SINE].audio[branch] > 0)
        fact_number(node, "audio-amps", full->states[SIGNAL_SINE].audio[branch]);
}

static const char *valve_refs(const struct facts_build *build, const struct output_stage *stage)
{
    struct text text = {0};
    const char *refs;

    for (size_t v = 0; v < stage->valve_count; v++)
        if (v == 0 || stage->valves[v].part != stage->valves[v - 1].part)
            text_print(&text, "%s%s", v > 0 ? " " : "", stage->valves[v].part->ref);
    refs = arena_copy(build->arena, text_bytes(&text));
    text_free(&text);
    return refs;
}

/* Idling below a tenth of the full current is class B, cutting off at all AB, never A: common
 * practice, no source. */
static const char *class_of(const struct cycle *cycle, struct valve_amps idle)
{
    if (!cycle->cuts_off)
        return "A";
    return idle.anode < 0.1 * cycle->anode ? "B" : "AB";
}

/* Anode and screen means of the whole stage, A; W into the load and heat of one valve's anode. */
static void describe_signal(xmlNode *node, const struct output_stage *stage,
                            const struct stage_signal *signal, const char *const names[4])
{
    double valves = (double)stage->valve_count;

    if (signal == NULL || !signal->solved)
        return;
    fact_number(node, names[0], valves * signal->cycle.anode);
    fact_number(node, names[1], valves * signal->cycle.screen);
    fact_number(node, names[2], signal->cycle.watts);
    fact_number(node, names[3], signal->cycle.anode_watts);
}

static void add_stage(const struct facts_build *build, size_t index)
{
    static const char *const full_names[] = {"full-amps", "full-screen-amps", "full-watts",
                                             "full-heat-watts"};
    static const char *const clipped_names[] = {"clipped-amps", "clipped-screen-amps",
                                                "clipped-watts", "clipped-heat-watts"};
    const struct full_signal *full = build->stages->full;
    const struct output_stage *stage = &full->stages.items[index];
    const struct signal_state *sine = &full->states[SIGNAL_SINE];
    const struct signal_state *square = &full->states[SIGNAL_SQUARE];
    double valves = (double)stage->valve_count;
    xmlNode *node = fact_element(build->root, "output-stage");

    fact_text(node, "id", stage->id);
    fact_text(node, "parts", valve_refs(build, stage));
    fact_text(node, "transformer", stage->transformer->ref);
    fact_text(node, "circuit", stage_kind_name(stage->kind));
    fact_text(node, "screens", stage_screens_name(stage->screens));
    fact_text(node, "feed", facts_node_name(build, stage->feed));
    fact_number(node, "load-ohms", stage->circuit.load_ohms);
    fact_text(node, "method", stage->estimated ? "estimate" : "cycle");
    fact_flag(node, "solved", sine->solution != NULL);
    fact_number(node, "bias-volts", full->idle_volts[index].grid);
    fact_number(node, "idle-amps", valves * full->idle[index].anode);
    fact_number(node, "idle-screen-amps", valves * full->idle[index].screen);
    fact_number(node, "idle-heat-watts",
                full->idle[index].anode * full->idle_volts[index].anode);
    if (sine->solution != NULL) {
        fact_text(node, "class", class_of(&sine->stages[index].cycle, full->idle[index]));
        if (sine->stages[index].grid_peak > 0)
            fact_number(node, "full-grid-volts", sine->stages[index].grid_peak);
        describe_signal(node, stage, &sine->stages[index], full_names);
    }
    if (square->solution != NULL)
        describe_signal(node, stage, &square->stages[index], clipped_names);
    rest_on_stages(build);
    facts_rests_node(build, stage->feed);
    facts_rests_write(build, node);
}

static const char *follower_refs(const struct facts_build *build,
                                 const struct follower_stage *stage)
{
    struct text text = {0};
    const char *refs;

    for (size_t i = 0; i < stage->count; i++)
        text_print(&text, "%s%s", i > 0 ? " " : "", stage->followers[i].part->ref);
    refs = arena_copy(build->arena, text_bytes(&text));
    text_free(&text);
    return refs;
}

static void add_follower_stage(const struct facts_build *build, size_t index)
{
    const struct full_signal *full = build->stages->full;
    const struct follower_stage *stage = &full->followers.items[index];
    const struct signal_state *sine = &full->states[SIGNAL_SINE];
    const struct signal_state *square = &full->states[SIGNAL_SQUARE];
    xmlNode *node = fact_element(build->root, "output-stage");

    fact_text(node, "id", stage->id);
    fact_text(node, "parts", follower_refs(build, stage));
    fact_text(node, "speaker", stage->speaker->ref);
    fact_text(node, "circuit", "transistor-pair");
    fact_number(node, "load-ohms", stage->speaker_ohms);
    fact_text(node, "method", "class-b");
    fact_flag(node, "solved", sine->solution != NULL);
    fact_number(node, "idle-amps", stage->idle);
    if (sine->solution != NULL) {
        fact_number(node, "full-amps", sine->followers[index].amps);
        fact_number(node, "full-watts", sine->followers[index].watts);
        fact_number(node, "full-heat-watts", sine->followers[index].heat_watts);
    }
    if (square->solution != NULL) {
        fact_number(node, "clipped-amps", square->followers[index].amps);
        fact_number(node, "clipped-watts", square->followers[index].watts);
        fact_number(node, "clipped-heat-watts", square->followers[index].heat_watts);
    }
    rest_on_stages(build);
    facts_rests_write(build, node);
}

void facts_add_output_stages(const struct facts_build *build)
{
    const struct full_signal *full = build->stages->full;

    for (size_t i = 0; full != NULL && i < full->stages.count; i++)
        add_stage(build, i);
    for (size_t i = 0; full != NULL && i < full->followers.count; i++)
        add_follower_stage(build, i);
}
