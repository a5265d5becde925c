/* Sections of amplifying valves: what stands between their electrodes, beside what their maker allows. */
#include "rule/facts_build.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"
#include "rule/facts_high_mains.h"
#include "rule/facts_rests.h"
#include "rule/facts_xml.h"
#include "rule/judge.h"
#include "rule/ways.h"
#include "solve/solve.h"
#include "trace/trace.h"

/* A cathode resistor of this and more biases the valve, ohm; less is there to measure by. Common practice, no source. */
static const double bias_ohms = 22;
/* A grid that stands so far below its cathode has a bias of its own, V. Common practice, no source. */
static const double fixed_volts = -2;
/* An anode that may burn so much belongs to an output valve, W. Common practice, no source. */
static const double output_watts = 5;
/* A capacitor of this and more at a screen's own net keeps a resistor behind it from limiting anything, F. Common practice, no
 * source. */
static const double screen_farads = 1e-6;

/* One section with the nodes of its electrodes; SIZE_MAX: not connected, or it has none. */
struct valve_section {
    const struct facts_build *build;
    const struct part_info *info;
    size_t unit;
    size_t anode, cathode, grid, screen;
    bool has_screen;
    bool triode_of_two; /* the triode of a triode-pentode */
};

static size_t role_node(const struct part_info *info, enum pin_role role, size_t unit)
{
    const struct pin *pin = part_role_pin(info, role, unit);

    return pin != NULL && pin->net != NULL ? pin->net->index : SIZE_MAX;
}

static struct valve_section section_of(const struct facts_build *build, const struct part_info *info, size_t unit)
{
    struct valve_section section = {.build = build,
                                    .info = info,
                                    .unit = unit,
                                    .anode = role_node(info, PIN_ANODE, unit),
                                    .cathode = role_node(info, PIN_CATHODE, unit),
                                    .grid = role_node(info, PIN_GRID, unit),
                                    .screen = role_node(info, PIN_SCREEN, unit)};

    section.has_screen = part_role_pin(info, PIN_SCREEN, unit) != NULL;
    section.triode_of_two = info->kind == PART_PENTODE && !section.has_screen;
    if (section.cathode == SIZE_MAX && part_role_pin(info, PIN_CATHODE, unit) == NULL)
        section.cathode = role_node(info, PIN_CATHODE, 0);
    return section;
}

/* FIGURE, or of a triode-pentode's triode OF_TRIODE (FIGURE_COUNT: there is none). */
static double limit(const struct valve_section *section, enum figure_id figure, enum figure_id of_triode)
{
    if (section->triode_of_two)
        figure = of_triode;
    return figure == FIGURE_COUNT ? NAN : part_figure_value(section->info, figure, NAN);
}

static bool is_solved(const struct facts_build *build, size_t node)
{
    const struct solution *healthy = build->stages->healthy;
    size_t rail = node != SIZE_MAX ? build->rail_of_node[node] : SIZE_MAX;

    if (healthy == NULL || node == SIZE_MAX || !healthy->node_solved[node])
        return false;
    return rail == SIZE_MAX || judge_source_solved(build->stages, build->stages->trace->rails[rail].source);
}

/* Mean volts of NODE above the cathode; NAN: not known. */
static double volts_above_cathode(const struct valve_section *section, size_t node)
{
    const struct facts_build *build = section->build;

    if (!is_solved(build, node) || !is_solved(build, section->cathode))
        return NAN;
    facts_rests_node(build, node);
    facts_rests_node(build, section->cathode);
    return build->stages->healthy->nodes[node].mean - build->stages->healthy->nodes[section->cathode].mean;
}

/* What NODE rises to at the nominal mains before any valve draws, V; NAN: not known, or not behind a rectifier. */
static double cold_volts(const struct facts_build *build, size_t node)
{
    const struct trace *trace = build->stages->trace;
    size_t rail = node != SIZE_MAX ? build->rail_of_node[node] : SIZE_MAX;
    const struct rectifier *rectifier;

    if (rail == SIZE_MAX || trace->rails[rail].rectifier >= trace->rectifier_count || trace->rails[rail].negative)
        return NAN;
    rectifier = &trace->rectifiers[trace->rails[rail].rectifier];
    facts_rests_high_mains(build, &trace->sources[rectifier->source]);
    return facts_no_load_high_volts(build, rectifier) /
           facts_high_mains_share(build, &trace->sources[rectifier->source]);
}

static void add_volts(const struct valve_section *section, xmlNode *node)
{
    fact_number(node, "anode-volts", volts_above_cathode(section, section->anode));
    fact_number(node, "largest-anode-volts", limit(section, FIGURE_ANODE_VOLTS, FIGURE_TRIODE_ANODE_VOLTS));
    fact_number(node, "cold-volts", cold_volts(section->build, section->anode));
    fact_number(node, "largest-anode-cold-volts", limit(section, FIGURE_ANODE_COLD_VOLTS, FIGURE_COUNT));
    if (!section->has_screen)
        return;
    fact_number(node, "screen-volts", volts_above_cathode(section, section->screen));
    fact_number(node, "largest-screen-volts", limit(section, FIGURE_SCREEN_VOLTS, FIGURE_COUNT));
    fact_number(node, "screen-cold-volts", cold_volts(section->build, section->screen));
    fact_number(node, "largest-screen-cold-volts", limit(section, FIGURE_SCREEN_COLD_VOLTS, FIGURE_COUNT));
}

/* The most between cathode and an end of the heater at any time, V. */
static void add_heater_cathode(const struct valve_section *section, xmlNode *node)
{
    const struct solution *healthy = section->build->stages->healthy;
    const struct part *part = section->info->part;
    double most = NAN;

    for (size_t i = 0; i < part->pin_count; i++) {
        size_t heater = part->pins[i].net != NULL ? part->pins[i].net->index : SIZE_MAX;
        const struct wave *a, *b;

        if (section->info->pins[i].role != PIN_HEATER || !is_solved(section->build, heater) ||
            !is_solved(section->build, section->cathode) || heater == section->cathode ||
            !ways_joined(section->build->ways, heater, section->build->stages->network->ground))
            continue;
        facts_rests_node(section->build, heater);
        facts_rests_node(section->build, section->cathode);
        a = &healthy->nodes[section->cathode];
        b = &healthy->nodes[heater];
        most = fmax(most, fmax(a->high - b->low, b->high - a->low));
    }
    fact_number(node, "heater-cathode-volts", most);
    fact_number(node, "largest-heater-cathode-volts",
                part_figure_value(section->info, FIGURE_HEATER_CATHODE_VOLTS, NAN));
}

static bool is_output(const struct valve_section *section)
{
    return limit(section, FIGURE_ANODE_WATTS, FIGURE_TRIODE_ANODE_WATTS) >= output_watts;
}

/* Only resistors and valves stand at the screen's own net. */
static bool is_limited(const struct valve_section *section)
{
    const struct network *network = section->build->stages->network;
    size_t count;
    const size_t *at = ways_branches(section->build->ways, section->screen, &count);

    for (size_t i = 0; i < count; i++) {
        const struct branch *branch = &network->branches[at[i]];

        if (facts_part(section->build, branch->part)->kind == PART_OUTPUT_TRANSFORMER)
            return false;
        if (branch->kind != BRANCH_RESISTANCE && branch->kind != BRANCH_LOAD && branch->kind != BRANCH_KIND_COUNT &&
            !(branch->kind == BRANCH_CAPACITANCE && branch->element->figures[0] < screen_farads))
            return false;
    }
    return true;
}

/* How the section gets its bias: by a resistor in its cathode's lead, or from elsewhere. */
static const char *bias_of(const struct valve_section *section)
{
    double cathode = ways_ohms(section->build->ways, section->cathode, section->build->stages->network->ground, WAY_ALL);
    double volts = volts_above_cathode(section, section->grid);

    if (cathode >= bias_ohms && isfinite(cathode))
        return "self";
    return volts <= fixed_volts ? "fixed" : NULL;
}

/* A pin of a sort that the network does not follow stands at NODE: what it leads to is not known. */
static bool leads_on(const struct facts_build *build, size_t node)
{
    const struct net *net = build->stages->network->nodes[node].net;

    for (size_t i = 0; net != NULL && i < net->pin_count; i++)
        switch (facts_part(build, net->pins[i]->part)->kind) {
        case PART_UNKNOWN:
        case PART_CONNECTOR:
        case PART_FEED:
        case PART_OPAMP:
        case PART_JACK:
        case PART_RELAY:
        case PART_SWITCH:
        case PART_TRANSISTOR:
        case PART_FET:
        case PART_CURRENT_SOURCE:
            return true;
        default:
            break;
        }
    return false;
}

/* Something that hangs together with the grid leads on. */
static bool piece_leads_on(const struct facts_build *build, size_t grid)
{
    const struct network *network = build->stages->network;

    for (size_t i = 0; i < network->node_count; i++)
        if (network->nodes[i].net != NULL && ways_joined(build->ways, i, grid) && leads_on(build, i))
            return true;
    return false;
}

static const char *grid_path(const struct valve_section *section)
{
    const struct facts_build *build = section->build;

    if (section->grid == SIZE_MAX)
        return "none";
    if (section->grid == section->cathode || ways_joined(build->ways, section->grid, section->cathode) ||
        ways_joined(build->ways, section->grid, build->stages->network->ground))
        return "yes";
    return piece_leads_on(build, section->grid) ? "unknown" : "none";
}

static void add_grid(const struct valve_section *section, xmlNode *node)
{
    const char *bias = bias_of(section);
    bool self = bias != NULL && strcmp(bias, "self") == 0;
    size_t firm, rail;

    fact_text(node, "grid-path", grid_path(section));
    fact_text(node, "bias", bias);
    if (section->grid == SIZE_MAX)
        return;
    fact_number(node, "grid-ohms", ways_firm_ohms(section->build->ways, section->grid, WAY_ALL));
    fact_number(node, "largest-grid-ohms",
                self ? limit(section, FIGURE_GRID_LEAK_SELF, FIGURE_TRIODE_GRID_LEAK_SELF)
                     : limit(section, FIGURE_GRID_LEAK_FIXED, FIGURE_TRIODE_GRID_LEAK_FIXED));
    facts_rests_named(section->build, NULL, "wiper");
    firm = ways_firm_node(section->build->ways);
    rail = firm != SIZE_MAX ? section->build->rail_of_node[firm] : SIZE_MAX;
    if (!self && rail != SIZE_MAX && section->build->stages->trace->rails[rail].negative)
        fact_text(node, "bias-rail", section->build->stages->trace->rails[rail].id);
}

/* A section of which nothing but its pins on nets of their own is drawn is a spare one. */
static bool is_used(const struct facts_build *build, size_t node)
{
    const struct network *network = build->stages->network;

    return node != SIZE_MAX && network->nodes[node].net != NULL && network->nodes[node].net->pin_count > 1;
}

static void add_section(const struct facts_build *build, const struct part_info *info, size_t unit)
{
    struct valve_section section = section_of(build, info, unit);
    xmlNode *node;

    if (!is_used(build, section.anode) || !is_used(build, section.cathode) ||
        section.anode == build->stages->network->ground)
        return;
    node = fact_element(build->root, "section");
    fact_text(node, "part", info->part->ref);
    fact_count(node, "unit", unit + 1);
    fact_text(node, "type", info->type);
    fact_flag(node, "output-valve", is_output(&section));
    add_volts(&section, node);
    add_heater_cathode(&section, node);
    if (section.screen != SIZE_MAX && section.screen != section.anode)
        fact_flag(node, "screen-limited", is_limited(&section));
    add_grid(&section, node);
    facts_rests_write(build, node);
}

void facts_add_sections(const struct facts_build *build)
{
    const struct parts *parts = build->stages->parts;

    for (size_t i = 0; build->stages->trace != NULL && i < parts->count; i++) {
        const struct part_info *info = &parts->items[i];
        size_t units = part_unit_count(info);

        if (info->part->not_fitted || (info->kind != PART_TRIODE && info->kind != PART_PENTODE))
            continue;
        for (size_t unit = 0; unit < (units > 0 ? units : 1); unit++)
            if (part_role_pin(info, PIN_ANODE, unit) != NULL)
                add_section(build, info, unit);
    }
}
