/* The caution at the head of the report. */
#include "report/section.h"

#include <math.h>

#include "report/view.h"
#include "report/sheet.h"

/* Volts above which DC is no longer safe to touch: class ES1, IEC 62368-1 table 4. */
static const double touchable_volts = 60;

static bool has_source(const xmlNode *facts, const char *kind)
{
    for (const xmlNode *at = view_first(facts, "source"); at != NULL; at = view_following(at))
        if (view_is(at, "kind", kind))
            return true;
    return false;
}

static bool is_touchable(const xmlNode *net)
{
    static const char *const names[] = {"volts", "low", "high"};
    double volts;

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (view_number(net, names[i], &volts) && fabs(volts) > touchable_volts)
            return false;
    return view_number(net, "volts", &volts);
}

/* Only a circuit that was solved without gaps, that batteries or DC supplies feed, and whose every
 * net is known to be low is let off. */
static bool is_harmless(const xmlNode *facts)
{
    if (!view_is(facts, "solved", "yes") || view_first(facts, "gap") != NULL)
        return false;
    if (!has_source(facts, "battery") && !has_source(facts, "supply"))
        return false;
    if (has_source(facts, "inlet") || has_source(facts, "winding") || has_source(facts, "feed"))
        return false;
    for (const xmlNode *at = view_first(facts, "net"); at != NULL; at = view_following(at))
        if (!is_touchable(at))
            return false;
    return true;
}

void section_caution(const struct section_input *input)
{
    if (input->facts == NULL || is_harmless(input->facts))
        return;
    sheet_item(input->sheet, SHEET_ALARM, "caution",
               "Mains and HT kill, and capacitors hold HT long after the mains is off. Only a "
               "person competent in this work opens or powers this equipment, never alone. Unplug "
               "it, discharge the capacitors through a resistor, and prove every one dead with a "
               "meter before touching anything. What follows is read and computed from a netlist: "
               "it does not replace measurement, and where local codes or licensed practice say "
               "otherwise, they prevail.");
    sheet_blank(input->sheet);
}
