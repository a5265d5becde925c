/* prearc trace FILE REF|NET: what a fuse protects, or what protects a net. */
#include "cli.h"

#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/nearest.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "output.h"
#include "parts/parts.h"
#include "report/listing.h"
#include "report/sheet.h"
#include "run.h"
#include "trace/trace.h"
#include "trace_view.h"

static const char *nets_of(const struct run *run, const struct part *part)
{
    struct listing list = {0};
    const char *text;

    for (size_t i = 0; i < part->pin_count; i++)
        if (part->pins[i].net != NULL)
            listing_add(&list, part->pins[i].net->name);
    text = listing_end(&list, run->arena);
    return text != NULL ? text : "none";
}

static bool refuse_name(const struct run *run, const char *name, const struct part *part)
{
    struct nearest nearest = nearest_start(name, strlen(name));

    if (part != NULL) {
        output_complain("%s is a %s, not a fuse: trace one of its nets: %s", part->ref,
                        part_kind_name(run->parts->items[part->index].kind), nets_of(run, part));
        return false;
    }
    for (size_t i = 0; i < run->parts->count; i++)
        if (run->parts->items[i].kind == PART_FUSE)
            nearest_offer(&nearest, run->parts->items[i].part->ref);
    for (size_t i = 0; i < run->circuit->net_count; i++)
        nearest_offer(&nearest, run->circuit->nets[i]->name);
    if (circuit_same_refs(run->circuit, run->arena, name) != NULL)
        output_complain("%.100s is in several netlists: say which, %s", name,
                        circuit_same_refs(run->circuit, run->arena, name));
    else if (nearest.name != NULL)
        output_complain("there is no fuse or net %.100s; the nearest is %s", name, nearest.name);
    else
        output_complain("there is no fuse or net %.100s, nor any other", name);
    return false;
}

/* A fuse before a net of the same name; a net before another part of the same name. */
static bool show(const struct run *run, const char *name, const struct sheet *sheet)
{
    const struct part *part = circuit_find_part(run->circuit, name);
    const struct net *net = circuit_find_net(run->circuit, name);
    bool fuse = part != NULL && run->parts->items[part->index].kind == PART_FUSE;

    if (!fuse && net == NULL)
        return refuse_name(run, name, part);
    if (fuse)
        trace_view_fuse(run, sheet, part);
    else
        trace_view_net(run, sheet, net->index);
    if (fuse && net != NULL)
        sheet_item(sheet, SHEET_PLAIN, "mind", "a net is called %s too", net->name);
    return true;
}

/* What could not be traced bears on every answer. */
static void show_doubts(const struct run *run, const struct sheet *sheet)
{
    for (size_t i = 0; i < run->trace->doubt_count; i++)
        sheet_item(sheet, SHEET_STRONG, i == 0 ? "in doubt" : NULL, "%s", run->trace->doubts[i]);
}

static int trace(const struct options *options)
{
    size_t files = options->operand_count - 1;
    struct run *run = run_one(options, options->operands, files);
    bool good = run != NULL && run_complain(run);
    struct text text = {0};
    struct sheet sheet = {.out = &text, .styled = output_has_colour(options->output)};

    if (run == NULL || run->facts == NULL || !show(run, options->operands[files], &sheet)) {
        good = false;
    } else {
        show_doubts(run, &sheet);
        good = output_write(options->output, &text) && good;
    }
    text_free(&text);
    run_free(run);
    return good ? OUTCOME_CLEAN : OUTCOME_BAD;
}

const struct command trace_command = {
    .name = "trace",
    .arguments = "FILE... REF-or-NET",
    .help = "what a fuse protects, or what protects a net",
    .bit = ON_TRACE,
    .least = 2,
    .most = SIZE_MAX,
    .run = trace,
};
