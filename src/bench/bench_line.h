/* One line of a bench file cut into words. */
#ifndef PREARC_BENCH_BENCH_LINE_H
#define PREARC_BENCH_BENCH_LINE_H

#include <stdbool.h>
#include <stddef.h>

#include "bench/bench.h"

/* A line being read. */
struct bench_line {
    struct bench *bench;
    const struct source *source;
    unsigned number;       /* 1-based */
    const char *start, *at, *end;
};

/* Where POINT stands, its column in characters. */
struct place bench_line_place(const struct bench_line *line, const char *point);

/* To the next word; false at the line's end or a comment. */
bool bench_line_more(struct bench_line *line);

/* The statement's first word. Empty if none stands there. */
const char *bench_line_word(struct bench_line *line, struct place *place);

/* key=value; the key's first letters in VALUE->name. False, after an input error, if it is none. */
bool bench_line_value(struct bench_line *line, struct bench_value *value);

/* The line as written, without comment and the blanks round it. */
const char *bench_line_text(const struct bench_line *line);

#endif
