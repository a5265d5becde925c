/* Today's date, which acceptances with an end are held against. */
#ifndef PREARC_TODAY_H
#define PREARC_TODAY_H

#include <stdbool.h>

enum { TODAY_BYTES = 11 };

/* "YYYY-MM-DD" in UTC: of SOURCE_DATE_EPOCH if that is set (seconds since 1970, as the reproducible-builds
 * specification has it), else of the clock. False if it is set to anything else. */
bool today_read(char today[TODAY_BYTES]);

#endif
