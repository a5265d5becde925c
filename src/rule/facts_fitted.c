/* The link that is in the holder, against the design's marking and against what is computed. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "fuselink/fuselink.h"
#include "rule/facts_xml.h"
#include "whatif/whatif.h"

/* Ratings this near are one rating written two ways: 3.15 and 3.2 A. Common practice, no source. */
static const double same_rating = 0.02;

static const char *compare(double fitted, double drawn, const char *less, const char *more)
{
    if (fabs(fitted - drawn) <= same_rating * drawn)
        return "same";
    return fitted > drawn ? more : less;
}

static void compare_speed(xmlNode *node, enum fuse_speed fitted, enum fuse_speed drawn)
{
    if (drawn == SPEED_UNKNOWN)
        return;
    fact_text(node, "drawn-characteristic", speed_name(drawn));
    if (fitted == SPEED_UNKNOWN)
        fact_text(node, "fitted-speed", "unknown");
    else
        fact_text(node, "fitted-speed",
                  fitted == drawn ? "same" : fitted > drawn ? "slower" : "quicker");
}

/* Whatever a link does not say of its breaking capacity, it is no less than the low one. */
static void compare_breaking(xmlNode *node, const struct marking *fitted,
                             const struct marking *drawn)
{
    if (drawn->breaking == BREAKING_UNKNOWN)
        return;
    fact_number(node, "drawn-breaking-amps", marking_breaking_amps(drawn));
    if (fitted->breaking == BREAKING_UNKNOWN && drawn->breaking != BREAKING_LOW)
        fact_text(node, "fitted-breaking", "unknown");
    else
        fact_text(node, "fitted-breaking",
                  fitted->breaking == drawn->breaking || fitted->breaking == BREAKING_UNKNOWN ? "same"
                  : fitted->breaking < drawn->breaking                                        ? "lower"
                                                                                              : "higher");
}

static void compare_volts(xmlNode *node, double fitted, double drawn)
{
    if (drawn <= 0)
        return;
    fact_number(node, "drawn-rated-volts", drawn);
    fact_text(node, "fitted-volts", fitted <= 0 ? "unknown" : compare(fitted, drawn, "lower", "higher"));
}

static void compare_markings(xmlNode *node, const struct marking *fitted,
                             const struct marking *drawn)
{
    fact_number(node, "drawn-amps", drawn->amps);
    fact_text(node, "fitted-rating", compare(fitted->amps, drawn->amps, "smaller", "larger"));
    compare_speed(node, fitted->speed, drawn->speed);
    compare_breaking(node, fitted, drawn);
    compare_volts(node, fitted->volts, drawn->volts);
}

static const char *text_of(struct arena *arena, xmlNode *node, const char *name)
{
    xmlChar *value = xmlGetNoNsProp(node, (const xmlChar *)name);
    const char *copy = value != NULL ? arena_copy(arena, (const char *)value) : NULL;

    xmlFree(value);
    return copy;
}

static double number_of(struct arena *arena, xmlNode *node, const char *name)
{
    const char *text = text_of(arena, node, name);

    return text != NULL ? strtod(text, NULL) : NAN;
}

/* The short in which the link stays whole too long, and what fails in its place. */
static const char *too_large(struct arena *arena, xmlNode *node)
{
    const char *which = text_of(arena, node, "uncleared-fault") != NULL ? "uncleared" : "never-opens";
    const char *net = text_of(arena, node, arena_print(arena, "%s-net", which));
    const char *carriers = text_of(arena, node, arena_print(arena, "%s-carriers", which));
    double amps = number_of(arena, node, arena_print(arena, "%s-amps", which));

    return arena_print(arena,
                       "It fails the computed need too: a short at %s drives %.3g A RMS through it "
                       "and it need not open below %.3g A; %s would fail in its place.",
                       net != NULL ? net : "a net that it protects", amps,
                       number_of(arena, node, "opening-amps"),
                       carriers != NULL ? carriers : "the winding");
}

/* By the figures that fuse-oversized and fuse-undersized go by. */
static const char *need_of(struct arena *arena, xmlNode *node, const char **sentence)
{
    double idle = number_of(arena, node, "idle-amps");
    double continuous = number_of(arena, node, "continuous-amps");
    double winding = number_of(arena, node, "winding-amps");
    double carried = number_of(arena, node, "winding-amps-at-rating");

    if (text_of(arena, node, "uncleared-fault") != NULL ||
        text_of(arena, node, "never-opens-fault") != NULL) {
        *sentence = too_large(arena, node);
        return "too-large";
    }
    if (idle > continuous) {
        *sentence = arena_print(arena, "It fails the computed need too: it carries %.3g A RMS in "
                                "normal use and may carry %.3g A for ever.", idle, continuous);
        return "too-small";
    }
    if (carried > 2 * winding) {
        *sentence = arena_print(arena, "It fails the computed need too: while it carries its rating "
                                "for ever the winding carries %.3g A RMS and is rated at %.3g A.",
                                carried, winding);
        return "too-large";
    }
    if (isnan(idle) || isnan(continuous) || number_of(arena, node, "shorts-unjudged") > 0 ||
        isnan(number_of(arena, node, "slowest-seconds"))) {
        *sentence = "Whether it meets the computed need was not judged.";
        return "not-judged";
    }
    *sentence = arena_print(arena, "It meets the computed need: it carries %.3g A RMS in normal use, "
                            "and every computed short is cleared.", idle);
    return "met";
}

void facts_add_fitted(const struct facts_build *build, xmlNode *node,
                      const struct fuse_state *state)
{
    struct marking drawn;
    const char *sentence = NULL;

    if (state == NULL || state->fitted == NULL || state->drawn == NULL)
        return;
    fact_text(node, "fitted-need", need_of(build->arena, node, &sentence));
    fact_text(node, "fitted-need-sentence", sentence);
    if (marking_parse(state->drawn, &drawn) && drawn.rated && state->marking.rated)
        compare_markings(node, &state->marking, &drawn);
    else
        fact_text(node, "fitted-rating", "unknown");
}
