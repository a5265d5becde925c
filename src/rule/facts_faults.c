/* Computed shorts: what flows where, what opens, who carries it meanwhile. */
#include "rule/facts_build.h"

#include <math.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "parts/parts.h"
#include "rule/facts_rests.h"
#include "rule/facts_stress.h"
#include "rule/facts_xml.h"
#include "rule/judge.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

/* The shorted node is one of wire alone, on a rail where something else can fail. */
static bool is_bare(const struct facts_build *build, const struct fault *fault)
{
    const struct rail *rail = &build->stages->trace->rails[fault->rail];

    for (size_t i = 0; i < rail->node_count; i++)
        if (rail->nodes[i].node == fault->node)
            return !build->judge->rails[fault->rail].counts[i];
    return false;
}

/* The fuse that clears it stands ahead of the transformer only. */
static bool is_cleared_upstream(const struct facts_build *build, const struct fault *fault)
{
    size_t count, fuse = build->stages->whatif->fuses[fault->opened_by].branch;
    const struct cover *const *covers = judge_covers(build->judge, fault->rail, fault->node, &count);

    for (size_t i = 0; i < count; i++)
        if (covers[i]->fuse == fuse && !covers[i]->upstream)
            return false;
    return true;
}

/* The refs of FAULT's carriers, each once, *COUNT of them. */
static const char **carrier_refs(const struct facts_build *build, const struct fault *fault,
                                 size_t *count)
{
    const char **refs = arena_array(build->arena, fault->carrier_count, sizeof *refs);

    *count = 0;
    for (size_t i = 0; i < fault->carrier_count; i++) {
        const char *ref = facts_branch_ref(build, fault->carriers[i].branch);
        size_t j = 0;

        while (j < *count && refs[j] != ref)
            j++;
        if (j == *count && ref != NULL)
            refs[(*count)++] = ref;
    }
    return refs;
}

const char *facts_carriers(const struct facts_build *build, const struct fault *fault)
{
    struct text text = {0};
    size_t count;
    const char **refs = carrier_refs(build, fault, &count);
    const char *list;

    for (size_t i = 0; i < count; i++)
        text_print(&text, "%s%s", i > 0 ? " " : "", refs[i]);
    list = count > 0 ? arena_copy(build->arena, text_bytes(&text)) : NULL;
    text_free(&text);
    return list;
}

double facts_fault_amps(const struct facts_build *build, const struct fault *fault)
{
    size_t source = build->stages->trace->rails[fault->rail].source;

    return judge_source_solved(build->stages, source) ? fault->amps : NAN;
}

static void add_through(const struct facts_build *build, xmlNode *parent,
                        const struct fault_through *through)
{
    const struct fuse_state *fuse = &build->stages->whatif->fuses[through->fuse];
    xmlNode *node = fact_element(parent, "through");

    fact_text(node, "fuse", facts_branch_ref(build, fuse->branch));
    fact_number(node, "amps", through->amps);
    fact_number(node, "opens-by", through->opens_by);
}

static void add_carrier(const struct facts_build *build, xmlNode *parent,
                        const struct fault_carrier *carrier)
{
    const struct branch *branch = &build->stages->network->branches[carrier->branch];
    xmlNode *node = fact_element(parent, "carrier");

    fact_text(node, "part", branch->part->ref);
    fact_text(node, "kind", part_kind_name(facts_part(build, branch->part)->kind));
    fact_number(node, "amps", carrier->amps);
}

static void describe_solved(const struct facts_build *build, xmlNode *node,
                            const struct fault_view *view)
{
    const struct fault *fault = view->fault;
    const struct whatif *whatif = build->stages->whatif;

    fact_text(node, "limited-by", view->dropper ? "dropper" : "source");
    fact_flag(node, "judged", view->judged);
    fact_number(node, "amps", facts_fault_amps(build, fault));
    fact_number(node, "opens-by", fault->opens_by);
    if (fault->opened_by < whatif->fuse_count)
        fact_text(node, "opened-by",
                  facts_branch_ref(build, whatif->fuses[fault->opened_by].branch));
    if (fault->opened_by < whatif->fuse_count)
        fact_flag(node, "opened-upstream", is_cleared_upstream(build, fault));
    facts_rests_fault(build, fault);
    if (!isnan(facts_fault_amps(build, fault)))
        fact_text(node, "cooked", facts_cooked(build, view));
    facts_rests_write(build, node);
    if (isnan(facts_fault_amps(build, fault)))
        return;
    for (size_t i = 0; i < fault->through_count; i++)
        add_through(build, node, &fault->through[i]);
    for (size_t i = 0; i < fault->carrier_count; i++)
        add_carrier(build, node, &fault->carriers[i]);
    fact_flag(node, "bare", is_bare(build, fault));
    facts_add_stresses(build, node, view);
}

static void add_fault(const struct facts_build *build, const struct fault_view *view)
{
    const struct fault *fault = view->fault;
    xmlNode *node = fact_element(build->root, "fault");

    fact_text(node, "id", fault->id);
    fact_text(node, "kind", "short");
    fact_text(node, "rail", build->stages->trace->rails[fault->rail].id);
    fact_text(node, "net", facts_node_name(build, fault->node));
    fact_text(node, "return", facts_node_name(build, fault->back));
    fact_flag(node, "solved", view->solved);
    if (view->solved)
        describe_solved(build, node, view);
    else
        fact_text(node, "blame", fault->blame);
}

void facts_add_faults(const struct facts_build *build)
{
    for (size_t i = 0; i < build->judge->fault_count; i++)
        add_fault(build, &build->judge->faults[i]);
}
