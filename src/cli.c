#include "cli.h"

#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/nearest.h"
#include "base/quantity.h"
#include "base/text.h"
#include "fuselink/fuselink.h"
#include "report/report.h"

enum { READS = ON_CHECK | ON_FACTS | ON_TRACE | ON_STUDY | ON_DECK, ALL = READS | ON_EXPLAIN | ON_MANUAL | ON_COMPLETION };

static bool set_format(struct options *options, const char *value)
{
    for (size_t i = 0; writers[i] != NULL; i++)
        if (strcmp(writers[i]->name, value) == 0) {
            options->writer = writers[i];
            return true;
        }
    return false;
}

static bool set_output(struct options *options, const char *value)
{
    options->output = strcmp(value, "-") == 0 ? NULL : value;
    return value[0] != '\0';
}

/* REF=MARKING with a marking that tells a rating; a reference may be given once. */
static bool set_fitted(struct options *options, const char *value)
{
    const char *equals = strchr(value, '=');
    struct marking marking;
    char *ref;

    if (equals == NULL || equals == value || !marking_parse(equals + 1, &marking) || !marking.rated)
        return false;
    ref = arena_copy_span(options->arena, value, (size_t)(equals - value));
    for (size_t i = 0; i < options->fitted_count; i++)
        if (strcasecmp(options->fitted[i].ref, ref) == 0)
            return false;
    options->fitted = arena_grow(options->arena, options->fitted, &options->fitted_capacity,
                                 options->fitted_count, sizeof *options->fitted);
    options->fitted[options->fitted_count++] =
        (struct fitted){.ref = ref, .marking = arena_copy(options->arena, equals + 1)};
    return true;
}

static bool set_html(struct options *options, const char *value)
{
    options->html = value;
    return value[0] != '\0';
}

static bool add_word(struct options *options, const char ***words, size_t *count,
                     size_t *capacity, const char *value)
{
    *words = arena_grow(options->arena, *words, capacity, *count, sizeof **words);
    (*words)[(*count)++] = value;
    return value[0] != '\0';
}

static bool set_before(struct options *options, const char *value)
{
    return add_word(options, &options->before, &options->before_count, &options->before_capacity, value);
}

static bool set_bench(struct options *options, const char *value)
{
    return add_word(options, &options->benches, &options->bench_count, &options->bench_capacity,
                    value);
}

static bool set_only(struct options *options, const char *value)
{
    return add_word(options, &options->only, &options->only_count, &options->only_capacity, value);
}

static bool set_skip(struct options *options, const char *value)
{
    return add_word(options, &options->skip, &options->skip_count, &options->skip_capacity, value);
}

static bool set_rules(struct options *options, const char *value)
{
    return add_word(options, &options->rule_dirs, &options->rule_dir_count,
                    &options->rule_dir_capacity, value);
}

static bool set_dialect(struct options *options, const char *value)
{
    options->dialect = value;
    return value[0] != '\0';
}

static bool set_fail_on(struct options *options, const char *value)
{
    return level_parse(value, &options->fail_on);
}

static bool set_quantity(const char *value, enum unit unit, double least, double largest,
                         double *out)
{
    struct quantity quantity;

    if (!quantity_parse(value, QUANTITY_SCHEMATIC, unit, &quantity) || quantity.unit != unit ||
        !(quantity.value >= least && quantity.value <= largest))
        return false;
    *out = quantity.value;
    return true;
}

static bool set_mains(struct options *options, const char *value)
{
    return set_quantity(value, UNIT_VOLT, 50, 500, &options->mains_volts);
}

static bool set_hertz(struct options *options, const char *value)
{
    return set_quantity(value, UNIT_HERTZ, 15, 1000, &options->mains_hertz);
}

static bool set_tolerance(struct options *options, const char *value)
{
    options->mains_tolerance_given = true;
    return set_quantity(value, UNIT_PERCENT, 0, 30, &options->mains_tolerance);
}

static bool set_include_anywhere(struct options *options, const char *value)
{
    (void)value;
    options->include_anywhere = true;
    return true;
}

static bool set_fault(struct options *options, const char *value)
{
    options->fault = value;
    return value[0] != '\0';
}

static bool set_start(struct options *options, const char *value)
{
    options->start = strcmp(value, "rest") == 0 ? DECK_REST : DECK_SOLVED;
    return options->start == DECK_REST || strcmp(value, "solved") == 0;
}

static bool set_help(struct options *options, const char *value)
{
    (void)value;
    options->help = true;
    return true;
}

static bool set_version(struct options *options, const char *value)
{
    (void)value;
    options->version = true;
    return true;
}

static const struct option_row option_rows[] = {
    {"--format", "WORD", "text", "text, sarif or json", "findings as", ON_CHECK,
     set_format},
    {"--output", "FILE", NULL, "a file's name", "write there, whole or not at all", ALL,
     set_output},
    {"--html", "FILE", NULL, "a file's name", "the page, for a screen or paper", ON_STUDY, set_html},
    {"--compare", "FILE", NULL, "a netlist, as it was before", "only what differs from this one", ON_STUDY,
     set_before},
    {"--fitted", "REF=MARKING", NULL, "each fuse once, its marking such as F2=T315mAL250V",
     "what is really in a fuse holder", READS, set_fitted},
    {"--bench", "FILE", NULL, "a file's name", "what is known only at the bench", READS,
     set_bench},
    {"--only", "RULE", NULL, "a check's id", "run this check, no other", ON_CHECK | ON_FACTS | ON_STUDY,
     set_only},
    {"--skip", "RULE", NULL, "a check's id", "do not run this check", ON_CHECK | ON_FACTS | ON_STUDY,
     set_skip},
    {"--fail-on", "LEVEL", "error", "error, warning, unverified or note", "exit 1 from",
     ON_CHECK, set_fail_on},
    {"--mains", "VOLTS", "as drawn, else 230 V", "50 to 500 V", "RMS at the inlet", READS,
     set_mains},
    {"--hertz", "HERTZ", "as drawn, else 50 Hz", "15 to 1000 Hz", "mains frequency", READS,
     set_hertz},
    {"--tolerance", "PERCENT", "10 %, IEC 60038", "0 to 30 %",
     "of the mains either way", READS, set_tolerance},
    {"--rules", "DIR", NULL, "a folder's name", "your checks too", READS | ON_EXPLAIN | ON_COMPLETION,
     set_rules},
    {"--dialect", "FILE", NULL, "a file's name", "your XML dialect first", READS, set_dialect},
    {"--include-anywhere", NULL, NULL, NULL, "decks may include from any folder", READS,
     set_include_anywhere},
    {"--fault", "ID", NULL, "a fault's id", "the deck with this fault of the facts", ON_DECK, set_fault},
    {"--start", "WORD", "solved", "solved or rest", "the deck's run from", ON_DECK, set_start},
    {"--help", NULL, NULL, NULL, "this page", ALL, set_help},
    {"--version", NULL, NULL, NULL, "the version", ALL, set_version},
};

enum { OPTION_COUNT = sizeof option_rows / sizeof *option_rows };

static const struct command *const commands[] = {
    &check_command, &study_command,   &facts_command,  &trace_command,
    &deck_command,  &explain_command, &manual_command, &completion_command,
};

enum { COMMAND_COUNT = sizeof commands / sizeof *commands };

const struct option_row *cli_option(size_t index)
{
    return index < OPTION_COUNT ? &option_rows[index] : NULL;
}

const struct command *cli_command(size_t index)
{
    return index < COMMAND_COUNT ? commands[index] : NULL;
}

static void add_row(struct text *out, const char *name, const char *join, const char *argument,
                    const char *help)
{
    size_t before = out->length;

    text_print(out, "  %s%s%s", name, argument != NULL ? join : "",
               argument != NULL ? argument : "");
    text_print(out, "%*s%s", (int)(before + 25 > out->length ? before + 25 - out->length : 1), "",
               help);
}

static void add_options(struct text *out, const struct command *command)
{
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        const struct option_row *row = &option_rows[i];

        if (command == NULL ? row->commands != ALL : (row->commands & command->bit) == 0)
            continue;
        add_row(out, row->name, " ", row->argument, row->help);
        if (row->initial != NULL)
            text_print(out, ": %s (%s)", row->allowed, row->initial);
        text_add_char(out, '\n');
    }
}

void cli_help(const struct command *command, struct text *out)
{
    text_add(out, "prearc reads an amplifier's netlist and says which fuse protects what.\n"
                  "Mains and HT kill: for competent persons only; local codes prevail.\n\n");
    if (command == NULL) {
        text_add(out, "prearc COMMAND [OPTION...] ARGUMENT...     FILE - is standard input\n");
        for (size_t i = 0; i < COMMAND_COUNT; i++) {
            add_row(out, commands[i]->name, " ", commands[i]->arguments, commands[i]->help);
            text_add_char(out, '\n');
        }
        text_add(out, "\nprearc COMMAND --help tells its options. All commands know:\n");
    } else {
        text_print(out, "prearc %s [OPTION...] %s\n%s\n\n", command->name, command->arguments,
                   command->help);
    }
    add_options(out, command);
    text_add(out, "\nExit 0: nothing at or above --fail-on; 1: something; 2: bad input or use.\n");
}

static const struct option_row *find_option(const char *name, size_t length)
{
    for (size_t i = 0; i < OPTION_COUNT; i++)
        if (strlen(option_rows[i].name) == length &&
            strncmp(option_rows[i].name, name, length) == 0)
            return &option_rows[i];
    return NULL;
}

static bool unknown_option(const char *word, size_t length, struct text *why)
{
    struct nearest nearest = nearest_start(word, length);

    for (size_t i = 0; i < OPTION_COUNT; i++)
        nearest_offer(&nearest, option_rows[i].name);
    text_print(why, "there is no option %.*s; the nearest is %s", (int)length, word,
               nearest.name);
    return false;
}

static bool unknown_command(const char *word, struct text *why)
{
    struct nearest nearest = nearest_start(word, strlen(word));

    for (size_t i = 0; i < COMMAND_COUNT; i++)
        nearest_offer(&nearest, commands[i]->name);
    text_print(why, "there is no command %.100s; the nearest is %s", word, nearest.name);
    return false;
}

/* What a parse goes through. */
struct words {
    char *const *items;
    int count, at; /* at: the next */
    unsigned used; /* bit i: option row i was given */
};

/* One option with its value, from the same word or the next. */
static bool take_option(struct options *options, struct words *words, struct text *why)
{
    const char *word = words->items[words->at++], *equals = strchr(word, '=');
    size_t length = equals != NULL ? (size_t)(equals - word) : strlen(word);
    const struct option_row *row = find_option(word, length);
    const char *value = equals != NULL ? equals + 1 : NULL;

    if (row == NULL)
        return unknown_option(word, length > 100 ? 100 : length, why);
    if (row->argument == NULL && value != NULL) {
        text_print(why, "%s takes no value", row->name);
        return false;
    }
    if (row->argument != NULL && value == NULL) {
        if (words->at >= words->count) {
            text_print(why, "%s needs a value: %s", row->name, row->allowed);
            return false;
        }
        value = words->items[words->at++];
    }
    words->used |= 1u << (row - option_rows);
    if (row->set(options, value))
        return true;
    text_print(why, "%s cannot be %.100s; expected %s", row->name, value, row->allowed);
    return false;
}

static bool take_operand(struct options *options, const char *word, struct text *why)
{
    if (options->command == NULL) {
        for (size_t i = 0; i < COMMAND_COUNT; i++)
            if (strcmp(commands[i]->name, word) == 0)
                options->command = commands[i];
        return options->command != NULL || unknown_command(word, why);
    }
    options->operands = arena_grow(options->arena, options->operands, &options->operand_capacity,
                                   options->operand_count, sizeof *options->operands);
    options->operands[options->operand_count++] = word;
    return true;
}

static size_t count_of_stdin(const char *const *words, size_t count)
{
    size_t found = 0;

    for (size_t i = 0; i < count; i++)
        found += strcmp(words[i], "-") == 0;
    return found;
}

/* Every option must mean something to the command, which must have its operands. */
static bool check_use(const struct options *options, unsigned used, struct text *why)
{
    const struct command *command = options->command;

    for (size_t i = 0; i < OPTION_COUNT; i++)
        if ((used & 1u << i) != 0 && (option_rows[i].commands & command->bit) == 0) {
            text_print(why, "%s means nothing to %s", option_rows[i].name, command->name);
            return false;
        }
    if (count_of_stdin(options->operands, options->operand_count) +
            count_of_stdin(options->benches, options->bench_count) +
            count_of_stdin(options->before, options->before_count) > 1) {
        text_add(why, "standard input can be only one of them");
        return false;
    }
    if (options->operand_count >= command->least && options->operand_count <= command->most)
        return true;
    text_print(why, "%s takes %s", command->name, command->arguments);
    return false;
}

bool cli_parse(struct options *options, int count, char *const *argv, struct text *why)
{
    struct words words = {.items = argv, .count = count};
    bool ended = false, good = true;

    options->writer = writers[0];
    options->fail_on = LEVEL_ERROR;
    while (good && words.at < words.count) {
        const char *word = words.items[words.at];

        if (!ended && strcmp(word, "--") == 0) {
            ended = true;
            words.at++;
        } else if (!ended && word[0] == '-' && word[1] != '\0') {
            good = take_option(options, &words, why);
        } else {
            good = take_operand(options, word, why);
            words.at++;
        }
    }
    if (!good || options->help || options->version)
        return good;
    if (options->command == NULL) {
        text_add(why, "say what to do: ");
        for (size_t i = 0; i < COMMAND_COUNT; i++)
            text_print(why, "%s%s", commands[i]->name, i + 1 < COMMAND_COUNT ? ", " : "");
        text_add(why, " (--help tells more)");
        return false;
    }
    return check_use(options, words.used, why);
}
