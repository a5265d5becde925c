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

static int write_report(const struct options *options, struct run **runs)
{
    bool colour = output_has_colour(options->output);
    struct report_input *inputs =
        arena_array(options->arena, options->operand_count, sizeof *inputs);
    struct text text = {0};
    int outcome = OUTCOME_CLEAN;

    for (size_t i = 0; i < options->operand_count; i++) {
        inputs[i] = run_report(runs[i], colour);
        outcome = outcome_of(runs[i], options->fail_on, outcome);
    }
    options->writer->write(inputs, options->operand_count, &text);
    if (!output_write(options->output, &text))
        outcome = OUTCOME_BAD;
    text_free(&text);
    return outcome;
}

/* Runs every netlist; false, after a message, if the options do not fit one of them. */
static bool run_all(const struct options *options, struct run **runs)
{
    for (size_t i = 0; i < options->operand_count; i++) {
        runs[i] = run_new(options, options->operands[i]);
        run_check(runs[i], options);
        if (runs[i]->refusal != NULL) {
            run_complain(runs[i]);
            return false;
        }
    }
    return true;
}

static int check(const struct options *options)
{
    struct run **runs = arena_array(options->arena, options->operand_count, sizeof *runs);
    int outcome = OUTCOME_BAD;

    if (options->fitted_count + options->bench_count > 0 && options->operand_count > 1)
        output_complain("%s goes with one netlist at a time: "
                        "a reference means another part in another netlist",
                        options->fitted_count > 0 ? "--fitted" : "--bench");
    else if (run_all(options, runs))
        outcome = write_report(options, runs);
    for (size_t i = 0; i < options->operand_count; i++)
        run_free(runs[i]);
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
