/* The mains side as a bench looks at it: what is switched, what is earthed, what the inlet may carry, which capacitors hang
 * on the line. */
#include "rule/facts_build.h"

#include <ctype.h>
#include <math.h>
#include <stdint.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "bench/bench.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "fuselink/fuselink.h"
#include "parts/parts.h"
#include "rule/facts_xml.h"
#include "rule/judge.h"
#include "rule/ways.h"
#include "trace/trace.h"
#include "whatif/whatif.h"

/* A resistance of less than this between the conductors is a load, ohm; more is a bleed. Common practice, no source. */
static const double bleed_ohms = 1e5;
/* A bond in the protective earth, ohm: IEC 60950-1 clause 2.6.3 and IEC 60065 allow 0.1 ohm. */
static const double bond_ohms = 0.1;
/* A lift of the circuit's ground, ohm: common practice, no source. */
static const double lift_ohms = 1000;

/* One inlet with the nodes of its pins; SIZE_MAX: not there. */
struct mains_side {
    const struct facts_build *build;
    const struct mains *mains;
    const struct part_info *info;
    size_t live, neutral, earth;
    bool *live_side, *neutral_side; /* by node */
};

/* Inlets of IEC 60320, what they may carry (A) and their class of protection: IEC 60320-1, standard sheets. */
struct inlet_row {
    const char *name;
    double amps;
    const char *class;
};
static const struct inlet_row inlets[] = {
    {"C6", 2.5, "I"}, {"C8", 2.5, "II"}, {"C14", 10, "I"}, {"C16", 10, "I"}, {"C18", 10, "II"}, {"C20", 16, "I"}};

static size_t pin_node(const struct part_info *info, enum pin_role role)
{
    const struct pin *pin = part_role_pin(info, role, 0);

    return pin != NULL && pin->net != NULL ? pin->net->index : SIZE_MAX;
}

static bool takes_part(const struct mains_side *side, const bool *own, const struct branch *branch, bool contacts)
{
    return branch->part != side->info->part && branch->kind != BRANCH_CAPACITANCE &&
           branch->kind != BRANCH_KIND_COUNT && (contacts || branch->kind != BRANCH_CONTACT) && own[branch->from] &&
           own[branch->to];
}

/* The nodes that START reaches inside its conductor's nodes OWN. */
static bool *reach(const struct mains_side *side, size_t start, const bool *own, bool contacts, bool fuses)
{
    const struct network *network = side->build->stages->network;
    bool *reached = arena_array(side->build->arena, network->node_count, sizeof *reached);
    bool grown = true;

    reached[start] = true;
    while (grown) {
        grown = false;
        for (size_t i = 0; i < network->branch_count; i++) {
            const struct branch *branch = &network->branches[i];

            if (!takes_part(side, own, branch, contacts) || (!fuses && branch->kind == BRANCH_FUSE) ||
                reached[branch->from] == reached[branch->to])
                continue;
            reached[branch->from] = reached[branch->to] = true;
            grown = true;
        }
    }
    return reached;
}

static bool is_load(const struct network *network, const struct branch *branch)
{
    double ohms = ways_branch_ohms(network, branch->index);

    return branch->kind == BRANCH_WINDING || branch->kind == BRANCH_RECTIFIER || branch->kind == BRANCH_LOAD ||
           (!isnan(ohms) && ohms < bleed_ohms && branch->kind != BRANCH_FUSE && branch->kind != BRANCH_CONTACT);
}

/* Some load is reached from START without a contact on the way. */
static bool is_unswitched(const struct mains_side *side, size_t start, const bool *own)
{
    const struct network *network = side->build->stages->network;
    bool *reached = reach(side, start, own, false, true);

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->part != side->info->part && is_load(network, branch) && !(own[branch->from] && own[branch->to]) &&
            (reached[branch->from] || reached[branch->to]))
            return true;
    }
    return false;
}

/* The switch that stands before the fuse in the live; NULL: none. */
static const char *switch_ahead(const struct mains_side *side)
{
    const struct network *network = side->build->stages->network;
    bool *reached = reach(side, side->live, side->live_side, true, false);

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->kind == BRANCH_CONTACT && reached[branch->from] && reached[branch->to] &&
            takes_part(side, side->live_side, branch, true))
            return branch->part->ref;
    }
    return NULL;
}

/* Nodes with ROLE, and START. Where the reference itself is a conductor, it is that conductor's only node. */
static bool *nodes_of(const struct facts_build *build, enum net_role role, size_t start)
{
    const struct network *network = build->stages->network;
    bool *own = arena_array(build->arena, network->node_count, sizeof *own);

    for (size_t i = 0; i < network->node_count; i++)
        own[i] = build->stages->trace->roles[i] == role;
    own[start] = true;
    return own;
}

/* ---- earth ---- */

/* Trade usage, no source; as in trace/roles.c, where an earth conductor is first of all that. */
static bool is_case(const struct facts_build *build, size_t node)
{
    static const char *const names[] = {"chassis", "frame", "case", "chassis_gnd"};
    const struct net *net = build->stages->network->nodes[node].net;

    for (size_t i = 0; net != NULL && i < sizeof names / sizeof *names; i++)
        if (strcasecmp(net->leaf, names[i]) == 0)
            return true;
    return build->stages->trace->roles[node] == NET_CHASSIS;
}

/* Net that is the metal case by its name, else the circuit's ground. */
static size_t chassis_node(const struct facts_build *build, bool *named)
{
    const struct network *network = build->stages->network;

    *named = false;
    for (size_t i = 0; i < network->node_count; i++)
        if (is_case(build, i)) {
            *named = true;
            return i;
        }
    return network->ground;
}

/* A switch with a pin in the earth conductor. */
static const char *earth_switch(const struct mains_side *side)
{
    const struct network *network = side->build->stages->network;
    struct ways *ways = side->build->ways;
    size_t count;
    const size_t *at = ways_branches(ways, side->earth, &count);

    for (size_t i = 0; i < count; i++)
        if (network->branches[at[i]].kind == BRANCH_CONTACT)
            return network->branches[at[i]].part->ref;
    for (size_t i = 0; i < network->nodes[side->earth].net->pin_count; i++) {
        const struct part_info *info = facts_part(side->build, network->nodes[side->earth].net->pins[i]->part);

        if (info->kind == PART_SWITCH || info->kind == PART_STANDBY_SWITCH || info->kind == PART_RELAY)
            return info->part->ref;
    }
    return NULL;
}

static const char *bond_name(const struct mains_side *side, double ohms, size_t chassis)
{
    if (ohms <= bond_ohms)
        return "direct";
    if (ohms <= lift_ohms || ways_joined(side->build->ways, side->earth, chassis))
        return "lifted";
    return "none";
}

static void add_earth(const struct mains_side *side, xmlNode *node)
{
    bool named, has_pin = part_role_pin(side->info, PIN_EARTH, 0) != NULL;
    size_t chassis = chassis_node(side->build, &named);
    double ohms, unswitched;

    if (named)
        fact_text(node, "chassis", facts_node_name(side->build, chassis));
    if (side->info->kind != PART_INLET)
        return;
    if (side->earth == SIZE_MAX) {
        fact_text(node, "earth-bond", has_pin ? "not-connected" : "no-pin");
        return;
    }
    ohms = ways_ohms(side->build->ways, side->earth, chassis, WAY_CONTACT);
    unswitched = ways_ohms(side->build->ways, side->earth, chassis, 0);
    fact_text(node, "earth-bond", bond_name(side, ohms, chassis));
    fact_number(node, "earth-bond-ohms", ohms);
    if (side->earth != side->build->stages->network->ground && !(unswitched <= lift_ohms))
        fact_text(node, "earth-switch", earth_switch(side));
}

/* ---- selector ---- */

/* More than one throw of a pole leads somewhere. */
static bool has_positions(const struct part_info *info)
{
    for (size_t unit = 0; unit < part_unit_count(info); unit++) {
        size_t throws = 0;

        for (size_t i = 0; i < info->part->pin_count; i++) {
            const struct net *net = info->part->pins[i].net;

            throws += info->pins[i].role == PIN_THROW && info->pins[i].unit == unit && net != NULL && net->pin_count > 1;
        }
        if (throws > 1)
            return true;
    }
    return false;
}

static bool is_primary(const struct facts_build *build, const struct pin *pin)
{
    const struct part_info *info = facts_part(build, pin->part);

    for (size_t i = 0; info->kind == PART_TRANSFORMER && i < info->section_count; i++)
        if (info->windings[info->sections[i].winding].primary &&
            (info->sections[i].start == pin || info->sections[i].end == pin))
            return true;
    return false;
}

static bool is_at_primary(const struct facts_build *build, const struct part *part)
{
    for (size_t i = 0; i < part->pin_count; i++)
        for (size_t k = 0; part->pins[i].net != NULL && k < part->pins[i].net->pin_count; k++)
            if (is_primary(build, part->pins[i].net->pins[k]))
                return true;
    return false;
}

/* A bench file says how the switch stands: whoever wrote it goes through the positions. */
static bool is_set(const struct facts_build *build, const char *ref)
{
    const struct bench *bench = build->stages->bench;

    for (size_t i = 0; bench != NULL && i < bench->count; i++) {
        const char *part = bench->items[i]->word == BENCH_SWITCH ? statement_text(bench->items[i], "part") : NULL;

        if (part != NULL && strcmp(part, ref) == 0)
            return true;
    }
    return false;
}

static const char *selector(const struct facts_build *build)
{
    const struct parts *parts = build->stages->parts;

    for (size_t i = 0; i < parts->count; i++) {
        const struct part_info *info = &parts->items[i];

        if (info->kind == PART_SWITCH && !info->part->not_fitted && has_positions(info) &&
            is_at_primary(build, info->part) && !is_set(build, info->part->ref))
            return info->part->ref;
    }
    return NULL;
}

/* ---- inlet ---- */

static const struct inlet_row *inlet_row(const struct part_info *info)
{
    for (size_t i = 0; info->role != NULL && i < sizeof inlets / sizeof *inlets; i++)
        if (strcmp(info->role, inlets[i].name) == 0)
            return &inlets[i];
    return NULL;
}

/* The least rated current of the fuses in the live, A; NAN: none is known. */
static double least_fuse(const struct mains_side *side)
{
    double least = NAN;

    for (size_t i = 0; i < side->mains->live_fuse_count; i++) {
        const struct fuse_view *view = judge_fuse(side->build->judge, side->mains->live_fuses[i]);

        if (view != NULL && view->state != NULL && view->state->marking.rated)
            least = fmin(least, view->state->marking.amps);
    }
    return least;
}

static void add_inlet(const struct mains_side *side, xmlNode *node)
{
    const struct inlet_row *row = inlet_row(side->info);

    if (side->info->kind != PART_INLET)
        return;
    fact_text(node, "inlet", side->info->role);
    fact_text(node, "inlet-class", row != NULL ? row->class
                                   : part_role_pin(side->info, PIN_EARTH, 0) != NULL ? "I"
                                                                                     : "II");
    if (row != NULL)
        fact_number(node, "inlet-amps", row->amps);
    fact_number(node, "least-fuse-amps", least_fuse(side));
}

/* ---- capacitors ---- */

/* The classes of IEC 60384-14 that TEXT names: "X2", "X1Y2", as one word; they go on after what WORDS holds. */
static void find_classes(const char *text, char *words, size_t size)
{
    for (size_t i = 0; text != NULL && text[i] != '\0'; i++) {
        char letter = (char)toupper((unsigned char)text[i]);
        bool starts = i == 0 || !isalnum((unsigned char)text[i - 1]) ||
                      (i >= 2 && isdigit((unsigned char)text[i - 1]) && strchr("XxYy", text[i - 2]) != NULL);
        char after = letter == 'X' || letter == 'Y' ? text[i + 1] : '\0';
        char next = after != '\0' ? text[i + 2] : '\0';
        size_t length = strlen(words);

        if (starts && after >= '1' && after <= '4' && (!isalnum((unsigned char)next) || strchr("XxYy", next) != NULL) &&
            length + 3 < size) {
            words[length] = letter;
            words[length + 1] = after;
            words[length + 2] = '\0';
        }
    }
}

static const char *class_of(const struct facts_build *build, const struct part *part)
{
    char words[16] = "";

    find_classes(part->value, words, sizeof words);
    find_classes(part->symbol, words, sizeof words);
    find_classes(part->description, words, sizeof words);
    for (size_t i = 0; i < part->field_count; i++)
        find_classes(part->fields[i].value, words, sizeof words);
    return words[0] != '\0' ? arena_copy(build->arena, words) : NULL;
}

/* PLACE "line": between the conductors; "chassis": from one of them to anything else. */
static void add_capacitor(const struct mains_side *side, xmlNode *mains, const struct branch *branch, const char *place)
{
    xmlNode *node = fact_element(mains, "line-capacitor");
    const struct part_info *info = facts_part(side->build, branch->part);
    const char *class = class_of(side->build, branch->part);
    double farads = branch->element->figures[0], ohms;

    fact_text(node, "part", branch->part->ref);
    fact_text(node, "place", place);
    fact_text(node, "class", class);
    if (class != NULL)
        fact_flag(node, "class-y", strchr(class, 'Y') != NULL);
    fact_number(node, "farads", farads);
    fact_number(node, "rated-volts", part_figure_value(info, FIGURE_RATED_VOLTS, NAN));
    if (strcmp(place, "line") != 0)
        return;
    ohms = ways_ohms(side->build->ways, branch->from, branch->to, WAY_WINDING);
    fact_number(node, "bleed-ohms", ohms);
    fact_number(node, "seconds", ohms * farads);
}

static void add_capacitors(const struct mains_side *side, xmlNode *mains)
{
    const struct network *network = side->build->stages->network;
    const bool *live = side->live_side, *neutral = side->neutral_side;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];
        bool from = live[branch->from] || neutral[branch->from], to = live[branch->to] || neutral[branch->to];

        if (branch->kind != BRANCH_CAPACITANCE || (!from && !to))
            continue;
        if (live[branch->from] != live[branch->to] && from == to)
            add_capacitor(side, mains, branch, "line");
        else if (from != to && (from ? branch->from : branch->to) != network->ground)
            add_capacitor(side, mains, branch, "chassis");
    }
}

static struct mains_side side_of(const struct facts_build *build, const struct mains *mains)
{
    const struct trace_source *source = &build->stages->trace->sources[mains->source];
    const struct branch *branch = &build->stages->network->branches[source->branches[0]];
    struct mains_side side = {.build = build, .mains = mains, .info = facts_part(build, source->part)};

    side.live = pin_node(side.info, PIN_LIVE);
    side.neutral = pin_node(side.info, PIN_NEUTRAL);
    side.earth = pin_node(side.info, PIN_EARTH);
    if (side.live == SIZE_MAX || side.neutral == SIZE_MAX) {
        side.live = branch->from;
        side.neutral = branch->to;
    }
    side.live_side = nodes_of(build, NET_LIVE, side.live);
    side.neutral_side = nodes_of(build, NET_NEUTRAL, side.neutral);
    return side;
}

void facts_add_mains_side(const struct facts_build *build, xmlNode *node, const struct mains *mains)
{
    struct mains_side side = side_of(build, mains);

    fact_flag(node, "live-switched", !is_unswitched(&side, side.live, side.live_side));
    fact_flag(node, "neutral-switched", !is_unswitched(&side, side.neutral, side.neutral_side));
    if (mains->live_fused)
        fact_text(node, "switch-ahead-of-fuse", switch_ahead(&side));
    fact_text(node, "selector", selector(build));
    add_inlet(&side, node);
    add_earth(&side, node);
}

void facts_add_line_capacitors(const struct facts_build *build, xmlNode *node, const struct mains *mains)
{
    struct mains_side side = side_of(build, mains);

    add_capacitors(&side, node);
}
