#include "today.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

/* The end of the year 9999. */
static const long long latest = 253402300799;

bool today_read(char today[TODAY_BYTES])
{
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    time_t now = time(NULL);
    struct tm date;

    if (epoch != NULL && epoch[0] != '\0') {
        size_t digits = strspn(epoch, "0123456789");

        if (epoch[digits] != '\0' || digits > 12 || atoll(epoch) > latest)
            return false;
        now = (time_t)atoll(epoch);
    }
    return gmtime_r(&now, &date) != NULL && strftime(today, TODAY_BYTES, "%Y-%m-%d", &date) > 0;
}
