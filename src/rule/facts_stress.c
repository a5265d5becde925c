/* What parts are asked to stand: until a fault is cleared, and in normal use. */
#include "rule/facts_build.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "parts/parts.h"
#include "rule/facts_rests.h"
#include "rule/facts_stress.h"
#include "rule/facts_xml.h"
#include "rule/judge.h"
#include "solve/solve.h"
#include "whatif/full_signal.h"
#include "whatif/high_mains.h"
#include "whatif/stress.h"
#include "whatif/whatif.h"

/* "T1.HT", or the ref alone. */
static const char *object_of(const struct facts_build *build, size_t index)
{
    const struct branch *branch = &build->stages->network->branches[index];
    const struct part_info *info = facts_part(build, branch->part);
    const char *name = branch->section != NULL && branch->section->winding < info->winding_count
                           ? info->windings[branch->section->winding].name
                           : NULL;

    return name != NULL ? arena_print(build->arena, "%s.%s", branch->part->ref, name)
                        : branch->part->ref;
}

static xmlNode *add_stress(const struct facts_build *build, xmlNode *parent,
                           const struct stress *stress)
{
    xmlNode *node = fact_element(parent, "stress");

    fact_text(node, "part", facts_branch_ref(build, stress->branch));
    fact_text(node, "object", object_of(build, stress->branch));
    fact_text(node, "what", stress_what_name(stress->what));
    fact_number(node, "value", stress->value);
    fact_number(node, "limit", stress->limit);
    fact_text(node, "reason", stress->source);
    return node;
}

/* ---- until a fault is cleared ---- */

/* Exceeded is only what lasts longer than it is stood; where it is not known how long it lasts, nothing is.
 * */
static enum stress_verdict verdict_of(const struct fault_view *view, const struct stress *stress)
{
    return view->judged || stress->verdict != STRESS_EXCEEDED ? stress->verdict : STRESS_NOT_KNOWN;
}

/* Of the stresses of one object the one that gives way first, and of equals the first. */
static bool is_first(const struct facts_build *build, const struct fault *fault, size_t index)
{
    const char *object = object_of(build, fault->stresses[index].branch);
    double seconds = fault->stresses[index].withstands.seconds;

    for (size_t i = 0; i < fault->stress_count; i++) {
        const struct stress *other = &fault->stresses[i];

        if (other->verdict == STRESS_EXCEEDED && strcmp(object, object_of(build, other->branch)) == 0 &&
            (other->withstands.seconds < seconds ||
             (other->withstands.seconds == seconds && i < index)))
            return false;
    }
    return true;
}

/* Indices of what gives way, one an object, the soonest first; *COUNT of them. */
static size_t *list_cooked(const struct facts_build *build, const struct fault *fault, size_t *count)
{
    size_t *list = arena_array(build->arena, fault->stress_count, sizeof *list);

    *count = 0;
    for (size_t i = 0; i < fault->stress_count; i++) {
        size_t at = *count;

        if (fault->stresses[i].verdict != STRESS_EXCEEDED || !is_first(build, fault, i))
            continue;
        for (; at > 0 && fault->stresses[list[at - 1]].withstands.seconds >
                             fault->stresses[i].withstands.seconds; at--)
            list[at] = list[at - 1];
        list[at] = i;
        ++*count;
    }
    return list;
}

static void name_cooked(struct text *text, const char *object, double seconds)
{
    text_print(text, "%s%s", text->length > 0 ? ", " : "", object);
    if (seconds < 0.01)
        text_print(text, " at once");
    else if (seconds < 1)
        text_print(text, " within %.1g s", seconds);
    else
        text_print(text, " within %.0f s", seconds < 100 ? seconds : 10 * round(seconds / 10));
}

/* What a list of them shows. */
enum { COOKED_LONGEST = 6 };

const char *facts_cooked(const struct facts_build *build, const struct fault_view *view)
{
    const struct fault *fault = view->fault;
    struct text text = {0};
    size_t count;
    const size_t *list = list_cooked(build, fault, &count);
    const char *words;

    if (count == 0 || !view->judged)
        return NULL;
    for (size_t i = 0; i < count; i++)
        facts_rests_named(build, facts_branch_ref(build, fault->stresses[list[i]].branch), STRESS_DENSITY);
    for (size_t i = 0; i < count && i < COOKED_LONGEST; i++)
        name_cooked(&text, object_of(build, fault->stresses[list[i]].branch),
                    fault->stresses[list[i]].withstands.seconds);
    if (count > COOKED_LONGEST)
        text_print(&text, " and %zu more", count - COOKED_LONGEST);
    words = arena_copy(build->arena, text_bytes(&text));
    text_free(&text);
    return words;
}

void facts_add_stresses(const struct facts_build *build, xmlNode *parent,
                        const struct fault_view *view)
{
    for (size_t i = 0; i < view->fault->stress_count; i++) {
        const struct stress *stress = &view->fault->stresses[i];
        xmlNode *node = add_stress(build, parent, stress);

        fact_number(node, "withstands", stress->withstands.seconds);
        fact_number(node, "withstands-low", stress->withstands.low);
        fact_number(node, "withstands-high", stress->withstands.high);
        fact_text(node, "verdict", stress_verdict_name(verdict_of(view, stress)));
        fact_flag(node, "sure", view->judged && stress->sure);
    }
}

/* ---- normal use ---- */

/* The states of normal use, each a solution of the same branches; NULL: not known. */
enum use { USE_IDLE, USE_FULL, USE_HIGH_MAINS, USE_COUNT };

static const char *const use_names[USE_COUNT] = {
    [USE_IDLE] = "idle", [USE_FULL] = "full", [USE_HIGH_MAINS] = "high-mains"};

struct normal_use {
    const struct solution *of[USE_COUNT];
};

/* Full signal with the signal's own current in the RMS of every branch. */
static const struct solution *with_signal(const struct facts_build *build)
{
    const struct full_signal *full = build->stages->full;
    struct solution *sum;
    struct wave *waves;

    if (full == NULL || full->states[SIGNAL_SINE].solution == NULL)
        return NULL;
    sum = arena_alloc(build->arena, sizeof *sum);
    *sum = *full->states[SIGNAL_SINE].solution;
    waves = arena_array(build->arena, build->stages->network->branch_count, sizeof *waves);
    for (size_t i = 0; i < build->stages->network->branch_count; i++) {
        waves[i] = sum->branches[i];
        waves[i].rms = full_signal_rms(full, SIGNAL_SINE, i);
    }
    sum->branches = waves;
    return sum;
}

struct normal_use *facts_normal_use(const struct facts_build *build)
{
    struct normal_use *use;

    if (!facts_solved(build))
        return NULL;
    use = arena_alloc(build->arena, sizeof *use);
    use->of[USE_IDLE] = build->stages->healthy;
    use->of[USE_FULL] = with_signal(build);
    use->of[USE_HIGH_MAINS] =
        high_mains_cold(build->arena, build->stages->network, build->stages->healthy);
    return use;
}

/* What is asked in which state: ratings of currents and heat at idle and full signal, volts at high mains
 * too. The heat of valves at full signal is their cycle's: facts_output_stage tells it. */
static bool is_asked(enum stress_what what, enum use use)
{
    switch (what) {
    case STRESS_WINDING:
    case STRESS_CHOKE:
    case STRESS_DISSIPATION:
    case STRESS_AVERAGE:
    case STRESS_RIPPLE:
        return use != USE_HIGH_MAINS;
    case STRESS_ANODE:
    case STRESS_SCREEN:
    case STRESS_REVERSED:
        return use == USE_IDLE;
    case STRESS_VOLTS:
        return use != USE_FULL;
    default:
        return false;
    }
}

/* s that cold cathodes take to draw: 10 to 30 (from memory). What else is normal lasts. */
static const double cold_seconds = 30;

/* Of unknown rating only this much heat is told, W: twice the smallest usual resistor. */
static const double unrated_watts = 0.25;

/* Of unknown rating only so many direct volts are told: hardly any film or ceramic capacitor is made for less. Common
 * practice, no source. */
static const double unrated_volts = 50;

static bool is_told(const struct stress_case *at, const struct stress *stress)
{
    const struct branch *branch = &at->whole->branches[stress->branch];
    const struct wave *nodes = at->solution->nodes;

    if (!isnan(stress->limit))
        return stress->value > 0;
    if (stress->what == STRESS_VOLTS)
        return fabs(nodes[branch->from].mean - nodes[branch->to].mean) > unrated_volts;
    return stress->what == STRESS_DISSIPATION && stress->value > unrated_watts;
}

static bool is_text(xmlNode *node, const char *name, const char *text)
{
    xmlChar *value = xmlGetNoNsProp(node, (const xmlChar *)name);
    bool same = value != NULL && strcmp((const char *)value, text) == 0;

    xmlFree(value);
    return same;
}

/* Sections of one winding, diodes of one bridge: the one that is asked most speaks for all. Takes what
 * PARENT has of less; false: it has as much already. */
static bool is_most(const struct facts_build *build, xmlNode *parent, const struct stress *stress,
                    enum use use)
{
    if (stress->what != STRESS_WINDING && stress->what != STRESS_AVERAGE)
        return true;
    for (xmlNode *at = parent->children; at != NULL; at = at->next) {
        if (!xmlStrEqual(at->name, (const xmlChar *)"stress") || !is_text(at, "use", use_names[use]) ||
            !is_text(at, "what", stress_what_name(stress->what)) ||
            !is_text(at, "object", object_of(build, stress->branch)))
            continue;
        if (fact_read_number(at, "value") >= stress->value)
            return false;
        xmlUnlinkNode(at);
        xmlFreeNode(at);
        return true;
    }
    return true;
}

static void add_use(const struct facts_build *build, xmlNode *parent, const struct normal_use *use,
                    enum use which, size_t branch)
{
    struct stress_case at = {.whole = build->stages->network, .solved = build->stages->network,
                             .solution = use->of[which],
                             .seconds = which == USE_HIGH_MAINS ? cold_seconds : INFINITY};
    struct stress stresses[STRESSES_OF_BRANCH];
    size_t count;

    if (at.solution == NULL)
        return;
    count = stress_of_branch(build->arena, &at, branch, stresses);
    for (size_t i = 0; i < count; i++) {
        xmlNode *node;

        if (!is_asked(stresses[i].what, which) || !is_told(&at, &stresses[i]) ||
            !is_most(build, parent, &stresses[i], which))
            continue;
        node = add_stress(build, parent, &stresses[i]);
        fact_text(node, "use", use_names[which]);
        fact_text(node, "verdict", stress_verdict_name(stresses[i].verdict));
    }
}

void facts_add_use(const struct facts_build *build, xmlNode *parent, const struct normal_use *use,
                   size_t branch)
{
    for (size_t which = 0; use != NULL && which < USE_COUNT; which++)
        add_use(build, parent, use, which, branch);
}
