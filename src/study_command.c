/* prearc study FILE: the bench sheet, as text or as a page; or what changed since another netlist. */
#include "cli.h"

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

/* Reads and checks PATH; what is wrong with it is said. */
static struct run *run_netlist(const struct options *options, const char *path)
{
    struct run *run = run_new(options, path);

    run_check(run, options);
    run_complain(run);
    return run;
}

static bool is_read(const struct run *run)
{
    return run == NULL || (run->refusal == NULL && run->facts != NULL);
}

static bool is_whole(const struct run *run)
{
    return run == NULL || (diag_count_input(&run->diags, LEVEL_ERROR) == 0 && run->diags.dropped == 0);
}

static int study(const struct options *options)
{
    struct options plain = *options;
    struct run *run = run_netlist(options, options->operands[0]), *before = NULL;
    struct report_input report, other = {0};
    int outcome = OUTCOME_BAD;

    plain.fitted_count = 0; /* what was found at the bench is of the netlist as it is now */
    if (options->before != NULL)
        before = run_netlist(&plain, options->before);
    if (is_read(run) && is_read(before)) {
        report = run_report(run, false);
        if (before != NULL)
            other = run_report(before, false);
        if (write_sheet(options, &report, before != NULL ? &other : NULL) && is_whole(run) && is_whole(before))
            outcome = OUTCOME_CLEAN;
    }
    run_free(before);
    run_free(run);
    return outcome;
}

const struct command study_command = {
    .name = "study",
    .arguments = "FILE",
    .help = "the bench sheet, as text or as a page (--html)",
    .bit = ON_STUDY,
    .least = 1,
    .most = 1,
    .run = study,
};
