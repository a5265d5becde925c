/* Input errors, then findings. */
#include "report/section.h"

#include <string.h>

#include "base/arena.h"
#include "report/report.h"
#include "report/sheet.h"

const char *report_file(const struct report_input *input)
{
    return input->file != NULL ? input->file : input->netlist;
}

static enum sheet_style style_of(enum level level)
{
    static const enum sheet_style styles[] = {
        [LEVEL_NOTE] = SHEET_PLAIN, [LEVEL_UNVERIFIED] = SHEET_LINED,
        [LEVEL_WARNING] = SHEET_STRONG, [LEVEL_ERROR] = SHEET_ALARM,
    };

    return styles[level];
}

/* FILE:LINE:COLUMN as far as it is known. */
static const char *place_text(struct arena *arena, const struct place *place, const char *netlist)
{
    const char *file = place->source != NULL ? place->source->name : netlist;

    if (place->line == 0)
        return file;
    if (place->column == 0)
        return arena_print(arena, "%s:%u", file, place->line);
    return arena_print(arena, "%s:%u:%u", file, place->line, place->column);
}

static const char *line_of(const struct place *place, size_t *length)
{
    return place->source != NULL && place->source->text != NULL
               ? source_line(place->source, place->line, length)
               : NULL;
}

static void add_problem(const struct section_input *input, const struct diag *diag)
{
    const char *place = place_text(input->arena, &diag->place, report_file(input->report));
    size_t length;
    const char *line = line_of(&diag->place, &length);

    sheet_item(input->sheet, style_of(diag->level),
               diag->level == LEVEL_ERROR ? "misread" : "odd", "%s: %s", place, diag->message);
    if (line != NULL)
        sheet_excerpt(input->sheet, line, length, diag->place.column);
    else if (diag->excerpt != NULL)
        sheet_item(input->sheet, SHEET_PLAIN, NULL, "%s", diag->excerpt);
    if (diag->expected != NULL)
        sheet_item(input->sheet, SHEET_PLAIN, "expected", "%s", diag->expected);
}

void section_problems(const struct section_input *input)
{
    const struct diags *diags = input->report->diags;

    if (diag_count_input(diags, LEVEL_NOTE) == 0)
        return;
    sheet_heading(input->sheet, "WHAT COULD NOT BE READ");
    for (size_t i = 0; i < diags->count; i++)
        if (diags->items[i].rule == NULL)
            add_problem(input, &diags->items[i]);
    if (diags->dropped > 0)
        sheet_item(input->sheet, SHEET_PLAIN, "and", "%zu more that are not listed",
                   diags->dropped);
}

/* ", F2" or ", rail HT": what the finding stands for; the tables below tell what hangs on it. The kind is said unless it
 * is a part, which its reference tells. "": the whole circuit. */
static const char *object_text(struct arena *arena, const struct diag *diag)
{
    const struct diag_object *object = diag->objects;

    if (diag->object_count == 0)
        return "";
    if (object->kind == NULL || strcmp(object->kind, "part") == 0)
        return arena_print(arena, ", %s", object->name);
    return arena_print(arena, ", %s %s", object->kind, object->name);
}

/* NEXT is the finding after this one or NULL: what to do is said once, after the last of a check's findings. */
static void add_finding(const struct section_input *input, const struct diag *diag,
                        const struct diag *next)
{
    sheet_blank(input->sheet);
    sheet_item(input->sheet, style_of(diag->level), level_name(diag->level), "%s%s", diag->rule,
               object_text(input->arena, diag));
    sheet_item(input->sheet, SHEET_PLAIN, NULL, "%s", diag->message);
    if (diag->accepted != NULL)
        sheet_item(input->sheet, SHEET_STRONG, "accepted", "%s (%s%s; %s)", diag->accepted,
                   diag->accepted_until != NULL ? "until " : "for good",
                   diag->accepted_until != NULL ? diag->accepted_until : "",
                   place_text(input->arena, &diag->accepted_at, report_file(input->report)));
    if (diag->rests_on != NULL)
        sheet_item(input->sheet, SHEET_PLAIN, "rests on", "assumed %s", diag->rests_on);
    if (diag->place.line != 0)
        sheet_item(input->sheet, SHEET_PLAIN, "drawn at", "%s",
                   place_text(input->arena, &diag->place, report_file(input->report)));
    if (diag->fix != NULL && (next == NULL || strcmp(next->rule, diag->rule) != 0))
        sheet_item(input->sheet, SHEET_STRONG, "do", "%s", diag->fix);
}

void section_findings(const struct section_input *input)
{
    const struct diags *diags = input->report->diags;

    if (diag_count_findings(diags, LEVEL_NOTE) + diag_count_accepted(diags) == 0)
        return;
    sheet_heading(input->sheet, "WHAT WAS FOUND, WORST FIRST");
    for (size_t i = 0; i < diags->count; i++)
        if (diags->items[i].rule != NULL)
            add_finding(input, &diags->items[i],
                        i + 1 < diags->count ? &diags->items[i + 1] : NULL);
}
