#include "whatif/island.h"

#include <stdint.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"

/* Union-find with path halving. */
static size_t root_of(size_t *parent, size_t node)
{
    while (parent[node] != node) {
        parent[node] = parent[parent[node]];
        node = parent[node];
    }
    return node;
}

/* A source whose terminals stay where they are whatever happens: the mains, or a source on the ground. */
static bool is_stiff(const struct network *network, const struct element *element)
{
    const struct branch *branch = &network->branches[element->first_branch];

    if (element->branch_count == 0 || branch->kind != BRANCH_SOURCE)
        return false;
    return branch->from == network->ground || branch->to == network->ground ||
           network->parts->items[element->part->index].kind == PART_INLET;
}

static bool *stiff_nodes(struct arena *arena, const struct network *network)
{
    bool *stiff = arena_array(arena, network->node_count, sizeof *stiff);

    stiff[network->ground] = true;
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        if (!is_stiff(network, element))
            continue;
        for (size_t k = 0; k < element->node_count; k++)
            stiff[element->nodes[k]] = true;
    }
    return stiff;
}

static void join_element(size_t *parent, const bool *stiff, const struct element *element)
{
    size_t first = SIZE_MAX;

    for (size_t k = 0; k < element->node_count; k++) {
        size_t node = element->nodes[k];

        if (stiff[node])
            continue;
        if (first == SIZE_MAX)
            first = node;
        else
            parent[root_of(parent, node)] = root_of(parent, first);
    }
}

struct islands islands_find(struct arena *arena, const struct network *network)
{
    struct islands islands = {
        .of_element = arena_array(arena, network->element_count, sizeof *islands.of_element),
        .of_node = arena_array(arena, network->node_count, sizeof *islands.of_node)};
    size_t *parent = arena_array(arena, network->node_count, sizeof *parent);
    size_t *number = arena_array(arena, network->node_count, sizeof *number);
    bool *stiff = stiff_nodes(arena, network);

    for (size_t i = 0; i < network->node_count; i++) {
        parent[i] = i;
        number[i] = SIZE_MAX;
        islands.of_node[i] = SIZE_MAX;
    }
    for (size_t i = 0; i < network->element_count; i++)
        join_element(parent, stiff, network->elements[i]);
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        islands.of_element[i] = SIZE_MAX;
        for (size_t k = 0; k < element->node_count; k++) {
            size_t root = root_of(parent, element->nodes[k]);

            if (stiff[element->nodes[k]])
                continue;
            if (number[root] == SIZE_MAX)
                number[root] = islands.count++;
            islands.of_element[i] = islands.of_node[element->nodes[k]] = number[root];
        }
    }
    return islands;
}
