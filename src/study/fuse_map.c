/* The fuse map: the mains side, then a picture for each rail, from its winding down to its last node. A node's frame tells how it
 * is protected: full line, a fuse of its own; broken line, on one half-cycle only; dotted line, only a fuse ahead of the
 * transformer; hatched, none. */
#include "study/study.h"

#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "report/listing.h"
#include "report/view.h"
#include "study/drawing.h"
#include "study/page.h"

enum { WIDTH = 336, ROW = 50, BOX = 34, TOP = 8, INDENT = 14, MOST_INDENT = 6, MOST_NODES = 60 };

/* A picture being drawn, downwards. */
struct lane {
    struct text svg;
    double y; /* top of the next row */
};

static void start(struct lane *lane, double rows, const char *title)
{
    *lane = (struct lane){.y = TOP};
    draw_start(&lane->svg, WIDTH, TOP + rows * ROW, title);
    text_print(&lane->svg, "<defs><pattern id=\"bare\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" "
                           "patternTransform=\"rotate(45)\"><path d=\"M0 0V7\" stroke=\"currentColor\" stroke-width=\"1.6\" "
                           "opacity=\".55\"/></pattern></defs>");
}

static const char *end(struct lane *lane, struct arena *arena)
{
    const char *svg;

    draw_end(&lane->svg);
    svg = arena_copy(arena, text_bytes(&lane->svg));
    text_free(&lane->svg);
    return svg;
}

/* The wire into the row at Y, with what lies in it. */
static void draw_wire(struct lane *lane, double x, double y, const char *parts)
{
    draw_line(&lane->svg, x + 16, y - (ROW - BOX), x + 16, y, "stroke-width=\"1.5\"");
    if (parts != NULL)
        draw_label(&lane->svg, x + 22, y - 4, "start", 10, parts, 44);
}

/* A box with a name, what it reads, and a word at its right. */
static void draw_stage(struct lane *lane, double x, const char *frame, const char *name,
                       const char *figures, const char *word)
{
    draw_box(&lane->svg, x, lane->y, WIDTH - x - 2, BOX, 3, frame);
    draw_label(&lane->svg, x + 8, lane->y + 15, "start", 12, name, 24);
    if (figures != NULL)
        draw_label(&lane->svg, x + 8, lane->y + 28, "start", 10, figures, 28);
    if (word != NULL)
        draw_label(&lane->svg, WIDTH - 8, lane->y + 21, "end", 11, word, 22);
    lane->y += ROW;
}

static void draw_fuse(struct lane *lane, const char *ref, const char *marking, const char *place)
{
    double middle = lane->y + BOX / 2.0;

    draw_wire(lane, 2, lane->y, NULL);
    draw_box(&lane->svg, 2, lane->y, WIDTH - 4, BOX, BOX / 2.0, "fill=\"none\" stroke-width=\"2\"");
    draw_line(&lane->svg, 14, middle, 34, middle, "stroke-width=\"2\"");
    draw_label(&lane->svg, 42, lane->y + 15, "start", 12, ref, 20);
    draw_label(&lane->svg, 42, lane->y + 28, "start", 10, marking != NULL ? marking : "marking not known", 26);
    draw_label(&lane->svg, WIDTH - 14, lane->y + 21, "end", 11, place != NULL ? place : "fuse", 22);
    lane->y += ROW;
}

static const xmlNode *fuse_of(const struct study *study, const char *ref)
{
    for (const xmlNode *at = view_first(study->facts, "fuse"); at != NULL; at = view_following(at))
        if (view_is(at, "ref", ref))
            return at;
    return NULL;
}

static const char *marking_of(const struct study *study, const xmlNode *fuse)
{
    const char *fitted = view_text(study->arena, fuse, "fitted");

    return fitted != NULL ? fitted : view_text(study->arena, fuse, "marking");
}

static void draw_fuse_of(const struct study *study, struct lane *lane, const char *ref)
{
    const xmlNode *fuse = fuse_of(study, ref);

    draw_fuse(lane, ref, marking_of(study, fuse), view_text(study->arena, fuse, "place"));
}

/* ---- the mains side ---- */

static const char *conductor_words(const struct study *study, const xmlNode *mains, const char *role)
{
    struct listing fuses = {0};
    const char *names;

    for (const xmlNode *at = view_first(mains, "conductor"); at != NULL; at = view_following(at)) {
        const char *fuse = view_text(study->arena, at, "fuse");

        if (view_is(at, "role", role) && fuse != NULL)
            listing_add(&fuses, fuse);
    }
    names = listing_end(&fuses, study->arena);
    return names != NULL ? names : "no fuse";
}

static const char *windings_fed(const struct study *study, const char *source)
{
    struct listing windings = {0};
    const char *names;

    for (const xmlNode *at = view_first(study->facts, "source"); at != NULL; at = view_following(at))
        if (view_is(at, "feeder", source))
            listing_add(&windings, view_text(study->arena, at, "id"));
    names = listing_end(&windings, study->arena);
    return names != NULL ? names : "no winding traced";
}

static void draw_mains(const struct study *study, const xmlNode *mains)
{
    const char *part = view_text(study->arena, mains, "part"), *source = view_text(study->arena, mains, "source");
    const char *live = conductor_words(study, mains, "live"), *neutral = conductor_words(study, mains, "neutral");
    const char *title = arena_print(study->arena, "Mains side, inlet %s", part);
    size_t fuses = 0;
    struct lane lane;

    for (const xmlNode *at = view_first(mains, "conductor"); at != NULL; at = view_following(at))
        fuses += view_is(at, "role", "live") && view_text(study->arena, at, "fuse") != NULL;
    start(&lane, (double)(fuses > 0 ? fuses : 1) + 2, title);
    draw_stage(&lane, 2, "fill=\"none\" stroke-width=\"2\"", part, "mains inlet", NULL);
    for (const xmlNode *at = view_first(mains, "conductor"); at != NULL; at = view_following(at)) {
        const char *fuse = view_text(study->arena, at, "fuse");

        if (view_is(at, "role", "live") && fuse != NULL)
            draw_fuse_of(study, &lane, fuse);
    }
    if (fuses == 0) {
        draw_wire(&lane, 2, lane.y, NULL);
        draw_stage(&lane, 2, "fill=\"url(#bare)\" stroke-width=\"3\"", "live conductor", NULL, "NO FUSE");
    }
    draw_wire(&lane, 2, lane.y, "live");
    draw_stage(&lane, 2, "fill=\"none\" stroke-width=\"2\"", "transformer", windings_fed(study, source), NULL);
    page_figure(study->page, end(&lane, study->arena),
                arena_print(study->arena, "%s. Live: %s. Neutral: %s. Earth: %s.", title, live, neutral,
                            view_is(mains, "earth-pin", "yes") ? conductor_words(study, mains, "earth") : "no pin"));
}

/* ---- a rail ---- */

/* How a node is framed, and the word beside it. */
struct look {
    const char *frame, *word;
};

/* Fuses that cover NET of RAIL on SIDE. */
static const char *covering(const struct study *study, const char *rail, const char *net, bool upstream,
                            const char *coverage)
{
    struct listing refs = {0};

    for (const xmlNode *fuse = view_first(study->facts, "fuse"); fuse != NULL; fuse = view_following(fuse))
        for (const xmlNode *at = view_first(fuse, "protects"); at != NULL; at = view_following(at))
            if (view_is(at, "net", net) && view_is(at, "rail", rail) && view_is(at, "coverage", coverage) &&
                view_is(at, "upstream", upstream ? "yes" : "no"))
                listing_add(&refs, view_text(study->arena, fuse, "ref"));
    return listing_end(&refs, study->arena);
}

static struct look look_of(const struct study *study, const xmlNode *rail, const xmlNode *node)
{
    const char *id = view_text(study->arena, rail, "id"), *net = view_text(study->arena, node, "net");
    const char *refs;

    if (view_is(node, "protection", "own")) {
        refs = covering(study, id, net, false, "full");
        return (struct look){"fill=\"none\" stroke-width=\"2.5\"",
                             arena_print(study->arena, "fuse %s", refs != NULL ? refs : "of its own")};
    }
    if (view_is(node, "protection", "partial")) {
        refs = covering(study, id, net, false, "partial");
        return (struct look){"fill=\"none\" stroke-width=\"2.5\" stroke-dasharray=\"12 5\"",
                             arena_print(study->arena, "%s, HALF ONLY", refs != NULL ? refs : "?")};
    }
    if (view_is(node, "protection", "upstream")) {
        refs = covering(study, id, net, true, "full");
        return (struct look){"fill=\"none\" stroke-width=\"2\" stroke-dasharray=\"2 4\" stroke-linecap=\"round\"",
                             arena_print(study->arena, "only %s upstream", refs != NULL ? refs : "?")};
    }
    return (struct look){"fill=\"url(#bare)\" stroke-width=\"3\"", "NO FUSE"};
}

static const char *node_figures(const struct study *study, const xmlNode *node)
{
    double volts;

    return view_number(node, "volts", &volts) ? study_quantity(study, volts, UNIT_VOLT) : "volts not known";
}

static size_t children(const xmlNode *rail, const char *net)
{
    size_t count = 0;

    for (const xmlNode *at = view_first(rail, "node"); at != NULL; at = view_following(at))
        count += view_is(at, "fed-from", net);
    return count;
}

/* Nodes fed from NET (NULL: from nowhere) and what hangs on them, MOST of them at most; an only child keeps its parent's column. */
static void draw_nodes(const struct study *study, struct lane *lane, const xmlNode *rail, const char *from,
                       int depth, size_t *left)
{
    int deeper = from != NULL && children(rail, from) > 1 && depth < MOST_INDENT ? depth + 1 : depth;

    for (const xmlNode *at = view_first(rail, "node"); at != NULL && *left > 0; at = view_following(at)) {
        const char *feeder = view_text(study->arena, at, "fed-from");
        const char *net = view_text(study->arena, at, "net");
        const char *parts = view_text(study->arena, at, "through-parts");
        struct look look;

        if (net == NULL || (from == NULL ? feeder != NULL : feeder == NULL || strcmp(feeder, from) != 0))
            continue;
        --*left;
        look = look_of(study, rail, at);
        draw_wire(lane, 2 + deeper * INDENT, lane->y,
                  parts == NULL || deeper == depth ? parts
                                                   : arena_print(study->arena, "from %s: %s", from, parts));
        draw_stage(lane, 2 + deeper * INDENT, look.frame, net, node_figures(study, at), look.word);
        draw_nodes(study, lane, rail, net, deeper, left);
    }
}

static const xmlNode *by_id(const struct study *study, const char *element, const char *id)
{
    for (const xmlNode *at = view_first(study->facts, element); at != NULL; at = view_following(at))
        if (id != NULL && view_is(at, "id", id))
            return at;
    return NULL;
}

static bool is_winding_fuse(const struct study *study, const xmlNode *fuse, const char *source)
{
    if (!view_is(fuse, "placement", "winding"))
        return false;
    for (const xmlNode *at = view_first(fuse, "protects"); at != NULL; at = view_following(at))
        if (view_is(at, "upstream", "no") && view_is(at, "source", source))
            return true;
    (void)study;
    return false;
}

/* On no way between two nodes: it stands between winding and rectifier. */
static bool is_on_a_way(const struct study *study, const xmlNode *rail, const char *ref)
{
    for (const xmlNode *at = view_first(rail, "node"); at != NULL; at = view_following(at)) {
        const char *parts = view_text(study->arena, at, "through-parts");
        const char *found = parts != NULL ? strstr(parts, ref) : NULL;
        size_t length = strlen(ref);

        for (; found != NULL; found = strstr(found + 1, ref))
            if ((found == parts || found[-1] == ' ') && (found[length] == ' ' || found[length] == '\0'))
                return true;
    }
    return false;
}

static bool is_ahead(const struct study *study, const xmlNode *rail, const xmlNode *fuse)
{
    const char *ref = view_text(study->arena, fuse, "ref");

    return ref != NULL && is_winding_fuse(study, fuse, view_text(study->arena, rail, "source")) &&
           !is_on_a_way(study, rail, ref);
}

static const char *rail_words(const struct study *study, const xmlNode *rail)
{
    struct listing bare = {0};
    const char *names;

    for (const xmlNode *at = view_first(rail, "node"); at != NULL; at = view_following(at))
        if (!view_is(at, "protection", "own"))
            listing_add(&bare, view_text(study->arena, at, "net"));
    names = listing_end(&bare, study->arena);
    return names != NULL ? arena_print(study->arena, "without a whole fuse of its own: %s", names)
                         : "every node has a fuse of its own";
}

static void draw_rail(const struct study *study, const xmlNode *rail)
{
    const xmlNode *source = by_id(study, "source", view_text(study->arena, rail, "source"));
    const xmlNode *rectifier = by_id(study, "rectifier", view_text(study->arena, rail, "rectifier"));
    const char *name = view_text(study->arena, rail, "name");
    const char *title = arena_print(study->arena, "Rail %s", name != NULL ? name : "?");
    size_t ahead = 0, count = view_count(rail, "node"), left = count < MOST_NODES ? count : MOST_NODES, shown = left;
    struct lane lane;
    double volts;

    for (const xmlNode *at = view_first(study->facts, "fuse"); at != NULL; at = view_following(at))
        ahead += is_ahead(study, rail, at);
    start(&lane, (double)(1 + ahead + (rectifier != NULL) + shown), title);
    draw_stage(&lane, 2, "fill=\"none\" stroke-width=\"1.5\"", view_text(study->arena, rail, "source"),
               view_number(source, "volts", &volts) ? arena_print(study->arena, "%s, no load", study_quantity(study, volts, UNIT_VOLT))
                                                    : "volts not known",
               view_text(study->arena, source, "kind"));
    for (const xmlNode *at = view_first(study->facts, "fuse"); at != NULL; at = view_following(at))
        if (is_ahead(study, rail, at))
            draw_fuse_of(study, &lane, view_text(study->arena, at, "ref"));
    if (rectifier != NULL) {
        draw_wire(&lane, 2, lane.y, NULL);
        draw_stage(&lane, 2, "fill=\"none\" stroke-width=\"1.5\"", view_text(study->arena, rectifier, "parts"),
                   view_text(study->arena, rectifier, "topology"), "rectifier");
    }
    draw_nodes(study, &lane, rail, NULL, 0, &left);
    page_figure(study->page, end(&lane, study->arena),
                arena_print(study->arena, "%s, from %s%s%s: %s%s.", title, view_text(study->arena, rail, "source"),
                            rectifier != NULL ? " through " : "",
                            rectifier != NULL ? view_text(study->arena, rectifier, "parts") : "",
                            rail_words(study, rail),
                            count > MOST_NODES ? arena_print(study->arena, " (%d of %zu nodes drawn)", MOST_NODES, count)
                                               : ""));
}

void study_map(const struct study *study)
{
    page_section(study->page, "map", "Which fuse protects what");
    page_say(study->page, "Frame of a node: full line, a fuse of its own; broken line, one half-cycle only; dotted line, "
                          "only a fuse ahead of the transformer; hatched, no fuse at all.");
    for (const xmlNode *at = view_first(study->facts, "mains"); at != NULL; at = view_following(at))
        draw_mains(study, at);
    for (const xmlNode *at = view_first(study->facts, "rail"); at != NULL; at = view_following(at))
        draw_rail(study, at);
}
