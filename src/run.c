#include "run.h"

#include "config.h"

#include <stdio.h>

#include "base/arena.h"
#include "base/source.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "cli.h"
#include "data_dir.h"
#include "device/network.h"
#include "fitting.h"
#include "netlist/reader.h"
#include "output.h"
#include "parts/parts.h"
#include "report/report.h"
#include "rule/facts.h"
#include "rule/rules.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

static void read_netlist(struct run *run, const struct options *options, const char *path)
{
    struct read_options read = {.data_dir = run->data_dir, .dialect_file = options->dialect,
                                .include_anywhere = options->include_anywhere};
    struct read_input input = {.arena = run->arena, .diags = &run->diags, .options = &read};

    run->source = source_read(run->arena, &run->diags, path);
    if (run->source == NULL)
        return;
    run->netlist = run->source->name;
    input.source = run->source;
    run->circuit = netlist_read(&input);
}

static void recognise(struct run *run, const struct options *options)
{
    struct parts_options wanted = {.data_dir = run->data_dir, .mains_volts = options->mains_volts,
                                   .mains_hertz = options->mains_hertz,
                                   .mains_tolerance = options->mains_tolerance,
                                   .mains_tolerance_given = options->mains_tolerance_given};

    if (run->circuit == NULL)
        return;
    run->parts = parts_recognise(run->arena, &run->diags, run->circuit, &wanted);
    if (run->parts == NULL)
        return;
    run->refusal =
        fitting_refusal(run->arena, run->parts, options->fitted, options->fitted_count);
    fitting_resistances(run->arena, run->parts, options->fitted, options->fitted_count);
}

static void compute(struct run *run, const struct options *options)
{
    struct findings_of_stages stages;

    run->network = network_build(run->arena, run->parts);
    run->trace = trace_network(run->arena, run->network);
    run->healthy = solve_steady(run->arena, run->network, &(struct solve_options){0});
    run->whatif = whatif_run(run->arena, run->network, run->trace, run->healthy, options->fitted,
                             options->fitted_count);
    stages = (struct findings_of_stages){
        .circuit = run->circuit, .parts = run->parts, .network = run->network,
        .trace = run->trace, .healthy = run->healthy, .whatif = run->whatif,
    };
    run->facts = facts_build(&stages);
}

struct run *run_new(const struct options *options, const char *path)
{
    struct arena *arena = arena_new();
    struct run *run = arena_alloc(arena, sizeof *run);

    run->arena = arena;
    run->diags = diags_start(arena);
    run->netlist = path;
    run->data_dir = data_dir_find(arena);
    read_netlist(run, options, path);
    recognise(run, options);
    if (run->parts != NULL && run->refusal == NULL)
        compute(run, options);
    diags_sort(&run->diags);
    return run;
}

struct rules *run_load_rules(struct arena *arena, struct diags *diags, const char *data_dir,
                             const struct options *options, const char **why)
{
    size_t count = options->rule_dir_count + 1;
    const char **dirs = arena_array(arena, count, sizeof *dirs);
    struct rules *rules;

    dirs[0] = arena_print(arena, "%s/checks", data_dir);
    for (size_t i = 1; i < count; i++)
        dirs[i] = options->rule_dirs[i - 1];
    rules = rules_load(arena, diags, dirs, count);
    if (rules != NULL && rules->count > 0)
        return rules;
    if (rules != NULL)
        rules_free(rules);
    *why = arena_print(arena, "there are no checks in %s (PREARC_DATA names another folder)",
                       dirs[0]);
    return NULL;
}

void run_check(struct run *run, const struct options *options)
{
    if (run->refusal != NULL)
        return;
    run->rules =
        run_load_rules(run->arena, &run->diags, run->data_dir, options, &run->refusal);
    if (run->rules != NULL && run->facts != NULL)
        rules_run(run->rules, run->facts, run->arena, &run->diags);
    diags_sort(&run->diags);
}

struct report_input run_report(const struct run *run, bool colour)
{
    size_t count = run->rules != NULL ? run->rules->count : 0;
    struct report_rule *rules = arena_array(run->arena, count, sizeof *rules);

    for (size_t i = 0; i < count; i++) {
        const struct rule *rule = &run->rules->items[i];

        rules[i] = (struct report_rule){.id = rule->id, .title = rule->title, .why = rule->why,
                                        .fix = rule->fix, .source = rule->source,
                                        .level = rule->level};
    }
    return (struct report_input){.diags = &run->diags, .facts = run->facts, .rules = rules,
                                 .rule_count = count, .netlist = run->netlist,
                                 .version = PACKAGE_VERSION, .colour = colour};
}

bool run_complain(const struct run *run)
{
    struct report_input input = run_report(run, false);
    struct text text = {0};

    if (run->refusal != NULL)
        output_complain("%s: %s", run->netlist, run->refusal);
    report_problems(&input, &text);
    fputs(text_bytes(&text), stderr);
    text_free(&text);
    return run->refusal == NULL && run->facts != NULL && run->diags.dropped == 0 &&
           diag_count_input(&run->diags, LEVEL_ERROR) == 0;
}

void run_free(struct run *run)
{
    if (run == NULL)
        return;
    if (run->facts != NULL)
        xmlFreeDoc(run->facts);
    if (run->rules != NULL)
        rules_free(run->rules);
    circuit_free(run->circuit);
    arena_free(run->arena);
}
