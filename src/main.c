/* prearc: which fuse protects what in an audio amplifier. */
#include "config.h"

#include <signal.h>

#include "base/arena.h"
#include "base/heap.h"
#include "base/text.h"
#include "cli.h"
#include "output.h"

static int print_about(const struct options *options)
{
    struct text text = {0};
    bool written;

    if (options->version)
        text_add(&text, PACKAGE_NAME " " PACKAGE_VERSION "\n");
    else
        cli_help(options->command, &text);
    written = output_write(NULL, &text);
    text_free(&text);
    return written ? OUTCOME_CLEAN : OUTCOME_BAD;
}

static int run_command(const struct options *options)
{
    if (options->help || options->version)
        return print_about(options);
    heap_prepare();
    if (output_is_input(options->output, options->benches, options->bench_count)) {
        output_complain("--output %s is the bench file itself", options->output);
        return OUTCOME_BAD;
    }
    if (output_is_input(options->output, options->operands, options->operand_count)) {
        output_complain("--output %s is the netlist itself", options->output);
        return OUTCOME_BAD;
    }
    if (output_is_input(options->html, options->operands, options->operand_count)) {
        output_complain("--html %s is the netlist itself", options->html);
        return OUTCOME_BAD;
    }
    return options->command->run(options);
}

int main(int argc, char **argv)
{
    struct options options = {.arena = arena_new()};
    struct text why = {0};
    int outcome;

    signal(SIGPIPE, SIG_IGN); /* a closed pipe is a write error like any other */
    if (cli_parse(&options, argc > 0 ? argc - 1 : 0, argv + 1, &why)) {
        outcome = run_command(&options);
    } else {
        output_complain("%s", text_bytes(&why));
        outcome = OUTCOME_BAD;
    }
    text_free(&why);
    arena_free(options.arena);
    return outcome;
}
