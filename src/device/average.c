/* Transistors that follow the mean of their own volts. A supply hums, and an amplifier amplifies the hum as far as its volume controls
 * stand, which no drawing tells; several stages on one rail even oscillate through it (motorboating), and an amplifier may do so for
 * want of the transistors' own capacitances. Then no steady state exists, or none that is reached. What the stages draw on the whole
 * depends on the means alone. The collector's and the drain's volts still count as they are: a transistor that the hum drives into
 * saturation passes less. */
#include "device/average.h"

#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"

/* s: long against every coupling of an amplifier. */
#define MEAN_SECONDS 100.0

static bool is_transistor(const struct element *element)
{
    return element->device == &device_bipolar || element->device == &device_channel;
}

bool average_applies(const struct network *network)
{
    for (size_t i = 0; i < network->element_count; i++)
        if (is_transistor(network->elements[i]))
            return true;
    return false;
}

/* ELEMENT gets one node more, the mean, behind those it has. */
static void follow_mean(struct network *network, struct element *element)
{
    size_t control = element->nodes[2], reference = element->nodes[1], *nodes;
    size_t mean = network_add_node(network, element->part->ref, NULL);
    struct element *filter = network_add_element(network, &device_mean_filter, element->part,
                                                 (size_t[]){control, mean, reference}, 3);

    filter->figures[0] = MEAN_SECONDS;
    network_add_branch(network, filter, mean, control, BRANCH_KIND_COUNT, true);
    nodes = arena_array(network->arena, element->node_count + 1, sizeof *nodes);
    memcpy(nodes, element->nodes, element->node_count * sizeof *nodes);
    nodes[element->node_count++] = mean;
    element->nodes = nodes;
}

struct network *average_network(struct arena *arena, const struct network *base)
{
    struct network *network = network_change(arena, base, NULL, 0);
    size_t count = network->element_count;

    network->node_capacity = base->node_count + count + 1;
    network->nodes = arena_array(arena, network->node_capacity, sizeof *network->nodes);
    memcpy(network->nodes, base->nodes, base->node_count * sizeof *base->nodes);
    for (size_t i = 0; i < count; i++)
        if (is_transistor(network->elements[i]))
            follow_mean(network, network->elements[i]);
    return network;
}
