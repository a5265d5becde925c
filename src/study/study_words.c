/* Chapters that are mostly words: cautions, the owner's paragraph, findings, what stays open, assumptions. */
#include "study/study.h"

#include <string.h>

#include "base/arena.h"
#include "report/listing.h"
#include "report/report.h"
#include "report/view.h"
#include "study/page.h"

void study_cautions(const struct study *study)
{
    page_alarm(study->page,
               "Mains and HT kill. Only a person trained and, where the law asks for it, licensed for this work opens or "
               "powers this equipment, and never alone. Unplug it; discharge every reservoir through a resistor; prove "
               "it dead with a meter that has itself been proved on a known source, before and after. Local codes and "
               "licensed practice prevail over this sheet.");
    page_say(study->page,
             "Everything below is read and computed from the netlist %s. It replaces no inspection and no measurement: an "
             "amplifier that was modified is not the one that was drawn.",
             study->report->netlist);
}

/* Findings of LEVEL and a list of what they are about. */
static size_t gather(const struct study *study, enum level level, struct listing *about)
{
    const struct diags *diags = study->report->diags;
    size_t count = 0;

    for (size_t i = 0; i < diags->count; i++) {
        const struct diag *diag = &diags->items[i];

        if (diag->rule == NULL || diag->level != level || diag->accepted != NULL)
            continue;
        count++;
        if (diag->object_count > 0)
            listing_add(about, diag->objects[0].name);
    }
    return count;
}

static const char *or_nothing(const char *text)
{
    return text != NULL ? text : "the netlist as a whole";
}

/* Words for somebody who owns the amplifier and knows nothing of circuits. */
void study_plainly(const struct study *study)
{
    struct listing bad = {0}, doubtful = {0}, open = {0};
    size_t errors = gather(study, LEVEL_ERROR, &bad);
    size_t warnings = gather(study, LEVEL_WARNING, &doubtful);
    size_t unverified = gather(study, LEVEL_UNVERIFIED, &open);
    size_t fuses = view_fuse_count(study->facts), rails = view_count(study->facts, "rail");
    const char *bad_names = listing_end(&bad, study->arena);
    const char *doubtful_names = listing_end(&doubtful, study->arena);
    const char *open_names = listing_end(&open, study->arena);
    const char *verdict, *more;

    page_section(study->page, "owner", "For the owner, in plain words");
    verdict = errors > 0
                  ? arena_print(study->arena,
                                "As it is drawn it is not safe to leave switched on: in %zu place%s (%s) a single worn-out part "
                                "could overheat the transformer or start a fire, because the fuse that should stop it is missing, "
                                "wrong or in the wrong place. ",
                                errors, listing_plural(errors), or_nothing(bad_names))
              : warnings > 0
                  ? arena_print(study->arena,
                                "Nothing in it is dangerous as drawn, but in %zu place%s (%s) it could be protected better. ",
                                warnings, listing_plural(warnings), or_nothing(doubtful_names))
                  : arena_copy(study->arena, "Of what could be checked on the drawing, nothing is wrong with its fuses. ");
    more = unverified > 0 ? arena_print(study->arena,
                                        "%zu point%s (%s) could not be judged from the drawing and must be measured. ",
                                        unverified, listing_plural(unverified), or_nothing(open_names))
                          : "";
    page_say(study->page,
             "Your amplifier has %zu fuse%s protecting %zu internal supplies. A fuse is there to open when a part fails, "
             "before anything gets hot enough to burn. %s%sFuses themselves are cheap; what costs is the time to open, "
             "check and test the amplifier safely, and any part found damaged on the way. Ask for an estimate for the work "
             "named on this sheet before it is begun, and never fit a larger fuse to keep it going.",
             fuses, listing_plural(fuses), rails, verdict, more);
}

void study_findings(const struct study *study)
{
    const struct diags *diags = study->report->diags;
    size_t count = 0;

    page_section(study->page, "found", "What was found, worst first");
    for (size_t i = 0; i < diags->count; i++) {
        const struct diag *diag = &diags->items[i];
        const char *about = diag->object_count > 0 ? diag->objects[0].name : NULL;

        if (diag->rule == NULL)
            continue;
        count++;
        page_item(study->page, level_name(diag->level), "%s%s%s: %s%s%s%s%s%s%s%s", diag->rule, about != NULL ? ", " : "",
                  about != NULL ? about : "", diag->message, diag->accepted != NULL ? " ACCEPTED: " : "",
                  diag->accepted != NULL ? diag->accepted : "", diag->rests_on != NULL ? " Rests on assumed " : "",
                  diag->rests_on != NULL ? diag->rests_on : "", diag->rests_on != NULL ? "." : "", diag->fix != NULL ? " To do: " : "",
                  diag->fix != NULL ? diag->fix : "");
    }
    if (count == 0)
        page_say(study->page, "Nothing.");
}

void study_unchecked(const struct study *study)
{
    size_t count = 0;

    page_section(study->page, "open", "What could not be checked, and what settles it");
    for (const xmlNode *at = view_first(study->facts, "gap"); at != NULL; at = view_following(at)) {
        const char *part = view_text(study->arena, at, "part"), *net = view_text(study->arena, at, "net");
        const char *what = view_text(study->arena, at, "what"), *need = view_text(study->arena, at, "need");

        count++;
        page_item(study->page, part != NULL ? part : net != NULL ? net : "circuit", "%s%s%s",
                  what != NULL ? what : "not checked", need != NULL ? ". To settle it: " : "",
                  need != NULL ? need : "");
    }
    if (!view_is(study->facts, "solved", "yes"))
        page_alarm(study->page, "The supply could not be solved whole: where no figure is given, none is known.");
    if (count == 0)
        page_say(study->page, "Every part of the supply that was found was looked at.");
}

void study_assumed(const struct study *study)
{
    static const char *const head[] = {"part", "what", "taken as", "between", "because"};
    struct page_table *table = NULL;

    page_section(study->page, "assumed", "What the figures rest on");
    for (const xmlNode *at = view_first(study->facts, "assumption"); at != NULL;
         at = view_following(at)) {
        const char *low = view_text(study->arena, at, "low"), *high = view_text(study->arena, at, "high");

        if (table == NULL)
            table = page_table(study->page, head, 5);
        page_row(study->page, table,
                 (const char *[]){view_text(study->arena, at, "part"), view_text(study->arena, at, "what"),
                                  view_text(study->arena, at, "value"),
                                  low != NULL && high != NULL
                                      ? arena_print(study->arena, "%s and %s", low, high) : NULL,
                                  view_text(study->arena, at, "reason")});
    }
    if (table == NULL)
        page_say(study->page, "Nothing was assumed: every value was in the netlist.");
    else
        page_say(study->page, "SI units throughout: V, A, ohm, F, H, Hz.");
}
