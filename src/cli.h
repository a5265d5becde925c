/* The command line: options, commands, their table rows. */
#ifndef PREARC_CLI_H
#define PREARC_CLI_H

#include <stdbool.h>
#include <stddef.h>

#include "base/diag.h"
#include "deck/deck.h"
#include "whatif/whatif.h"

struct arena;
struct text;
struct writer;

/* What the shell is told. */
enum outcome {
    OUTCOME_CLEAN,   /* nothing at or above --fail-on */
    OUTCOME_FINDINGS,
    OUTCOME_BAD      /* bad input or use, or a report that could not be written */
};

struct options {
    struct arena *arena;           /* holds the arrays below */
    const struct command *command; /* NULL: --help or --version alone */
    bool help, version;
    const char **operands;
    size_t operand_count, operand_capacity;
    const struct writer *writer;
    const char *output;            /* NULL: standard output */
    const char *html;              /* study: file of the page, or NULL */
    const char **before;           /* study: netlists to compare with */
    size_t before_count, before_capacity;
    struct fitted *fitted;
    size_t fitted_count, fitted_capacity;
    const char **benches;          /* bench files */
    size_t bench_count, bench_capacity;
    const char **only, **skip;     /* rule ids */
    size_t only_count, only_capacity, skip_count, skip_capacity;
    const char **rule_dirs;
    size_t rule_dir_count, rule_dir_capacity;
    const char *dialect;           /* NULL: none of the user's */
    enum level fail_on;
    double mains_volts, mains_hertz; /* 0: not given */
    double mains_tolerance;          /* percent either way */
    bool mains_tolerance_given;
    bool include_anywhere;
    const char *fault;             /* id, of deck; NULL: none */
    enum deck_start start;         /* of deck */
    struct library *library;       /* of the parts, read once for many runs; NULL: each run reads it */
    bool for_deck;                 /* only what a deck needs is computed: no facts */
};

struct command {
    const char *name;
    const char *arguments; /* as --help shows them */
    const char *help;
    unsigned bit;          /* in option rows' commands */
    size_t least, most;    /* operands */
    int (*run)(const struct options *options); /* an enum outcome */
};

enum { ON_CHECK = 1, ON_FACTS = 2, ON_TRACE = 4, ON_EXPLAIN = 8, ON_MANUAL = 16, ON_COMPLETION = 32, ON_STUDY = 64,
       ON_DECK = 128 };

struct option_row {
    const char *name;     /* with its dashes */
    const char *argument; /* NULL: takes none */
    const char *initial;  /* what holds when it is not given, or NULL */
    const char *allowed;  /* what the argument may be; said when it is not */
    const char *help;
    unsigned commands;    /* those it means something to */
    /* Takes VALUE (NULL if the row has no argument); false if it is not allowed. */
    bool (*set)(struct options *options, const char *value);
};

extern const struct command check_command;   /* check_command.c */
extern const struct command facts_command;   /* facts_command.c */
extern const struct command study_command;   /* study_command.c */
extern const struct command trace_command;   /* trace_command.c */
extern const struct command deck_command;    /* deck_command.c */
extern const struct command explain_command; /* explain_command.c */
extern const struct command manual_command;     /* manual_command.c */
extern const struct command completion_command; /* completion_command.c */

/* The rows of both tables in the order of --help; NULL past the last. */
const struct option_row *cli_option(size_t index);
const struct command *cli_command(size_t index);

/* Reads the words after the program's name into *OPTIONS, whose arena is set. False, and one line
 * in WHY, if they cannot be understood. */
bool cli_parse(struct options *options, int count, char *const *words, struct text *why);

/* What --help prints: the commands, or, with a COMMAND, its options. */
void cli_help(const struct command *command, struct text *out);

#endif
