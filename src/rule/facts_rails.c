/* Rails with their nodes and loads, and how far each is protected. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "parts/parts.h"
#include "rule/facts_discharge.h"
#include "rule/facts_high_mains.h"
#include "rule/facts_rests.h"
#include "rule/facts_xml.h"
#include "rule/judge.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

static double farads_of(const struct facts_build *build, const struct branch *branch)
{
    return part_figure_value(facts_part(build, branch->part), FIGURE_FARADS, NAN);
}

/* What the capacitors of a node at VOLTS add up to, F, and hold, J. Of two in series the node has what both are together, and
 * holds the share of the upper one: the lower one's is at its own node. */
static double capacitance(const struct facts_build *build, const struct rail_node *node, double volts, double *joules)
{
    double sum = 0;

    *joules = 0;
    for (size_t i = 0; i < node->capacitor_count; i++) {
        const struct branch *branch = &build->stages->network->branches[node->capacitors[i]];
        size_t other = branch->from == node->node ? branch->to : branch->from;
        const struct branch *below = facts_string_below(build, other, branch);
        double farads = farads_of(build, branch), across = volts;

        if (below != NULL && facts_solved(build))
            across = volts - build->stages->healthy->nodes[other].mean;
        *joules += farads * across * across / 2;
        sum += below != NULL ? 1 / (1 / farads + 1 / farads_of(build, below)) : farads;
    }
    return sum;
}

/* The node it is fed from and the parts on the way: "R2", "F2 L1". */
static void add_way(const struct facts_build *build, xmlNode *element, const struct rail *rail,
                    const struct rail_node *node)
{
    struct text text = {0};

    for (size_t i = 0; i < node->path_count; i++)
        text_print(&text, "%s%s", i > 0 ? " " : "", facts_branch_ref(build, node->path[i]));
    if (node->upstream < rail->node_count)
        fact_text(element, "fed-from", facts_node_name(build, rail->nodes[node->upstream].node));
    if (text.length > 0)
        fact_text(element, "through-parts", text_bytes(&text));
    text_free(&text);
}

static void add_node(const struct facts_build *build, xmlNode *parent, const struct rail *rail,
                     const struct rail_node *rail_node, double seconds)
{
    xmlNode *node = fact_element(parent, "node");
    double volts = judge_node_volts(build->stages, rail, rail_node->node), joules;
    double farads = capacitance(build, rail_node, volts, &joules);

    if (judge_source_solved(build->stages, rail->source) && rail->rectifier != SIZE_MAX)
        fact_number(node, "ripple-volts", build->stages->healthy->nodes[rail_node->node].high -
                                              build->stages->healthy->nodes[rail_node->node].low);
    fact_text(node, "net", facts_node_name(build, rail_node->node));
    fact_number(node, "volts", volts);
    facts_add_full_node(build, node, rail, rail_node->node);
    if (rail_node->capacitor_count > 0) {
        fact_number(node, "farads", farads);
        fact_number(node, "joules", joules);
    }
    if (rail->rectifier != SIZE_MAX && !isnan(seconds)) {
        fact_flag(node, "discharges", isfinite(seconds));
        fact_number(node, "seconds-to-60V", seconds);
    }
    add_way(build, node, rail, rail_node);
    fact_text(node, "protection",
              protection_name(build->stages->trace->protections[rail_node->node]));
}

static void add_load(const struct facts_build *build, xmlNode *parent, const struct rail *rail,
                     size_t branch)
{
    xmlNode *node = fact_element(parent, "load");

    fact_text(node, "part", facts_branch_ref(build, branch));
    if (judge_source_solved(build->stages, rail->source))
        fact_number(node, "amps", rail->rectifier != SIZE_MAX
                                      ? fabs(build->stages->healthy->branches[branch].mean)
                                      : build->stages->healthy->branches[branch].rms);
}

/* The refs of the fuses that protect NODE, by coverage and side, as one attribute; absent if
 * there are none. */
static void add_fuse_list(const struct facts_build *build, xmlNode *element, const char *name,
                          size_t rail, size_t node, enum coverage coverage, bool upstream)
{
    struct text text = {0};
    size_t count;
    const struct cover *const *covers = judge_covers(build->judge, rail, node, &count);

    for (size_t i = 0; i < count; i++)
        if (covers[i]->coverage == coverage && covers[i]->upstream == upstream)
            text_print(&text, "%s%s", text.length > 0 ? " " : "",
                       facts_branch_ref(build, covers[i]->fuse));
    if (text.length > 0)
        fact_text(element, name, text_bytes(&text));
    text_free(&text);
}

/* The worst computed short of its least protected nodes. */
static void add_fault(const struct facts_build *build, xmlNode *node, const struct rail_view *view)
{
    const struct fault *fault = view->fault != NULL ? view->fault->fault : NULL;

    fact_count(node, "shorts-unsolved", view->unsolved);
    fact_count(node, "shorts-behind-dropper", view->dropper);
    if (view->limited != NULL) {
        fact_text(node, "dropper-net", facts_node_name(build, view->limited->fault->node));
        fact_number(node, "dropper-amps", view->limited->fault->amps);
    }
    if (view->bare != NULL) {
        fact_text(node, "bare-net", facts_node_name(build, view->bare->fault->node));
        fact_number(node, "bare-short-amps", view->bare->fault->amps);
    }
    if (view->limited != NULL)
        facts_rests_fault(build, view->limited->fault);
    if (view->bare != NULL)
        facts_rests_fault(build, view->bare->fault);
    if (fault == NULL)
        return;
    facts_rests_fault(build, fault);
    fact_text(node, "short", fault->id);
    fact_text(node, "short-net", facts_node_name(build, fault->node));
    fact_number(node, "short-amps", facts_fault_amps(build, fault));
    fact_number(node, "source-rated-amps",
                facts_source_rated_amps(build, &build->stages->trace->sources[
                                                   build->stages->trace->rails[fault->rail].source]));
    fact_flag(node, "short-cleared", view->fault->cleared);
    fact_flag(node, "short-judged", view->fault->judged);
    if (!view->fault->cleared)
        return;
    fact_number(node, "short-opens-by", fault->opens_by);
    if (fault->opened_by < build->stages->whatif->fuse_count)
        fact_text(node, "short-opened-by",
                  facts_branch_ref(build, build->stages->whatif->fuses[fault->opened_by].branch));
}

static void add_protection(const struct facts_build *build, xmlNode *node, size_t index)
{
    const struct rail *rail = &build->stages->trace->rails[index];
    const struct rail_view *view = &build->judge->rails[index];
    size_t weakest;

    if (rail->node_count == 0)
        return;
    weakest = rail->nodes[view->weakest].node;
    fact_text(node, "protection", protection_name(view->worst));
    fact_text(node, "best-protection", protection_name(view->best));
    fact_text(node, "weakest-net", facts_node_name(build, weakest));
    add_fuse_list(build, node, "own-fuses", index, weakest, COVERAGE_FULL, false);
    add_fuse_list(build, node, "partial-fuses", index, weakest, COVERAGE_PARTIAL, false);
    add_fuse_list(build, node, "upstream-fuses", index, weakest, COVERAGE_FULL, true);
    add_fault(build, node, view);
}

static const char *unknown_loads(const struct facts_build *build, size_t index)
{
    size_t count = build->stages->trace->rail_count;
    bool *rails = arena_array(build->arena, count, sizeof *rails);

    rails[index] = true;
    return facts_unknown_loads(build, rails, count);
}

static void describe_rail(const struct facts_build *build, xmlNode *node, size_t index)
{
    const struct trace *trace = build->stages->trace;
    const struct rail *rail = &trace->rails[index];

    fact_text(node, "id", rail->id);
    fact_text(node, "name", rail->name);
    fact_text(node, "source", trace->sources[rail->source].id);
    fact_text(node, "source-kind", source_kind_name(trace->sources[rail->source].kind));
    if (rail->rectifier < trace->rectifier_count)
        fact_text(node, "rectifier", trace->rectifiers[rail->rectifier].id);
    fact_text(node, "output", facts_node_name(build, rail->output));
    fact_text(node, "return", facts_node_name(build, rail->back));
    fact_flag(node, "negative", rail->negative);
    fact_number(node, "volts", judge_rail_volts(build->stages, rail));
    if (judge_source_solved(build->stages, rail->source) && rail->rectifier != SIZE_MAX)
        fact_number(node, "ripple-volts", build->stages->healthy->nodes[rail->output].high -
                                              build->stages->healthy->nodes[rail->output].low);
    if (rail->rectifier < trace->rectifier_count)
        fact_number(node, "no-load-high-volts",
                    facts_no_load_high_volts(build, &trace->rectifiers[rail->rectifier]));
    facts_rests_high_mains(build, &trace->sources[rail->source]);
    fact_number(node, "amps", judge_rail_amps(build->stages, rail));
    facts_add_full_rail(build, node, rail);
    fact_number(node, "idle-watts", build->judge->rails[index].watts);
    fact_text(node, "unknown-loads", unknown_loads(build, index));
    add_protection(build, node, index);
    facts_add_rail_practice(build, node, rail);
    facts_rests_rail(build, rail);
}

void facts_add_rails(const struct facts_build *build)
{
    const struct trace *trace = build->stages->trace;

    for (size_t i = 0; trace != NULL && i < trace->rail_count; i++) {
        const struct rail *rail = &trace->rails[i];
        xmlNode *node = fact_element(build->root, "rail");
        struct discharge discharge = facts_discharge(build, rail);

        describe_rail(build, node, i);
        if (rail->rectifier != SIZE_MAX)
            fact_number(node, "cold-ohms", discharge.ohms);
        for (size_t j = 0; j < rail->node_count; j++)
            add_node(build, node, rail, &rail->nodes[j], discharge.seconds[j]);
        for (size_t j = 0; j < rail->load_count; j++)
            add_load(build, node, rail, rail->loads[j]);
        facts_rests_write(build, node);
    }
}
