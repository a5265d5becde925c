/* The report for people: what kills first, then what is wrong, then what is there, then what was
 * not looked at. */
#include "report/report.h"

#include "base/arena.h"
#include "report/listing.h"
#include "report/view.h"
#include "report/section.h"
#include "report/sheet.h"

/* What was read: the netlist and how much of it. */
static void section_head(const struct section_input *input)
{
    size_t parts = view_count(input->facts, "part"), nets = view_count(input->facts, "net");
    size_t fuses = view_fuse_count(input->facts), rails = view_count(input->facts, "rail");

    if (input->facts == NULL) {
        sheet_item(input->sheet, SHEET_STRONG, "netlist", "%s: could not be read",
                   input->report->netlist);
        return;
    }
    sheet_item(input->sheet, SHEET_STRONG, "netlist",
               "%s: %zu part%s, %zu net%s, %zu fuse%s, %zu rail%s", input->report->netlist, parts,
               listing_plural(parts), nets, listing_plural(nets), fuses, listing_plural(fuses), rails, listing_plural(rails));
}

static void (*const sections[])(const struct section_input *) = {
    section_caution, section_head,          section_problems, section_findings, section_fuses,
    section_rails,   section_output_stages, section_scope,    section_tally,
};

void report_problems(const struct report_input *report, struct text *out)
{
    struct arena *arena = arena_new();
    struct sheet sheet = {.out = out, .styled = report->colour};

    section_problems(&(struct section_input){.report = report, .sheet = &sheet, .arena = arena});
    arena_free(arena);
}

static void write_one(const struct report_input *report, const struct sheet *sheet)
{
    struct arena *arena = arena_new();
    struct section_input input = {
        .report = report, .sheet = sheet, .arena = arena,
        .facts = report->facts != NULL ? xmlDocGetRootElement(report->facts) : NULL};

    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++)
        sections[i](&input);
    arena_free(arena);
}

static void write_text(const struct report_input *inputs, size_t count, struct text *out)
{
    for (size_t i = 0; i < count; i++) {
        struct sheet sheet = {.out = out, .styled = inputs[i].colour};

        if (i > 0)
            sheet_blank(&sheet);
        write_one(&inputs[i], &sheet);
    }
}

const struct writer text_writer = {
    .name = "text",
    .help = "for people, 100 columns wide",
    .write = write_text,
};
