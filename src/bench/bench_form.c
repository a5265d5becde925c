#include "bench/bench_form.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "base/diag.h"
#include "base/quantity.h"
#include "fuselink/fuselink.h"
#include "parts/parts.h"

enum { FIGURES_LARGEST = 16, WORD_LARGEST = 128 };

static bool is_quantity(const char *text, enum unit unit, bool zero, double largest)
{
    struct quantity quantity;

    return quantity_parse(text, QUANTITY_SCHEMATIC, unit, &quantity) && quantity.unit == unit &&
           (quantity.value > 0 || (zero && quantity.value == 0)) && quantity.value <= largest;
}

/* Volts of a net may be negative. */
static bool is_volts(const char *text)
{
    return is_quantity(text + strspn(text, "-+"), UNIT_VOLT, true, 1e5) &&
           strspn(text, "-+") <= 1;
}

unsigned bench_figures(const char *text, const char *joints, int unit, double *values,
                       unsigned limit)
{
    unsigned count = 0;

    for (;;) {
        size_t length = strcspn(text, joints);
        char word[WORD_LARGEST];
        struct quantity quantity;

        if (length == 0 || length >= sizeof word || count == limit)
            return 0;
        snprintf(word, sizeof word, "%.*s", (int)length, text);
        if (!quantity_parse(word, QUANTITY_SCHEMATIC, (enum unit)unit, &quantity) ||
            quantity.unit != (enum unit)unit || !(quantity.value >= 0) || quantity.value > 1e6)
            return 0;
        values[count++] = quantity.value;
        if (text[length] == '\0')
            return count;
        text += length + 1;
    }
}

static bool is_list(const char *text, int unit, bool dashes)
{
    double values[FIGURES_LARGEST];

    return bench_figures(text, "+", unit, values, FIGURES_LARGEST) > 0 ||
           (dashes && bench_figures(text, "-", unit, values, FIGURES_LARGEST) > 1);
}

static bool is_marking(const char *text)
{
    struct marking marking;

    return marking_parse(text, &marking) && marking.rated;
}

static bool is_kind(const char *text)
{
    enum part_kind kind;

    return part_kind_parse(text, &kind) && kind != PART_UNKNOWN;
}

static bool is_one_of(const char *text, const char *a, const char *b)
{
    return strcasecmp(text, a) == 0 || strcasecmp(text, b) == 0;
}

/* Two names with the mark between them. */
static bool is_pair(const char *text, char mark)
{
    const char *found = strchr(text, mark);

    return found != NULL && found != text && found[1] != '\0' && strchr(found + 1, ',') == NULL;
}

static bool is_rule(const char *text)
{
    return strspn(text, "abcdefghijklmnopqrstuvwxyz0123456789-_.") == strlen(text);
}

static unsigned days_in(unsigned year, unsigned month)
{
    static const unsigned days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);

    return month == 2 && leap ? 29 : days[month - 1];
}

/* ISO 8601: YYYY-MM-DD. */
static bool is_date(const char *text)
{
    unsigned year, month, day;

    if (strlen(text) != 10 || text[4] != '-' || text[7] != '-' ||
        strspn(text, "0123456789-") != 10 || sscanf(text, "%4u-%2u-%2u", &year, &month, &day) != 3)
        return false;
    return month >= 1 && month <= 12 && day >= 1 && day <= days_in(year, month);
}

bool bench_form_fits(enum bench_form form, const char *text)
{
    switch (form) {
    case FORM_TEXT:
    case FORM_REF:
    case FORM_NET: return true;
    case FORM_TWO_NETS: return is_pair(text, ',');
    case FORM_PINS: return is_pair(text, '-');
    case FORM_MARKING: return is_marking(text);
    case FORM_KIND: return is_kind(text);
    case FORM_VOLTS: return is_volts(text);
    case FORM_VOLTS_LIST: return is_list(text, UNIT_VOLT, true);
    case FORM_OHMS_LIST: return is_list(text, UNIT_OHM, false);
    case FORM_AMPS: return is_quantity(text, UNIT_AMP, true, 1e4);
    case FORM_HERTZ: return is_quantity(text, UNIT_HERTZ, false, 1000);
    case FORM_PERCENT: return is_quantity(text, UNIT_PERCENT, false, 100);
    case FORM_STATE: return is_one_of(text, "open", "closed");
    case FORM_POSITION: return is_one_of(text, "1", "2");
    case FORM_READING: return is_one_of(text, "dc", "ac");
    case FORM_RULE: return is_rule(text);
    case FORM_DATE: return is_date(text);
    case FORM_LEVEL: return level_parse(text, &(enum level){LEVEL_NOTE});
    }
    return false;
}

const char *bench_form_expected(enum bench_form form)
{
    static const char *const words[] = {
        [FORM_TEXT] = "words", [FORM_REF] = "a part's reference, such as F2",
        [FORM_NET] = "a net's name", [FORM_TWO_NETS] = "two nets, such as MAINS_L,L_SW",
        [FORM_PINS] = "two pins, such as 3-4",
        [FORM_MARKING] = "what is printed on the link, such as T315mAL250V",
        [FORM_KIND] = "a kind of part, such as fuse, resistor, rectifier-valve",
        [FORM_VOLTS] = "volts, such as 380V",
        [FORM_VOLTS_LIST] = "volts, such as 6.3V, or one figure a section, such as 300+305V",
        [FORM_OHMS_LIST] = "ohms, such as 55R, or one figure a section, such as 55+58R",
        [FORM_AMPS] = "amperes, such as 120mA", [FORM_HERTZ] = "hertz, such as 50Hz",
        [FORM_PERCENT] = "per cent, such as 10%", [FORM_STATE] = "open or closed",
        [FORM_POSITION] = "1 (as drawn) or 2 (the other one)",
        [FORM_READING] = "dc (the mean) or ac (RMS)",
        [FORM_RULE] = "a check's id, such as rail-unprotected",
        [FORM_DATE] = "a date, such as 2027-01-31",
        [FORM_LEVEL] = "error, warning, unverified or note",
    };

    return words[form];
}
