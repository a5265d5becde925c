/* What the nets of a view of an EDIF design join: pins of parts, ports of views filled in. */
#include "netlist/edif_flatten.h"

#include <stdio.h>
#include <string.h>

#include "base/arena.h"

/* Joins NET to a port's NODE, from inside or outside; a port in two nets is an error, unless they are one that goes on
 * at another page. */
static void join_port(struct flattening *flat, const struct edif_net *net, size_t member, size_t node,
                      bool inside, const struct edif_join *join)
{
    const struct edif_net **taken = inside ? &flat->nodes[node].inside : &flat->nodes[node].outside;

    if (*taken != NULL && *taken != net && !(inside && (*taken)->page != net->page)) {
        flat_complain(flat, LEVEL_ERROR, join->place, "each port in one net",
                      "port %s%s%s is in net %s (line %u, column %u) and in net %s; the first is used",
                      join->instance != NULL ? join->instance : "", join->instance != NULL ? "." : "",
                      join->port, edif_called(flat->file, &(*taken)->name), (*taken)->place.line,
                      (*taken)->place.column, edif_called(flat->file, &net->name));
        return;
    }
    *taken = net;
    flat_unite(flat, flat_net_node(flat, net, member), node);
}

/* The member of the array called NAME: "D[7:0]" has D[7], D[6]..., any other NAME[0], NAME[1]... */
static const char *member_name(struct arena *arena, const char *name, size_t member)
{
    const char *open = strrchr(name, '[');
    unsigned from, to;
    char end;

    if (open == NULL || sscanf(open, "[%4u:%4u%c", &from, &to, &end) != 3 || end != ']' ||
        strchr(open, ']')[1] != '\0' || member > (from > to ? from - to : to - from))
        return arena_print(arena, "%s[%zu]", name, member);
    return arena_print(arena, "%.*s[%zu]", (int)(open - name), name, from > to ? from - member : from + member);
}

static const char *pin_number(struct flattening *flat, const struct edif_instance *instance,
                              const struct edif_port *port, const char *name, size_t member)
{
    struct arena *arena = flat->file->assembly.arena;
    const char *id = port != NULL ? port->name.id : name, *number = NULL;
    bool array = port != NULL && port->size > 1;

    if (flat->file->numbered)
        number = edif_find(flat->file, instance->number, EDIF_NUMBER,
                           array ? arena_print(flat->file->scratch, "%s\x1F%zu", id, member) : id);
    if (number != NULL)
        return number;
    if (port != NULL && port->designator != NULL)
        return array ? arena_print(arena, "%s[%zu]", port->designator, member) : port->designator;
    number = edif_called(flat->file, port != NULL ? &port->name : &(struct edif_name){.id = name});
    return array ? member_name(arena, number, member) : number;
}

static bool is_number(const char *text)
{
    return text[strspn(text, "0123456789")] == '\0';
}

static void add_pin(struct flattening *flat, const struct edif_instance *instance,
                    const struct edif_port *port, const struct edif_join *join, struct part *part,
                    size_t port_member, size_t node)
{
    struct found_pin found = {.node = node, .pin = {.part = part, .place = join->place}};

    if (part == NULL)
        return;
    found.pin.number = pin_number(flat, instance, port, join->port, port_member);
    found.pin.type = port != NULL ? port->type : NULL;
    found.pin.name =
        edif_called(flat->file, port != NULL ? &port->name : &(struct edif_name){.id = join->port});
    if (port != NULL && port->size > 1)
        found.pin.name = member_name(flat->file->assembly.arena, found.pin.name, port_member);
    if (strcmp(found.pin.name, found.pin.number) == 0 && is_number(found.pin.name))
        found.pin.name = NULL;
    flat->pins = arena_grow(flat->file->scratch, flat->pins, &flat->pin_capacity, flat->pin_count,
                            sizeof *flat->pins);
    flat->pins[flat->pin_count++] = found;
}

/* True if a net of NET's size can be joined to WIDTH members. */
static bool widths_agree(struct flattening *flat, const struct edif_net *net,
                         const struct edif_join *join, size_t width)
{
    if (net->size == width)
        return true;
    flat_complain(flat, LEVEL_ERROR, join->place, "as many members as the net has",
                  "net %s has %zu members and port %s has %zu: they are not joined",
                  edif_called(flat->file, &net->name), net->size, join->port, width);
    return false;
}

/* A member's index of 0 to SIZE - 1, or an error. */
static bool index_fits(struct flattening *flat, const struct edif_join *join, size_t index,
                       size_t size)
{
    if (index == EDIF_WHOLE || index < size)
        return true;
    flat_complain(flat, LEVEL_ERROR, join->place, "an index below the size of the array",
                  "member %zu of an array of %zu is left out", index, size);
    return false;
}

static void join_own_port(struct flattening *flat, const struct edif_net *net,
                          const struct edif_join *join)
{
    const struct edif_port *port =
        edif_find(flat->file, flat->scope->view->number, EDIF_PORT, join->port);
    bool whole = join->port_index == EDIF_WHOLE;

    if (port == NULL) {
        flat_complain(flat, LEVEL_WARNING, join->place, "a port of the cell or of an instance",
                      "the cell has no port %s: it joins nothing", join->port);
        return;
    }
    if (!index_fits(flat, join, join->port_index, port->size) ||
        !widths_agree(flat, net, join, whole ? port->size : 1))
        return;
    for (size_t i = 0; i < net->size; i++)
        join_port(flat, net, i,
                  flat->scope->base + port->first + (whole ? i : join->port_index), true, join);
}

/* Joins member MEMBER of NET to one member of one member of an instance. */
static void join_member(struct flattening *flat, const struct edif_net *net, size_t member,
                        const struct edif_instance *instance, const struct edif_port *port,
                        const struct edif_join *join, size_t instance_member, size_t port_member)
{
    const struct made *made = &flat->made[instance->position];
    size_t node = flat_net_node(flat, net, member);

    if (made->power)
        flat_unite(flat, node, flat_global_node(flat, edif_called(flat->file, &made->view->cell->name)));
    else if (made->filled && port != NULL)
        join_port(flat, net, member,
                  made->base +
                      instance_member * (made->view->port_members + made->view->net_members) +
                      port->first + port_member,
                  false, join);
    else if (!made->filled && made->parts != NULL)
        add_pin(flat, instance, port, join, made->parts[instance_member], port_member, node);
}

static void join_instance(struct flattening *flat, const struct edif_net *net,
                          const struct edif_join *join)
{
    const struct edif_instance *instance = flat_find_instance(flat, net, join->instance);
    const struct edif_view *view;
    const struct edif_port *port;
    size_t ports, instances;

    if (instance == NULL) {
        flat_complain(flat, LEVEL_ERROR, join->place, "an instance of the same cell",
                      "there is no instance %s: its port %s joins nothing", join->instance, join->port);
        return;
    }
    view = flat->made[instance->position].view;
    port = view != NULL ? edif_find(flat->file, view->number, EDIF_PORT, join->port) : NULL;
    if (view != NULL && port == NULL)
        flat_complain(flat, LEVEL_WARNING, join->place, "a port that the cell has",
                      "the cell of %s has no port %s", join->instance, join->port);
    ports = port != NULL && join->port_index == EDIF_WHOLE ? port->size : 1;
    instances = join->instance_index == EDIF_WHOLE ? instance->size : 1;
    if (!index_fits(flat, join, join->port_index, port != NULL ? port->size : EDIF_ARRAY_LARGEST) ||
        !index_fits(flat, join, join->instance_index, instance->size) ||
        !widths_agree(flat, net, join, ports * instances))
        return;
    for (size_t i = 0; i < net->size; i++)
        join_member(flat, net, i, instance, port, join,
                    join->instance_index != EDIF_WHOLE ? join->instance_index : i / ports,
                    join->port_index != EDIF_WHOLE && port != NULL ? join->port_index : i % ports);
}

void flat_join_net(struct flattening *flat, const struct edif_net *net)
{
    for (size_t i = 0; i < net->join_count && !flat->file->assembly.full; i++) {
        const struct edif_join *join = &net->joins[i];

        if (join->global && widths_agree(flat, net, join, 1))
            flat_unite(flat, flat_net_node(flat, net, 0),
                       flat_global_node(flat, edif_called(flat->file, &(struct edif_name){.id = join->port})));
        else if (!join->global && join->instance == NULL)
            join_own_port(flat, net, join);
        else if (!join->global)
            join_instance(flat, net, join);
    }
}
