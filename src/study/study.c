#include "study/study.h"

#include <stdlib.h>

#include "base/arena.h"
#include "report/report.h"
#include "report/view.h"
#include "study/page.h"

static void (*const chapters[])(const struct study *) = {
    study_cautions, study_plainly, study_fuses, study_map,    study_plots,     study_findings,
    study_rails,    study_bench,   study_jacks, study_faults, study_unchecked, study_assumed,
};

const char *study_seconds(const struct study *study, double seconds)
{
    if (seconds >= 7200)
        return arena_print(study->arena, "%.0f h", seconds / 3600);
    if (seconds >= 600)
        return arena_print(study->arena, "%.0f min", seconds / 60);
    if (seconds >= 60)
        return arena_print(study->arena, "%d min %d s", (int)seconds / 60, (int)seconds % 60);
    return study_quantity(study, seconds, UNIT_SECOND);
}

const char *study_quantity(const struct study *study, double value, enum unit unit)
{
    char buffer[64];

    return arena_copy(study->arena, quantity_print(buffer, sizeof buffer, value, unit));
}

/* The study of REPORT, whose page is PAGE. */
static struct study study_of(struct arena *arena, const struct report_input *report, struct page *page)
{
    const xmlNode *facts = xmlDocGetRootElement(report->facts);
    const char *circuit = view_text(arena, facts, "circuit");

    *page = page_new(arena, circuit != NULL ? circuit : report->netlist);
    return (struct study){.arena = arena, .page = page, .facts = facts, .report = report};
}

void study_write(const struct report_input *report, const struct report_input *before, bool html,
                 struct text *out)
{
    struct arena *arena = arena_new();
    struct page page, other_page;
    struct study study = study_of(arena, report, &page), other;

    if (before != NULL) {
        other = study_of(arena, before, &other_page);
        study_cautions(&study);
        study_compare(&study, &other);
    }
    for (size_t i = 0; before == NULL && i < sizeof chapters / sizeof *chapters; i++)
        chapters[i](&study);
    if (html)
        page_as_html(&page, out);
    else
        page_as_text(&page, out);
    arena_free(arena);
}
