/* Folding text into lines of so many columns. */
#ifndef PREARC_REPORT_FOLD_H
#define PREARC_REPORT_FOLD_H

#include <stdbool.h>
#include <stddef.h>

struct fold {
    const char *bytes;
    size_t length;  /* bytes */
    size_t columns;
};

/* The next line of at most COLUMNS columns from *REST, which moves past it; false at the end.
 * Breaks at blanks, and inside a word only if it is longer than a line. */
bool fold_next(const char **rest, size_t columns, struct fold *line);

#endif
