/* prearc completion SHELL: what a shell needs to complete prearc's words, from the tables of the command line. The names of
 * the checks are asked for when they are needed (prearc completion checks), so that added ones are offered too. */
#include "cli.h"

#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/text.h"
#include "data_dir.h"
#include "output.h"
#include "rule/rules.h"
#include "run.h"

/* What may follow an option. */
enum value_kind { VALUE_NONE, VALUE_ANY, VALUE_FILE, VALUE_FOLDER, VALUE_WORDS, VALUE_CHECK };

static enum value_kind value_kind(const struct option_row *row)
{
    if (row->argument == NULL)
        return VALUE_NONE;
    if (strcmp(row->argument, "FILE") == 0)
        return VALUE_FILE;
    if (strcmp(row->argument, "DIR") == 0)
        return VALUE_FOLDER;
    if (strcmp(row->argument, "RULE") == 0)
        return VALUE_CHECK;
    if (strcmp(row->argument, "WORD") == 0 || strcmp(row->argument, "LEVEL") == 0)
        return VALUE_WORDS;
    return VALUE_ANY;
}

/* The words of "error, warning, unverified or note", a blank between them. */
static void add_words(struct text *out, const char *allowed)
{
    for (const char *c = allowed; *c != '\0';) {
        size_t length = strcspn(c, ", ");

        if (length > 0 && !(length == 2 && strncmp(c, "or", 2) == 0)) {
            if (c != allowed)
                text_add_char(out, ' ');
            text_print(out, "%.*s", (int)length, c);
        }
        c += length;
        c += strspn(c, ", ");
    }
}

/* TEXT between single quotes of any of the shells. */
static void add_quoted(struct text *out, const char *text)
{
    text_add_char(out, '\'');
    for (const char *c = text; *c != '\0'; c++)
        if (*c == '\'')
            text_add(out, "'\\''");
        else
            text_add_char(out, *c);
    text_add_char(out, '\'');
}

/* Names of the options that COMMAND knows, each after a blank. */
static void add_options_of(struct text *out, const struct command *command)
{
    const struct option_row *row;

    for (size_t i = 0; (row = cli_option(i)) != NULL; i++)
        if ((row->commands & command->bit) != 0)
            text_print(out, " %s", row->name);
}

static void add_commands(struct text *out)
{
    const struct command *command;

    for (size_t i = 0; (command = cli_command(i)) != NULL; i++)
        text_print(out, "%s%s", i > 0 ? " " : "", command->name);
}

static const char *bash_action(enum value_kind kind)
{
    switch (kind) {
    case VALUE_FILE:
        return "compgen -f -- \"$word\"";
    case VALUE_FOLDER:
        return "compgen -d -- \"$word\"";
    case VALUE_CHECK:
        return "compgen -W \"$(prearc completion checks 2>/dev/null)\" -- \"$word\"";
    default:
        return NULL;
    }
}

static void add_bash_value(struct text *out, const struct option_row *row)
{
    enum value_kind kind = value_kind(row);

    if (kind == VALUE_NONE)
        return;
    text_print(out, "    %s)\n", row->name);
    if (kind == VALUE_WORDS) {
        text_add(out, "        mapfile -t COMPREPLY < <(compgen -W '");
        add_words(out, row->allowed);
        text_add(out, "' -- \"$word\")\n");
    } else if (bash_action(kind) != NULL) {
        text_print(out, "        mapfile -t COMPREPLY < <(%s)\n", bash_action(kind));
    }
    text_add(out, "        return ;;\n");
}

static void add_bash(struct text *out)
{
    const struct option_row *row;
    const struct command *command;

    text_add(out, "# bash completion of prearc\n"
                  "_prearc() {\n"
                  "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} command='' i\n"
                  "    COMPREPLY=()\n"
                  "    for ((i = 1; i < COMP_CWORD; i++)); do\n"
                  "        case ${COMP_WORDS[i]} in\n        ");
    for (size_t i = 0; (command = cli_command(i)) != NULL; i++)
        text_print(out, "%s%s", i > 0 ? "|" : "", command->name);
    text_add(out, ") command=${COMP_WORDS[i]}; break ;;\n        esac\n    done\n"
                  "    case $before in\n");
    for (size_t i = 0; (row = cli_option(i)) != NULL; i++)
        add_bash_value(out, row);
    text_add(out, "    esac\n    case $command in\n    '')\n        mapfile -t COMPREPLY < <(compgen -W '");
    add_commands(out);
    text_add(out, " --help --version' -- \"$word\") ;;\n");
    for (size_t i = 0; (command = cli_command(i)) != NULL; i++) {
        text_print(out, "    %s)\n        if [[ $word == -* ]]; then\n"
                        "            mapfile -t COMPREPLY < <(compgen -W '", command->name);
        add_options_of(out, command);
        text_add(out, "' -- \"$word\")\n        else\n            ");
        if (command == &explain_command)
            text_print(out, "mapfile -t COMPREPLY < <(%s)\n", bash_action(VALUE_CHECK));
        else if (command == &completion_command)
            text_add(out, "mapfile -t COMPREPLY < <(compgen -W 'bash zsh fish checks' -- \"$word\")\n");
        else
            text_print(out, "%s\n", command->most == 0 ? ":" : "mapfile -t COMPREPLY < <(compgen -f -- \"$word\")");
        text_add(out, "        fi ;;\n");
    }
    text_add(out, "    esac\n}\ncomplete -o filenames -F _prearc prearc\n");
}

/* ":value:action" after an option's description, as _arguments reads it. */
static void add_zsh_value(struct text *out, const struct option_row *row)
{
    switch (value_kind(row)) {
    case VALUE_NONE:
        return;
    case VALUE_FILE:
        text_add(out, ":file:_files");
        return;
    case VALUE_FOLDER:
        text_add(out, ":folder:_files -/");
        return;
    case VALUE_CHECK:
        text_add(out, ":check:($(prearc completion checks 2>/dev/null))");
        return;
    case VALUE_WORDS:
        text_add(out, ":word:(");
        add_words(out, row->allowed);
        text_add_char(out, ')');
        return;
    case VALUE_ANY:
        text_print(out, ":%s: ", row->argument);
    }
}

static void add_zsh_command(struct text *out, const struct command *command)
{
    const struct option_row *row;

    text_print(out, "    %s)\n        _arguments", command->name);
    for (size_t i = 0; (row = cli_option(i)) != NULL; i++)
        if ((row->commands & command->bit) != 0) {
            struct text word = {0};

            text_print(&word, "%s[%s]", row->name, row->help);
            add_zsh_value(&word, row);
            text_add(out, " \\\n            ");
            add_quoted(out, text_bytes(&word));
            text_free(&word);
        }
    if (command == &explain_command)
        text_add(out, " \\\n            '1:check:($(prearc completion checks 2>/dev/null))' ;;\n");
    else if (command == &completion_command)
        text_add(out, " \\\n            '1:shell:(bash zsh fish checks)' ;;\n");
    else if (command->most > 0)
        text_add(out, " \\\n            '*:netlist:_files' ;;\n");
    else
        text_add(out, " ;;\n");
}

static void add_zsh(struct text *out)
{
    const struct command *command;

    text_add(out, "#compdef prearc\n"
                  "# zsh completion of prearc\n"
                  "_prearc() {\n"
                  "    local -a commands=(");
    for (size_t i = 0; (command = cli_command(i)) != NULL; i++) {
        struct text word = {0};

        text_print(&word, "%s:%s", command->name, command->help);
        text_add(out, "\n        ");
        add_quoted(out, text_bytes(&word));
        text_free(&word);
    }
    text_add(out, ")\n    if (( CURRENT == 2 )); then\n        _describe command commands\n        return\n    fi\n"
                  "    local command=$words[2]\n    shift words; (( CURRENT-- ))\n    case $command in\n");
    for (size_t i = 0; (command = cli_command(i)) != NULL; i++)
        add_zsh_command(out, command);
    text_add(out, "    esac\n}\n_prearc \"$@\"\n");
}

static void add_fish_option(struct text *out, const struct option_row *row,
                            const struct command *command)
{
    enum value_kind kind = value_kind(row);

    text_print(out, "complete -c prearc -n '__fish_seen_subcommand_from %s' -l %s", command->name,
               row->name + strspn(row->name, "-"));
    if (kind == VALUE_FILE || kind == VALUE_FOLDER)
        text_add(out, " -rF");
    else if (kind != VALUE_NONE)
        text_add(out, " -x");
    if (kind == VALUE_WORDS) {
        text_add(out, " -a '");
        add_words(out, row->allowed);
        text_add_char(out, '\'');
    } else if (kind == VALUE_CHECK) {
        text_add(out, " -a '(prearc completion checks 2>/dev/null)'");
    }
    text_add(out, " -d ");
    add_quoted(out, row->help);
    text_add_char(out, '\n');
}

static void add_fish(struct text *out)
{
    const struct command *command;
    const struct option_row *row;

    text_add(out, "# fish completion of prearc\n");
    for (size_t i = 0; (command = cli_command(i)) != NULL; i++) {
        text_print(out, "complete -c prearc -n __fish_use_subcommand -f -a %s -d ", command->name);
        add_quoted(out, command->help);
        text_add_char(out, '\n');
        for (size_t j = 0; (row = cli_option(j)) != NULL; j++)
            if ((row->commands & command->bit) != 0)
                add_fish_option(out, row, command);
    }
    text_add(out, "complete -c prearc -n '__fish_seen_subcommand_from explain' -f "
                  "-a '(prearc completion checks 2>/dev/null)'\n"
                  "complete -c prearc -n '__fish_seen_subcommand_from completion' -f "
                  "-a 'bash zsh fish checks'\n"
                  "complete -c prearc -n '__fish_seen_subcommand_from manual' -f\n");
}

/* The names of all checks, a line each. False: they cannot be read. */
static bool add_checks(const struct options *options, struct text *out)
{
    struct diags diags = diags_start(options->arena);
    const char *why = NULL;
    struct rules *rules =
        run_load_rules(options->arena, &diags, data_dir_find(options->arena), options, &why);

    if (rules == NULL) {
        output_complain("%s", why);
        return false;
    }
    for (size_t i = 0; i < rules->count; i++)
        text_print(out, "%s\n", rules->items[i].id);
    rules_free(rules);
    return true;
}

static bool add_shell(const char *shell, struct text *out)
{
    if (strcmp(shell, "bash") == 0)
        add_bash(out);
    else if (strcmp(shell, "zsh") == 0)
        add_zsh(out);
    else if (strcmp(shell, "fish") == 0)
        add_fish(out);
    else
        return false;
    return true;
}

static int complete(const struct options *options)
{
    const char *shell = options->operands[0];
    struct text text = {0};
    bool good = strcmp(shell, "checks") == 0 ? add_checks(options, &text) : add_shell(shell, &text);

    if (!good && text.length == 0 && strcmp(shell, "checks") != 0)
        output_complain("completion is for bash, zsh or fish, not %.100s", shell);
    if (good)
        good = output_write(options->output, &text);
    text_free(&text);
    return good ? OUTCOME_CLEAN : OUTCOME_BAD;
}

const struct command completion_command = {
    .name = "completion",
    .arguments = "SHELL",
    .help = "completion for bash, zsh or fish",
    .bit = ON_COMPLETION,
    .least = 1,
    .most = 1,
    .run = complete,
};
