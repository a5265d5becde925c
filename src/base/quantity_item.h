/* One written quantity, the piece that quantity.c puts together: amount, multiplier, unit. */
#ifndef PREARC_BASE_QUANTITY_ITEM_H
#define PREARC_BASE_QUANTITY_ITEM_H

#include "base/quantity.h"

struct item {
    double value; /* SI, multiplier applied */
    double scale; /* the multiplier, 1 if none */
    enum unit unit;
    bool bare;    /* a number and nothing else */
};

/* Reads one quantity at *CURSOR and moves past it; it must end where a word may end. False,
 * nothing changed, if there is none. */
bool item_read(const char **cursor, enum quantity_dialect dialect, enum unit expected,
               struct item *item);

/* A quantity may start here: a digit, a fraction, a decimal mark or sign with a digit after it. */
bool item_starts(const char *p);
/* Bytes of the mark at P that parts two quantities, 0 if it is none. */
size_t item_separator(const char *p);
/* Past "x" or a multiplication sign and the blanks around it, if the text after it starts with a
 * digit; else NULL. P is the end of a quantity, so that a byte stands before it. */
const char *item_times(const char *p);
const char *item_skip_blanks(const char *p);

#endif
