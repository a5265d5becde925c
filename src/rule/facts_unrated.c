/* Parts that stand or heat with enough for their rating to matter, which is not told: one element for all of a sort, so that
 * one finding can ask for all. */
#include "rule/facts_build.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "rule/facts_xml.h"

/* So many refs are listed; the rest are counted. */
enum { UNRATED_LISTED = 12 };

/* What is gathered of one sort. */
struct unrated {
    const struct facts_build *build;
    const char *what;
    double most;
    size_t count;
    const char *worst;
    struct text refs;
    xmlNode *node;
};

static bool says(xmlNode *node, const char *name, const char *text)
{
    xmlChar *value = xmlGetNoNsProp(node, (const xmlChar *)name);
    bool same = value != NULL && strcmp((const char *)value, text) == 0;

    xmlFree(value);
    return same;
}

/* The most that PART is asked of this sort in normal use, SI; NAN: nothing, or its rating is known. */
static double asked(const struct unrated *unrated, xmlNode *part)
{
    double most = NAN;

    if (!xmlStrEqual(part->name, (const xmlChar *)"part") || says(part, "fitted", "no"))
        return NAN;
    for (xmlNode *at = part->children; at != NULL; at = at->next)
        if (xmlStrEqual(at->name, (const xmlChar *)"stress") && says(at, "what", unrated->what)) {
            if (!isnan(fact_read_number(at, "limit")))
                return NAN;
            most = fmax(most, fact_read_number(at, "value"));
        }
    return most;
}

static void take(struct unrated *unrated, xmlNode *part, double value)
{
    xmlChar *ref = xmlGetNoNsProp(part, (const xmlChar *)"ref");
    xmlNode *lacking;

    if (unrated->node == NULL)
        unrated->node = fact_element(unrated->build->root, "unrated");
    lacking = fact_element(unrated->node, "lacking");
    fact_text(lacking, "part", (const char *)ref);
    fact_number(lacking, "value", value);
    if (unrated->count < UNRATED_LISTED)
        text_print(&unrated->refs, "%s%s", unrated->count > 0 ? " " : "", (const char *)ref);
    unrated->count++;
    if (!(value <= unrated->most)) {
        unrated->most = value;
        unrated->worst = arena_copy(unrated->build->arena, (const char *)ref);
    }
    xmlFree(ref);
}

static void add_unrated(const struct facts_build *build, const char *what)
{
    struct unrated unrated = {.build = build, .what = what, .most = -INFINITY};

    for (xmlNode *part = build->root->children; part != NULL; part = part->next) {
        double value = asked(&unrated, part);

        if (!isnan(value))
            take(&unrated, part, value);
    }
    if (unrated.count > UNRATED_LISTED)
        text_print(&unrated.refs, " and %zu more", unrated.count - UNRATED_LISTED);
    if (unrated.node != NULL) {
        fact_text(unrated.node, "what", what);
        fact_count(unrated.node, "count", unrated.count);
        fact_text(unrated.node, "parts", text_bytes(&unrated.refs));
        fact_text(unrated.node, "worst", unrated.worst);
        fact_number(unrated.node, "value", unrated.most);
    }
    text_free(&unrated.refs);
}

void facts_add_unrated(const struct facts_build *build)
{
    add_unrated(build, "working-volts");
    add_unrated(build, "dissipation");
}
