#include "rule/facts.h"

#include <stdint.h>

#include "base/arena.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "rule/facts_build.h"
#include "rule/facts_rests.h"
#include "rule/facts_xml.h"
#include "rule/fuse_index.h"
#include "rule/judge.h"
#include "rule/ways.h"
#include "solve/solve.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

bool facts_solved(const struct facts_build *build)
{
    return build->stages->healthy != NULL && build->stages->healthy->status == SOLVE_OK;
}

const struct part_info *facts_part(const struct facts_build *build, const struct part *part)
{
    return &build->stages->parts->items[part->index];
}

const char *facts_branch_ref(const struct facts_build *build, size_t branch)
{
    const struct network *network = build->stages->network;

    return branch < network->branch_count ? network->branches[branch].part->ref : NULL;
}

const char *facts_node_name(const struct facts_build *build, size_t node)
{
    const struct network *network = build->stages->network;

    return node < network->node_count ? network->nodes[node].name : NULL;
}

static void claim(size_t *rail_of_node, size_t node, size_t rail)
{
    if (rail_of_node[node] == SIZE_MAX)
        rail_of_node[node] = rail;
}

/* Nodes of a rail proper first, then what rails feed; the first rail keeps a node. */
static const size_t *rails_of_nodes(const struct facts_build *build)
{
    const struct trace *trace = build->stages->trace;
    size_t count = build->stages->network->node_count;
    size_t *rail_of_node = arena_array(build->arena, count, sizeof *rail_of_node);

    for (size_t i = 0; i < count; i++)
        rail_of_node[i] = SIZE_MAX;
    for (size_t r = 0; trace != NULL && r < trace->rail_count; r++)
        for (size_t i = 0; i < trace->rails[r].node_count; i++)
            claim(rail_of_node, trace->rails[r].nodes[i].node, r);
    for (size_t r = 0; trace != NULL && r < trace->rail_count; r++)
        for (size_t i = 0; i < trace->rails[r].fed_count; i++)
            claim(rail_of_node, trace->rails[r].fed[i], r);
    return rail_of_node;
}

static void describe_root(const struct facts_build *build)
{
    const struct circuit *circuit = build->stages->circuit;
    const struct solution *healthy = build->stages->healthy;
    const char *file = circuit->source != NULL ? circuit->source->name : NULL;

    fact_text(build->root, "version", FACTS_VERSION);
    fact_text(build->root, "circuit", circuit->title != NULL ? circuit->title : file);
    fact_text(build->root, "source", file);
    fact_text(build->root, "format", circuit->format);
    fact_number(build->root, "hertz", build->stages->network->hertz);
    fact_flag(build->root, "solved", facts_solved(build));
    if (healthy != NULL && healthy->status != SOLVE_OK)
        fact_text(build->root, "blame", healthy->blame);
    facts_rests_named(build, NULL, "hertz");
    facts_rests_write(build, build->root);
    if (build->stages->whatif == NULL)
        return;
    fact_count(build->root, "nodes-behind-droppers", build->stages->whatif->behind_dropper);
    fact_count(build->root, "valves-behind-droppers", build->stages->whatif->valves_passed_over);
}

/* The netlists that make the circuit, if they are several. */
static void add_files(const struct facts_build *build)
{
    const struct circuit *circuit = build->stages->circuit;

    for (size_t i = 0; i < circuit->file_count; i++) {
        const struct circuit_file *file = &circuit->files[i];
        xmlNode *node = fact_element(build->root, "netlist");

        fact_text(node, "name", file->name);
        fact_text(node, "file", file->source->name);
        fact_text(node, "format", file->format);
        fact_flag(node, "wires", file->wires);
        fact_count(node, "parts", file->part_count);
        fact_count(node, "wired-pins", file->wired);
        fact_text(node, "ground", file->ground);
        if (file->net != NULL) {
            fact_text(node, "ground-net", file->net->name);
            fact_flag(node, "grounded", file->grounded);
        }
    }
}

xmlDoc *facts_build(const struct findings_of_stages *stages)
{
    struct facts_build build = {.arena = stages->circuit->arena, .stages = stages};
    xmlDoc *document = xmlNewDoc((const xmlChar *)"1.0");

    build.root = xmlNewNode(NULL, (const xmlChar *)"facts");
    xmlDocSetRootElement(document, build.root);
    build.gaps_seen = map_new();
    build.judge = judge_stages(build.arena, stages);
    build.fuse_entries = fuse_index_new(build.arena, build.judge);
    build.rail_of_node = rails_of_nodes(&build);
    build.ways = ways_new(build.arena, stages->network);
    facts_gather_assumptions(&build);
    build.rests = facts_rests_new(&build);
    facts_find_unknown_parts(&build);
    describe_root(&build);
    add_files(&build);
    facts_add_assumptions(&build);
    facts_add_gaps(&build);
    facts_add_nets(&build);
    facts_add_parts(&build);
    facts_add_sources(&build);
    facts_add_mains(&build);
    facts_add_rectifiers(&build);
    facts_add_rails(&build);
    facts_add_fuses(&build);
    facts_add_output_stages(&build);
    facts_add_jacks(&build);
    facts_add_loudspeaker_sides(&build);
    facts_add_sections(&build);
    facts_add_strings(&build);
    facts_add_unrated(&build);
    facts_add_silicon(&build);
    facts_add_faults(&build);
    facts_add_bench(&build);
    facts_rests_free(build.rests);
    map_free(build.gaps_seen);
    return document;
}
