/* Numbers and expressions of SPICE decks. */
#ifndef PREARC_NETLIST_SPICE_EXPRESSION_H
#define PREARC_NETLIST_SPICE_EXPRESSION_H

#include <stdbool.h>
#include <stddef.h>

/* Looks a name up while an expression is worked out. */
struct spice_names {
    /* The value of NAME (LENGTH bytes); false if it has none. */
    bool (*find)(void *context, const char *name, size_t length, double *value);
    void *context;
};

/* Why an expression has no value. */
struct spice_failure {
    const char *what;  /* "has no value", "cannot be read here" ... */
    const char *at;    /* in the expression's text, or NULL */
    size_t length;     /* bytes at AT that are to blame */
};

/* The number TEXT starts with: decimal, exponent, scale letters (T G MEG K MIL M U N P F, any case,
 * and the micro sign), letters of a unit after it. Returns the bytes it takes, 0 if there is none
 * or digits follow the letters ("4k7" is no number to a simulator). */
size_t spice_number(const char *text, size_t length, double *value);

/* TEXT as an expression without its braces: + - * / ** and unary signs, parentheses, numbers,
 * names, functions. False, with *FAILURE filled, if it cannot be worked out or is not finite. */
bool spice_evaluate(const char *text, size_t length, const struct spice_names *names, double *value,
                    struct spice_failure *failure);

#endif
