#include "base/quantity.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *unit_symbol(enum unit unit)
{
    static const char *const symbols[] = {
        [UNIT_NONE] = "",  [UNIT_OHM] = "\xCE\xA9", [UNIT_FARAD] = "F", [UNIT_HENRY] = "H",
        [UNIT_VOLT] = "V", [UNIT_AMP] = "A", [UNIT_WATT] = "W", [UNIT_VOLTAMP] = "VA",
        [UNIT_HERTZ] = "Hz", [UNIT_SECOND] = "s", [UNIT_PERCENT] = "%",
    };

    return (unsigned)unit < sizeof symbols / sizeof symbols[0] ? symbols[unit] : "";
}

/* VALUE to three significant digits. */
static double rounded(double value)
{
    double step;

    if (value == 0)
        return 0;
    step = pow(10, floor(log10(fabs(value))) - 2);
    return step > 0 ? round(value / step) * step : 0;
}

/* The power of a thousand that leaves 1 to 999; none above one for seconds, none at all for per
 * cent. */
static int thousands_of(double value, enum unit unit)
{
    int power = value == 0 ? 0 : (int)floor(log10(fabs(value)) / 3 + 1e-12);
    int largest = unit == UNIT_SECOND ? 0 : 4;

    if (unit == UNIT_PERCENT)
        return 0;
    return power < -4 ? -4 : power > largest ? largest : power;
}

/* "4.70" says no more than "4.7". Makes the decimal mark a dot whatever the locale. */
static void drop_zeros(char *digits)
{
    char *mark = strpbrk(digits, ".,");
    char *end = digits + strlen(digits);

    if (mark == NULL)
        return;
    *mark = '.';
    while (end[-1] == '0')
        end--;
    if (end[-1] == '.')
        end--;
    *end = '\0';
}

const char *quantity_print(char *buffer, size_t size, double value, enum unit unit)
{
    static const char *const prefixes[] = {"p", "n", "\xC2\xB5", "m", "", "k", "M", "G", "T"};
    double shown = rounded(value);
    const char *blank;
    char digits[400];
    int power, decimals;

    if (!isfinite(value)) {
        snprintf(buffer, size, "%s",
                 isnan(value) ? "unknown" : value < 0 ? "-infinite" : "infinite");
        return buffer;
    }
    power = thousands_of(shown, unit);
    shown /= pow(1000, power);
    decimals = fabs(shown) >= 99.95 ? 0 : fabs(shown) >= 9.995 ? 1 : 2;
    if (fabs(shown) < 0.9995 && shown != 0)
        decimals = fabs(shown) < 1e-6 ? 12 : 2 - (int)floor(log10(fabs(shown)));
    snprintf(digits, sizeof digits, "%.*f", decimals, shown);
    drop_zeros(digits);
    blank = *prefixes[power + 4] != '\0' || *unit_symbol(unit) != '\0' ? " " : "";
    snprintf(buffer, size, "%s%s%s%s", digits, blank, prefixes[power + 4], unit_symbol(unit));
    return buffer;
}
