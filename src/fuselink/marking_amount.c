#include "fuselink/marking_amount.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/number.h"
#include "fuselink/fuselink.h"

static bool is_letter(char c)
{
    return isalpha((unsigned char)c) || (unsigned char)c >= 0x80;
}

/* "3/4": the fractions that American links are rated in. */
static bool scan_ratio(const char **cursor, double *value)
{
    static const int denominators[] = {2, 4, 8, 10, 16, 32, 100, 200};
    const char *p = *cursor;
    size_t above = strspn(p, "0123456789"), below;
    double high, low;

    if (above == 0 || above > 2 || p[above] != '/')
        return false;
    below = strspn(p + above + 1, "0123456789");
    if (below == 0 || below > 3 || !number_scan_plain(&p, false, &high))
        return false;
    p++;
    if (!number_scan_plain(&p, false, &low) || high >= low || high < 1)
        return false;
    for (size_t i = 0; i < sizeof denominators / sizeof denominators[0]; i++)
        if (low == denominators[i]) {
            *cursor = p;
            *value = high / low;
            return true;
        }
    return false;
}

/* The fraction of a mixed number: "1 1/2", "1-1/2", "1" and a half sign. */
static const char *scan_mixed(const char *p, struct marking_amount *amount)
{
    const char *q = p + (*p == '-' || *p == ' ');
    double more = 0;

    if (amount->decimals || (!scan_ratio(&q, &more) && (more = number_fraction_sign(&q)) <= 0))
        return p;
    amount->value += more;
    amount->fraction = true;
    return q;
}

bool marking_amount_scan(const char **cursor, struct marking_amount *amount)
{
    const char *p = *cursor;

    *amount = (struct marking_amount){0};
    if (scan_ratio(&p, &amount->value) || (amount->value = number_fraction_sign(&p)) > 0) {
        amount->fraction = true;
    } else if (number_scan_plain(&p, true, &amount->value)) {
        amount->decimals = strspn(*cursor, "0123456789") < (size_t)(p - *cursor);
        p = scan_mixed(p, amount);
    } else {
        return false;
    }
    *cursor = p;
    return true;
}

const char *marking_ampere_scan(const char *p, double *scale)
{
    static const char *const endings[] = {"mperes", "mpere", "mps", "mp", ""};

    *scale = 1;
    if ((*p == 'm' || *p == 'M') && (p[1] == 'A' || p[1] == 'a')) {
        *scale = 1e-3;
        p++;
    }
    if (*p != 'A' && *p != 'a')
        return NULL;
    p++;
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++)
        if (strncasecmp(p, endings[i], strlen(endings[i])) == 0)
            return p + strlen(endings[i]);
    return p;
}

const char *marking_infix_scan(const char *p, struct marking_amount *amount)
{
    size_t digits = strspn(p, "0123456789");
    double value = amount->value;

    if (digits < 1 || digits > 2 || amount->decimals || amount->fraction || (is_letter(p[digits]) && strchr("EFHLMTefhlmt", p[digits]) == NULL) ||
        p[digits] == '.' || p[digits] == ',')
        return p;
    value += digits == 1 ? (p[0] - '0') / 10.0 : ((p[0] - '0') * 10 + p[1] - '0') / 100.0;
    if (!rating_is_preferred(value))
        return NULL;
    amount->value = value;
    return p + digits;
}
