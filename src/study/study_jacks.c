/* The jacks: what each contact carries, what a mono plug in a three-pole jack does. */
#include "study/study.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "report/view.h"
#include "study/page.h"

static const xmlNode *contact(const xmlNode *jack, const char *role)
{
    for (const xmlNode *at = view_first(jack, "contact"); at != NULL; at = view_following(at))
        if (view_is(at, "role", role))
            return at;
    return NULL;
}

static const xmlNode *net_of(const struct study *study, const xmlNode *contact)
{
    const char *name = view_text(study->arena, contact, "net");

    for (const xmlNode *at = view_first(study->facts, "net"); at != NULL && name != NULL; at = view_following(at))
        if (view_is(at, "name", name))
            return at;
    return NULL;
}

/* ES1: 60 V DC, 30 V RMS (IEC 62368-1 table 4). */
static const char *touch_words(const struct study *study, const xmlNode *contact)
{
    const xmlNode *net = net_of(study, contact);
    double volts, low = NAN, high = NAN;

    if (!view_number(net, "volts", &volts))
        return "not computed: measure before touching";
    view_number(net, "low", &low);
    view_number(net, "high", &high);
    if (fabs(volts) > 60 || (high - low) / 2 > 42.4)
        return "NOT SAFE TO TOUCH";
    return "safe to touch";
}

static void add_jack(const struct study *study, struct page_table *table, const xmlNode *jack)
{
    const char *ref = view_text(study->arena, jack, "ref");

    for (const xmlNode *at = view_first(jack, "contact"); at != NULL; at = view_following(at)) {
        double volts;

        page_row(study->page, table,
                 (const char *[]){ref, view_text(study->arena, at, "role"), view_text(study->arena, at, "net"),
                                  view_number(at, "volts", &volts) ? arena_print(study->arena, "%.3g V", fabs(volts) < 1e-3 ? 0 : volts)
                                                                   : "not known",
                                  touch_words(study, at)});
    }
}

/* A mono plug's sleeve reaches over the ring's contact. */
static void add_mono_plug(const struct study *study, const xmlNode *jack)
{
    const xmlNode *ring = contact(jack, "ring");
    const char *ref = view_text(study->arena, jack, "ref"), *net = view_text(study->arena, ring, "net");
    double volts, amps;

    if (ring == NULL || ref == NULL)
        return;
    if (!view_number(ring, "volts", &volts))
        page_item(study->page, ref, "a mono plug ties the ring (%s) to the sleeve; what stands on the ring is not known",
                  net != NULL ? net : "?");
    else if (view_number(ring, "amps-if-shorted", &amps))
        page_item(study->page, ref, "a mono plug ties the ring (%s, %s) to the sleeve: %s then flow", net != NULL ? net : "?",
                  study_quantity(study, volts, UNIT_VOLT), study_quantity(study, amps, UNIT_AMP));
    else
        page_item(study->page, ref, "a mono plug ties the ring (%s, %s) to the sleeve: %s", net != NULL ? net : "?",
                  study_quantity(study, volts, UNIT_VOLT),
                  fabs(volts) > 1 ? "a supply would be shorted; keep mono plugs out" : "no supply is there");
}

void study_jacks(const struct study *study)
{
    static const char *const head[] = {"jack", "contact", "net", "DC to ground", "by touch"};
    struct page_table *table;

    if (view_first(study->facts, "jack") == NULL)
        return;
    page_section(study->page, "jacks", "The jacks");
    table = page_table(study->page, head, 5);
    for (const xmlNode *at = view_first(study->facts, "jack"); at != NULL; at = view_following(at))
        add_jack(study, table, at);
    for (const xmlNode *at = view_first(study->facts, "jack"); at != NULL; at = view_following(at))
        add_mono_plug(study, at);
}
