/* Computed shorts: what flows where, what opens, who carries it meanwhile. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>

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
    size_t source;

    if (fault->rail == SIZE_MAX)
        return fault->status == SOLVE_OK && fault->kind == FAULT_SHORT ? fault->amps : NAN;
    source = build->stages->trace->rails[fault->rail].source;
    return judge_source_solved(build->stages, source) ? fault->amps : NAN;
}

static void add_through(const struct facts_build *build, xmlNode *parent,
                        const struct fault_through *through)
{
    const struct fuse_state *fuse = &build->stages->whatif->fuses[through->fuse];
    xmlNode *node = fact_element(parent, "through");

    fact_text(node, "fuse", facts_branch_ref(build, fuse->branch));
    fact_number(node, "amps", through->amps);
    fact_number(node, "peak-amps", through->peak);
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

static void add_stage(const struct facts_build *build, xmlNode *parent, const struct fault_stage *stage)
{
    xmlNode *node = fact_element(parent, "stage");

    fact_text(node, "fuse", facts_branch_ref(build, build->stages->whatif->fuses[stage->fuse].branch));
    fact_number(node, "amps", stage->amps);
    fact_number(node, "opens-by", stage->opens_by);
}

static void add_worse(xmlNode *parent, const struct fault_worse *worse)
{
    xmlNode *node = fact_element(parent, "worse");

    fact_text(node, "part", worse->part->ref);
    fact_text(node, "what", fault_worse_name(worse->kind));
    fact_number(node, "before", worse->before);
    fact_number(node, "after", worse->after);
    fact_number(node, "limit", worse->limit);
    fact_number(node, "joules", worse->joules);
}

/* A winding among the carriers whose rating nobody gave. */
static void describe_unrated(const struct facts_build *build, xmlNode *node, const struct fault *fault)
{
    for (size_t i = 0; i < fault->carrier_count; i++) {
        const struct branch *branch = &build->stages->network->branches[fault->carriers[i].branch];

        if (branch->kind == BRANCH_WINDING && (branch->section == NULL || isnan(part_section_amps(facts_part(build, branch->part), branch->section)))) {
            fact_text(node, "overload-unknown", branch->part->ref);
            return;
        }
    }
}

/* What a winding carries for ever. */
static void describe_overload(const struct facts_build *build, xmlNode *node, const struct fault *fault)
{
    const struct branch *branch;
    const struct section *section;
    double amps;

    if (!(fault->overload_amps > 0))
        return;
    branch = &build->stages->network->branches[fault->overloaded];
    section = branch->section;
    amps = part_section_amps(facts_part(build, branch->part), section);
    fact_text(node, "overloaded",
              arena_print(build->arena, "%s.%s", branch->part->ref,
                          facts_part(build, branch->part)->windings[section->winding].name));
    fact_number(node, "overload-amps", fault->overload_amps);
    fact_number(node, "overload-rated-amps", amps);
    fact_number(node, "overload-rated-voltamps", amps * section->volts.value);
}

static void describe_end(const struct facts_build *build, xmlNode *node, const struct fault *fault)
{
    fact_text(node, "outcome", fault_outcome_name(fault->outcome));
    fact_count(node, "stages", fault->stage_count);
    fact_number(node, "cleared-by", fault->cleared_by);
    if (fault->kind == FAULT_SHORT && !isnan(facts_fault_amps(build, fault)))
        fact_number(node, "left-amps", fault->left_amps);
}

static void add_details(const struct facts_build *build, xmlNode *node, const struct fault *fault)
{
    if (isnan(facts_fault_amps(build, fault)) && fault->kind == FAULT_SHORT)
        return;
    for (size_t i = 0; i < fault->through_count; i++)
        add_through(build, node, &fault->through[i]);
    for (size_t i = 0; i < fault->carrier_count; i++)
        add_carrier(build, node, &fault->carriers[i]);
    for (size_t i = 0; i < fault->stage_count; i++)
        add_stage(build, node, &fault->stages[i]);
    for (size_t i = 0; i < fault->worse_count; i++)
        add_worse(node, &fault->worse[i]);
}

/* LIMITED: a resistor limits it. VIEW: of a rail's short, else NULL. */
static void describe_solved(const struct facts_build *build, xmlNode *node, const struct fault *fault,
                            const struct fault_view *view, bool limited, bool judged)
{
    const struct whatif *whatif = build->stages->whatif;

    if (fault->kind == FAULT_SHORT) {
        fact_text(node, "limited-by", limited ? "dropper" : "source");
        if (fault->limiter != NULL)
            fact_text(node, "limiter", fault->limiter->ref);
        fact_flag(node, "judged", judged);
        fact_number(node, "amps", facts_fault_amps(build, fault));
        fact_number(node, "opens-by", fault->opens_by);
    }
    if (fault->opened_by < whatif->fuse_count)
        fact_text(node, "opened-by",
                  facts_branch_ref(build, whatif->fuses[fault->opened_by].branch));
    if (fault->opened_by < whatif->fuse_count && fault->rail != SIZE_MAX)
        fact_flag(node, "opened-upstream", is_cleared_upstream(build, fault));
    describe_end(build, node, fault);
    describe_overload(build, node, fault);
    describe_unrated(build, node, fault);
    facts_rests_fault(build, fault);
    if (view != NULL && !isnan(facts_fault_amps(build, fault)))
        fact_text(node, "cooked", facts_cooked(build, view));
    facts_rests_write(build, node);
    add_details(build, node, fault);
    if (view == NULL || isnan(facts_fault_amps(build, fault)))
        return;
    fact_flag(node, "bare", is_bare(build, fault));
    facts_add_stresses(build, node, view);
}

static const char *part_refs(const struct facts_build *build, const struct fault *fault)
{
    const char *list = NULL;

    for (size_t i = 0; i < fault->part_count; i++)
        list = list == NULL ? fault->parts[i]->ref
                            : arena_print(build->arena, "%s %s", list, fault->parts[i]->ref);
    return list;
}

static xmlNode *add_fault(const struct facts_build *build, const struct fault *fault)
{
    xmlNode *node = fact_element(build->root, "fault");

    fact_text(node, "id", fault->id);
    fact_text(node, "kind", fault_kind_name(fault->kind));
    fact_text(node, "site", fault_site_name(fault->site));
    fact_text(node, "what", fault->what);
    fact_text(node, "parts", part_refs(build, fault));
    if (fault->rail != SIZE_MAX)
        fact_text(node, "rail", build->stages->trace->rails[fault->rail].id);
    fact_text(node, "net", facts_node_name(build, fault->node));
    fact_text(node, "return", facts_node_name(build, fault->back));
    fact_flag(node, "solved", fault->status == SOLVE_OK);
    if (fault->direct)
        fact_text(node, "method", "direct-volts");
    if (fault->status == SOLVE_NOT_KNOWN)
        fact_flag(node, "feed-known", false);
    if (fault->status != SOLVE_OK)
        fact_text(node, "blame", fault->blame);
    return node;
}

/* A short of no rail: every fuse that sees it has a known marking, or it is cleared all the same. */
static bool is_judged(const struct facts_build *build, const struct fault *fault)
{
    if (fault->outcome == OUTCOME_UNKNOWN)
        return false;
    for (size_t i = 0; fault->outcome == OUTCOME_FED_ON && i < fault->through_count; i++)
        if (!build->stages->whatif->fuses[fault->through[i].fuse].known)
            return false;
    return true;
}

void facts_add_faults(const struct facts_build *build)
{
    const struct whatif *whatif = build->stages->whatif;

    for (size_t i = 0; i < build->judge->fault_count; i++) {
        const struct fault_view *view = &build->judge->faults[i];
        xmlNode *node = add_fault(build, view->fault);

        if (view->solved)
            describe_solved(build, node, view->fault, view, view->dropper, view->judged);
    }
    for (size_t i = build->judge->fault_count; whatif != NULL && i < whatif->fault_count; i++) {
        const struct fault *fault = &whatif->faults[i];
        xmlNode *node = add_fault(build, fault);

        if (fault->status == SOLVE_OK)
            describe_solved(build, node, fault, NULL, fault->limiter != NULL, is_judged(build, fault));
    }
}
