/* Melting I2t and cold resistance as makers print them, a column a data sheet. */
#ifndef PREARC_FUSELINK_MELTING_TABLE_H
#define PREARC_FUSELINK_MELTING_TABLE_H

#include "fuselink/fuselink.h"

/* A figure that the sheet has not, or that looks misprinted, is 0. */
struct melting_cell {
    double amps;      /* rated, A */
    double ohms;      /* cold */
    double low, high; /* nominal melting I2t, A2s; two if the sheet has 10 ms and 10 In */
};

struct melting_column {
    const char *source;
    enum fuse_speed speed;
    enum fuse_breaking breaking; /* unknown for links to UL 248-14 */
    bool small;                  /* 5x20, else 3AG (6.3x32) */
    const struct melting_cell *cells; /* in order of rating */
    size_t count;
};

extern const struct melting_column melting_table[];
extern const size_t melting_table_count;

#endif
