/* Sources, the mains side, rectifiers, rails. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "parts/parts.h"
#include "rule/facts_high_mains.h"
#include "rule/facts_rests.h"
#include "rule/facts_xml.h"
#include "rule/judge.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

/* Sums over a winding's sections; NAN as soon as one is not known. Amps: the least. */
struct section_figures {
    double volts, ohms, amps;
};

static double known(const struct figure *figure)
{
    return figure->value != 0 ? figure->value : NAN;
}

/* What the source gives with no load: RMS for an alternating one, else DC. */
static double part_volts(const struct part_info *info)
{
    double peak = part_figure_value(info, FIGURE_AC_PEAK_VOLTS, NAN);

    return isfinite(peak) && peak != 0 ? peak / sqrt(2)
                                       : part_figure_value(info, FIGURE_DC_VOLTS, NAN);
}

/* The one winding of a coupled group that no source is part of: its primary. SIZE_MAX: none, or several. */
static size_t coupled_primary(const struct trace *trace, const struct element *element)
{
    size_t found = SIZE_MAX, count = 0;

    for (size_t slot = 0; slot < element->section_count; slot++) {
        size_t branch = element->first_branch + slot;
        bool source = false;

        for (size_t i = 0; i < trace->source_count; i++)
            for (size_t k = 0; k < trace->sources[i].branch_count; k++)
                source = source || trace->sources[i].branches[k] == branch;
        if (source)
            continue;
        found = slot;
        count++;
    }
    return count == 1 ? found : SIZE_MAX;
}

/* What a coupled inductor gives with no load: the feeder's volts in the ratio of mutual to primary
 * inductance. */
static double coupled_volts(const struct facts_build *build, const struct trace_source *source,
                            const struct branch *branch)
{
    const struct trace *trace = build->stages->trace;
    const struct element *element = branch->element;
    size_t primary = coupled_primary(trace, element), n = element->section_count;

    if (source->feeder >= trace->source_count || primary == SIZE_MAX ||
        !(element->matrix[primary * n + primary] > 0))
        return NAN;
    return part_volts(facts_part(build, trace->sources[source->feeder].part)) *
           fabs(element->matrix[branch->slot * n + primary]) / element->matrix[primary * n + primary];
}

double facts_source_part_volts(const struct facts_build *build, const struct trace_source *source,
                               size_t index)
{
    const struct branch *branch = &build->stages->network->branches[source->branches[index]];

    if (branch->section != NULL)
        return NAN;
    return branch->element->matrix != NULL ? coupled_volts(build, source, branch)
                                           : part_volts(facts_part(build, branch->part));
}

/* Of all sections of coupled inductors. */
static double all_coupled_volts(const struct facts_build *build, const struct trace_source *source)
{
    double volts = 0;

    for (size_t i = 0; i < source->branch_count; i++)
        volts += build->stages->network->branches[source->branches[i]].element->matrix != NULL
                     ? facts_source_part_volts(build, source, i)
                     : NAN;
    return volts;
}

static struct section_figures winding_figures(const struct facts_build *build,
                                              const struct trace_source *source)
{
    struct section_figures sum = {.volts = 0, .ohms = 0, .amps = INFINITY};

    for (size_t i = 0; i < source->branch_count; i++) {
        const struct section *section =
            build->stages->network->branches[source->branches[i]].section;

        if (section == NULL)
            return (struct section_figures){all_coupled_volts(build, source), NAN, NAN};
        sum.volts += known(&section->volts);
        sum.ohms += known(&section->ohms);
        sum.amps = fmin(sum.amps, known(&section->amps)); /* fmin passes over NAN */
    }
    return sum;
}

double facts_source_rated_amps(const struct facts_build *build, const struct trace_source *source)
{
    struct section_figures winding = winding_figures(build, source);

    return isfinite(winding.amps)
               ? winding.amps
               : part_figure_value(facts_part(build, source->part), FIGURE_RATED_AMPS, NAN);
}

static bool is_lone(const struct facts_build *build, size_t node)
{
    const struct net *net = build->stages->network->nodes[node].net;

    return node != build->stages->network->ground && (net == NULL || net->pin_count < 2);
}

/* Halves differ by no more than this share. Common practice, no source. */
static const double halves_share = 0.1;

/* The end of a winding of two equal halves, the tap of which is used, at which nothing is; NULL: none. */
static const char *idle_end(const struct facts_build *build, const struct trace_source *source)
{
    const struct branch *one, *other;
    double volts[2];
    size_t tap, ends[2];

    if (source->kind != SOURCE_WINDING || source->branch_count != 2)
        return NULL;
    one = &build->stages->network->branches[source->branches[0]];
    other = &build->stages->network->branches[source->branches[1]];
    if (one->section == NULL || other->section == NULL)
        return NULL;
    tap = one->from == other->from || one->from == other->to ? one->from : one->to;
    if (tap != other->from && tap != other->to)
        return NULL;
    volts[0] = known(&one->section->volts);
    volts[1] = known(&other->section->volts);
    ends[0] = one->from == tap ? one->to : one->from;
    ends[1] = other->from == tap ? other->to : other->from;
    if (!(fabs(volts[0] - volts[1]) <= halves_share * volts[0]) || is_lone(build, tap))
        return NULL;
    for (size_t i = 0; i < 2; i++)
        if (is_lone(build, ends[i]) && !is_lone(build, ends[1 - i]))
            return facts_node_name(build, ends[i]);
    return NULL;
}

/* Returns the volts that its element tells. */
static double add_source(const struct facts_build *build, const struct trace_source *source)
{
    const struct part_info *info = facts_part(build, source->part);
    struct section_figures winding = winding_figures(build, source);
    const struct trace *trace = build->stages->trace;
    xmlNode *node = fact_element(build->root, "source");
    bool direct = source->kind == SOURCE_BATTERY || source->kind == SOURCE_SUPPLY;

    fact_text(node, "id", source->id);
    fact_text(node, "part", source->part->ref);
    fact_text(node, "kind", source_kind_name(source->kind));
    fact_text(node, "winding", source->winding);
    fact_number(node, "volts", isfinite(winding.volts) ? winding.volts : part_volts(info));
    fact_number(node, "ohms", winding.ohms);
    fact_number(node, "rated-amps", facts_source_rated_amps(build, source));
    if (!direct && build->stages->network->hertz > 0)
        fact_number(node, "hertz", build->stages->network->hertz);
    fact_text(node, "shorted-by", facts_shorted_by(build, source));
    fact_text(node, "idle-end", idle_end(build, source));
    if (source->feeder < trace->source_count)
        fact_text(node, "feeder", trace->sources[source->feeder].id);
    facts_rests_source(build, source);
    if (source->kind == SOURCE_WINDING && source->winding == NULL && source->feeder < trace->source_count)
        facts_rests_source(build, &trace->sources[source->feeder]);
    facts_rests_write(build, node);
    return fact_read_number(node, "volts");
}

void facts_add_sources(struct facts_build *build)
{
    const struct trace *trace = build->stages->trace;

    if (trace != NULL)
        build->source_volts = arena_array(build->arena, trace->source_count, sizeof *build->source_volts);
    for (size_t i = 0; trace != NULL && i < trace->source_count; i++)
        build->source_volts[i] = add_source(build, &trace->sources[i]);
}

/* One conductor element a fuse; one without @fuse if it has none. */
static void add_conductor(const struct facts_build *build, xmlNode *mains, const char *role,
                          const size_t *fuses, size_t count)
{
    for (size_t i = 0; i < count || i == 0; i++) {
        xmlNode *node = fact_element(mains, "conductor");

        fact_text(node, "role", role);
        if (i < count)
            fact_text(node, "fuse", facts_branch_ref(build, fuses[i]));
    }
}

/* The mains that the figures are for, and how high it may be. */
static void add_mains_volts(const struct facts_build *build, xmlNode *node,
                            const struct trace_source *source)
{
    const struct part_info *info = facts_part(build, source->part);
    double volts = part_volts(info);

    fact_number(node, "volts", volts);
    fact_number(node, "hertz", part_figure_value(info, FIGURE_HERTZ, NAN));
    fact_number(node, "tolerance", part_figure_value(info, FIGURE_TOLERANCE, NAN) / 100);
    fact_number(node, "high-volts", volts * facts_high_mains_share(build, source));
    facts_rests_high_mains(build, source);
    facts_rests_write(build, node);
}

void facts_add_mains(const struct facts_build *build)
{
    const struct trace *trace = build->stages->trace;

    for (size_t i = 0; trace != NULL && i < trace->mains_count; i++) {
        const struct mains *mains = &trace->mains[i];
        xmlNode *node = fact_element(build->root, "mains");

        fact_text(node, "source", trace->sources[mains->source].id);
        fact_text(node, "part", trace->sources[mains->source].part->ref);
        add_mains_volts(build, node, &trace->sources[mains->source]);
        fact_flag(node, "conductors-told", mains->conductors_told);
        fact_flag(node, "earth-pin", mains->earth_pin);
        fact_flag(node, "live-fused", mains->live_fused);
        fact_flag(node, "neutral-fused", mains->neutral_fused);
        facts_add_mains_side(build, node, mains);
        add_conductor(build, node, "live", mains->live_fuses, mains->live_fuse_count);
        add_conductor(build, node, "neutral", mains->neutral_fuses, mains->neutral_fuse_count);
        if (mains->earth_pin || mains->earth_fuse_count > 0)
            add_conductor(build, node, "earth", mains->earth_fuses, mains->earth_fuse_count);
        facts_add_line_capacitors(build, node, mains);
    }
}

/* The parts of COUNT branches, each once in a row: "D1 D2". */
static void add_branch_parts(const struct facts_build *build, xmlNode *node, const char *name,
                             const size_t *branches, size_t count)
{
    struct text text = {0};
    const struct part *before = NULL;

    for (size_t i = 0; i < count; i++) {
        const struct part *part = build->stages->network->branches[branches[i]].part;

        if (part != before)
            text_print(&text, "%s%s", text.length > 0 ? " " : "", part->ref);
        before = part;
    }
    fact_text(node, name, text_bytes(&text));
    text_free(&text);
}

/* Largest mean, peak and reverse volts among its diodes. Reverse volts: cathode's highest less
 * anode's lowest, which is what it sees or a little more. */
static void add_diode_stress(const struct facts_build *build, xmlNode *node,
                             const struct rectifier *rectifier)
{
    double mean = 0, peak = 0, reverse = 0, rated = INFINITY;
    bool solved = judge_source_solved(build->stages, rectifier->source);

    for (size_t i = 0; i < rectifier->branch_count; i++) {
        const struct branch *branch = &build->stages->network->branches[rectifier->branches[i]];

        rated = fmin(rated, part_figure_value(facts_part(build, branch->part),
                                              FIGURE_REVERSE_VOLTS, INFINITY));
        if (!solved)
            continue;
        mean = fmax(mean, build->stages->healthy->branches[branch->index].mean);
        peak = fmax(peak, build->stages->healthy->branches[branch->index].high);
        reverse = fmax(reverse, build->stages->healthy->nodes[branch->to].high -
                                    build->stages->healthy->nodes[branch->from].low);
    }
    if (solved) {
        fact_number(node, "average-amps", mean);
        fact_number(node, "peak-amps", peak);
        fact_number(node, "reverse-volts", reverse);
    }
    fact_number(node, "rated-reverse-volts", rated);
}

/* Diodes lie across BRANCHES[INDEX] that stood before it in the list. */
static bool is_parallel(const struct network *network, const size_t *branches, size_t index)
{
    const struct branch *branch = &network->branches[branches[index]];

    for (size_t i = 0; i < index; i++)
        if (network->branches[branches[i]].from == branch->from &&
            network->branches[branches[i]].to == branch->to)
            return true;
    return false;
}

/* Legs of a rectifier that take turns; 0: not told. */
static size_t leg_count(enum topology topology)
{
    switch (topology) {
    case TOPOLOGY_HALF_WAVE:
        return 1;
    case TOPOLOGY_CENTRE_TAP:
    case TOPOLOGY_DOUBLER:
        return 2;
    case TOPOLOGY_BRIDGE:
    case TOPOLOGY_BRIDGE_SPLIT:
        return 4;
    case TOPOLOGY_DIRECT:
    case TOPOLOGY_CASCADE:
        break;
    }
    return 0;
}

/* Reverse volts that a leg of diodes in series is rated for, the least of them counting for each; NAN: not
 * known. */
static double leg_rated_volts(const struct facts_build *build, const struct rectifier *rectifier)
{
    const struct network *network = build->stages->network;
    size_t legs = leg_count(rectifier->topology), count = 0;
    double least = INFINITY;

    for (size_t i = 0; i < rectifier->branch_count; i++) {
        const struct part *part = network->branches[rectifier->branches[i]].part;
        double rated = part_figure_value(facts_part(build, part), FIGURE_REVERSE_VOLTS, NAN);

        count += !is_parallel(network, rectifier->branches, i);
        least = isnan(rated) ? NAN : isnan(least) ? NAN : fmin(least, rated);
    }
    return legs > 0 && count > 0 && count % legs == 0 ? least * (double)(count / legs) : NAN;
}

static const struct rail *rail_of(const struct trace *trace, size_t rectifier)
{
    for (size_t i = 0; i < trace->rail_count; i++)
        if (trace->rails[i].rectifier == rectifier)
            return &trace->rails[i];
    return NULL;
}

void facts_add_rectifiers(const struct facts_build *build)
{
    const struct trace *trace = build->stages->trace;

    for (size_t i = 0; trace != NULL && i < trace->rectifier_count; i++) {
        const struct rectifier *rectifier = &trace->rectifiers[i];
        const struct rail *rail = rail_of(trace, i);
        xmlNode *node = fact_element(build->root, "rectifier");

        fact_text(node, "id", rectifier->id);
        add_branch_parts(build, node, "parts", rectifier->branches, rectifier->branch_count);
        fact_text(node, "topology", topology_name(rectifier->topology));
        fact_text(node, "source", trace->sources[rectifier->source].id);
        fact_text(node, "rail", rail != NULL ? rail->id : NULL);
        add_diode_stress(build, node, rectifier);
        facts_add_valves(build, node, rectifier, rail);
        fact_number(node, "leg-rated-reverse-volts", leg_rated_volts(build, rectifier));
        fact_number(node, "high-reverse-volts", facts_high_reverse_volts(build, rectifier));
        facts_rests_high_mains(build, &trace->sources[rectifier->source]);
        facts_rests_rectifier(build, rectifier);
        facts_rests_write(build, node);
    }
}
