/* What changed between two netlists, or one with and without what the bench said: fuses, rails, findings. */
#include "study/study.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "report/listing.h"
#include "report/report.h"
#include "report/view.h"
#include "study/page.h"

/* Both sides of a comparison. */
struct sides {
    const struct study *after, *before;
};

/* The element of STUDY's facts whose attribute KEY is VALUE. */
static const xmlNode *find(const struct study *study, const char *element, const char *key, const char *value)
{
    for (const xmlNode *at = view_first(study->facts, element); at != NULL; at = view_following(at))
        if (value != NULL && view_is(at, key, value))
            return at;
    return NULL;
}

/* An attribute of the facts that is compared, as what it is shown. */
struct compared {
    const char *name, *label;
    enum unit unit; /* UNIT_NONE: a text */
};

static const struct compared fuse_rows[] = {
    {"marking", "marking drawn", UNIT_NONE}, {"fitted", "fitted", UNIT_NONE}, {"place", "place", UNIT_NONE},
    {"placement", "in", UNIT_NONE}, {"from", "from net", UNIT_NONE}, {"to", "to net", UNIT_NONE},
    {"idle-amps", "idle RMS", UNIT_AMP}, {"full-amps", "full RMS", UNIT_AMP},
    {"opening-amps", "sure to open at", UNIT_AMP}, {"recommended", "right marking", UNIT_NONE},
};
static const struct compared rail_rows[] = {
    {"source", "from", UNIT_NONE}, {"volts", "volts", UNIT_VOLT}, {"amps", "idle current", UNIT_AMP},
    {"full-amps", "at full signal", UNIT_AMP}, {"ripple-volts", "ripple", UNIT_VOLT},
    {"best-protection", "best protection", UNIT_NONE}, {"protection", "least protection", UNIT_NONE},
    {"own-fuses", "own fuses", UNIT_NONE},
};

/* Figures that differ by less than this share are the same. */
static const double same_share = 0.005;

static const char *shown(const struct study *study, const xmlNode *node, const struct compared *row)
{
    double value;

    if (row->unit != UNIT_NONE && view_number(node, row->name, &value))
        return study_quantity(study, value, row->unit);
    return view_text(study->arena, node, row->name);
}

static bool is_same(const struct study *study, const xmlNode *a, const xmlNode *b, const struct compared *row)
{
    const char *texts[] = {view_text(study->arena, a, row->name), view_text(study->arena, b, row->name)};
    double values[2];

    if (row->unit != UNIT_NONE && view_number(a, row->name, &values[0]) && view_number(b, row->name, &values[1]))
        return fabs(values[0] - values[1]) <= same_share * fmax(fabs(values[0]), fabs(values[1]));
    return texts[0] == texts[1] || (texts[0] != NULL && texts[1] != NULL && strcmp(texts[0], texts[1]) == 0);
}

static struct page_table *table_once(const struct sides *sides, struct page_table *table, const char *what)
{
    const char *const head[] = {what, "what", "before", "now"};

    return table != NULL ? table : page_table(sides->after->page, head, 4);
}

/* One row for each of COUNT attributes in which the elements differ. */
static void add_changes(const struct sides *sides, const char *name, const xmlNode *before, const xmlNode *after,
                        const struct compared *rows, size_t count, struct page_table **table, const char *what)
{
    for (size_t i = 0; i < count; i++)
        if (!is_same(sides->after, before, after, &rows[i])) {
            *table = table_once(sides, *table, what);
            page_row(sides->after->page, *table,
                     (const char *[]){name, rows[i].label, shown(sides->before, before, &rows[i]),
                                      shown(sides->after, after, &rows[i])});
        }
}

/* ELEMENTs, told apart by KEY, of both sides. */
static void compare_all(const struct sides *sides, const char *element, const char *key,
                        const struct compared *rows, size_t count, const char *what)
{
    struct page_table *table = NULL;

    for (const xmlNode *at = view_first(sides->before->facts, element); at != NULL; at = view_following(at)) {
        const char *name = view_text(sides->before->arena, at, key);
        const xmlNode *other = find(sides->after, element, key, name);

        if (other != NULL) {
            add_changes(sides, name, at, other, rows, count, &table, what);
            continue;
        }
        table = table_once(sides, table, what);
        page_row(sides->after->page, table, (const char *[]){name, "itself", "there", "gone"});
    }
    for (const xmlNode *at = view_first(sides->after->facts, element); at != NULL; at = view_following(at)) {
        const char *name = view_text(sides->after->arena, at, key);

        if (find(sides->before, element, key, name) != NULL)
            continue;
        table = table_once(sides, table, what);
        page_row(sides->after->page, table, (const char *[]){name, "itself", "not there", "new"});
        add_changes(sides, name, NULL, at, rows, count, &table, what);
    }
    if (table == NULL)
        page_say(sides->after->page, "No %s changed.", what);
}

static bool is_about_the_same(const struct diag *a, const struct diag *b)
{
    if (a->rule == NULL || b->rule == NULL || strcmp(a->rule, b->rule) != 0 || a->level != b->level)
        return false;
    if (a->object_count == 0 || b->object_count == 0)
        return a->object_count == b->object_count;
    return strcmp(a->objects[0].name, b->objects[0].name) == 0;
}

static bool has(const struct diags *diags, const struct diag *wanted)
{
    for (size_t i = 0; i < diags->count; i++)
        if (is_about_the_same(&diags->items[i], wanted))
            return true;
    return false;
}

/* Findings of FROM that OTHER has not. */
static size_t add_only(const struct study *page, const struct diags *from, const struct diags *other,
                       const char *label)
{
    size_t count = 0;

    for (size_t i = 0; i < from->count; i++) {
        const struct diag *diag = &from->items[i];

        if (diag->rule == NULL || has(other, diag))
            continue;
        count++;
        page_item(page->page, arena_print(page->arena, "%s %s", label, level_name(diag->level)), "%s%s%s: %s", diag->rule,
                  diag->object_count > 0 ? ", " : "", diag->object_count > 0 ? diag->objects[0].name : "",
                  diag->message);
    }
    return count;
}

void study_compare(const struct study *after, const struct study *before)
{
    struct sides sides = {after, before};
    const struct diags *now = after->report->diags, *then = before->report->diags;

    page_say(after->page, "Before: %s. Now: %s.", before->report->netlist, after->report->netlist);
    page_section(after->page, "findings", "Findings that came and went");
    if (add_only(after, now, then, "new") + add_only(after, then, now, "gone") == 0)
        page_say(after->page, "The same findings before and now.");
    page_section(after->page, "fuses", "Fuses that changed");
    compare_all(&sides, "fuse", "ref", fuse_rows, sizeof fuse_rows / sizeof *fuse_rows, "fuse");
    page_section(after->page, "rails", "Rails that changed");
    compare_all(&sides, "rail", "name", rail_rows, sizeof rail_rows / sizeof *rail_rows, "rail");
}
