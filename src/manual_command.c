/* prearc manual: the manual page, in troff's man macros, from the tables of the command line. */
#include "config.h"

#include "cli.h"

#include <string.h>

#include "base/text.h"
#include "output.h"

/* TEXT as troff prints it unchanged: hyphens that are typed, backslashes, no control line. */
static void add_plain(struct text *out, const char *text)
{
    for (const char *c = text; *c != '\0'; c++) {
        if (*c == '\\')
            text_add(out, "\\e");
        else if (*c == '-')
            text_add(out, "\\-");
        else if ((*c == '.' || *c == '\'') && (c == text || c[-1] == '\n'))
            text_print(out, "\\&%c", *c);
        else
            text_add_char(out, *c);
    }
}

static void add_bold(struct text *out, const char *text)
{
    text_add(out, "\\fB");
    add_plain(out, text);
    text_add(out, "\\fR");
}

/* Arguments are words in capitals, brackets and dots. */
static void add_arguments(struct text *out, const char *arguments)
{
    if (arguments == NULL || arguments[0] == '\0')
        return;
    text_add(out, " \\fI");
    add_plain(out, arguments);
    text_add(out, "\\fR");
}

static void add_head(struct text *out)
{
    text_add(out, ".TH PREARC 1 \"\" \"prearc " PACKAGE_VERSION "\" \"User commands\"\n"
                  ".SH NAME\n"
                  "prearc \\- safety linter for the netlists of audio amplifiers\n"
                  ".SH SYNOPSIS\n"
                  ".B prearc\n"
                  ".I COMMAND\n"
                  "[\\fIOPTION\\fR...] [\\fIARGUMENT\\fR...]\n"
                  ".SH DESCRIPTION\n"
                  "Reads the netlist of an amplifier, works out which fuse protects what, computes what\n"
                  "every fuse carries and what happens when a part fails short, and says where protection is\n"
                  "missing, too large, too small or of the wrong sort. What could not be checked is said too.\n"
                  ".SH CAUTION\n"
                  "Mains and HT kill, and capacitors hold HT long after the mains is off. Only a person\n"
                  "competent in this work opens or powers such equipment, never alone. What prearc says is\n"
                  "read and computed from a netlist and replaces no measurement. Local codes and licensed\n"
                  "practice prevail.\n");
}

static void add_commands(struct text *out)
{
    const struct command *command;

    text_add(out, ".SH COMMANDS\n");
    for (size_t i = 0; (command = cli_command(i)) != NULL; i++) {
        text_add(out, ".TP\n");
        add_bold(out, command->name);
        add_arguments(out, command->arguments);
        text_add_char(out, '\n');
        add_plain(out, command->help);
        text_add(out, ".\n");
    }
    text_add(out, ".PP\nA \\fIFILE\\fR named \\- is standard input. Files are one circuit if a SPICE deck among them has pins of\n"
                  "another\\(aqs parts as nodes: J1.2, or board:J1.2 for board.xml.\n");
}

/* The commands that know ROW, unless all do. */
static void add_scope(struct text *out, const struct option_row *row)
{
    const struct command *command;
    size_t known = 0, count = 0;

    for (; (command = cli_command(count)) != NULL; count++)
        known += (row->commands & command->bit) != 0;
    if (known == count)
        return;
    text_add(out, "With");
    for (size_t i = 0, said = 0; (command = cli_command(i)) != NULL; i++)
        if ((row->commands & command->bit) != 0) {
            said++;
            text_add(out, said == 1 ? " " : said == known ? " and " : ", ");
            add_bold(out, command->name);
        }
    text_add(out, ".\n");
}

static void add_options(struct text *out)
{
    const struct option_row *row;

    text_add(out, ".SH OPTIONS\n");
    for (size_t i = 0; (row = cli_option(i)) != NULL; i++) {
        text_add(out, ".TP\n");
        add_bold(out, row->name);
        add_arguments(out, row->argument);
        text_add_char(out, '\n');
        add_plain(out, row->help);
        if (row->allowed != NULL) {
            text_add(out, ": ");
            add_plain(out, row->allowed);
        }
        text_add(out, ".\n");
        if (row->initial != NULL) {
            text_add(out, "Default: ");
            add_plain(out, row->initial);
            text_add(out, ".\n");
        }
        add_scope(out, row);
    }
}

static void add_tail(struct text *out)
{
    text_add(out, ".SH EXIT STATUS\n"
                  ".TP\n0\nNothing was found at or above the level of \\fB\\-\\-fail\\-on\\fR.\n"
                  ".TP\n1\nSomething was.\n"
                  ".TP\n2\nBad input or use, or a report that could not be written.\n"
                  ".SH ENVIRONMENT\n"
                  ".TP\n\\fBNO_COLOR\\fR\nIf set and not empty, no colour is used, whatever the terminal.\n"
                  ".TP\n\\fBPREARC_DATA\\fR\nFolder of the checks, parts and dialects, in place of the installed one.\n"
                  ".SH EXAMPLES\n"
                  ".nf\n"
                  "prearc check amplifier.xml\n"
                  "prearc check \\-\\-fitted F2=T10AH250V \\-\\-fail\\-on warning amplifier.cir\n"
                  "prearc trace amplifier.xml F2\n"
                  "prearc explain fuse\\-oversized\n"
                  ".fi\n");
}

static int print_manual(const struct options *options)
{
    struct text text = {0};
    bool written;

    add_head(&text);
    add_commands(&text);
    add_options(&text);
    add_tail(&text);
    written = output_write(options->output, &text);
    text_free(&text);
    return written ? OUTCOME_CLEAN : OUTCOME_BAD;
}

const struct command manual_command = {
    .name = "manual",
    .arguments = "",
    .help = "this program's manual page, for man(1)",
    .bit = ON_MANUAL,
    .least = 0,
    .most = 0,
    .run = print_manual,
};
