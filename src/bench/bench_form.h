/* What a value of a statement may look like. */
#ifndef PREARC_BENCH_BENCH_FORM_H
#define PREARC_BENCH_BENCH_FORM_H

#include <stdbool.h>

enum bench_form {
    FORM_TEXT, FORM_REF, FORM_NET, FORM_TWO_NETS, FORM_PINS, FORM_MARKING, FORM_KIND,
    FORM_VOLTS, FORM_VOLTS_LIST, FORM_OHMS_LIST, FORM_AMPS, FORM_HERTZ, FORM_PERCENT,
    FORM_STATE, FORM_POSITION, FORM_READING, FORM_RULE, FORM_DATE, FORM_LEVEL
};

bool bench_form_fits(enum bench_form form, const char *text);
/* What such a value looks like, for messages. */
const char *bench_form_expected(enum bench_form form);

/* The figures of TEXT joined by JOINTS, at most LIMIT, each 0 or more and of UNIT or bare; how many, 0 if
 * one is wrong. */
unsigned bench_figures(const char *text, const char *joints, int unit, double *values,
                       unsigned limit);

#endif
