/* The nodes of an EDIF design filled in, their sets, and the nets that these become. */
#include "netlist/edif_flatten.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/forest.h"
#include "base/map.h"
#include "circuit/circuit.h"

static size_t add_node(struct flattening *flat, const struct node *node)
{
    flat->nodes = arena_grow(flat->file->scratch, flat->nodes, &flat->node_capacity,
                             flat->node_count, sizeof *flat->nodes);
    flat->parents = arena_grow(flat->file->scratch, flat->parents, &flat->parent_capacity,
                               flat->node_count, sizeof *flat->parents);
    flat->nodes[flat->node_count] = *node;
    flat->parents[flat->node_count] = flat->node_count;
    return flat->node_count++;
}

void flat_unite(struct flattening *flat, size_t a, size_t b)
{
    forest_join(flat->parents, a, b);
}

/* Makes the nodes of a view filled in; returns the first. */
size_t flat_add_nodes(struct flattening *flat, const struct scope *scope)
{
    size_t base = flat->node_count;

    for (size_t i = 0; i < scope->view->port_members; i++)
        add_node(flat, &(struct node){.scope = scope});
    for (size_t i = 0; i < scope->view->net_count; i++)
        for (size_t k = 0; k < scope->view->nets[i]->size; k++)
            add_node(flat, &(struct node){.scope = scope, .net = scope->view->nets[i], .member = k});
    return base;
}

size_t flat_net_node(const struct flattening *flat, const struct edif_net *net, size_t member)
{
    return flat->scope->base + flat->scope->view->port_members + net->first + member;
}

/* The node of the net NAME of the whole design. */
size_t flat_global_node(struct flattening *flat, const char *name)
{
    size_t *known = map_get(flat->globals, name);

    if (known == NULL) {
        known = arena_alloc(flat->file->scratch, sizeof *known);
        *known = add_node(flat, &(struct node){.global = name});
        map_add(flat->globals, name, known);
    }
    return *known;
}

/* A name that a drawing program made up. */
static bool is_made_up(const char *name)
{
    static const char *const starts[] = {"N$", "Net-(", "unconnected-", "Net", "N", "UN", "SIG"};

    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++) {
        size_t length = strlen(starts[i]);

        if (strncasecmp(name, starts[i], length) == 0 &&
            (i < 1 || i == 1 || i == 2 || isdigit((unsigned char)name[length])))
            return true;
    }
    return false;
}

static const char *node_name(struct flattening *flat, const struct node *node)
{
    return node->net != NULL ? edif_called(flat->file, &node->net->name) : node->global;
}

/* Whether A names its set better than B. */
static bool is_better(struct flattening *flat, const struct node *a, const struct node *b)
{
    const char *first = node_name(flat, a), *second = node_name(flat, b);
    size_t depth = a->scope != NULL ? a->scope->depth : 0;

    if (is_made_up(first) != is_made_up(second))
        return is_made_up(second);
    return depth < (b->scope != NULL ? b->scope->depth : 0);
}

/* Per set of nodes the node that names it, in an array by the node that stands for the set; that node itself if nothing
 * has a name. */
static size_t *choose_names(struct flattening *flat)
{
    size_t *best = arena_array(flat->file->scratch, flat->node_count, sizeof *best);

    for (size_t i = 0; i < flat->node_count; i++)
        best[i] = i;
    for (size_t i = 0; i < flat->node_count; i++) {
        size_t set = forest_root(flat->parents, i);
        const struct node *node = &flat->nodes[i], *known = &flat->nodes[best[set]];

        if (node_name(flat, node) != NULL &&
            (node_name(flat, known) == NULL || is_better(flat, node, known)))
            best[set] = i;
    }
    return best;
}

/* The net NODE names; another of its name is another net, which gets a name of its own. */
static struct assembly_net *make_net(struct flattening *flat, const struct node *node,
                                     const struct assembly_pin *pin)
{
    struct assembly *assembly = &flat->file->assembly;
    const char *name = node_name(flat, node), *whole;
    struct place place = node->net != NULL ? node->net->place : pin->place;
    bool alone = name != NULL && assembly_is_alone(assembly, name);
    struct assembly_net *net;

    if (name != NULL && assembly_is_no_net(assembly, name))
        return assembly_net_again(assembly, name, place);
    if (name == NULL)
        name = arena_print(assembly->arena, "%s.%s", pin->part->ref, pin->number);
    else if (node->scope != NULL && *node->scope->path != '\0')
        name = arena_print(assembly->arena, "%s%s", node->scope->path, name);
    if (node->net != NULL && node->net->size > 1)
        name = arena_print(assembly->arena, "%s[%zu]", name, node->member);
    for (whole = name; map_get(assembly->nets, whole) != NULL;)
        whole = arena_print(assembly->arena, "%s (%s)", whole,
                            node->net != NULL && whole == name ? node->net->name.id : "again");
    if (whole != name && !alone)
        assembly_complain(assembly, LEVEL_WARNING, place, "a name for each net alone",
                          "two nets are called %s; this one is read as %s", name, whole);
    net = assembly_net_again(assembly, whole, place);
    if (net != NULL)
        net->alone |= alone;
    return net;
}

void flat_make_nets(struct flattening *flat)
{
    size_t *best = choose_names(flat);
    struct assembly_net **nets =
        arena_array(flat->file->scratch, flat->node_count, sizeof *nets);

    for (size_t i = 0; i < flat->pin_count; i++) {
        struct assembly_pin *pin = &flat->pins[i].pin;
        size_t set = forest_root(flat->parents, flat->pins[i].node);

        if (nets[set] == NULL)
            nets[set] = make_net(flat, &flat->nodes[best[set]], pin);
        pin->net = nets[set];
        if (pin->net != NULL)
            assembly_join(&flat->file->assembly, pin);
    }
}
