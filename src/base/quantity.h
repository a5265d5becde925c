/* Quantities as people write them: "4k7", "10uF", "47µF/450V", "¾ A" (IEC 60062 and practice). */
#ifndef PREARC_BASE_QUANTITY_H
#define PREARC_BASE_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>

enum unit {
    UNIT_NONE, UNIT_OHM, UNIT_FARAD, UNIT_HENRY, UNIT_VOLT, UNIT_AMP, UNIT_WATT, UNIT_VOLTAMP,
    UNIT_HERTZ, UNIT_SECOND, UNIT_PERCENT
};

/* In a schematic "M" is mega; in a SPICE deck it is milli and mega is MEG. */
enum quantity_dialect { QUANTITY_SCHEMATIC, QUANTITY_SPICE };

struct quantity {
    double value;   /* SI */
    enum unit unit; /* UNIT_NONE if none was written */
};

/* The whole of TEXT is one quantity, blanks around it allowed. EXPECTED is the unit that a bare number
 * or infix letter stands for ("4k7" for ohms). False, *OUT unchanged, if it is not. */
bool quantity_parse(const char *text, enum quantity_dialect dialect, enum unit expected,
                    struct quantity *out);

/* All quantities in TEXT in order of writing, up to LIMIT: "47µF/450V" gives two, "50+50u" gives two of
 * 50 uF, "4k7 2W" two, "1M-A" one (the taper letter is not an ampere), "1M (est)" one.
 * A bare number gets EXPECTED's unit if it is the first, else UNIT_NONE. Placeholders ("*", "TBD", "~", "R", "C",
 * empty) give none. Returns how many. */
size_t quantity_scan(const char *text, enum quantity_dialect dialect, enum unit expected,
                     struct quantity *out, size_t limit);

/* The first quantity of UNIT in TEXT (see quantity_scan); false if there is none. */
bool quantity_find(const char *text, enum quantity_dialect dialect, enum unit expected,
                   enum unit unit, double *value);

/* "Ω", "F", "H", "V", "A", "W", "VA", "Hz", "s", "%", "". */
const char *unit_symbol(enum unit unit);

/* VALUE with three significant digits and an SI prefix into BUFFER: "4.7 kΩ", "315 mA", "47 µF". Returns BUFFER. */
const char *quantity_print(char *buffer, size_t size, double value, enum unit unit);

#endif
