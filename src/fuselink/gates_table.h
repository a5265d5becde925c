/* The gate tables: which links, which figures, and where these were read. */
#ifndef PREARC_FUSELINK_GATES_TABLE_H
#define PREARC_FUSELINK_GATES_TABLE_H

#include "fuselink/fuselink.h"

/* Gates are grouped by what a marking tells. Within a group the rows are in order of rating. */
enum gates_group {
    GATES_SHEET_1, GATES_SHEET_2, GATES_SHEET_3, GATES_SHEET_5, GATES_SHEET_6, /* IEC 60127-2 */
    GATES_UL_SLOW, GATES_UL_OTHER, /* UL 248-14, time-delay; any other or unknown */
    /* The worst of several, gate by gate: the latest opening and the shortest hold. */
    GATES_F,         /* sheets 1 and 2 */
    GATES_T,         /* sheets 3, 5 and 6 */
    GATES_L,         /* sheets 2 and 3 */
    GATES_IEC,       /* all five sheets */
    GATES_SLOW,      /* GATES_T and GATES_UL_SLOW */
    GATES_ANY,       /* everything above */
    GATES_FF,        /* opens as GATES_F at the latest, holds not promised */
    GATES_TT,        /* holds as GATES_T at the least, opening not promised */
    GATES_NONE       /* nothing known */
};

struct gates_row {
    enum gates_group group;
    struct gates gates;
};

extern const struct gates_row gates_table[];
extern const size_t gates_table_count;

#endif
