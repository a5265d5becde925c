/* Hand-made findings and facts for the writers' tests. */
#ifndef PREARC_TESTS_SPECIMEN_H
#define PREARC_TESTS_SPECIMEN_H

#include <string.h>

#include <libxml/parser.h>

#include "base/arena.h"
#include "report/report.h"

struct specimen {
    struct arena *arena;
    struct diags diags;
    struct report_input input;
};

static const struct report_rule specimen_rules[] = {
    {.id = "fuse-oversized", .title = "A fuse too large for what it protects",
     .why = "The winding burns before the fuse opens.", .fix = "Fit a smaller one.",
     .source = "IEC 60127-2", .level = LEVEL_ERROR},
};

/* Nothing in it yet but one rule. */
static inline struct specimen specimen_new(void)
{
    struct arena *arena = arena_new();

    return (struct specimen){
        .arena = arena,
        .diags = diags_start(arena),
        .input = {.rules = specimen_rules, .rule_count = 1, .netlist = "amp.cir", .version = "9.9"},
    };
}

static inline void specimen_free(struct specimen *specimen)
{
    if (specimen->input.facts != NULL)
        xmlFreeDoc(specimen->input.facts);
    arena_free(specimen->arena);
}

/* Reads the facts from XML text, in place of those read before. */
static inline void specimen_facts(struct specimen *specimen, const char *xml)
{
    if (specimen->input.facts != NULL)
        xmlFreeDoc(specimen->input.facts);
    specimen->input.facts =
        xmlReadMemory(xml, (int)strlen(xml), "facts.xml", NULL, XML_PARSE_NONET);
}

/* A finding about one part. */
static inline void specimen_find(struct specimen *specimen, enum level level, const char *rule,
                                 const char *ref, const char *message)
{
    struct diag_object *object = arena_alloc(specimen->arena, sizeof *object);

    *object = (struct diag_object){.kind = "part", .name = ref};
    diag_add(&specimen->diags,
             &(struct diag){.level = level, .rule = rule, .message = message, .fix = "do so",
                            .objects = object, .object_count = 1});
}

/* What WRITER makes of it; in the arena. */
static inline const char *specimen_write(struct specimen *specimen, const struct writer *writer)
{
    struct text text = {0};
    const char *copy;

    diags_sort(&specimen->diags);
    specimen->input.diags = &specimen->diags;
    writer->write(&specimen->input, 1, &text);
    copy = arena_copy(specimen->arena, text_bytes(&text));
    text_free(&text);
    return copy;
}

#endif
