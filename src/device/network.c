#include "device/network.h"

#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "parts/parts.h"

size_t network_add_node(struct network *network, const char *name, const struct net *net)
{
    network->nodes = arena_grow(network->arena, network->nodes, &network->node_capacity,
                                network->node_count, sizeof *network->nodes);
    network->nodes[network->node_count] = (struct node){.name = name, .net = net};
    return network->node_count++;
}

struct element *network_add_element(struct network *network, const struct device *device,
                                    const struct part *part, const size_t *nodes,
                                    size_t node_count)
{
    struct element *element = arena_alloc(network->arena, sizeof *element);

    element->device = device;
    element->part = part;
    element->nodes = arena_array(network->arena, node_count, sizeof *nodes);
    memcpy(element->nodes, nodes, node_count * sizeof *nodes);
    element->node_count = node_count;
    element->section_count = 1;
    element->first_branch = network->branch_count;
    element->index = network->element_count;
    network->elements = arena_grow(network->arena, network->elements, &network->element_capacity,
                                   network->element_count, sizeof *network->elements);
    network->elements[network->element_count++] = element;
    return element;
}

struct branch *network_add_branch(struct network *network, struct element *element, size_t from,
                                  size_t to, enum branch_kind kind, bool one_way)
{
    struct branch *branch;

    network->branches = arena_grow(network->arena, network->branches, &network->branch_capacity,
                                   network->branch_count, sizeof *network->branches);
    branch = &network->branches[network->branch_count];
    *branch = (struct branch){.element = element, .slot = element->branch_count, .from = from,
                              .to = to, .kind = kind, .one_way = one_way, .part = element->part,
                              .index = network->branch_count};
    network->branch_count++;
    element->branch_count++;
    return branch;
}

void network_assume(struct network *network, const struct assumption *assumption)
{
    network->assumptions = arena_grow(network->arena, network->assumptions,
                                      &network->assumption_capacity, network->assumption_count,
                                      sizeof *network->assumptions);
    network->assumptions[network->assumption_count++] = *assumption;
}

static struct network *copy_network(struct arena *arena, const struct network *base)
{
    struct network *copy = arena_alloc(arena, sizeof *copy);

    *copy = *base;
    copy->arena = arena;
    copy->element_capacity = base->element_count;
    copy->elements = arena_array(arena, base->element_count, sizeof *copy->elements);
    for (size_t i = 0; i < base->element_count; i++) {
        copy->elements[i] = arena_alloc(arena, sizeof **copy->elements);
        *copy->elements[i] = *base->elements[i];
    }
    copy->branch_capacity = base->branch_count;
    copy->branches = arena_array(arena, base->branch_count, sizeof *copy->branches);
    for (size_t i = 0; i < base->branch_count; i++) {
        copy->branches[i] = base->branches[i];
        copy->branches[i].element = copy->elements[base->branches[i].element->index];
    }
    copy->node_capacity = 0; /* nodes are shared, never added to a copy */
    return copy;
}

/* A bolted short between nodes A and B: one resistor, one branch. */
static struct element *add_short(struct network *network, const struct part *part, size_t a,
                                 size_t b)
{
    struct element *element =
        network_add_element(network, &device_resistor, part, (size_t[]){a, b}, 2);

    element->figures[0] = NETWORK_SHORT_OHMS;
    network_add_branch(network, element, a, b, BRANCH_RESISTANCE, false);
    return element;
}

/* Opening one section of a winding opens the whole element; other elements have one branch. */
static void open_element(struct network *network, struct element *element)
{
    element->device = &device_open;
    for (size_t i = 0; i < element->branch_count; i++)
        network->branches[element->first_branch + i].kind = BRANCH_KIND_COUNT;
}

static void short_element(struct network *network, struct element *element)
{
    struct branch *branch = &network->branches[element->first_branch];

    element->device = &device_resistor;
    element->figures[0] = NETWORK_SHORT_OHMS;
    branch->kind = BRANCH_RESISTANCE;
    branch->one_way = false;
}

struct network *network_change(struct arena *arena, const struct network *base,
                               const struct change *changes, size_t count)
{
    struct network *network = copy_network(arena, base);

    for (size_t i = 0; i < count; i++) {
        const struct change *change = &changes[i];

        if (change->kind == CHANGE_BRIDGE) {
            const struct part *part = base->element_count > 0 ? base->elements[0]->part : NULL;

            add_short(network, part, change->a, change->b);
            continue;
        }
        const struct branch *branch = &network->branches[change->a];
        struct element *element = network->elements[branch->element->index];

        if (change->kind == CHANGE_OPEN)
            open_element(network, element);
        else if (element->branch_count == 1 && element->node_count == 2)
            short_element(network, element);
        else
            add_short(network, branch->part, branch->from, branch->to);
    }
    return network;
}
