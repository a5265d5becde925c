/* The figure of a marking: decimals, American fractions, amperes. */
#ifndef PREARC_FUSELINK_MARKING_AMOUNT_H
#define PREARC_FUSELINK_MARKING_AMOUNT_H

#include <stdbool.h>

struct marking_amount {
    double value;
    bool fraction; /* written as one: "3/4", "1 1/2" */
    bool decimals; /* has a decimal mark */
};

/* Reads an amount at *CURSOR and moves past it; false, *CURSOR unchanged, if there is none. */
bool marking_amount_scan(const char **cursor, struct marking_amount *amount);

/* Past "mA", "A", "amps"; *SCALE is the multiplier. NULL if no ampere stands at P. */
const char *marking_ampere_scan(const char *p, double *scale);

/* Past the digits at P of "3A15", where the unit is the decimal mark, adding them to AMOUNT. P
 * itself if they belong to something else ("2A250V", "2A5x20"); NULL if the result is no
 * preferred rating. */
const char *marking_infix_scan(const char *p, struct marking_amount *amount);

#endif
