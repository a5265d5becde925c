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
#include "netlist/boards.h"
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
#include "whatif/excursions.h"
#include "whatif/unknown_feed.h"
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
                                   .amend_windings = bench_amend_windings, .bench = run->bench,
                                   .library = options->library};

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
    unknown_feed_mark(run->network, run->trace, run->healthy);
}

static void compute(struct run *run)
{
    struct findings_of_stages stages;
    struct excursions excursions;

    solve(run);
    run->whatif = whatif_run(run->arena, run->network, run->trace, run->healthy, run->bench->fitted,
                             run->bench->fitted_count);
    excursions = excursions_find(run->arena, run->network, run->trace, run->healthy, run->whatif);
    stages = (struct findings_of_stages){
        .circuit = run->circuit, .parts = run->parts, .network = run->network,
        .trace = run->trace, .healthy = run->healthy, .whatif = run->whatif, .bench = run->bench,
        .full = excursions.full, .switch_on = excursions.switch_on,
    };
    run->facts = facts_build(&stages);
}

/* What a deck tells: of failures only the one that the options name is tried, and there are no facts. */
static void compute_for_deck(struct run *run, const struct options *options)
{
    solve(run);
    run->whatif = whatif_run_one(run->arena, run->network, run->trace, run->healthy, run->bench->fitted,
                                 run->bench->fitted_count, options->fault);
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

/* Reads PATH; nothing is computed yet. */
static struct run *run_read(const struct options *options, const char *path)
{
    struct arena *arena = arena_new();
    struct run *run = arena_alloc(arena, sizeof *run);

    run->arena = arena;
    run->diags = diags_start(arena);
    run->netlist = path;
    run->data_dir = data_dir_find(arena);
    read_netlist(run, options, path);
    return run;
}

void run_go_on(struct run *run, const struct options *options)
{
    read_benches(run, options);
    recognise(run, options);
    if (run->parts != NULL && run->refusal == NULL && options->for_deck)
        compute_for_deck(run, options);
    else if (run->parts != NULL && run->refusal == NULL)
        compute(run);
    tell_choices(run, options);
    diags_sort(&run->diags);
}

struct run *run_new(const struct options *options, const char *path)
{
    struct run *run = run_read(options, path);

    run_go_on(run, options);
    return run;
}

/* What was said while MEMBER was read is said of RUN. */
static void take_member(struct run *run, struct run *member)
{
    run->members[run->member_count++] = member;
    run->netlist = run->member_count == 1
                       ? member->netlist : arena_print(run->arena, "%s + %s", run->netlist, member->netlist);
    for (size_t i = 0; i < member->diags.count; i++)
        diag_add(&run->diags, &member->diags.items[i]);
    run->diags.dropped += member->diags.dropped;
}

/* The run of one circuit that the netlists of GROUP make. */
static struct run *run_join(struct boards *boards, struct run *const *read, size_t group)
{
    struct arena *arena = arena_new();
    struct run *run = arena_alloc(arena, sizeof *run);

    run->arena = arena;
    run->diags = diags_start(arena);
    run->data_dir = read[group]->data_dir;
    run->members = arena_array(arena, boards->count, sizeof *run->members);
    run->circuit = boards_join(arena, boards, group);
    run->source = run->circuit->source;
    for (size_t i = 0; i < boards->count; i++)
        if (boards->items[i].group == group)
            take_member(run, read[i]);
    return run;
}

static size_t group_size(const struct boards *boards, size_t group)
{
    size_t size = 0;

    for (size_t i = group; i < boards->count; i++)
        size += boards->items[i].group == group;
    return size;
}

struct runs runs_read(const struct options *options, const char *const *paths, size_t count)
{
    struct boards boards = {.arena = options->arena, .count = count,
                            .items = arena_array(options->arena, count, sizeof *boards.items)};
    struct run **read = arena_array(options->arena, count, sizeof(struct run *));
    struct runs runs = {.items = arena_array(options->arena, count, sizeof(struct run *))};

    for (size_t i = 0; i < count; i++) {
        read[i] = run_read(options, paths[i]);
        boards.items[i] = (struct board){.circuit = read[i]->circuit, .source = read[i]->source,
                                         .diags = &read[i]->diags};
    }
    boards_find(&boards);
    for (size_t i = 0; i < count; i++) {
        if (boards.items[i].group != i)
            continue;
        runs.items[runs.count++] = group_size(&boards, i) > 1 ? run_join(&boards, read, i) : read[i];
    }
    if (runs.count > 1)
        runs.apart = arena_print(options->arena, "%s and %s are not one circuit: no SPICE deck among these names a pin "
                                 "of the one's parts as J1.2 and wires it to the other",
                                 runs.items[0]->netlist, runs.items[1]->netlist);
    return runs;
}

void runs_free(struct runs *runs)
{
    for (size_t i = 0; i < runs->count; i++)
        run_free(runs->items[i]);
}

struct run *run_one(const struct options *options, const char *const *paths, size_t count)
{
    struct runs runs = runs_read(options, paths, count);

    if (runs.count > 1) {
        for (size_t i = 0; i < runs.count; i++)
            if (runs.items[i]->circuit == NULL)
                run_complain(runs.items[i]);
        output_complain("%s", runs.apart);
        runs_free(&runs);
        return NULL;
    }
    run_go_on(runs.items[0], options);
    return runs.items[0];
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
                                 .file = run->source != NULL ? run->source->name : run->netlist,
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
    for (size_t i = 0; i < run->member_count; i++)
        run_free(run->members[i]);
    if (run->bench != NULL)
        bench_free(run->bench);
    circuit_free(run->circuit);
    arena_free(run->arena);
}
