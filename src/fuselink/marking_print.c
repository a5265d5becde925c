#include "fuselink/fuselink.h"

#include <stdio.h>
#include <string.h>

static const char *speed_letter(enum fuse_speed speed)
{
    static const char *const letters[] = {
        [SPEED_UNKNOWN] = "", [SPEED_FF] = "FF", [SPEED_F] = "F",
        [SPEED_M] = "M", [SPEED_T] = "T", [SPEED_TT] = "TT",
    };

    return (unsigned)speed < sizeof letters / sizeof letters[0] ? letters[speed] : "";
}

static const char *breaking_letter(enum fuse_breaking breaking)
{
    static const char *const letters[] = {
        [BREAKING_UNKNOWN] = "", [BREAKING_LOW] = "L", [BREAKING_ENHANCED] = "E",
        [BREAKING_HIGH] = "H",
    };

    return (unsigned)breaking < sizeof letters / sizeof letters[0] ? letters[breaking] : "";
}

/* Below 1 A in milliamperes, from 1 A in amperes (IEC 60127-1 clause 6.1). "?" if not known. */
static void print_rating(const struct marking *marking, char *buffer, size_t size)
{
    char *comma;
    bool small = marking->amps < 0.99995;

    if (!marking->rated)
        snprintf(buffer, size, "?");
    else
        snprintf(buffer, size, "%.4g%s", small ? marking->amps * 1000 : marking->amps,
                 small ? "mA" : "A");
    comma = strchr(buffer, ','); /* a locale's decimal mark */
    if (comma != NULL)
        *comma = '.';
}

char *marking_print(const struct marking *marking, char *buffer, size_t size)
{
    char rating[24], volts[32] = "";
    bool both = marking->dc_volts > 0 && marking->dc_volts != marking->volts;

    print_rating(marking, rating, sizeof rating);
    if (both && marking->volts > 0)
        snprintf(volts, sizeof volts, "%.0fV/%.0fVDC", marking->volts, marking->dc_volts);
    else if (marking->dc_volts > 0)
        snprintf(volts, sizeof volts, "%.0fVDC", marking->dc_volts);
    else if (marking->volts > 0)
        snprintf(volts, sizeof volts, "%.0fV", marking->volts);
    snprintf(buffer, size, "%s%s%s%s", speed_letter(marking->speed), rating,
             breaking_letter(marking->breaking), volts);
    return buffer;
}

/* The words of IEC 60127-1 clause 6.1. */
const char *speed_name(enum fuse_speed speed)
{
    static const char *const names[] = {
        [SPEED_UNKNOWN] = "unknown", [SPEED_FF] = "very quick-acting", [SPEED_F] = "quick-acting",
        [SPEED_M] = "medium time-lag", [SPEED_T] = "time-lag", [SPEED_TT] = "long time-lag",
    };

    return (unsigned)speed < sizeof names / sizeof names[0] ? names[speed] : "unknown";
}
