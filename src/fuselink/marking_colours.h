/* The colour bands that IEC 60127-1 annex A allows instead of print, spelt out in words. */
#ifndef PREARC_FUSELINK_MARKING_COLOURS_H
#define PREARC_FUSELINK_MARKING_COLOURS_H

#include <stdbool.h>

#include "fuselink/fuselink.h"

/* Four colours in a row at *CURSOR ("red green brown blue"), with blanks or marks between: two figures of the
 * rating, its multiplier in mA, the speed. English, German, French, Spanish, Italian or the codes of IEC
 * 60757. Moves past them. False, nothing changed, if there are not exactly four, or if they spell no
 * preferred rating or no speed. */
bool marking_colours_scan(const char **cursor, double *amps, enum fuse_speed *speed);

#endif
