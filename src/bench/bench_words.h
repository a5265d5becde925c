/* The table of statements: words, keys, what each value looks like. */
#ifndef PREARC_BENCH_BENCH_WORDS_H
#define PREARC_BENCH_BENCH_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "bench/bench.h"
#include "bench/bench_form.h"

enum { STATEMENT_KEYS_LARGEST = 8 };

struct bench_key {
    const char *name; /* NULL ends the list */
    enum bench_form form;
    bool needed;
};

struct statement_row {
    enum bench_word word;
    const char *name, *example;
    const char *group;       /* statements of one group about one subject contradict each other */
    const char *subjects[4]; /* keys that tell what it is about */
    const char *choice;      /* of these keys, blanks between, at least one; NULL: no such choice */
    bool any_key;            /* other keys are fields */
    struct bench_key keys[STATEMENT_KEYS_LARGEST + 1];
};

extern const struct statement_row statement_rows[];
extern const size_t statement_row_count;

/* NULL if there is no such statement. */
const struct statement_row *statement_row_find(const char *word);
/* NULL if the statement knows no such key. */
const struct bench_key *statement_key_find(const struct statement_row *row, const char *key);
/* The usual name for KEY: "where" and "holder" are "place". */
const char *statement_key_usual(const struct statement_row *row, const char *key);

#endif
