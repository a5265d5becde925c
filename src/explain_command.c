/* prearc explain [RULE]: what a check is for, what to do, where it comes from. */
#include "cli.h"

#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "base/nearest.h"
#include "base/text.h"
#include "data_dir.h"
#include "output.h"
#include "report/report.h"
#include "report/sheet.h"
#include "rule/rules.h"
#include "run.h"

static const char *or_unsaid(const char *text)
{
    return text != NULL ? text : "not said";
}

static void explain_one(const struct sheet *sheet, const struct rule *rule)
{
    sheet_item(sheet, SHEET_STRONG, "check", "%s", rule->id);
    sheet_item(sheet, SHEET_PLAIN, "is", "%s", or_unsaid(rule->title));
    sheet_item(sheet, SHEET_PLAIN, "level", "%s", level_name(rule->level));
    sheet_item(sheet, SHEET_PLAIN, "why", "%s", or_unsaid(rule->why));
    sheet_item(sheet, SHEET_STRONG, "do", "%s", or_unsaid(rule->fix));
    sheet_item(sheet, SHEET_PLAIN, "source", "%s", or_unsaid(rule->source));
    sheet_item(sheet, SHEET_PLAIN, "file", "%s", rule->file);
}

static void list_all(const struct sheet *sheet, struct arena *arena, const struct rules *rules)
{
    struct table_row *rows = arena_array(arena, rules->count + 1, sizeof *rows);

    rows[0] = (struct table_row){{"check", "level", "is"}};
    for (size_t i = 0; i < rules->count; i++)
        rows[i + 1] = (struct table_row){{rules->items[i].id, level_name(rules->items[i].level),
                                          or_unsaid(rules->items[i].title)}};
    sheet_table(sheet, rows, rules->count + 1, 3);
}

static bool explain_rules(const struct options *options, const struct rules *rules,
                          struct text *out)
{
    struct sheet sheet = {.out = out, .styled = output_has_colour(options->output)};
    const char *id = options->operand_count > 0 ? options->operands[0] : NULL;
    struct nearest nearest;

    if (id == NULL) {
        list_all(&sheet, options->arena, rules);
        return true;
    }
    if (rules_find(rules, id) != NULL) {
        explain_one(&sheet, rules_find(rules, id));
        return true;
    }
    nearest = nearest_start(id, strlen(id));
    for (size_t i = 0; i < rules->count; i++)
        nearest_offer(&nearest, rules->items[i].id);
    output_complain("there is no check %.100s; the nearest is %s", id, nearest.name);
    return false;
}

/* What is wrong with the checks' own files, on standard error; true if nothing is. */
static bool complain(struct diags *diags)
{
    struct text text = {0};

    diags_sort(diags);
    report_problems(&(struct report_input){.diags = diags, .netlist = "checks"}, &text);
    fputs(text_bytes(&text), stderr);
    text_free(&text);
    return diag_count_input(diags, LEVEL_ERROR) == 0 && diags->dropped == 0;
}

static int explain(const struct options *options)
{
    struct diags diags = diags_start(options->arena);
    const char *why = NULL;
    struct rules *rules = run_load_rules(options->arena, &diags, data_dir_find(options->arena),
                                         options, &why);
    struct text text = {0};
    bool good = complain(&diags);

    if (rules == NULL)
        output_complain("%s", why);
    if (rules == NULL || !explain_rules(options, rules, &text) ||
        !output_write(options->output, &text))
        good = false;
    text_free(&text);
    if (rules != NULL)
        rules_free(rules);
    return good ? OUTCOME_CLEAN : OUTCOME_BAD;
}

const struct command explain_command = {
    .name = "explain",
    .arguments = "[RULE]",
    .help = "why a check is there, what to do, its source",
    .bit = ON_EXPLAIN,
    .least = 0,
    .most = 1,
    .run = explain,
};
