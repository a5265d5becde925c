#include "solve/excerpt.h"

#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/island.h"
#include "solve/solution.h"
#include "solve/solve.h"

struct copying {
    struct arena *arena;
    const struct islands *islands;
    struct excerpt excerpt;
    size_t node_capacity, branch_capacity;
    size_t *held;      /* nodes of the whole whose holders are still to be copied */
    size_t held_count, held_capacity;
};

static void note_held(struct copying *copying, size_t node)
{
    if (copying->islands->holders[node] == NULL)
        return;
    copying->held = arena_grow(copying->arena, copying->held, &copying->held_capacity,
                               copying->held_count, sizeof *copying->held);
    copying->held[copying->held_count++] = node;
}

/* The excerpt's node for NODE of the whole, made when it is first met. */
static size_t local_node(struct copying *copying, size_t node)
{
    const struct islands *islands = copying->islands;
    struct excerpt *excerpt = &copying->excerpt;
    size_t local;

    if (islands->is_reference[node])
        return 0;
    if (islands->local_nodes[node] != SIZE_MAX)
        return islands->local_nodes[node];
    local = network_add_node(excerpt->network, islands->network->nodes[node].name,
                             islands->network->nodes[node].net);
    excerpt->nodes = arena_grow(copying->arena, excerpt->nodes, &copying->node_capacity, local,
                                sizeof *excerpt->nodes);
    excerpt->nodes[local] = node;
    islands->local_nodes[node] = local;
    note_held(copying, node);
    return local;
}

static void copy_branch(struct copying *copying, struct element *copy, const struct branch *branch)
{
    struct excerpt *excerpt = &copying->excerpt;
    struct branch *made =
        network_add_branch(excerpt->network, copy, local_node(copying, branch->from),
                           local_node(copying, branch->to), branch->kind, branch->one_way);

    made->part = branch->part;
    made->section = branch->section;
    excerpt->branches = arena_grow(copying->arena, excerpt->branches, &copying->branch_capacity,
                                   made->index, sizeof *excerpt->branches);
    excerpt->branches[made->index] = branch->index;
}

static void copy_element(struct copying *copying, const struct element *element)
{
    const struct network *whole = copying->islands->network;
    size_t *nodes = arena_array(copying->arena, element->node_count, sizeof *nodes);
    struct element *copy;

    for (size_t k = 0; k < element->node_count; k++)
        nodes[k] = local_node(copying, element->nodes[k]);
    copy = network_add_element(copying->excerpt.network, element->device, element->part, nodes,
                               element->node_count);
    memcpy(copy->figures, element->figures, sizeof copy->figures);
    copy->matrix = element->matrix;
    copy->section_count = element->section_count;
    copy->turns = element->turns;
    copy->ohms = element->ohms;
    for (size_t i = 0; i < element->branch_count; i++)
        copy_branch(copying, copy, &whole->branches[element->first_branch + i]);
}

static void note_hertz(struct network *network)
{
    for (size_t i = 0; i < network->element_count; i++) {
        const double *figures = network->elements[i]->figures;

        if (network->elements[i]->device == &device_source && figures[1] != 0 && figures[2] > 0 &&
            (network->hertz <= 0 || figures[2] < network->hertz))
            network->hertz = figures[2];
    }
}

static struct copying copying_new(struct arena *arena, const struct islands *islands)
{
    const struct network *whole = islands->network;
    struct copying copying = {.arena = arena, .islands = islands};
    struct excerpt *excerpt = &copying.excerpt;

    excerpt->network = arena_alloc(arena, sizeof *excerpt->network);
    excerpt->network->arena = arena;
    excerpt->network->parts = whole->parts;
    network_add_node(excerpt->network, whole->nodes[whole->ground].name,
                     whole->nodes[whole->ground].net);
    excerpt->nodes = arena_grow(arena, NULL, &copying.node_capacity, 0, sizeof *excerpt->nodes);
    excerpt->nodes[0] = whole->ground;
    return copying;
}

struct excerpt excerpt_new(struct arena *arena, const struct islands *islands,
                           const struct excerpt_wish *wish)
{
    const struct network *whole = islands->network;
    struct copying copying = copying_new(arena, islands);
    struct excerpt *excerpt = &copying.excerpt;

    for (size_t i = 0; i < wish->island_count; i++) {
        size_t end = islands->first[wish->islands[i] + 1];

        for (size_t e = islands->first[wish->islands[i]]; e < end; e++)
            copy_element(&copying, whole->elements[islands->elements[e]]);
    }
    for (size_t i = 0; i < wish->node_count; i++)
        local_node(&copying, wish->nodes[i]);
    excerpt->own_branches = excerpt->network->branch_count;
    for (size_t i = 0; i < copying.held_count; i++)
        copy_element(&copying, islands->holders[copying.held[i]]);
    for (size_t i = 1; i < excerpt->network->node_count; i++)
        islands->local_nodes[excerpt->nodes[i]] = SIZE_MAX;
    if (whole->hertz > 0)
        note_hertz(excerpt->network);
    return *excerpt;
}

size_t excerpt_node(const struct excerpt *excerpt, const struct islands *islands, size_t node)
{
    if (islands->is_reference[node])
        return 0;
    for (size_t i = 1; i < excerpt->network->node_count; i++)
        if (excerpt->nodes[i] == node)
            return i;
    return SIZE_MAX;
}

struct solution *excerpt_start(struct arena *arena, const struct excerpt *excerpt,
                               const struct solution *whole)
{
    struct solution *start = solution_new(arena, excerpt->network);

    start->averaged = whole->averaged;
    for (size_t i = 0; i < excerpt->own_branches; i++) {
        if (excerpt->branches[i] >= whole->state_count)
            continue; /* bridged since: WHOLE knows nothing of it, and it keeps no energy */
        if (!whole->branch_solved[excerpt->branches[i]])
            return NULL;
        start->charge[i] = whole->charge[excerpt->branches[i]];
    }
    return start;
}
