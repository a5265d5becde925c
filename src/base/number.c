#include "base/number.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The digits without their decimal mark: strtod of "DIGITSeEXPONENT" knows no locale. */
struct decimal {
    char digits[NUMBER_DIGITS_LARGEST + 1];
    int count;    /* digits kept */
    int exponent; /* of ten */
    bool nonzero, too_long;
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static void add_digit(struct decimal *decimal, char digit)
{
    if (decimal->count == NUMBER_DIGITS_LARGEST) {
        decimal->too_long = true;
        return;
    }
    decimal->digits[decimal->count++] = digit;
    decimal->nonzero = decimal->nonzero || digit != '0';
}

static const char *scan_digits(const char *p, struct decimal *decimal)
{
    for (; is_digit(*p); p++)
        add_digit(decimal, *p);
    return p;
}

/* "10,000" may be ten or ten thousand; "0,022" and "3,15" can only be decimals. */
static bool thousands(const struct decimal *whole, const char *after)
{
    return whole->nonzero && whole->count <= 3 && is_digit(after[0]) && is_digit(after[1]) &&
           is_digit(after[2]) && !is_digit(after[3]);
}

static const char *scan_fraction(const char *p, struct decimal *decimal)
{
    int whole = decimal->count;
    const char *end = scan_digits(p, decimal);

    decimal->exponent = whole - decimal->count;
    return end;
}

static const char *scan_exponent(const char *p, struct decimal *decimal)
{
    const char *q = p + 1;
    bool negative;
    int exponent = 0;

    if (*p != 'e' && *p != 'E')
        return p;
    negative = *q == '-';
    if (*q == '-' || *q == '+')
        q++;
    if (!is_digit(*q))
        return p;
    for (; is_digit(*q); q++)
        if (exponent < 10000)
            exponent = exponent * 10 + (*q - '0');
    decimal->exponent += negative ? -exponent : exponent;
    return q;
}

/* Digits and decimal mark; NULL if there is no number, or one that could be read in two ways. */
static const char *scan_mantissa(const char *p, bool comma, struct decimal *decimal)
{
    p = scan_digits(p, decimal);
    if (*p == '.')
        p = scan_fraction(p + 1, decimal);
    else if (comma && *p == ',' && decimal->count > 0 && is_digit(p[1])) {
        if (thousands(decimal, p + 1))
            return NULL;
        p = scan_fraction(p + 1, decimal);
    }
    return decimal->count > 0 && !decimal->too_long ? p : NULL;
}

/* The number that the digits stand for; false if a double cannot hold it. */
static bool convert(struct decimal *decimal, double *value)
{
    char written[NUMBER_DIGITS_LARGEST + 16];
    double result;

    decimal->digits[decimal->count] = '\0';
    snprintf(written, sizeof written, "%se%d", decimal->digits, decimal->exponent);
    result = strtod(written, NULL);
    if (!isfinite(result) || (decimal->nonzero && result < 1e-300))
        return false;
    *value = result;
    return true;
}

bool number_scan(const char **cursor, bool comma, double *value)
{
    struct decimal decimal = {.count = 0};
    const char *p = scan_mantissa(*cursor, comma, &decimal);

    if (p == NULL)
        return false;
    p = scan_exponent(p, &decimal);
    if (!convert(&decimal, value))
        return false;
    *cursor = p;
    return true;
}

bool number_scan_plain(const char **cursor, bool comma, double *value)
{
    struct decimal decimal = {.count = 0};
    const char *p = scan_mantissa(*cursor, comma, &decimal);

    if (p == NULL || !convert(&decimal, value))
        return false;
    *cursor = p;
    return true;
}

double number_fraction_sign(const char **cursor)
{
    static const struct {
        const char *text;
        double value;
    } rows[] = {{"\xC2\xBC", 0.25}, {"\xC2\xBD", 0.5}, {"\xC2\xBE", 0.75},
                {"\xE2\x85\x9B", 0.125}, {"\xE2\x85\x9C", 0.375}};

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t length = strlen(rows[i].text);

        if (strncmp(*cursor, rows[i].text, length) == 0) {
            *cursor += length;
            return rows[i].value;
        }
    }
    return 0;
}
