/* prearc check FILE...: the findings. */
#include "cli.h"

#include <stdint.h>

#include "base/arena.h"
#include "base/text.h"
#include "output.h"
#include "report/report.h"
#include "run.h"

/* Worst of what one run and those before it tell the shell. */
static int outcome_of(const struct run *run, enum level fail_on, int before)
{
    if (run->facts == NULL || run->rules == NULL || run->diags.dropped > 0 ||
        diag_count_input(&run->diags, LEVEL_ERROR) > 0)
        return OUTCOME_BAD;
    if (before == OUTCOME_BAD || diag_count_findings(&run->diags, fail_on) == 0)
        return before;
    return OUTCOME_FINDINGS;
}

static int write_report(const struct options *options, const struct runs *runs)
{
    bool colour = output_has_colour(options->output);
    struct report_input *inputs = arena_array(options->arena, runs->count, sizeof *inputs);
    struct text text = {0};
    int outcome = OUTCOME_CLEAN;

    for (size_t i = 0; i < runs->count; i++) {
        inputs[i] = run_report(runs->items[i], colour);
        outcome = outcome_of(runs->items[i], options->fail_on, outcome);
    }
    options->writer->write(inputs, runs->count, &text);
    if (!output_write(options->output, &text))
        outcome = OUTCOME_BAD;
    text_free(&text);
    return outcome;
}

/* Runs every circuit; false, after a message, if the options do not fit one of them. */
static bool run_all(const struct options *options, const struct runs *runs)
{
    for (size_t i = 0; i < runs->count; i++) {
        run_go_on(runs->items[i], options);
        run_check(runs->items[i], options);
        if (runs->items[i]->refusal != NULL) {
            run_complain(runs->items[i]);
            return false;
        }
    }
    return true;
}

static int check(const struct options *options)
{
    struct runs runs = runs_read(options, options->operands, options->operand_count);
    int outcome = OUTCOME_BAD;

    if (options->fitted_count + options->bench_count > 0 && runs.count > 1)
        output_complain("%s goes with one netlist at a time: a reference means another part in another netlist; %s",
                        options->fitted_count > 0 ? "--fitted" : "--bench", runs.apart);
    else if (run_all(options, &runs))
        outcome = write_report(options, &runs);
    runs_free(&runs);
    return outcome;
}

const struct command check_command = {
    .name = "check",
    .arguments = "FILE...",
    .help = "what is wrong, what to do",
    .bit = ON_CHECK,
    .least = 1,
    .most = SIZE_MAX,
    .run = check,
};
