/* Fuses that something lies across: a wire, a closed contact, a resistor of next to nothing, another fuse. */
#include "rule/facts_build.h"

#include <stdint.h>

#include "base/arena.h"
#include "base/text.h"
#include "rule/facts_xml.h"

/* At most this is as good as a wire across a fuse, ohm. Links of 50 mA and more are of this order or above (common
 * practice, no source). */
static const double bridging_ohms = 1.0;

/* A walk over what is as good as a wire. */
struct bridge_walk {
    const struct network *network;
    size_t fuse;
    size_t *arrival; /* by node: branch it was reached by; SIZE_MAX: not reached */
};

static bool bridges(const struct branch *branch)
{
    return branch->kind == BRANCH_FUSE || branch->kind == BRANCH_CONTACT ||
           (branch->kind == BRANCH_RESISTANCE && branch->element->figures[0] > 0 &&
            branch->element->figures[0] <= bridging_ohms);
}

/* Reaches one end of BRANCH from the other; true if that end is new. */
static bool cross(struct bridge_walk *walk, const struct branch *branch, size_t start)
{
    bool from = branch->from == start || walk->arrival[branch->from] != SIZE_MAX;
    bool to = branch->to == start || walk->arrival[branch->to] != SIZE_MAX;

    if (from == to)
        return false;
    walk->arrival[from ? branch->to : branch->from] = branch->index;
    return true;
}

/* Whether the other end of the fuse is reached without it. */
static bool walk_round(struct bridge_walk *walk, const struct branch *fuse)
{
    bool grown = true;

    while (grown && walk->arrival[fuse->to] == SIZE_MAX) {
        grown = false;
        for (size_t i = 0; i < walk->network->branch_count; i++)
            if (i != walk->fuse && bridges(&walk->network->branches[i]))
                grown = cross(walk, &walk->network->branches[i], fuse->from) || grown;
    }
    return walk->arrival[fuse->to] != SIZE_MAX;
}

/* The parts on the way found; *FUSED: a fuse is among them. */
static void list_way(const struct facts_build *build, const struct bridge_walk *walk,
                     const struct branch *fuse, struct text *text, bool *fused)
{
    for (size_t node = fuse->to; node != fuse->from;) {
        const struct branch *branch = &walk->network->branches[walk->arrival[node]];

        text_print(text, "%s%s", text->length > 0 ? " " : "",
                   facts_branch_ref(build, branch->index));
        *fused = *fused || branch->kind == BRANCH_FUSE;
        node = branch->from == node ? branch->to : branch->from;
    }
}

void facts_add_bridge(const struct facts_build *build, xmlNode *node, size_t fuse_branch)
{
    const struct network *network = build->stages->network;
    const struct branch *fuse = &network->branches[fuse_branch];
    struct bridge_walk walk = {.network = network, .fuse = fuse_branch};
    struct text text = {0};
    bool fused = false;

    if (fuse->from == fuse->to) {
        fact_text(node, "bridge", "wire");
        return;
    }
    walk.arrival = arena_array(build->arena, network->node_count, sizeof *walk.arrival);
    for (size_t i = 0; i < network->node_count; i++)
        walk.arrival[i] = SIZE_MAX;
    if (walk_round(&walk, fuse)) {
        list_way(build, &walk, fuse, &text, &fused);
        fact_text(node, "bridge", fused ? "fuse" : "part");
        fact_text(node, "bridged-by", text_bytes(&text));
    }
    text_free(&text);
}
