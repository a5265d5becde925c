#include "solve/island.h"

#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "base/forest.h"
#include "device/device.h"
#include "device/network.h"

static bool is_ideal_source(const struct element *element)
{
    return element->device == &device_source && element->figures[4] == 0;
}

/* Pieces between which no current can flow: the windings of a transformer are apart here. The reference of each is the network's,
 * else the minus of its first source (the neutral), else its first node. */
static void find_references(struct arena *arena, struct islands *islands)
{
    const struct network *network = islands->network;
    size_t *parents = forest_new(arena, network->node_count);
    bool *has_one = arena_array(arena, network->node_count, sizeof *has_one);

    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        for (size_t k = 0; k + 1 < element->node_count && element->device != &device_open; k += 2)
            forest_join(parents, element->nodes[k], element->nodes[k + 1]);
    }
    islands->is_reference[network->ground] = true;
    has_one[forest_root(parents, network->ground)] = true;
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];
        size_t root = forest_root(parents, element->nodes[element->node_count > 1 ? 1 : 0]);

        if (element->device != &device_source || has_one[root])
            continue;
        has_one[root] = true;
        islands->is_reference[element->nodes[1]] = true;
    }
    for (size_t i = 0; i < network->node_count; i++)
        if (!has_one[forest_root(parents, i)]) {
            has_one[forest_root(parents, i)] = true;
            islands->is_reference[i] = true;
        }
}

/* Ends of ideal sources, listed by node: end E is end E % 2 of element E / 2. */
struct ends {
    size_t *head, *next;
};

static struct ends list_ends(struct arena *arena, const struct network *network)
{
    struct ends ends = {arena_array(arena, network->node_count, sizeof(size_t)),
                        arena_array(arena, 2 * network->element_count, sizeof(size_t))};

    for (size_t i = 0; i < network->node_count; i++)
        ends.head[i] = SIZE_MAX;
    for (size_t i = network->element_count; i-- > 0;)
        for (size_t k = 0; k < 2 && is_ideal_source(network->elements[i]); k++) {
            size_t node = network->elements[i]->nodes[k];

            ends.next[2 * i + k] = ends.head[node];
            ends.head[node] = 2 * i + k;
        }
    return ends;
}

static bool is_fixed(const struct islands *islands, size_t node)
{
    return islands->is_reference[node] || islands->holders[node] != NULL;
}

/* From the references outwards along the ideal sources. */
static void find_holders(struct arena *arena, struct islands *islands)
{
    const struct network *network = islands->network;
    struct ends ends = list_ends(arena, network);
    size_t *queue = arena_array(arena, network->node_count, sizeof *queue), count = 0;

    for (size_t i = 0; i < network->node_count; i++)
        if (islands->is_reference[i])
            queue[count++] = i;
    for (size_t done = 0; done < count; done++)
        for (size_t e = ends.head[queue[done]]; e != SIZE_MAX; e = ends.next[e]) {
            const struct element *source = network->elements[e / 2];
            size_t other = source->nodes[1 - e % 2];

            if (is_fixed(islands, other))
                continue;
            islands->holders[other] = source;
            queue[count++] = other;
        }
}

static bool is_holder(const struct islands *islands, const struct element *element)
{
    return is_ideal_source(element) && (islands->holders[element->nodes[0]] == element ||
                                        islands->holders[element->nodes[1]] == element);
}

static bool belongs(const struct islands *islands, const struct element *element)
{
    return element->device != &device_open && !is_holder(islands, element);
}

/* Any free node of ELEMENT; SIZE_MAX if all are fixed. */
static size_t free_node(const struct islands *islands, const struct element *element)
{
    for (size_t k = 0; k < element->node_count; k++)
        if (!is_fixed(islands, element->nodes[k]))
            return element->nodes[k];
    return SIZE_MAX;
}

static void join_elements(const struct islands *islands, size_t *parents)
{
    const struct network *network = islands->network;

    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];
        size_t first = free_node(islands, element);

        for (size_t k = 0; k < element->node_count && belongs(islands, element); k++)
            if (!is_fixed(islands, element->nodes[k]))
                forest_join(parents, element->nodes[k], first);
    }
}

/* Numbers in the order of the elements. An element between fixed nodes is an island of its own. */
static void number_islands(struct arena *arena, struct islands *islands)
{
    const struct network *network = islands->network;
    size_t *parents = forest_new(arena, network->node_count);
    size_t *numbers = arena_array(arena, network->node_count, sizeof *numbers);

    memset(numbers, 0xff, network->node_count * sizeof *numbers);
    join_elements(islands, parents);
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];
        size_t node = free_node(islands, element), *number;

        islands->of_element[i] = SIZE_MAX;
        if (!belongs(islands, element))
            continue;
        number = node == SIZE_MAX ? &islands->of_element[i] : &numbers[forest_root(parents, node)];
        if (*number == SIZE_MAX)
            *number = islands->count++;
        islands->of_element[i] = *number;
        for (size_t k = 0; k < element->node_count; k++)
            if (!is_fixed(islands, element->nodes[k]))
                islands->of_node[element->nodes[k]] = *number;
    }
}

static void list_elements(struct arena *arena, struct islands *islands)
{
    size_t element_count = islands->network->element_count;
    size_t *next = arena_array(arena, islands->count + 1, sizeof *next);

    islands->first = arena_array(arena, islands->count + 1, sizeof *islands->first);
    islands->elements = arena_array(arena, element_count, sizeof *islands->elements);
    for (size_t i = 0; i < element_count; i++)
        if (islands->of_element[i] != SIZE_MAX)
            islands->first[islands->of_element[i] + 1]++;
    for (size_t i = 0; i < islands->count; i++)
        islands->first[i + 1] += islands->first[i];
    memcpy(next, islands->first, (islands->count + 1) * sizeof *next);
    for (size_t i = 0; i < element_count; i++)
        if (islands->of_element[i] != SIZE_MAX)
            islands->elements[next[islands->of_element[i]]++] = i;
}

void islands_part(struct arena *arena, struct islands *islands)
{
    size_t nodes = islands->network->node_count;

    islands->local_nodes = arena_array(arena, nodes, sizeof *islands->local_nodes);
    memset(islands->local_nodes, 0xff, nodes * sizeof *islands->local_nodes);
}

struct islands islands_find(struct arena *arena, const struct network *network)
{
    size_t nodes = network->node_count;
    struct islands islands = {
        .network = network,
        .of_element = arena_array(arena, network->element_count, sizeof *islands.of_element),
        .of_node = arena_array(arena, nodes, sizeof *islands.of_node),
        .is_reference = arena_array(arena, nodes, sizeof *islands.is_reference),
        .holders = arena_array(arena, nodes, sizeof *islands.holders),
    };

    memset(islands.of_node, 0xff, nodes * sizeof *islands.of_node);
    islands_part(arena, &islands);
    find_references(arena, &islands);
    find_holders(arena, &islands);
    number_islands(arena, &islands);
    list_elements(arena, &islands);
    return islands;
}
