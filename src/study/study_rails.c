/* What every rail and node should read, what is stored there, where to put the probe. */
#include "study/study.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "report/view.h"
#include "study/page.h"

/* IEC 60038: 230 V +/-10 %. A rail follows the mains nearly in proportion. */
static const double mains_share = 0.1;

static const char *reads(const struct study *study, const xmlNode *node, bool alternating)
{
    double volts;

    if (!view_number(node, "volts", &volts))
        return "not known";
    return arena_print(study->arena, "%s %s", study_quantity(study, volts, UNIT_VOLT),
                       alternating ? "AC" : "DC");
}

static const char *between(const struct study *study, const xmlNode *node)
{
    double volts, low, high;

    if (!view_number(node, "volts", &volts))
        return NULL;
    low = volts * (1 - mains_share);
    high = volts * (1 + mains_share);
    return arena_print(study->arena, "%s to %s", study_quantity(study, low, UNIT_VOLT),
                       study_quantity(study, high, UNIT_VOLT));
}

static const char *number(const struct study *study, const xmlNode *node, const char *name,
                          enum unit unit)
{
    double value;

    return view_number(node, name, &value) ? study_quantity(study, value, unit) : NULL;
}

static const char *joules(const struct study *study, const xmlNode *node)
{
    double value;

    return view_number(node, "joules", &value) ? arena_print(study->arena, "%.3g J", value) : NULL;
}

/* ALTERNATING: nothing is stored there. */
static const char *decay(const struct study *study, const xmlNode *node, bool alternating)
{
    double seconds;

    if (alternating)
        return NULL;
    if (view_number(node, "seconds-to-60V", &seconds))
        return seconds > 0 ? study_seconds(study, seconds) : "at once";
    return view_is(node, "discharges", "no") ? "NOT WITHIN A DAY" : "not known: treat as charged";
}

static void add_node(const struct study *study, struct page_table *table, const xmlNode *rail,
                     const xmlNode *node, bool alternating)
{
    const char *net = view_text(study->arena, node, "net"), *back = view_text(study->arena, rail, "return");

    page_row(study->page, table,
             (const char *[]){net, arena_print(study->arena, "%s to %s", net, back != NULL ? back : "?"),
                              reads(study, node, alternating), between(study, node),
                              number(study, node, "ripple-volts", UNIT_VOLT),
                              joules(study, node), decay(study, node, alternating), "________"});
}

static void add_rail(const struct study *study, const xmlNode *rail)
{
    static const char *const head[] = {"node", "probe", "should read", "mains \xC2\xB1" "10 %",
                                       "ripple, peak to peak", "stores", "down to 60 V", "measured"};
    struct page_table *table = page_table(study->page, head, 8);
    bool alternating = view_text(study->arena, rail, "rectifier") == NULL &&
                       view_is(rail, "source-kind", "winding");

    for (const xmlNode *at = view_first(rail, "node"); at != NULL; at = view_following(at))
        add_node(study, table, rail, at, alternating);
}

void study_rails(const struct study *study)
{
    page_section(study->page, "rails", "What every rail should read");
    if (view_first(study->facts, "rail") == NULL) {
        page_say(study->page, "No rail was found.");
        return;
    }
    page_say(study->page, "Meter of at least 10 Mohm input, rated for the volts (CAT II 600 V or better); clip the return lead "
                          "first, one hand behind your back. Parts differ: 10 %% more or less is no fault by itself. No signal, "
                          "speaker load connected.");
    for (const xmlNode *at = view_first(study->facts, "rail"); at != NULL; at = view_following(at)) {
        const char *name = view_text(study->arena, at, "name"), *full = number(study, at, "full-amps", UNIT_AMP);
        const char *idle = number(study, at, "amps", UNIT_AMP);

        page_item(study->page, name != NULL ? name : "?", "from %s, gives %s idle%s%s", view_text(study->arena, at, "source"),
                  idle != NULL ? idle : "an unknown current", full != NULL ? ", at full signal " : "",
                  full != NULL ? full : "");
        add_rail(study, at);
    }
}
