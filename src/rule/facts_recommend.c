/* The right marking for a fuse's place, and what its link is asked to break. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "rule/facts_xml.h"
#include "rule/fuse_place.h"
#include "rule/judge.h"
#include "whatif/whatif.h"

static const char *node_of(const struct facts_build *build, const struct fault_view *view)
{
    return facts_node_name(build, view->fault->node);
}

/* The normal current that counted, and with what margin. */
static void say_normal(struct text *text, const struct fuse_need *need)
{
    if (isfinite(need->full_amps))
        text_print(text, "%.3g times the %.3g A RMS of the largest normal current", NEED_MARGIN_FULL,
                   fmax(need->full_amps, need->idle_amps));
    else
        text_print(text, "%.3g times the %.3g A RMS of idle, full signal not being known", NEED_MARGIN_IDLE,
                   need->idle_amps);
}

/* How long the slowest of the faults takes with MARKING, s. */
static double slowest(const struct fuse_need *need, const struct marking *marking)
{
    const char *assumed;
    const struct gates *gates = gates_for(marking, &assumed);
    double seconds = 0;

    for (size_t i = 0; i < need->fault_count; i++)
        seconds = fmax(seconds, gates_opens_by(gates, marking->amps,
                                                need_fault_amps(need, &need->faults[i], marking)));
    return seconds;
}

static void say_clearing(struct text *text, const struct fuse_place *place, const struct marking *marking)
{
    if (place->need.fault_count > 0)
        text_print(text, " It is sure to clear each computed short of its zone, the slowest within %.3g s.",
                   slowest(&place->need, marking));
    else
        text_add(text, " No short of its own zone was computed.");
    if (place->unjudged > 0)
        text_print(text, " %zu short%s of its zone could not be judged.", place->unjudged,
                   place->unjudged == 1 ? "" : "s");
    text_add(text,
             isfinite(place->need.pulse_i2t) ? " It stands switch-on." : " Switch-on was not considered.");
}

/* Shorts behind the transformer that nothing nearer clears and that this link does not clear either. */
static void say_upstream(const struct facts_build *build, struct text *text, const struct fuse_place *place,
                         const struct marking *marking)
{
    const char *assumed;
    const struct gates *gates = gates_for(marking, &assumed);
    size_t missed = 0;

    for (size_t i = 0; i < place->upstream_count; i++) {
        if (gates_opens_by(gates, marking->amps, place->upstream_amps[i]) <= NEED_CLEARING_SECONDS)
            continue;
        text_print(text, "%s%s", missed++ == 0 ? " It is not sure to clear shorts at " : ", ",
                   node_of(build, place->upstream[i]));
    }
    if (missed > 0)
        text_add(text, ": a fuse by the winding has to.");
}

static void say_offer(struct text *text, const struct fuse_need *need, const struct recommendation *found)
{
    if (isnan(need->volts))
        text_add(text, " The volts that it breaks are not known.");
    else if (found->offer == NULL)
        text_print(text,
                   " No list that was seen has this rating for %.0f V %s: ask a maker for it%s.", need->volts,
                   need->dc ? "direct" : "alternating",
                   need->dc ? ", or put the fuse on the alternating side of the rectifier" : "");
}

static void say_found(const struct facts_build *build, struct text *text, const struct fuse_place *place,
                      const struct recommendation *found)
{
    text_add(text, "It carries ");
    say_normal(text, &place->need);
    text_add(text, ".");
    say_clearing(text, place, &found->marking);
    say_upstream(build, text, place, &found->marking);
    say_offer(text, &place->need, found);
}

/* A link that carries the normal current, and what it does not do. */
static void say_obstacle(const struct facts_build *build, struct text *text, const struct fuse_place *place,
                         const struct recommendation *none)
{
    const struct fuse_need *need = &place->need;
    char link[40];

    recommendation_print(none, link, sizeof link);
    text_print(text,
               none->reason == NO_VOLTAGE ? "%s suits the currents, carrying " : "It takes %s to carry ",
               link);
    say_normal(text, need);
    if (none->reason == NO_VOLTAGE)
        text_print(text, ", but none that was seen is rated for %.0f V %s.", need->volts,
                   need->dc ? "direct" : "alternating");
    else if (none->reason == NO_FAULT_CURRENT && none->missed != SIZE_MAX)
        text_print(text, ", and a short at %s, %.3g A RMS, does not surely open that within %.3g s.",
                   node_of(build, place->faults[none->missed]), need->faults[none->missed].amps,
                   NEED_CLEARING_SECONDS);
    else if (none->reason == NO_SWITCH_ON)
        text_print(text, ", and one that stands the %.3g A2s of switch-on does not clear every short.",
                   need->pulse_i2t);
    else if (none->reason == NO_BREAKING)
        text_print(text, ", and the prospective current of %.3g A is above what it breaks.",
                   need->prospective_amps);
    else
        text_print(text,
                   ", and the winding, rated %.3g A, must not carry more than %.3g times that for ever.",
                   need->winding_amps, NEED_WINDING_MULTIPLE);
}

static void say_none(const struct facts_build *build, struct text *text, const struct fuse_place *place,
                     const struct recommendation *none, const char *unknown_loads)
{
    if (none->reason == NO_CURRENT && unknown_loads != NULL)
        text_print(text, "The current of %s is not known. ", unknown_loads);
    else if (none->reason == NO_CURRENT)
        text_add(text, "Its normal current is not known, or next to nothing. ");
    else if (none->reason != NO_RATING) {
        say_obstacle(build, text, place, none);
        text_add(text, " ");
    }
    text_add(text, no_recommendation_help(none->reason));
}

static void add_right_marking(const struct facts_build *build, xmlNode *node, const struct fuse_place *place,
                              const char *unknown_loads)
{
    struct fuse_need need = place->need;
    struct recommendation result;
    struct text text = {0};
    const struct gates *gates;
    const char *assumed;
    char marking[40];
    bool full = isfinite(need.full_amps), pulse = isfinite(need.pulse_i2t);

    if (unknown_loads != NULL)
        need.idle_amps = need.full_amps = NAN; /* a lower bound is no normal current */
    result = need_recommend(&need);
    if (result.reason == RECOMMENDATION_FOUND) {
        fact_text(node, "recommended", recommendation_print(&result, marking, sizeof marking));
        fact_number(node, "recommended-amps", result.marking.amps);
        if (!full || !pulse)
            fact_text(node, "recommended-unchecked",
                      full    ? "switch-on"
                      : pulse ? "full-signal"
                              : "full-signal switch-on");
        say_found(build, &text, place, &result);
        gates = gates_for(&result.marking, &assumed);
        if (gates != NULL)
            facts_add_gates(node, "right-gate", gates, result.marking.amps);
    } else {
        fact_text(node, "no-recommendation", no_recommendation_id(result.reason));
        say_none(build, &text, place, &result, unknown_loads);
    }
    fact_text(node, "recommended-why", text_bytes(&text));
    text_free(&text);
}

/* All sheets of IEC 60127-2 that were read are for 250 V; of a link to UL 248-14 nothing can be said unless
 * it is marked. */
static const double sheet_volts = 250;

static double least_volts(const struct fuse_state *state)
{
    if (state->marking.volts > 0)
        return state->marking.volts;
    return !state->marking.american && strstr(state->gates->standard, "UL") == NULL ? sheet_volts : NAN;
}

static const char *series_name(enum rating_series series)
{
    static const char *const names[] = {
        [RATING_NONE] = "none", [RATING_R10] = "r10", [RATING_R20] = "r20", [RATING_AMERICAN] = "american",
    };

    return names[series];
}

/* What it is asked to break, and what its marking says to that. */
static void add_breaking(xmlNode *node, const struct fuse_place *place, const struct fuse_view *view)
{
    const struct fuse_need *need = &place->need;
    struct dc_verdict verdict;
    struct marking marked;

    fact_number(node, "breaks-volts", need->volts);
    fact_text(node, "breaks-current", need->dc ? "direct" : "alternating");
    fact_number(node, "prospective-amps", need->prospective_amps);
    if (view->state == NULL || !view->state->known)
        return;
    fact_number(node, "least-breaking-amps", marking_least_breaking_amps(&view->state->marking));
    fact_number(node, "least-volts", least_volts(view->state));
    fact_flag(node, "surges", need->surges);
    if (!need->dc)
        return;
    marked = view->state->marking;
    marked.volts = isnan(least_volts(view->state)) ? 0 : least_volts(view->state);
    verdict = marking_dc_use(&marked, need->volts, need->prospective_amps);
    fact_text(node, "direct-use", dc_use_name(verdict.use));
}

void facts_add_recommendation(const struct facts_build *build, xmlNode *node, const struct fuse_view *view,
                              const char *unknown_loads)
{
    struct fuse_place place = fuse_place_find(build, node, view);

    if (view->state != NULL && view->state->known)
        fact_text(node, "rating-series", series_name(rating_series(view->state->marking.amps)));
    if (!place.known)
        return;
    add_breaking(node, &place, view);
    add_right_marking(build, node, &place, unknown_loads);
}
