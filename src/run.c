#include "run.h"

#include "config.h"

#include <stdio.h>

#include "base/arena.h"
#include "base/source.h"
#include "base/text.h"
#include "bench/bench.h"
#include "circuit/circuit.h"
#include "cli.h"
#include "data_dir.h"
#include "device/network.h"
#include "fitting.h"
#include "netlist/reader.h"
#include "output.h"
#include "parts/parts.h"
#include "report/report.h"
#include "rule/acceptance.h"
#include "rule/facts.h"
#include "rule/rules.h"
#include "rule/selection.h"
#include "solve/solve.h"
#include "today.h"
#include "trace/trace.h"
#include "whatif/full_signal.h"
#include "whatif/switch_on.h"
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

/* What the bench files say, put into the circuit. */
static void read_benches(struct run *run, const struct options *options)
{
    run->bench = bench_new(run->arena, &run->diags);
    for (size_t i = 0; i < options->bench_count; i++) {
        const struct source *source = source_read(run->arena, &run->diags, options->benches[i]);

        if (source != NULL)
            bench_read(run->bench, source);
    }
    if (run->circuit != NULL)
        bench_amend(run->bench, run->circuit);
}

/* What the options leave open the bench files may say. */
static void bench_mains(const struct bench *bench, struct parts_options *wanted)
{
    for (size_t i = 0; i < bench->count; i++) {
        const struct statement *statement = bench->items[i];

        if (statement->word != BENCH_MAINS)
            continue;
        if (wanted->mains_volts == 0)
            statement_quantity(statement, "volts", UNIT_VOLT, &wanted->mains_volts);
        if (wanted->mains_hertz == 0)
            statement_quantity(statement, "hertz", UNIT_HERTZ, &wanted->mains_hertz);
    }
}

/* The markings of the bench files, then those of --fitted. */
static void settle(struct run *run, const struct options *options)
{
    bench_settle(run->bench, run->parts);
    for (size_t i = 0; i < options->fitted_count && run->refusal == NULL; i++)
        run->refusal = bench_fit(run->bench, run->parts, options->fitted[i].ref,
                                 options->fitted[i].marking);
    fitting_resistances(run->arena, run->parts, run->bench->fitted, run->bench->fitted_count);
}

static void recognise(struct run *run, const struct options *options)
{
    struct parts_options wanted = {.data_dir = run->data_dir, .mains_volts = options->mains_volts,
                                   .mains_hertz = options->mains_hertz,
                                   .mains_tolerance = options->mains_tolerance,
                                   .mains_tolerance_given = options->mains_tolerance_given,
                                   .amend_windings = bench_amend_windings, .bench = run->bench};

    if (run->circuit == NULL)
        return;
    bench_mains(run->bench, &wanted);
    run->parts = parts_recognise(run->arena, &run->diags, run->circuit, &wanted);
    if (run->parts != NULL)
        settle(run, options);
}

static void solve(struct run *run)
{
    run->network = network_build(run->arena, run->parts);
    run->trace = trace_network(run->arena, run->network);
    run->healthy = solve_steady(run->arena, run->network, &(struct solve_options){0});
}

static void compute(struct run *run)
{
    struct findings_of_stages stages;

    solve(run);
    run->whatif = whatif_run(run->arena, run->network, run->trace, run->healthy, run->bench->fitted,
                             run->bench->fitted_count);
    run->full = full_signal_find(run->arena, run->network, run->trace, run->healthy);
    run->switch_on =
        switch_on_run(run->arena, run->network, run->trace, run->healthy, run->whatif);
    stages = (struct findings_of_stages){
        .circuit = run->circuit, .parts = run->parts, .network = run->network,
        .trace = run->trace, .healthy = run->healthy, .whatif = run->whatif, .bench = run->bench,
        .full = run->full, .switch_on = run->switch_on,
    };
    run->facts = facts_build(&stages);
}

/* The checks, and which of them run. */
static void load_rules(struct run *run, const struct options *options)
{
    if (run->rules == NULL)
        run->rules =
            run_load_rules(run->arena, &run->diags, run->data_dir, options, &run->refusal);
    if (run->rules != NULL && run->refusal == NULL)
        run->refusal = rules_select(run->arena, run->rules, options->only, options->only_count,
                                    options->skip, options->skip_count);
}

/* What the facts tell of the checks themselves: accepted findings, checks left out. */
static void tell_choices(struct run *run, const struct options *options)
{
    char today[TODAY_BYTES];
    bool accepting = acceptance_wanted(run->bench);

    if (run->facts == NULL || (!accepting && options->only_count + options->skip_count == 0))
        return;
    load_rules(run, options);
    if (run->refusal == NULL && !today_read(today))
        run->refusal = "SOURCE_DATE_EPOCH is no number of seconds";
    if (run->refusal != NULL)
        return;
    if (accepting)
        acceptance_judge(run->arena, run->bench, run->rules, run->facts, today);
    rules_tell_skipped(run->rules, run->facts);
}

/* Read and recognised. */
static struct run *start(const struct options *options, const char *path)
{
    struct arena *arena = arena_new();
    struct run *run = arena_alloc(arena, sizeof *run);

    run->arena = arena;
    run->diags = diags_start(arena);
    run->netlist = path;
    run->data_dir = data_dir_find(arena);
    read_netlist(run, options, path);
    read_benches(run, options);
    recognise(run, options);
    return run;
}

struct run *run_new_for_deck(const struct options *options, const char *path)
{
    struct run *run = start(options, path);

    if (run->parts != NULL && run->refusal == NULL) {
        solve(run);
        run->whatif = whatif_run_one(run->arena, run->network, run->trace, run->healthy, run->bench->fitted,
                                     run->bench->fitted_count, options->fault);
    }
    diags_sort(&run->diags);
    return run;
}

struct run *run_new(const struct options *options, const char *path)
{
    struct run *run = start(options, path);

    if (run->parts != NULL && run->refusal == NULL)
        compute(run);
    tell_choices(run, options);
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
    load_rules(run, options);
    if (run->refusal != NULL)
        return;
    if (run->rules != NULL && run->facts != NULL) {
        rules_run(run->rules, run->facts, run->arena, &run->diags);
        acceptance_mark(run->bench, run->facts, &run->diags);
    }
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
                                        .level = rule->level, .skipped = rule->skipped};
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
    return run->refusal == NULL && run->network != NULL && run->diags.dropped == 0 &&
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
    bench_free(run->bench);
    circuit_free(run->circuit);
    arena_free(run->arena);
}
