/* What happens when a part fails: the worst first. */
#include "study/study.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "report/listing.h"
#include "report/view.h"
#include "study/page.h"

static double opens_by(const xmlNode *fault)
{
    double seconds;

    return view_number(fault, "opens-by", &seconds) ? seconds : INFINITY;
}

static double amps(const xmlNode *fault)
{
    double value;

    return view_number(fault, "amps", &value) ? value : 0;
}

/* Not solved, then never cleared, then slowest. */
static int compare(const void *left, const void *right)
{
    const xmlNode *a = *(const xmlNode *const *)left, *b = *(const xmlNode *const *)right;
    double times[] = {opens_by(a), opens_by(b)};

    if (times[0] != times[1])
        return times[0] > times[1] ? -1 : 1;
    return (amps(a) < amps(b)) - (amps(a) > amps(b));
}

static const char *carriers(const struct study *study, const xmlNode *fault)
{
    struct listing list = {0};
    const char *before = NULL;

    for (const xmlNode *at = view_first(fault, "carrier"); at != NULL; at = view_following(at)) {
        const char *part = view_text(study->arena, at, "part");

        if (part != NULL && (before == NULL || strcmp(part, before) != 0))
            listing_add(&list, part);
        before = part;
    }
    return listing_end(&list, study->arena);
}

static const char *cleared_by(const struct study *study, const xmlNode *fault)
{
    const char *fuse = view_text(study->arena, fault, "opened-by");
    double seconds = opens_by(fault);

    if (!view_is(fault, "solved", "yes"))
        return "not solved";
    if (!isfinite(seconds))
        return view_is(fault, "limited-by", "dropper") ? "no fuse; a resistor limits it"
                                                       : "NOTHING IS SURE TO OPEN";
    return arena_print(study->arena, "%s within %s", fuse != NULL ? fuse : "a fuse",
                       study_seconds(study, seconds));
}

static const char *what(const struct study *study, const xmlNode *fault)
{
    const char *words = view_text(study->arena, fault, "what"), *net = view_text(study->arena, fault, "net");
    const char *back = view_text(study->arena, fault, "return");

    if (words != NULL)
        return words;
    return arena_print(study->arena, "%s short to %s", net != NULL ? net : "?", back != NULL ? back : "?");
}

void study_faults(const struct study *study)
{
    static const char *const head[] = {"if this fails", "current, RMS", "cleared by", "carried meanwhile by"};
    size_t count = view_count(study->facts, "fault"), n = 0;
    const xmlNode **faults = arena_array(study->arena, count + 1, sizeof *faults);
    struct page_table *table;

    page_section(study->page, "faults", "What fails next, worst first");
    if (count == 0) {
        page_say(study->page, "No failure was worked out.");
        return;
    }
    for (const xmlNode *at = view_first(study->facts, "fault"); at != NULL; at = view_following(at))
        faults[n++] = at;
    qsort(faults, count, sizeof *faults, compare);
    table = page_table(study->page, head, 4);
    for (size_t i = 0; i < count; i++)
        page_row(study->page, table,
                 (const char *[]){what(study, faults[i]),
                                  view_is(faults[i], "solved", "yes")
                                      ? study_quantity(study, amps(faults[i]), UNIT_AMP) : "not known",
                                  cleared_by(study, faults[i]), carriers(study, faults[i])});
}
