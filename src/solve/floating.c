#include "solve/floating.h"

#include "base/arena.h"
#include "base/forest.h"
#include "device/device.h"
#include "device/network.h"

size_t floating_nodes(struct arena *arena, const struct network *network, size_t *nodes)
{
    size_t *parents = forest_new(arena, network->node_count), count = 0;

    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        if (element->device == &device_capacitor || element->device == &device_open)
            continue;
        for (size_t k = 0; k + 1 < element->node_count; k += 2)
            forest_join(parents, element->nodes[k], element->nodes[k + 1]);
    }
    for (size_t i = 0; i < network->node_count; i++)
        if (forest_root(parents, i) == i && !forest_joined(parents, i, network->ground))
            nodes[count++] = i;
    return count;
}
