/* The fuses: where each sits, what it carries, what it protects, what belongs there. */
#include "study/study.h"

#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/map.h"
#include "report/report.h"
#include "report/section.h"
#include "report/view.h"
#include "study/page.h"

/* The worst finding that is first of all about the fuse, as "error: fuse-oversized"; "fits" if there is none. */
static const char *verdict(const struct study *study, const char *ref)
{
    const struct diags *diags = study->report->diags;

    for (size_t i = 0; i < diags->count; i++) { /* worst first */
        const struct diag *diag = &diags->items[i];

        if (diag->rule != NULL && diag->accepted == NULL && diag->object_count > 0 && ref != NULL &&
            strcmp(diag->objects[0].name, ref) == 0)
            return arena_print(study->arena, "%s: %s", level_name(diag->level), diag->rule);
    }
    return "nothing against it";
}

static const char *marking(const struct study *study, const xmlNode *fuse)
{
    const char *drawn = view_text(study->arena, fuse, "marking");
    const char *fitted = view_text(study->arena, fuse, "fitted");

    if (fitted == NULL)
        return drawn != NULL ? drawn : "none drawn";
    return arena_print(study->arena, "%s drawn, %s fitted", drawn != NULL ? drawn : "none", fitted);
}

static const char *amps(const struct study *study, const xmlNode *fuse, const char *name)
{
    double value;

    return view_number(fuse, name, &value) ? study_quantity(study, value, UNIT_AMP) : "not known";
}

static const char *switch_on(const struct study *study, const xmlNode *fuse)
{
    double pulse, peak;

    if (!view_number(fuse, "switch-on-i2t", &pulse))
        return "not known";
    if (!view_number(fuse, "switch-on-peak-amps", &peak))
        return arena_print(study->arena, "%.3g A2s", pulse);
    return arena_print(study->arena, "%.3g A2s, peak %s", pulse, study_quantity(study, peak, UNIT_AMP));
}

static const char *right_marking(const struct study *study, const xmlNode *fuse)
{
    const char *marking = view_text(study->arena, fuse, "recommended");
    const char *reason = view_text(study->arena, fuse, "no-recommendation");

    return marking != NULL ? marking : reason != NULL
               ? arena_print(study->arena, "none fits (%s)", reason) : "not computed";
}

static const char *where(const struct study *study, const xmlNode *fuse)
{
    const char *place = view_text(study->arena, fuse, "place");
    const char *side = view_text(study->arena, fuse, "placement");

    return place != NULL ? place : side != NULL ? arena_print(study->arena, "%s; place not drawn", side)
                                                : "in no current path";
}

static void add_table(const struct study *study)
{
    static const char *const head[] = {"fuse", "where", "marking", "idle RMS", "full RMS",
                                       "switch-on", "right marking", "verdict"};
    struct page_table *table = page_table(study->page, head, 8);

    for (const xmlNode *at = view_first(study->facts, "fuse"); at != NULL; at = view_following(at)) {
        const char *ref = view_text(study->arena, at, "ref");

        page_row(study->page, table,
                 (const char *[]){ref, where(study, at), marking(study, at), amps(study, at, "idle-amps"),
                                  amps(study, at, "full-amps"), switch_on(study, at),
                                  right_marking(study, at), verdict(study, ref)});
    }
}

/* Whether the owner would miss a fuse that sits at PLACE. */
static bool is_hidden(const char *place)
{
    static const char *const words[] = {"drawer", "inlet", "board", "solder", "inside", "internal", "pcb", "transformer"};

    for (size_t i = 0; place != NULL && i < sizeof words / sizeof *words; i++)
        if (strcasestr(place, words[i]) != NULL)
            return true;
    return false;
}

/* Which link does in the holder of FUSE, and why: said of that link, not of the one that is in it. */
static const char *say_right(const struct study *study, const xmlNode *fuse)
{
    const char *right = view_text(study->arena, fuse, "recommended");
    const char *why = view_text(study->arena, fuse, "recommended-why");
    const char *fitted = view_text(study->arena, fuse, "fitted"), *drawn = view_text(study->arena, fuse, "marking");
    const char *present = fitted != NULL ? fitted : drawn;

    if (why == NULL)
        return "";
    if (right == NULL)
        return arena_print(study->arena, ". No marking is right there. %s", why);
    return arena_print(study->arena, present != NULL && strcmp(present, right) == 0 ? ". %s is right. %s"
                                                                                     : ". The smallest that does is %s. %s",
                       right, why);
}

static void add_notes(const struct study *study)
{
    struct section_input input = {.report = study->report, .facts = study->facts, .arena = study->arena};
    struct map *rails = view_map(study->arena, study->facts, "rail", "id");

    for (const xmlNode *at = view_first(study->facts, "fuse"); at != NULL; at = view_following(at)) {
        const char *ref = view_text(study->arena, at, "ref"), *place = view_text(study->arena, at, "place");

        page_item(study->page, ref != NULL ? ref : "?", "%s%s%sprotects %s%s",
                  is_hidden(place) ? "easily missed, " : "", is_hidden(place) ? place : "",
                  is_hidden(place) ? "; " : "", section_protects(&input, rails, at), say_right(study, at));
    }
    map_free(rails);
}

static void add_lost(const struct study *study)
{
    struct map *refs = view_map(study->arena, study->facts, "fuse", "ref");

    for (const xmlNode *at = view_first(study->facts, "part"); at != NULL; at = view_following(at))
        if (view_is_lost_fuse(at, refs))
            page_item(study->page, view_text(study->arena, at, "ref"),
                      "in no current path of the drawing: not checked");
    map_free(refs);
}

void study_fuses(const struct study *study)
{
    page_section(study->page, "fuses", "The fuses");
    if (view_fuse_count(study->facts) == 0) {
        page_alarm(study->page, "No fuse was found in this netlist. Look in the inlet's drawer, on the back, on the board, "
                                "and for links soldered in: one that is not drawn is not in this sheet either.");
        return;
    }
    if (view_first(study->facts, "fuse") != NULL)
        add_table(study);
    add_notes(study);
    add_lost(study);
}
