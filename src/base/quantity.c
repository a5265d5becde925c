#include "base/quantity.h"

#include <string.h>

#include "base/quantity_item.h"

enum { FIND_LARGEST = 16, COUNT_LARGEST = 4 };

/* A scan of one text under way. */
struct scan {
    const char *p;
    enum quantity_dialect dialect;
    enum unit expected;
    struct quantity *out;
    size_t count, limit;
    size_t sum;   /* the first quantity of a sum under way ("50+50u") */
    bool bare;    /* the sum has bare numbers, which take the unit that is still to come */
    bool skipped; /* something else stood before */
};

bool quantity_parse(const char *text, enum quantity_dialect dialect, enum unit expected,
                    struct quantity *out)
{
    const char *p = item_skip_blanks(text);
    struct item item;

    if (!item_read(&p, dialect, expected, &item) || *item_skip_blanks(p) != '\0')
        return false;
    *out = (struct quantity){item.value, item.bare ? expected : item.unit};
    return true;
}

static void skip_token(struct scan *scan)
{
    if (*scan->p != '\0')
        scan->p++;
    while (*scan->p != '\0' && item_separator(scan->p) == 0)
        scan->p++;
    scan->skipped = true;
}

static void emit(struct scan *scan, double value, enum unit unit)
{
    if (scan->count < scan->limit)
        scan->out[scan->count++] = (struct quantity){value, unit};
}

/* A bare number has the expected unit only where it leads the text. */
static void emit_item(struct scan *scan, const struct item *item)
{
    bool leads = scan->sum == 0 && !scan->skipped;

    emit(scan, item->value, !item->bare ? item->unit : leads ? scan->expected : UNIT_NONE);
}

/* The bare numbers of a sum take multiplier and unit of ITEM, which ends it: "50+50u". */
static void settle_sum(struct scan *scan, const struct item *item)
{
    if (scan->bare && !item->bare)
        for (size_t i = scan->sum; i + 1 < scan->count; i++) {
            scan->out[i].value *= item->scale;
            scan->out[i].unit = item->unit;
        }
    scan->bare = scan->bare && item->bare;
}

/* Past a "+" that joins two quantities; false if there is none. */
static bool take_plus(struct scan *scan)
{
    const char *p = item_skip_blanks(scan->p);

    if (*p != '+')
        return false;
    p = item_skip_blanks(p + 1);
    if (!item_starts(p))
        return false;
    scan->p = p;
    return true;
}

/* After ITEM, "x" and another: a count ("2x50u"), a rating ("0,22x250V") or neither ("4 x
 * 1N4007", "5x20"), which is then no quantity at all. False if no "x" follows. */
static bool scan_times(struct scan *scan, const struct item *item)
{
    const char *p = item_times(scan->p);
    struct item next;

    if (p == NULL)
        return false;
    scan->p = p;
    if (!item_read(&scan->p, scan->dialect, scan->expected, &next)) {
        skip_token(scan);
        return true;
    }
    if (item->bare && next.bare)
        scan->skipped = true;
    else if (!item->bare || next.unit != scan->expected) {
        emit_item(scan, item);
        emit_item(scan, &next);
    } else if (item->value >= 2 && item->value <= COUNT_LARGEST && item->value == (int)item->value)
        for (int i = 0; i < (int)item->value; i++)
            emit_item(scan, &next);
    else
        scan->skipped = true;
    return true;
}

static void scan_item(struct scan *scan)
{
    struct item item;

    scan->sum = scan->count;
    scan->bare = false;
    do {
        if (!item_read(&scan->p, scan->dialect, scan->expected, &item)) {
            skip_token(scan);
            return;
        }
        if (scan->sum == scan->count && scan_times(scan, &item))
            return;
        scan->bare = scan->bare || item.bare;
        emit_item(scan, &item);
        settle_sum(scan, &item);
    } while (scan->count < scan->limit && take_plus(scan));
}

/* "{2*R}", "'2*R'", "=A1": a formula, not a quantity. */
static bool is_formula(const char *text)
{
    return *text != '\0' && strchr("{'=", *text) != NULL;
}

size_t quantity_scan(const char *text, enum quantity_dialect dialect, enum unit expected,
                     struct quantity *out, size_t limit)
{
    struct scan scan = {.p = item_skip_blanks(text), .dialect = dialect, .expected = expected,
                        .out = out, .limit = limit};

    if (is_formula(scan.p))
        return 0;
    while (*scan.p != '\0' && scan.count < limit) {
        size_t separator = item_starts(scan.p) ? 0 : item_separator(scan.p);

        if (separator > 0)
            scan.p += separator;
        else
            scan_item(&scan);
    }
    return scan.count;
}

bool quantity_find(const char *text, enum quantity_dialect dialect, enum unit expected,
                   enum unit unit, double *value)
{
    struct quantity found[FIND_LARGEST];
    size_t count = quantity_scan(text, dialect, expected, found, FIND_LARGEST);

    for (size_t i = 0; i < count; i++)
        if (found[i].unit == unit) {
            *value = found[i].value;
            return true;
        }
    return false;
}
