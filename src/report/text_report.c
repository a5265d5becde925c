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

/* The netlists of one circuit: how they hang together is what its figures rest on. */
static void section_netlists(const struct section_input *input)
{
    const xmlNode *at = input->facts != NULL ? view_first(input->facts, "netlist") : NULL;

    for (bool first = true; at != NULL; at = view_following(at), first = false) {
        const char *ground = view_text(input->arena, at, "ground"), *net = view_text(input->arena, at, "ground-net");
        const char *said;

        if (ground == NULL)
            said = "no net is named as its ground";
        else if (view_is(at, "grounded", "yes"))
            said = arena_print(input->arena, "its %s is the ground that volts are counted from", ground);
        else
            said = arena_print(input->arena, "its %s is net %s, not the ground that volts are counted from", ground, net);
        sheet_item(input->sheet, SHEET_PLAIN, first ? "made of" : NULL, "%s (%s): %s parts, %s; %s",
                   view_text(input->arena, at, "name"), view_text(input->arena, at, "file"),
                   view_text(input->arena, at, "parts"),
                   view_is(at, "wires", "yes")
                       ? "wires the others"
                       : arena_print(input->arena, "%s of its pins wired", view_text(input->arena, at, "wired-pins")), said);
    }
}

static void (*const sections[])(const struct section_input *) = {
    section_caution, section_head,     section_netlists, section_problems, section_findings, section_fuses,
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
