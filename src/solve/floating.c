#include "solve/floating.h"

#include "base/arena.h"
#include "device/device.h"
#include "device/network.h"

static size_t root_of(size_t *parents, size_t node)
{
    while (parents[node] != node) {
        parents[node] = parents[parents[node]];
        node = parents[node];
    }
    return node;
}

/* The lower index becomes the root, so that results do not depend on the order of elements. */
static void join(size_t *parents, size_t a, size_t b)
{
    a = root_of(parents, a);
    b = root_of(parents, b);
    if (a < b)
        parents[b] = a;
    else
        parents[a] = b;
}

size_t floating_nodes(struct arena *arena, const struct network *network, size_t *nodes)
{
    size_t *parents = arena_array(arena, network->node_count, sizeof *parents), count = 0;

    for (size_t i = 0; i < network->node_count; i++)
        parents[i] = i;
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        if (element->device == &device_capacitor || element->device == &device_open)
            continue;
        for (size_t k = 0; k + 1 < element->node_count; k += 2)
            join(parents, element->nodes[k], element->nodes[k + 1]);
    }
    for (size_t i = 0; i < network->node_count; i++)
        if (root_of(parents, i) == i && root_of(parents, network->ground) != i)
            nodes[count++] = i;
    return count;
}
