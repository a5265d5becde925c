#include "base/forest.h"

#include "base/arena.h"

size_t *forest_new(struct arena *arena, size_t count)
{
    size_t *parents = arena_array(arena, count + 1, sizeof *parents);

    for (size_t i = 0; i < count; i++)
        parents[i] = i;
    return parents;
}

size_t forest_root(size_t *parents, size_t item)
{
    while (parents[item] != item) {
        parents[item] = parents[parents[item]];
        item = parents[item];
    }
    return item;
}

void forest_join(size_t *parents, size_t a, size_t b)
{
    a = forest_root(parents, a);
    b = forest_root(parents, b);
    if (a < b)
        parents[b] = a;
    else
        parents[a] = b;
}

bool forest_joined(size_t *parents, size_t a, size_t b)
{
    return forest_root(parents, a) == forest_root(parents, b);
}
