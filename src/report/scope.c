/* The end of the report: what was checked, what it rests on, what was left out, the count. */
#include "report/section.h"

#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "report/listing.h"
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
    size_t rails = view_count(input->facts, "rail"), fuses = view_count(input->facts, "fuse"), checks = 0;

    for (size_t i = 0; i < input->report->rule_count; i++)
        checks += !input->report->rules[i].skipped;
    sheet_item(input->sheet, SHEET_PLAIN, "checked",
               "%zu check%s run over %zu rail%s and %zu fuse%s; %zu failure%s worked out, "
               "%zu of them solved.",
               checks, listing_plural(checks), rails, listing_plural(rails), fuses, listing_plural(fuses), faults,
               listing_plural(faults), faults - unsolved);
}

/* What the user chose to leave out is not passed: every one of it is named. */
static void add_skipped(const struct section_input *input)
{
    struct text ids = {0};

    for (size_t i = 0; i < input->report->rule_count; i++)
        if (input->report->rules[i].skipped)
            text_print(&ids, "%s%s", ids.length > 0 ? ", " : "", input->report->rules[i].id);
    if (ids.length > 0)
        sheet_item(input->sheet, SHEET_STRONG, "left out",
                   "as asked, these checks were not run: %s", text_bytes(&ids));
    text_free(&ids);
}

static void add_bench(const struct section_input *input)
{
    const char *label = "at the bench";

    for (const xmlNode *at = view_first(input->facts, "bench"); at != NULL;
         at = view_following(at)) {
        sheet_item(input->sheet, SHEET_PLAIN, label, "%s", view_text(input->arena, at, "text"));
        label = NULL;
    }
}

static void add_mains(const struct section_input *input)
{
    for (const xmlNode *at = view_first(input->facts, "mains"); at != NULL; at = view_following(at)) {
        double volts, hertz, tolerance;

        if (view_number(at, "volts", &volts) && view_number(at, "hertz", &hertz) &&
            view_number(at, "tolerance", &tolerance))
            sheet_item(input->sheet, SHEET_PLAIN, "mains",
                       "%s: figures are for %.4g V RMS, %.4g Hz; it may be %.3g %% higher or lower.",
                       view_text(input->arena, at, "part"), volts, hertz, 100 * tolerance);
    }
}

/* "0.1 (0.05 to 0.2)": the range only if there is one. */
static const char *range(struct arena *arena, const xmlNode *node)
{
    const char *value = view_text(arena, node, "value"), *low = view_text(arena, node, "low");
    const char *high = view_text(arena, node, "high");

    if (value == NULL)
        value = "?";
    if (low == NULL || high == NULL || (strcmp(low, value) == 0 && strcmp(high, value) == 0))
        return value;
    return arena_print(arena, "%s (%s to %s)", value, low, high);
}

static const char *assumption_words(struct arena *arena, const xmlNode *node)
{
    const char *what = view_text(arena, node, "what"), *reason = view_text(arena, node, "reason");

    return arena_print(arena, "%s = %s%s%s", what != NULL ? what : "?", range(arena, node),
                       reason != NULL ? ": " : "", reason != NULL ? reason : "");
}

/* What is missing and what would settle it, without the part's name that may stand before. */
static const char *gap_words(struct arena *arena, const xmlNode *node)
{
    const char *what = view_text(arena, node, "what"), *need = view_text(arena, node, "need");
    const char *part = view_text(arena, node, "part");
    size_t length = part != NULL ? strlen(part) : 0;

    if (what == NULL)
        what = "not checked";
    if (part != NULL && strncmp(what, part, length) == 0 && strncmp(what + length, ": ", 2) == 0)
        what += length + 2;
    return arena_print(arena, "%s%s%s", what, need != NULL ? "; to settle it: " : "",
                       need != NULL ? need : "");
}

/* The same words said of several parts. */
struct remark {
    const char *words;
    struct listing parts;
    struct remark *next;
};

static const char *part_of(struct arena *arena, const xmlNode *node)
{
    const char *part = view_text(arena, node, "part");

    return part != NULL ? part : view_text(arena, node, "net");
}

/* Every ELEMENT of the facts in WORDS, those that say the same as one, in order of the first. */
static struct remark *collect(const struct section_input *input, const char *element,
                              const char *(*words)(struct arena *, const xmlNode *))
{
    struct map *seen = map_new();
    struct remark *first = NULL, **last = &first;

    for (const xmlNode *at = view_first(input->facts, element); at != NULL;
         at = view_following(at)) {
        const char *said = words(input->arena, at), *part = part_of(input->arena, at);
        struct remark *remark = map_get(seen, said);

        if (remark == NULL) {
            remark = arena_alloc(input->arena, sizeof *remark);
            remark->words = said;
            *last = remark;
            last = &remark->next;
            map_add(seen, said, remark);
        }
        if (part != NULL)
            listing_add(&remark->parts, part);
    }
    map_free(seen);
    return first;
}

static const char *show_remarks(const struct section_input *input, enum sheet_style style,
                                const char *label, const char *join, struct remark *first)
{
    for (struct remark *at = first; at != NULL; at = at->next) {
        const char *parts = listing_end(&at->parts, input->arena);

        sheet_item(input->sheet, style, label, "%s%s%s", parts != NULL ? parts : "",
                   parts != NULL ? join : "", at->words);
        label = NULL;
    }
    return label;
}

static void add_unchecked(const struct section_input *input)
{
    const char *label = "not checked", *blame = view_text(input->arena, input->facts, "blame");
    double nodes;

    if (!view_is(input->facts, "solved", "yes")) {
        sheet_item(input->sheet, SHEET_STRONG, label,
                   "the supply could not be solved%s%s: no volts or amps below or above are known",
                   blame != NULL ? ", it stuck at " : "", blame != NULL ? blame : "");
        label = NULL;
    }
    label = show_remarks(input, SHEET_STRONG, label, ": ", collect(input, "gap", gap_words));
    if (view_number(input->facts, "nodes-behind-droppers", &nodes) && nodes > 0) {
        sheet_item(input->sheet, SHEET_PLAIN, label,
                   "shorts of %.0f rail node%s behind droppers of 1 kohm or more: the dropper limits "
                   "them and is what fails", nodes, nodes == 1 ? "" : "s");
        label = NULL;
    }
    if (view_number(input->facts, "valves-behind-droppers", &nodes) && nodes > 0) {
        sheet_item(input->sheet, SHEET_PLAIN, label,
                   "shorts inside %.0f valve section%s behind droppers of 1 kohm or more", nodes,
                   nodes == 1 ? "" : "s");
        label = NULL;
    }
    if (view_is(input->facts, "solved", "yes") &&
        view_first(input->facts, "output-stage") == NULL) {
        sheet_item(input->sheet, SHEET_PLAIN, label,
                   "full signal: no output stage was found (power valves on an output transformer, a pair of "
                   "power transistors on a loudspeaker), so all currents are those without a signal");
        label = NULL;
    }
    sheet_item(input->sheet, SHEET_PLAIN, label,
               "two failures at once; parts that fail open, other than fuses; shorts between turns of a winding");
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
    add_skipped(input);
    add_bench(input);
    add_mains(input);
    show_remarks(input, SHEET_PLAIN, "assumed", " ",
                 collect(input, "assumption", assumption_words));
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
    size_t accepted = diag_count_accepted(diags);
    const char *beside = accepted > 0 ? arena_print(input->arena, ", %zu accepted", accepted) : "";

    sheet_blank(input->sheet);
    sheet_item(input->sheet, SHEET_STRONG, "in all",
               "%zu error%s, %zu warning%s, %zu unverified, %zu note%s%s; %zu place%s misread",
               exactly(diags, LEVEL_ERROR), exactly(diags, LEVEL_ERROR) == 1 ? "" : "s",
               exactly(diags, LEVEL_WARNING), exactly(diags, LEVEL_WARNING) == 1 ? "" : "s",
               exactly(diags, LEVEL_UNVERIFIED), exactly(diags, LEVEL_NOTE),
               exactly(diags, LEVEL_NOTE) == 1 ? "" : "s", beside, misread, misread == 1 ? "" : "s");
}
