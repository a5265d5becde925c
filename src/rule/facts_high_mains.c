/* What ratings are judged by: the mains at the top of its tolerance and no load, as while the heaters are
 * cold. */
#include "rule/facts_high_mains.h"

#include <math.h>

#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "rule/facts_build.h"
#include "rule/facts_rests.h"
#include "solve/solve.h"
#include "trace/trace.h"

static const double root_two = 1.41421356237309504880;

/* Volts RMS of a winding without load: whole, and its largest section. */
struct winding_volts {
    double whole, section;
};

/* Share by which the mains may exceed its nominal volts; NAN: PART is no mains. */
static double tolerance_of(const struct facts_build *build, const struct part *part)
{
    return part_figure_value(facts_part(build, part), FIGURE_TOLERANCE, NAN) / 100;
}

double facts_high_mains_share(const struct facts_build *build, const struct trace_source *source)
{
    const struct trace *trace = build->stages->trace;

    for (size_t i = 0; source->feeder < trace->source_count && i < trace->source_count; i++)
        source = &trace->sources[source->feeder]; /* a transformer may feed another */
    return 1 + tolerance_of(build, source->part);
}

/* The mains as drawn against what the primary is wound for, from the volts across its sections as solved.
 * Those of a split primary are all alike. 1 where no section is a primary; NAN where it is dead. */
static double primary_share(const struct facts_build *build, const struct part *part)
{
    const struct network *network = build->stages->network;
    const struct part_info *info = facts_part(build, part);

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        double share;

        if (branch->part != part || branch->section == NULL || !(branch->section->volts.value > 0) ||
            branch->section->winding >= info->winding_count ||
            !info->windings[branch->section->winding].primary)
            continue;
        share = fabs(build->stages->healthy->nodes[branch->from].rms -
                     build->stages->healthy->nodes[branch->to].rms) / branch->section->volts.value;
        return share > 0.2 ? share : NAN;
    }
    return 1;
}

static struct winding_volts volts_of(const struct facts_build *build, const struct trace_source *source)
{
    struct winding_volts volts = {0};
    double share = primary_share(build, source->part);

    for (size_t i = 0; i < source->branch_count; i++) {
        const struct section *section =
            build->stages->network->branches[source->branches[i]].section;
        double own = section != NULL && section->volts.value > 0 ? section->volts.value * share
                                                                 : facts_source_part_volts(build, source, i);

        volts.whole += own;
        volts.section = fmax(volts.section, own);
        if (isnan(own))
            return (struct winding_volts){NAN, NAN};
    }
    return volts;
}

/* Peaks of one volt RMS that reach the reservoir of a rectifier, and that its diodes stand off once it is
 * charged. A cascade may have any number of stages. */
static double rail_volts(enum topology topology, const struct winding_volts *volts)
{
    switch (topology) {
    case TOPOLOGY_HALF_WAVE:
    case TOPOLOGY_CENTRE_TAP:
    case TOPOLOGY_BRIDGE_SPLIT:
        return volts->section;
    case TOPOLOGY_BRIDGE:
        return volts->whole;
    case TOPOLOGY_DOUBLER:
        return 2 * volts->whole;
    case TOPOLOGY_DIRECT:
    case TOPOLOGY_CASCADE:
        break;
    }
    return NAN;
}

static double reverse_volts(enum topology topology, const struct winding_volts *volts)
{
    switch (topology) {
    case TOPOLOGY_HALF_WAVE:
    case TOPOLOGY_CENTRE_TAP:
        return 2 * volts->section;
    case TOPOLOGY_BRIDGE_SPLIT:
    case TOPOLOGY_BRIDGE:
        return volts->whole;
    case TOPOLOGY_DOUBLER:
        return 2 * volts->whole;
    case TOPOLOGY_DIRECT:
    case TOPOLOGY_CASCADE:
        break;
    }
    return NAN;
}

static double peak(const struct facts_build *build, const struct rectifier *rectifier,
                   double (*volts_for)(enum topology, const struct winding_volts *))
{
    const struct trace_source *source = &build->stages->trace->sources[rectifier->source];
    struct winding_volts volts;

    if (!facts_solved(build))
        return NAN;
    volts = volts_of(build, source);
    return root_two * facts_high_mains_share(build, source) * volts_for(rectifier->topology, &volts);
}

double facts_no_load_high_volts(const struct facts_build *build, const struct rectifier *rectifier)
{
    return peak(build, rectifier, rail_volts);
}

double facts_high_reverse_volts(const struct facts_build *build, const struct rectifier *rectifier)
{
    return peak(build, rectifier, reverse_volts);
}

void facts_rests_high_mains(const struct facts_build *build, const struct trace_source *source)
{
    const struct trace *trace = build->stages->trace;

    facts_rests_source(build, source);
    for (size_t i = 0; source->feeder < trace->source_count && i < trace->source_count; i++)
        source = &trace->sources[source->feeder];
    facts_rests_named(build, source->part->ref, "tolerance");
    facts_rests_source(build, source);
}
