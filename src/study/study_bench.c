/* Before mains goes on: tests without power in their order, the lamp in series, the first power-up. Common practice, no source,
 * but where one is named. */
#include "study/study.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "report/listing.h"
#include "report/view.h"
#include "study/page.h"

/* Valves ask for other tests than transistors do. */
static bool has_valves(const struct study *study)
{
    for (const xmlNode *at = view_first(study->facts, "part"); at != NULL; at = view_following(at))
        if (view_is(at, "kind", "triode") || view_is(at, "kind", "pentode") || view_is(at, "kind", "rectifier-valve"))
            return true;
    return false;
}

static const char *diodes(const struct study *study)
{
    struct listing list = {0};

    for (const xmlNode *at = view_first(study->facts, "rectifier"); at != NULL; at = view_following(at)) {
        const char *parts = view_text(study->arena, at, "parts");

        if (parts != NULL)
            listing_add(&list, parts);
    }
    return listing_end(&list, study->arena);
}

static void add_fuse_step(const struct study *study)
{
    struct listing list = {0};
    const char *fuses;

    for (const xmlNode *at = view_first(study->facts, "fuse"); at != NULL; at = view_following(at)) {
        const char *ref = view_text(study->arena, at, "ref"), *marking = view_text(study->arena, at, "marking");

        listing_add(&list, arena_print(study->arena, "%s %s", ref, marking != NULL ? marking : "(marking not drawn)"));
    }
    fuses = listing_end(&list, study->arena);
    if (fuses != NULL)
        page_step(study->page, "Take every fuse out, read what is printed on its cap, compare: %s. Measure it out of its holder: a "
                               "whole link reads well below an ohm from 500 mA up, some ohms below that. A blackened glass "
                               "tells of a violent short, a clean gap of age or a tight rating.",
                  fuses);
}

static void add_winding_step(const struct study *study)
{
    struct listing list = {0};
    const char *windings;

    for (const xmlNode *at = view_first(study->facts, "source"); at != NULL; at = view_following(at)) {
        const char *id = view_text(study->arena, at, "id");
        double ohms;

        if (id != NULL && view_number(at, "ohms", &ohms))
            listing_add(&list, arena_print(study->arena, "%s %s", id, study_quantity(study, ohms, UNIT_OHM)));
    }
    windings = listing_end(&list, study->arena);
    if (windings != NULL)
        page_step(study->page, "Measure the windings end to end: %s. Halves of a tapped one should agree within 10 %%. Nothing to the "
                               "frame: more than 2 Mohm, better by an insulation tester at 500 V.",
                  windings);
}

static void add_diode_step(const struct study *study)
{
    const char *parts = diodes(study);

    if (parts != NULL)
        page_step(study->page, "Test each rectifier (%s) with the meter's diode range, first in circuit. A silicon diode: 0.4 to 0.7 V one way, "
                               "the other way a reading that climbs while the reservoir charges, to open. The same low reading "
                               "both ways: lift one end and repeat; 0 to 0.1 V then means shorted. Two shorted diodes tell why a "
                               "fuse blew.%s",
                  parts, has_valves(study) ? " A valve rectifier: no reading either way when cold; anything low is a short." : "");
}

static void add_rail_steps(const struct study *study)
{
    for (const xmlNode *at = view_first(study->facts, "rail"); at != NULL; at = view_following(at)) {
        const char *output = view_text(study->arena, at, "output"), *back = view_text(study->arena, at, "return");
        double ohms;

        if (view_text(study->arena, at, "rectifier") == NULL || output == NULL || back == NULL)
            continue;
        if (view_number(at, "cold-ohms", &ohms))
            page_step(study->page, "Ohms from %s to %s%s: starts low and climbs as the capacitors charge, and should settle "
                                   "near %s. A reading that stays under a tenth of that: find the short before any power.",
                      output, back, has_valves(study) ? ", valves cold or out" : "", study_quantity(study, ohms, UNIT_OHM));
        else
            page_step(study->page, "Ohms from %s to %s%s: starts low and climbs as the capacitors charge, with nothing drawn that "
                                   "would hold it down. A reading that stays low: find the short before any power.",
                      output, back, has_valves(study) ? ", valves cold or out" : "");
    }
}

static double idle_watts(const struct study *study)
{
    double sum = 0, watts;

    for (const xmlNode *at = view_first(study->facts, "rail"); at != NULL; at = view_following(at))
        if (view_number(at, "idle-watts", &watts))
            sum += watts;
    return sum;
}

/* The usual incandescent lamp next above the amplifier's own need, W. */
static int lamp_watts(double watts)
{
    static const int sizes[] = {25, 40, 60, 100, 150};

    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        if (watts <= sizes[i])
            return sizes[i];
    return 200;
}

static void add_power_steps(const struct study *study)
{
    double watts = idle_watts(study);

    if (watts > 0)
        page_step(study->page, "First power through an incandescent lamp in series with the live conductor, at mains volts: %d W here, where the "
                               "rails take about %.0f W at idle. Healthy: it flashes bright, then falls to a dull glow%s. "
                               "Sick: it stays bright. A lamp limits what can burn; it protects nobody from a shock.",
                  lamp_watts(watts), watts, has_valves(study) ? " as heaters warm" : "");
    if (has_valves(study))
        page_step(study->page, "In steps, unplugging and discharging between: output valves out and standby off, read the heater volts at the "
                               "pins; rectifier in, standby on, read the HT (above the figures, nothing draws yet) and the bias; only with the "
                               "right bias present the output valves in; read idle current, then every node of the table.");
    else
        page_step(study->page, "In steps, unplugging and discharging between: no loudspeaker, read both rails; read the direct volts where the "
                               "loudspeaker goes, well below 0.1 V, and the idle current over an emitter or source resistor; then every "
                               "node of the table; only then a dummy load.");
    page_step(study->page, "Without the lamp: right fuses in, stand clear, watch the first minutes for smoke, smell%s; leave it "
                           "under a dummy load for half an hour, read again.",
              has_valves(study) ? ", red anodes" : "");
}

void study_bench(const struct study *study)
{
    page_section(study->page, "bench", "Before mains goes on");
    page_alarm(study->page, "Plug out, in your sight. Discharge each reservoir through 10 kohm, 5 W, on insulated leads, and prove it: below 60 V "
                            "DC (IEC 62368-1, ES1), then short it out. Volts creep back: leave the lead on.");
    page_say(study->page, "Common practice, no source, but where one is named.");
    page_step(study->page, "Look: burnt parts, swollen capacitors, a link bridged with wire or foil, a mains cord without earth. Earth pin to "
                           "chassis: 0.1 ohm or less (IEC 60065, at 25 A).");
    add_fuse_step(study);
    add_winding_step(study);
    add_diode_step(study);
    add_rail_steps(study);
    add_power_steps(study);
}
