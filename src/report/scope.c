/* The end of the report: what was checked, what it rests on, what was left out, the count. */
#include "report/section.h"

#include "base/arena.h"
#include "report/view.h"
#include "report/report.h"
#include "report/sheet.h"

/* How many short-circuits were computed, and how many of them could not be solved. */
static size_t faults_unsolved(const xmlNode *facts)
{
    size_t count = 0;

    for (const xmlNode *at = view_first(facts, "fault"); at != NULL; at = view_following(at))
        count += !view_is(at, "solved", "yes");
    return count;
}

static void add_checked(const struct section_input *input)
{
    size_t faults = view_count(input->facts, "fault"), unsolved = faults_unsolved(input->facts);

    sheet_item(input->sheet, SHEET_PLAIN, "checked",
               "%zu checks run over %zu rails and %zu fuses; %zu short-circuits worked out, %zu of "
               "them solved.",
               input->report->rule_count, view_count(input->facts, "rail"),
               view_count(input->facts, "fuse"), faults, faults - unsolved);
}

/* "0.1 (0.05 to 0.2)": the range only if there is one. */
static const char *range(struct arena *arena, const xmlNode *node)
{
    const char *value = view_text(arena, node, "value"), *low = view_text(arena, node, "low");
    const char *high = view_text(arena, node, "high");

    if (value == NULL)
        value = "?";
    return low != NULL && high != NULL ? arena_print(arena, "%s (%s to %s)", value, low, high)
                                       : value;
}

static void add_assumed(const struct section_input *input)
{
    const char *label = "assumed";

    for (const xmlNode *at = view_first(input->facts, "assumption"); at != NULL;
         at = view_following(at)) {
        const char *part = view_text(input->arena, at, "part");
        const char *what = view_text(input->arena, at, "what");
        const char *reason = view_text(input->arena, at, "reason");

        sheet_item(input->sheet, SHEET_PLAIN, label, "%s%s%s = %s%s%s", part != NULL ? part : "",
                   part != NULL ? " " : "", what != NULL ? what : "?", range(input->arena, at),
                   reason != NULL ? ": " : "", reason != NULL ? reason : "");
        label = NULL;
    }
}

static void add_gap(const struct section_input *input, const char *label, const xmlNode *gap)
{
    const char *about = view_text(input->arena, gap, "part");
    const char *what = view_text(input->arena, gap, "what");
    const char *need = view_text(input->arena, gap, "need");

    if (about == NULL)
        about = view_text(input->arena, gap, "net");
    sheet_item(input->sheet, SHEET_STRONG, label, "%s%s%s%s%s", about != NULL ? about : "",
               about != NULL ? ": " : "", what != NULL ? what : "not checked",
               need != NULL ? "; to settle it: " : "", need != NULL ? need : "");
}

static void add_unchecked(const struct section_input *input)
{
    const char *label = "not checked", *blame = view_text(input->arena, input->facts, "blame");

    if (!view_is(input->facts, "solved", "yes")) {
        sheet_item(input->sheet, SHEET_STRONG, label,
                   "the supply could not be solved%s%s: no volts or amps below or above are known",
                   blame != NULL ? ", it stuck at " : "", blame != NULL ? blame : "");
        label = NULL;
    }
    for (const xmlNode *at = view_first(input->facts, "gap"); at != NULL; at = view_following(at)) {
        add_gap(input, label, at);
        label = NULL;
    }
    if (label != NULL)
        sheet_item(input->sheet, SHEET_PLAIN, label, "nothing that was noticed");
}

void section_scope(const struct section_input *input)
{
    if (input->facts == NULL) {
        sheet_item(input->sheet, SHEET_STRONG, "not checked",
                   "anything: the netlist could not be read");
        return;
    }
    sheet_heading(input->sheet, "WHAT THIS RESTS ON");
    add_checked(input);
    add_assumed(input);
    add_unchecked(input);
}

/* Findings of exactly LEVEL. */
static size_t exactly(const struct diags *diags, enum level level)
{
    size_t above = level == LEVEL_ERROR ? 0 : diag_count_findings(diags, level + 1);

    return diag_count_findings(diags, level) - above;
}

void section_tally(const struct section_input *input)
{
    const struct diags *diags = input->report->diags;
    size_t misread = diag_count_input(diags, LEVEL_ERROR) + diags->dropped;

    sheet_blank(input->sheet);
    sheet_item(input->sheet, SHEET_STRONG, "in all",
               "%zu error%s, %zu warning%s, %zu unverified, %zu note%s; %zu place%s misread in %s",
               exactly(diags, LEVEL_ERROR), exactly(diags, LEVEL_ERROR) == 1 ? "" : "s",
               exactly(diags, LEVEL_WARNING), exactly(diags, LEVEL_WARNING) == 1 ? "" : "s",
               exactly(diags, LEVEL_UNVERIFIED), exactly(diags, LEVEL_NOTE),
               exactly(diags, LEVEL_NOTE) == 1 ? "" : "s", misread, misread == 1 ? "" : "s",
               input->report->netlist);
}
