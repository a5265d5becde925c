#include "trace_view.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "report/view.h"
#include "report/listing.h"
#include "report/sheet.h"
#include "route.h"
#include "run.h"
#include "trace/trace.h"

/* The child ELEMENT of the facts whose KEY is VALUE; NULL: none. */
static const xmlNode *find_fact(const struct run *run, const char *element, const char *key,
                                const char *value)
{
    const xmlNode *at = view_first(xmlDocGetRootElement(run->facts), element);

    while (at != NULL && !view_is(at, key, value))
        at = view_following(at);
    return at;
}

static const char *or_none(const char *text)
{
    return text != NULL ? text : "none";
}

/* The nodes of one rail and source that FUSE protects alike. */
static const char *covered(const struct run *run, size_t fuse, const struct cover *like,
                           enum coverage coverage)
{
    const struct trace *trace = run->trace;
    struct listing list = {0};

    for (size_t i = 0; i < trace->cover_count; i++) {
        const struct cover *cover = &trace->covers[i];

        if (cover->fuse == fuse && cover->rail == like->rail && cover->source == like->source &&
            cover->coverage == coverage)
            listing_add(&list, trace->network->nodes[cover->node].name);
    }
    return listing_end(&list, run->arena);
}

static void show_cover(const struct run *run, const struct sheet *sheet, size_t fuse,
                       const struct cover *cover)
{
    const struct rail *rail = &run->trace->rails[cover->rail];
    const char *full = covered(run, fuse, cover, COVERAGE_FULL);
    const char *part = covered(run, fuse, cover, COVERAGE_PARTIAL);

    sheet_item(sheet, SHEET_STRONG, "protects", "rail %s, from %s%s", rail->name,
               route_source_name(run->arena, run->trace, cover->source),
               cover->upstream ? ", through the transformer: only if a fault draws enough" : "");
    if (full != NULL)
        sheet_item(sheet, SHEET_PLAIN, "fully", "%s", full);
    if (part != NULL)
        sheet_item(sheet, SHEET_PLAIN, "half only", "%s: the other half-cycle has no fuse here",
                   part);
}

/* Whether an earlier cover of the same fuse has the same rail and source. */
static bool shown_before(const struct trace *trace, size_t index)
{
    const struct cover *cover = &trace->covers[index];

    for (size_t i = 0; i < index; i++)
        if (trace->covers[i].fuse == cover->fuse && trace->covers[i].rail == cover->rail &&
            trace->covers[i].source == cover->source)
            return true;
    return false;
}

static void show_covers(const struct run *run, const struct sheet *sheet, size_t fuse)
{
    bool any = false;

    for (size_t i = 0; i < run->trace->cover_count; i++) {
        const struct cover *cover = &run->trace->covers[i];

        if (cover->fuse != fuse || shown_before(run->trace, i))
            continue;
        show_cover(run, sheet, fuse, cover);
        any = true;
    }
    if (!any)
        sheet_item(sheet, SHEET_ALARM, "protects", "nothing that could be traced");
}

/* The branch of PART that is a fuse; SIZE_MAX: none, it was left out of the network. */
static size_t fuse_branch(const struct network *network, const struct part *part)
{
    for (size_t i = 0; i < network->branch_count; i++)
        if (network->branches[i].part == part && network->branches[i].kind == BRANCH_FUSE)
            return i;
    return SIZE_MAX;
}

static void show_figures(const struct run *run, const struct sheet *sheet, const char *ref)
{
    const xmlNode *fact = find_fact(run, "fuse", "ref", ref);
    struct arena *arena = run->arena;

    sheet_item(sheet, SHEET_PLAIN, "marking", "%s drawn, %s told as fitted",
               or_none(view_text(arena, fact, "marking")),
               or_none(view_text(arena, fact, "fitted")));
    sheet_item(sheet, SHEET_PLAIN, "carries", "%s RMS idle; sure to open at %s RMS",
               view_quantity(arena, fact, "idle-amps", UNIT_AMP),
               view_quantity(arena, fact, "opening-amps", UNIT_AMP));
}

void trace_view_fuse(const struct run *run, const struct sheet *sheet, const struct part *part)
{
    size_t fuse = fuse_branch(run->network, part);
    const struct node *nodes = run->network->nodes;

    sheet_item(sheet, SHEET_STRONG, "fuse", "%s", part->ref);
    show_figures(run, sheet, part->ref);
    if (fuse == SIZE_MAX) {
        sheet_item(sheet, SHEET_ALARM, "not traced", "too little is known of how it is wired");
        return;
    }
    sheet_item(sheet, SHEET_PLAIN, "between", "%s and %s",
               nodes[run->network->branches[fuse].from].name,
               nodes[run->network->branches[fuse].to].name);
    show_covers(run, sheet, fuse);
}

static bool feeds(const struct rail *rail, size_t node)
{
    for (size_t i = 0; i < rail->fed_count; i++)
        if (rail->fed[i] == node)
            return true;
    return node == rail->output;
}

/* The fuses that protect NODE of RAIL: "F2 fully, F1 fully through the transformer". */
static const char *fuses_of(const struct run *run, size_t rail, size_t node)
{
    const struct trace *trace = run->trace;
    struct listing list = {0};

    for (size_t i = 0; i < trace->cover_count; i++) {
        const struct cover *cover = &trace->covers[i];
        const struct part *part = trace->network->branches[cover->fuse].part;

        if (cover->rail == rail && cover->node == node)
            listing_add(&list, arena_print(run->arena, "%s %s%s", part->ref,
                                           cover->coverage == COVERAGE_FULL
                                               ? "fully" : "on one half-cycle only",
                                           cover->upstream ? " but through the transformer" : ""));
    }
    return listing_end(&list, run->arena);
}

static void show_source(const struct run *run, const struct sheet *sheet, const struct rail *rail)
{
    const struct trace *trace = run->trace;
    const char *way = route_from_feeder(run->arena, trace, rail->source);
    size_t feeder = trace->sources[rail->source].feeder;

    sheet_item(sheet, SHEET_PLAIN, "source", "%s%s%s",
               route_source_name(run->arena, trace, rail->source),
               feeder != SIZE_MAX ? ", fed by " : "",
               feeder != SIZE_MAX ? route_source_name(run->arena, trace, feeder) : "");
    if (way != NULL)
        sheet_item(sheet, SHEET_PLAIN, "mains way", "%s", way);
    if (rail->rectifier != SIZE_MAX)
        sheet_item(sheet, SHEET_PLAIN, "rectifier", "%s, %s", trace->rectifiers[rail->rectifier].id,
                   topology_name(trace->rectifiers[rail->rectifier].topology));
}

static void show_rail(const struct run *run, const struct sheet *sheet, size_t index, size_t node)
{
    const struct rail *rail = &run->trace->rails[index];
    const char *way = route_from_source(run->arena, run->trace, index, node);
    const char *fuses = fuses_of(run, index, node);

    sheet_item(sheet, SHEET_STRONG, "rail", "%s", rail->name);
    show_source(run, sheet, rail);
    sheet_item(sheet, SHEET_PLAIN, "way", "%s", way != NULL ? way : "not found");
    sheet_item(sheet, fuses != NULL ? SHEET_STRONG : SHEET_ALARM, "fuses", "%s",
               fuses != NULL ? fuses : "none protects it from this source");
}

/* The volts of a net: the mean, and the RMS too where that is the larger by more than a tenth. */
static const char *volts_of(struct arena *arena, const xmlNode *net)
{
    const char *mean = view_quantity(arena, net, "volts", UNIT_VOLT);
    double volts, rms;

    if (!view_number(net, "volts", &volts) || !view_number(net, "rms-volts", &rms) ||
        rms <= 1.1 * fabs(volts))
        return mean;
    return arena_print(arena, "%s mean, %s RMS", mean,
                       view_quantity(arena, net, "rms-volts", UNIT_VOLT));
}

void trace_view_net(const struct run *run, const struct sheet *sheet, size_t node)
{
    const struct trace *trace = run->trace;
    const char *name = run->network->nodes[node].name;
    const xmlNode *fact = find_fact(run, "net", "name", name);
    bool any = false;

    sheet_item(sheet, SHEET_STRONG, "net", "%s, %s, %s", name, net_role_name(trace->roles[node]),
               volts_of(run->arena, fact));
    for (size_t i = 0; i < trace->rail_count; i++) {
        if (!feeds(&trace->rails[i], node) && fuses_of(run, i, node) == NULL)
            continue;
        show_rail(run, sheet, i, node);
        any = true;
    }
    if (!any)
        sheet_item(sheet, SHEET_STRONG, "rail", "none that could be traced feeds this net");
}
