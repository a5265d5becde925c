#include "base/quantity_item.h"

#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/number.h"

/* Multipliers of schematic values. Capitals that also begin a type number ("5U4", "1N914") read
 * as a decimal mark only where a capacitance or inductance is expected. IEC 60062 clause 3 has
 * the letters used as decimal marks. */
struct prefix {
    const char *text;
    double scale;
    bool capital; /* of a multiplier that is written small */
};

static const struct prefix prefixes[] = {
    {"Meg", 1e6, false}, {"MEG", 1e6, false}, {"meg", 1e6, false},
    {"\xC2\xB5", 1e-6, false}, {"\xCE\xBC", 1e-6, false}, /* micro sign, Greek mu */
    {"u", 1e-6, false}, {"U", 1e-6, true},
    {"p", 1e-12, false}, {"P", 1e-12, true},
    {"n", 1e-9, false}, {"N", 1e-9, true},
    {"m", 1e-3, false}, {"k", 1e3, false}, {"K", 1e3, false},
    {"M", 1e6, false}, {"G", 1e9, false}, {"T", 1e12, false},
    /* Cyrillic (GOST 8.417) */
    {"мк", 1e-6, false}, {"н", 1e-9, false}, {"п", 1e-12, false}, {"м", 1e-3, false},
    {"к", 1e3, false}, {"К", 1e3, false}, {"М", 1e6, false},
};

/* In a SPICE deck, case does not count; the longest first. */
static const struct prefix spice_prefixes[] = {
    {"meg", 1e6, false}, {"mil", 25.4e-6, false}, {"\xC2\xB5", 1e-6, false},
    {"\xCE\xBC", 1e-6, false}, {"t", 1e12, false}, {"g", 1e9, false}, {"k", 1e3, false},
    {"m", 1e-3, false}, {"u", 1e-6, false}, {"n", 1e-9, false}, {"p", 1e-12, false},
    {"f", 1e-15, false},
};

struct unit_word {
    const char *text;
    enum unit unit;
    double scale;
    bool any_case;
};

static const struct unit_word unit_words[] = {
    {"\xCE\xA9", UNIT_OHM, 1, false}, {"\xE2\x84\xA6", UNIT_OHM, 1, false},
    {"R", UNIT_OHM, 1, false}, {"ohm", UNIT_OHM, 1, true}, {"ohms", UNIT_OHM, 1, true},
    {"F", UNIT_FARAD, 1, true}, {"Fd", UNIT_FARAD, 1, true}, {"farad", UNIT_FARAD, 1, true},
    {"mfd", UNIT_FARAD, 1e-6, true},   /* common practice on older drawings */
    {"mmfd", UNIT_FARAD, 1e-12, true}, {"mmf", UNIT_FARAD, 1e-12, true},
    {"H", UNIT_HENRY, 1, true}, {"Hy", UNIT_HENRY, 1, true}, {"henry", UNIT_HENRY, 1, true},
    {"V", UNIT_VOLT, 1, true}, {"Vac", UNIT_VOLT, 1, true}, {"Vdc", UNIT_VOLT, 1, true},
    {"Vrms", UNIT_VOLT, 1, true}, {"volt", UNIT_VOLT, 1, true}, {"volts", UNIT_VOLT, 1, true},
    {"A", UNIT_AMP, 1, true}, {"Aac", UNIT_AMP, 1, true}, {"Adc", UNIT_AMP, 1, true},
    {"amp", UNIT_AMP, 1, true}, {"amps", UNIT_AMP, 1, true},
    {"W", UNIT_WATT, 1, true}, {"watt", UNIT_WATT, 1, true}, {"watts", UNIT_WATT, 1, true},
    {"VA", UNIT_VOLTAMP, 1, true}, {"Hz", UNIT_HERTZ, 1, true},
    {"s", UNIT_SECOND, 1, false}, {"sec", UNIT_SECOND, 1, true}, {"%", UNIT_PERCENT, 1, false},
    /* Cyrillic (GOST 8.417) */
    {"Ом", UNIT_OHM, 1, false}, {"ом", UNIT_OHM, 1, false}, {"Ф", UNIT_FARAD, 1, false},
    {"Гн", UNIT_HENRY, 1, false}, {"В", UNIT_VOLT, 1, false}, {"А", UNIT_AMP, 1, false},
    {"Вт", UNIT_WATT, 1, false}, {"ВА", UNIT_VOLTAMP, 1, false}, {"Гц", UNIT_HERTZ, 1, false},
};

#define COUNT_OF(table) (sizeof(table) / sizeof(table)[0])

static const char *after(const char *p, const char *word)
{
    size_t length = strlen(word);

    return strncmp(p, word, length) == 0 ? p + length : NULL;
}

static const char *after_any_case(const char *p, const char *word)
{
    size_t length = strlen(word);

    return strncasecmp(p, word, length) == 0 ? p + length : NULL;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

const char *item_skip_blanks(const char *p)
{
    const char *next;

    for (;;)
        if (*p == ' ' || (*p >= '\t' && *p <= '\r'))
            p++;
        else if ((next = after(p, "\xC2\xA0")) != NULL) /* no-break space */
            p = next;
        else
            return p;
}

/* ---- where a quantity may start and end ---- */

bool item_starts(const char *p)
{
    if (*p == '+' || *p == '-')
        p++;
    return is_digit(*p) || (*p == '.' && is_digit(p[1])) || number_fraction_sign(&p) > 0;
}

size_t item_separator(const char *p)
{
    static const char *const wide[] = {
        /* no-break space, middle dot, plus-minus, times */
        "\xC2\xA0", "\xC2\xB7", "\xC2\xB1", "\xC3\x97"
    };

    if (*p != '\0' && strchr(" \t\r\n\v\f,;:/()[]+|*_~", *p) != NULL)
        return 1;
    for (size_t i = 0; i < COUNT_OF(wide); i++)
        if (after(p, wide[i]) != NULL)
            return strlen(wide[i]);
    return 0;
}

/* The letter stands after a digit or a blank: "0,22x250V", "47u x 450V"; "12AX7" is something
 * else. */
const char *item_times(const char *p)
{
    const char *sign = item_skip_blanks(p), *next = after(sign, "\xC3\x97");

    if (next == NULL && (*sign == 'x' || *sign == 'X') && (sign > p || is_digit(p[-1])))
        next = sign + 1;
    if (next == NULL)
        return NULL;
    next = item_skip_blanks(next);
    return is_digit(*next) || *next == '.' ? next : NULL;
}

/* "10-20H" and "345-0-345" are ranges and windings: a dash ends a quantity only before a word. */
static bool ends_here(const char *p)
{
    if (*p == '-')
        return !is_digit(p[1]) && p[1] != '.';
    if (*p == '.')
        return !is_digit(p[1]);
    return *p == '\0' || item_separator(p) > 0 || item_times(p) != NULL;
}

/* ---- amounts ---- */

/* "3/4" where a unit or nothing follows; "400/25" and "16/8" are two figures. */
static bool scan_ratio(const char **cursor, double *value)
{
    static const int denominators[] = {2, 3, 4, 8, 10, 16, 32};
    const char *p = *cursor, *slash;
    double above, below;

    if (!number_scan(&p, false, &above) || *p != '/')
        return false;
    slash = p++;
    if (!is_digit(*p) || !number_scan(&p, false, &below) || above >= below || above < 1 ||
        memchr(*cursor, '.', (size_t)(slash - *cursor)) != NULL)
        return false;
    for (size_t i = 0; i < COUNT_OF(denominators); i++)
        if (below == denominators[i]) {
            *cursor = p;
            *value = above / below;
            return true;
        }
    return false;
}

struct amount {
    double value;
    bool whole; /* digits alone: a multiplier may be its decimal mark */
    bool ratio; /* "3/4": must have a unit, or the text to itself */
    double sign;
};

static bool scan_amount(const char **cursor, bool comma, struct amount *amount)
{
    const char *p = *cursor, *start;

    *amount = (struct amount){.sign = *p == '-' ? -1 : 1};
    if (*p == '-' || *p == '+')
        p++;
    start = p;
    if (scan_ratio(&p, &amount->value)) {
        amount->ratio = true;
    } else if (number_scan(&p, comma, &amount->value)) {
        amount->whole = strspn(start, "0123456789") == (size_t)(p - start);
        amount->value += amount->whole ? number_fraction_sign(&p) : 0;
    } else {
        amount->value = number_fraction_sign(&p);
        if (amount->value <= 0)
            return false;
    }
    *cursor = p;
    return true;
}

/* ---- multiplier and unit ---- */

struct suffix {
    double scale, fraction;
    enum unit unit;
    bool unit_given, prefix_given, infix;
};

/* Multipliers that make sense with each unit; others are a misreading ("500MA", "20MF") and are
 * refused. */
static bool sensible(double scale, enum unit unit)
{
    static const struct {
        enum unit unit;
        double least, largest;
    } rows[] = {
        {UNIT_OHM, 1e-6, 1e12},   {UNIT_FARAD, 1e-12, 1e-3}, {UNIT_HENRY, 1e-9, 1e3},
        {UNIT_VOLT, 1e-6, 1e3},   {UNIT_AMP, 1e-12, 1e3},    {UNIT_WATT, 1e-6, 1e3},
        {UNIT_VOLTAMP, 1e-3, 1e3}, {UNIT_HERTZ, 1e-3, 1e9},  {UNIT_SECOND, 1e-12, 1},
        {UNIT_PERCENT, 1, 1},
    };

    for (size_t i = 0; i < COUNT_OF(rows); i++)
        if (rows[i].unit == unit)
            return scale > rows[i].least * 0.999 && scale < rows[i].largest * 1.001;
    return true;
}

/* The unit at P that ends where a word may end. */
static const char *scan_unit(const char *p, struct suffix *suffix)
{
    for (size_t i = 0; i < COUNT_OF(unit_words); i++) {
        const struct unit_word *word = &unit_words[i];
        const char *end = word->any_case ? after_any_case(p, word->text) : after(p, word->text);

        if (end != NULL && ends_here(end)) {
            suffix->unit = word->unit;
            suffix->unit_given = true;
            suffix->scale *= word->scale;
            return end;
        }
    }
    return NULL;
}

/* The law of a potentiometer ("1M-A", "250kA", "50k lin" is three words) or the tolerance letter
 * of IEC 60062 clause 5 ("4k7J"): said after the value and no part of it. */
static const char *scan_letter(const char *p, enum unit expected)
{
    static const char *const words[] = {"lin", "log"};
    const char *letters = expected == UNIT_OHM     ? "ABCDGJKM"
                          : expected == UNIT_FARAD ? "JKM"
                                                   : "";

    if (*p == '-' && expected == UNIT_OHM)
        p++;
    for (size_t i = 0; i < COUNT_OF(words) && expected == UNIT_OHM; i++) {
        const char *end = after_any_case(p, words[i]);

        if (end != NULL && ends_here(end))
            return end;
    }
    return *p != '\0' && strchr(letters, *p) != NULL && ends_here(p + 1) ? p + 1 : NULL;
}

/* What follows a multiplier: the law, a unit, or nothing. */
static const char *scan_after_prefix(const char *p, enum unit expected, struct suffix *suffix)
{
    const char *end = scan_letter(p, expected);

    if (end == NULL || suffix->scale < 1)
        end = scan_unit(p, suffix);
    if (end == NULL && ends_here(p))
        end = p;
    if (end == NULL)
        end = scan_letter(p, expected);
    return end;
}

/* "7" of "4k7": one to three digits, two after a letter that also begins type numbers. */
static const char *scan_infix(const char *p, size_t most, struct suffix *suffix)
{
    size_t digits = strspn(p, "0123456789");

    if (digits == 0 || digits > most)
        return NULL;
    for (size_t i = 0; i < digits; i++)
        suffix->fraction += (p[i] - '0') / pow(10, (double)i + 1);
    suffix->infix = true;
    return p + digits;
}

static const char *scan_prefixed(const char *p, const struct amount *amount, enum unit expected,
                                 const struct prefix *prefix, struct suffix *suffix)
{
    bool marks = amount->whole && (!prefix->capital || expected == UNIT_FARAD ||
                                   expected == UNIT_HENRY);
    const char *rest = after(p, prefix->text), *end = NULL;

    *suffix = (struct suffix){.scale = prefix->scale, .prefix_given = true};
    if (rest == NULL)
        return NULL;
    if (marks && is_digit(*rest) && (end = scan_infix(rest, prefix->scale >= 1 ? 3 : 2, suffix)))
        rest = end;
    return scan_after_prefix(rest, expected, suffix);
}

/* A unit's letter as the decimal mark: "1R0", and where that unit is expected "6V3", "3A15". */
static const char *scan_unit_infix(const char *p, enum unit expected, struct suffix *suffix)
{
    enum unit unit = *p == 'R'   ? UNIT_OHM
                     : *p == 'V' ? UNIT_VOLT
                     : *p == 'A' ? UNIT_AMP
                                 : UNIT_NONE;
    const char *end;

    if (unit == UNIT_NONE || (unit != UNIT_OHM && unit != expected))
        return NULL;
    *suffix = (struct suffix){.scale = 1, .unit = unit, .unit_given = true};
    end = scan_infix(p + 1, 3, suffix);
    if (end == NULL || ends_here(end))
        return end;
    return scan_letter(end, expected);
}

/* Multiplier and unit of a schematic value at P; NULL if what stands there is neither. */
static const char *scan_suffix(const char *p, const struct amount *amount, enum unit expected,
                               struct suffix *suffix)
{
    const char *end;

    *suffix = (struct suffix){.scale = 1};
    end = scan_unit(p, suffix);
    for (size_t i = 0; end == NULL && i < COUNT_OF(prefixes); i++)
        end = scan_prefixed(p, amount, expected, &prefixes[i], suffix);
    if (end == NULL && amount->whole)
        end = scan_unit_infix(p, expected, suffix);
    return end;
}

/* In a deck: a multiplier, then letters that the simulator ignores, though they may name the
 * unit. */
static const char *scan_spice_suffix(const char *p, const struct amount *amount,
                                     struct suffix *suffix)
{
    const char *end, *unit;

    *suffix = (struct suffix){.scale = 1};
    for (size_t i = 0; i < COUNT_OF(spice_prefixes); i++)
        if ((end = after_any_case(p, spice_prefixes[i].text)) != NULL) {
            suffix->scale = spice_prefixes[i].scale;
            suffix->prefix_given = true;
            p = end;
            break;
        }
    end = *p == 'R' || *p == 'r' ? p + 1 : p;
    if (amount->whole && (suffix->prefix_given || end > p) &&
        (end = scan_infix(end, 6, suffix)) != NULL)
        p = end;
    unit = scan_unit(p, suffix);
    while (isalpha((unsigned char)*p) || (unsigned char)*p >= 0x80 || *p == '%')
        if (item_separator(p) > 0)
            break;
        else
            p++;
    return unit != NULL ? unit : ends_here(p) ? p : NULL;
}

static const char *scan_tail(const char *p, const struct amount *amount,
                             enum quantity_dialect dialect, enum unit expected,
                             struct suffix *suffix)
{
    return dialect == QUANTITY_SPICE ? scan_spice_suffix(p, amount, suffix)
                                     : scan_suffix(p, amount, expected, suffix);
}

/* The same after blanks ("10 k", "4 A"), where the letters are no part of the number: no infix,
 * no dash. */
static const char *scan_spaced_tail(const char *p, const struct amount *amount,
                                    enum quantity_dialect dialect, enum unit expected,
                                    struct suffix *suffix)
{
    const char *start = item_skip_blanks(p);
    struct amount closed = *amount;
    const char *end;
    int longest; /* bytes of a multiplier that stands alone */

    closed.whole = false;
    *suffix = (struct suffix){.scale = 1};
    if (start == p || item_separator(start) > 0 || *start == '-' || *start == '\0')
        return NULL;
    end = scan_tail(start, &closed, dialect, expected, suffix);
    if (end == NULL || *end == '-' || (!suffix->unit_given && !suffix->prefix_given))
        return NULL;
    longest = suffix->scale == 1e6 ? 3 : *start & 0x80 ? 2 : 1;
    return !suffix->unit_given && end > start + longest ? NULL : end;
}

/* After an infix letter the unit is the expected one: "10k1W" is run together, and refused. */
static bool settle_unit(struct suffix *suffix, enum unit expected)
{
    if (suffix->infix && suffix->unit_given && expected != UNIT_NONE &&
        suffix->unit != UNIT_OHM && suffix->unit != expected)
        return false;
    if (!suffix->unit_given)
        suffix->unit = suffix->prefix_given ? expected : UNIT_NONE;
    return true;
}

bool item_read(const char **cursor, enum quantity_dialect dialect, enum unit expected,
               struct item *item)
{
    const char *p = *cursor, *end;
    struct amount amount;
    struct suffix suffix;
    bool schematic = dialect == QUANTITY_SCHEMATIC;

    if (!scan_amount(&p, schematic, &amount))
        return false;
    end = scan_tail(p, &amount, dialect, expected, &suffix);
    if (end == NULL || end == p) {
        end = scan_spaced_tail(p, &amount, dialect, expected, &suffix);
        if (end == NULL) {
            end = ends_here(p) ? p : NULL;
            suffix = (struct suffix){.scale = 1};
        }
    }
    if (end == NULL || !settle_unit(&suffix, expected))
        return false;
    if (amount.ratio && !suffix.unit_given && *item_skip_blanks(end) != '\0')
        return false;
    if (schematic && !sensible(suffix.scale, suffix.unit))
        return false;
    item->bare = !suffix.unit_given && !suffix.prefix_given;
    item->scale = item->bare ? 1 : suffix.scale;
    item->unit = suffix.unit;
    item->value = amount.sign * (amount.value + suffix.fraction) * item->scale;
    *cursor = end;
    return isfinite(item->value);
}
