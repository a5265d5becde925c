#include "device/direct_path.h"

#include "base/arena.h"
#include "device/device.h"
#include "device/network.h"

/* The root of NODE's tree; halves the path to it. */
static size_t root_of(size_t *paths, size_t node)
{
    while (paths[node] != node) {
        paths[node] = paths[paths[node]];
        node = paths[node];
    }
    return node;
}

void direct_path_join(size_t *paths, size_t a, size_t b)
{
    paths[root_of(paths, a)] = root_of(paths, b);
}

bool direct_path_exists(size_t *paths, size_t a, size_t b)
{
    return root_of(paths, a) == root_of(paths, b);
}

size_t *direct_paths(struct arena *arena, const struct network *network)
{
    size_t *paths = arena_array(arena, network->node_count, sizeof *paths);

    for (size_t i = 0; i < network->node_count; i++)
        paths[i] = i;
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        if (element->device == &device_capacitor || element->device == &device_open)
            continue;
        for (size_t k = 0; k + 1 < element->node_count; k += 2)
            direct_path_join(paths, element->nodes[k], element->nodes[k + 1]);
    }
    return paths;
}
