/* prearc study FILE: the bench sheet, as text or as a page. */
#include "cli.h"

#include "base/text.h"
#include "output.h"
#include "report/report.h"
#include "run.h"
#include "study/study.h"

static bool write_sheet(const struct options *options, struct run *run)
{
    struct report_input report;
    struct text text = {0};
    bool good = true;

    run_check(run, options);
    if (!run_complain(run) && run->facts == NULL)
        return false;
    report = run_report(run, false);
    if (options->html != NULL) {
        study_write(&report, true, &text);
        good = output_write(options->html, &text);
        text_free(&text);
    }
    if (options->html == NULL || options->output != NULL) {
        study_write(&report, false, &text);
        good = output_write(options->output, &text) && good;
        text_free(&text);
    }
    return good;
}

static int study(const struct options *options)
{
    struct run *run = run_new(options, options->operands[0]);
    bool read = run->refusal == NULL && run->facts != NULL;
    int outcome = OUTCOME_BAD;

    if (!read)
        run_complain(run);
    else if (write_sheet(options, run) && diag_count_input(&run->diags, LEVEL_ERROR) == 0)
        outcome = OUTCOME_CLEAN;
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
