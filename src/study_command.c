/* prearc study FILE: the bench sheet, as text or as a page; or what changed since another netlist. */
#include "cli.h"

#include <stdint.h>

#include "base/text.h"
#include "output.h"
#include "report/report.h"
#include "run.h"
#include "study/study.h"

/* The page goes to --html, the text to --output, or, without a page, to standard output. */
static bool write_sheet(const struct options *options, const struct report_input *report,
                        const struct report_input *before)
{
    struct text text = {0};
    bool good = true;

    if (options->html != NULL) {
        study_write(report, before, true, &text);
        good = output_write(options->html, &text);
        text_free(&text);
    }
    if (options->html == NULL || options->output != NULL) {
        study_write(report, before, false, &text);
        good = output_write(options->output, &text) && good;
        text_free(&text);
    }
    return good;
}

/* Reads and checks PATHS; what is wrong with them is said. NULL: they are not one circuit. */
static struct run *run_netlists(const struct options *options, const char *const *paths, size_t count)
{
    struct run *run = run_one(options, paths, count);

    if (run == NULL)
        return NULL;
    run_check(run, options);
    run_complain(run);
    return run;
}

static bool is_read(const struct run *run)
{
    return run != NULL && run->refusal == NULL && run->facts != NULL;
}

static bool is_whole(const struct run *run)
{
    return diag_count_input(&run->diags, LEVEL_ERROR) == 0 && run->diags.dropped == 0;
}

static int study(const struct options *options)
{
    struct options plain = *options;
    bool compared = options->before_count > 0;
    struct run *run = run_netlists(options, options->operands, options->operand_count), *before = NULL;
    struct report_input report, other = {0};
    int outcome = OUTCOME_BAD;

    plain.fitted_count = plain.bench_count = 0; /* what was found at the bench is of the netlist as it is now */
    if (compared && run != NULL)
        before = run_netlists(&plain, options->before, options->before_count);
    if (is_read(run) && (!compared || is_read(before))) {
        report = run_report(run, false);
        if (compared)
            other = run_report(before, false);
        if (write_sheet(options, &report, compared ? &other : NULL) && is_whole(run) &&
            (!compared || is_whole(before)))
            outcome = OUTCOME_CLEAN;
    }
    run_free(before);
    run_free(run);
    return outcome;
}

const struct command study_command = {
    .name = "study",
    .arguments = "FILE...",
    .help = "the bench sheet, as text or as a page (--html)",
    .bit = ON_STUDY,
    .least = 1,
    .most = SIZE_MAX,
    .run = study,
};
