/* What is known only at the bench, read beside the netlist: one statement a line,
 *   word key=value key="value with blanks"     # comment
 * The statements and their keys are the table in bench_words.c. */
#ifndef PREARC_BENCH_BENCH_H
#define PREARC_BENCH_BENCH_H

#include <stdbool.h>
#include <stddef.h>

#include "base/quantity.h"
#include "base/source.h"
#include "bench/fitted.h"

struct arena;
struct circuit;
struct diags;
struct part_info;
struct parts;
struct statement_row;

enum bench_word {
    BENCH_FITTED,   /* the marking in a fuse holder that is drawn */
    BENCH_HOLDER,   /* a fuse that is not drawn */
    BENCH_WINDING,  /* volts, ohms, amps of a winding or of one section of it */
    BENCH_MEASURED, /* the volts of a net */
    BENCH_DRAWN,    /* the current drawn from a connector */
    BENCH_LOAD,     /* the current drawn from a net */
    BENCH_SWITCH,   /* a switch's position */
    BENCH_PART,     /* what a part really is, and its fields */
    BENCH_MAINS,    /* volts and frequency at the inlet */
    BENCH_ACCEPT    /* a finding that is accepted, and why */
};

struct bench_value {
    const char *key;  /* lower case, only letters and digits, synonyms replaced: "part" */
    const char *name; /* as written */
    const char *text; /* never empty */
    struct place key_place, place;
};

struct statement {
    enum bench_word word;
    const struct statement_row *row;
    struct place place;
    const char *text;    /* as written, without comment */
    struct bench_value *values;
    size_t value_count, value_capacity;
    bool refused;        /* an input error was told of it; no stage heeds it */
    bool applied;        /* acceptances: there is a finding that it is about */
};

/* Lives in the run's arena. */
struct bench {
    struct arena *arena;
    struct diags *diags;
    struct statement **items; /* in the order of the files and lines */
    size_t count, capacity;
    struct map *subjects;     /* what statements are about: statement by "word\nsubject" */
    struct fitted *fitted;    /* refs as the netlist spells them; filled by bench_settle and bench_fit */
    size_t fitted_count, fitted_capacity;
};

/* Statements taken of all files together, lines of a file, bytes of a line, values of a statement. */
enum {
    BENCH_STATEMENTS_LARGEST = 2000, BENCH_LINES_LARGEST = 20000, BENCH_LINE_LARGEST = 1000,
    BENCH_VALUES_LARGEST = 40
};

struct bench *bench_new(struct arena *arena, struct diags *diags);
void bench_free(struct bench *bench);

/* Adds the statements of SOURCE. What is wrong goes to the diagnostics and is left out. */
void bench_read(struct bench *bench, const struct source *source);

/* Before recognition: puts holders and loads into CIRCUIT and corrects fields of its parts. Names that
 * the netlist does not have are input errors. */
void bench_amend(struct bench *bench, struct circuit *circuit);

/* While a transformer is recognised, once its windings are known: measured figures in place of theirs. */
void bench_amend_windings(struct bench *bench, struct part_info *info);

/* After recognition: statements that do not go with the kind of their part are input errors; the markings
 * of the others go into FITTED. */
void bench_settle(struct bench *bench, const struct parts *parts);

/* MARKING is in the holder of REF, as the command line says. Why it cannot be, or NULL. */
const char *bench_fit(struct bench *bench, const struct parts *parts, const char *ref,
                      const char *marking);

/* The value of KEY; NULL if the statement has none. */
const char *statement_text(const struct statement *statement, const char *key);
/* The same with its place. */
const struct bench_value *statement_value(const struct statement *statement, const char *key);
/* The quantity of KEY, SI; false if the statement has none. */
bool statement_quantity(const struct statement *statement, const char *key, enum unit unit,
                        double *value);

#endif
