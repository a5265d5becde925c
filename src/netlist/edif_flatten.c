/* The design of an EDIF file, its hierarchy filled in. Nets and ports of all views filled in are nodes; what joins them
 * makes sets of them, each of which is a net of the circuit. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "netlist/edif.h"
#include "netlist/reader.h"

/* A view filled in: the design itself or an instance. */
struct scope {
    const struct scope *parent; /* NULL: the design */
    struct edif_view *view;
    const char *path; /* "" or "A/B/" */
    size_t base;      /* of its nodes: its ports', then its nets' */
    size_t depth;
};

/* A member of a net or of a port. */
struct node {
    size_t up; /* itself: it stands for its set */
    const struct edif_net *net;            /* NULL: a port's */
    const struct edif_net *inside, *outside; /* of a port: the nets it is joined to */
    const struct scope *scope;             /* NULL: a net of the whole design */
    const char *global;                    /* its name */
    size_t member;
};

/* What an instance of a scope became. */
struct made {
    struct edif_view *view;
    struct part **parts; /* per member; NULL: none */
    size_t base;         /* of the nodes, if it was filled in */
    bool filled, power;  /* POWER: a symbol that names a net of the whole design */
};

/* A pin and the node it is on. */
struct found_pin {
    struct assembly_pin pin;
    size_t node;
};

struct flattening {
    struct edif_file *file;
    struct node *nodes;
    size_t node_count, node_capacity;
    struct scope **stack; /* to be filled in */
    size_t stack_count, stack_capacity, scope_count;
    struct found_pin *pins;
    size_t pin_count, pin_capacity;
    struct map *globals; /* size_t in a struct: the node by name */
    struct map *by_name; /* struct edif_net by scope and name, in views of several pages */
    const struct scope *scope;
    struct made *made; /* per instance of the scope */
};

static void complain(struct flattening *flat, enum level level, struct place place,
                     const char *expected, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

static void complain(struct flattening *flat, enum level level, struct place place,
                     const char *expected, const char *format, ...)
{
    struct arena *scratch = arena_new();
    va_list args;

    va_start(args, format);
    assembly_complain(&flat->file->assembly, level, place, expected, "%s",
                      arena_vprint(scratch, format, args));
    va_end(args);
    arena_free(scratch);
}

/* --- sets of nodes --- */

static size_t add_node(struct flattening *flat, const struct node *node)
{
    flat->nodes = arena_grow(flat->file->scratch, flat->nodes, &flat->node_capacity,
                             flat->node_count, sizeof *flat->nodes);
    flat->nodes[flat->node_count] = *node;
    flat->nodes[flat->node_count].up = flat->node_count;
    return flat->node_count++;
}

static size_t set_of(struct flattening *flat, size_t node)
{
    while (flat->nodes[node].up != node) {
        flat->nodes[node].up = flat->nodes[flat->nodes[node].up].up;
        node = flat->nodes[node].up;
    }
    return node;
}

static void unite(struct flattening *flat, size_t a, size_t b)
{
    a = set_of(flat, a);
    b = set_of(flat, b);
    if (a < b)
        flat->nodes[b].up = a;
    else
        flat->nodes[a].up = b;
}

/* Makes the nodes of a view filled in; returns the first. */
static size_t add_nodes(struct flattening *flat, const struct scope *scope)
{
    size_t base = flat->node_count;

    for (size_t i = 0; i < scope->view->port_members; i++)
        add_node(flat, &(struct node){.scope = scope});
    for (size_t i = 0; i < scope->view->net_count; i++)
        for (size_t k = 0; k < scope->view->nets[i]->size; k++)
            add_node(flat, &(struct node){.scope = scope, .net = scope->view->nets[i], .member = k});
    return base;
}

static size_t net_node(const struct flattening *flat, const struct edif_net *net, size_t member)
{
    return flat->scope->base + flat->scope->view->port_members + net->first + member;
}

/* The node of the net NAME of the whole design. */
static size_t global_node(struct flattening *flat, const char *name)
{
    size_t *known = map_get(flat->globals, name);

    if (known == NULL) {
        known = arena_alloc(flat->file->scratch, sizeof *known);
        *known = add_node(flat, &(struct node){.global = name});
        map_add(flat->globals, name, known);
    }
    return *known;
}

/* --- which view --- */

static bool is_filled(const struct edif_view *view)
{
    return view->instance_count > 0;
}

/* The view WANTED of CELL (NULL: any), else one that can be filled in, else the first. */
static struct edif_view *choose_view(const struct edif_cell *cell, const char *wanted)
{
    struct edif_view *best = cell->view_count > 0 ? cell->views[0] : NULL;

    for (size_t i = cell->view_count; i-- > 0;)
        if (is_filled(cell->views[i]) && (!is_filled(best) || !cell->views[i]->schematic))
            best = cell->views[i];
    for (size_t i = 0; wanted != NULL && i < cell->view_count; i++)
        if (cell->views[i]->name.id != NULL && strcasecmp(cell->views[i]->name.id, wanted) == 0)
            return cell->views[i];
    return best;
}

static struct edif_cell *find_cell(struct flattening *flat, const char *name, const char *library,
                                   const struct edif_library *here)
{
    const struct edif_library *in =
        library != NULL ? edif_find(flat->file, 0, EDIF_LIBRARY, library) : here;
    struct edif_cell *cell =
        in != NULL ? edif_find(flat->file, in->number, EDIF_CELL, name) : NULL;

    for (size_t i = 0; cell == NULL && library == NULL && i < flat->file->library_count; i++)
        cell = edif_find(flat->file, flat->file->libraries[i]->number, EDIF_CELL, name);
    return cell;
}

static struct edif_view *view_of(struct flattening *flat, const struct edif_instance *instance)
{
    struct edif_cell *cell = NULL;

    if (instance->cell != NULL)
        cell = find_cell(flat, instance->cell, instance->library, flat->scope->view->cell->library);
    if (cell == NULL)
        complain(flat, LEVEL_WARNING, instance->place, "a cell that a library of the file has",
                 "the instance %s is of the cell %s, which is not in the file: only its connections "
                 "are known", instance->name.id != NULL ? instance->name.id : "(no name)",
                 instance->cell != NULL ? instance->cell : "(none)");
    return cell != NULL ? choose_view(cell, instance->view) : NULL;
}

/* --- instances --- */

static bool names_a_supply(const char *name)
{
    static const char *const names[] = {"GND", "AGND", "DGND", "PGND", "CGND", "GND_EARTH", "EARTH",
                                        "CHASSIS", "VCC", "VDD", "VEE", "VSS", "VPP", "0V"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcasecmp(name, names[i]) == 0)
            return true;
    return (name[0] == '+' || name[0] == '-') && isdigit((unsigned char)name[1]);
}

/* An instance without designator that stands for a net of the whole design. */
static bool is_power(struct flattening *flat, const struct edif_instance *instance,
                     const struct edif_view *view)
{
    return instance->designator == NULL && view != NULL && !is_filled(view) &&
           view->port_count == 1 && names_a_supply(edif_called(flat->file, &view->cell->name));
}

/* Title blocks and marks of a drawing have no designator, where parts have one. */
static bool is_mark(const struct flattening *flat, const struct edif_instance *instance)
{
    return flat->scope->view->schematic && flat->file->designated && instance->designator == NULL;
}

static bool can_fill(struct flattening *flat, const struct edif_instance *instance,
                     const struct edif_view *view)
{
    const char *name = instance->name.id != NULL ? instance->name.id : "(no name)";

    for (const struct scope *at = flat->scope; at != NULL; at = at->parent)
        if (at->view == view) {
            complain(flat, LEVEL_ERROR, instance->place, "an instance of another cell",
                     "the instance %s is kept as one part: its cell %s contains itself", name,
                     edif_called(flat->file, &view->cell->name));
            return false;
        }
    if (flat->scope->depth + 1 < EDIF_NESTING_DEEPEST)
        return true;
    complain(flat, LEVEL_ERROR, instance->place, "at most 32 instances inside each other",
             "the instance %s is kept as one part: it is too deep inside others", name);
    return false;
}

/* False, with a diagnostic once, if the design grows too large. */
static bool has_room(struct flattening *flat, const struct edif_instance *instance,
                     const struct edif_view *view)
{
    struct assembly *assembly = &flat->file->assembly;

    if (assembly->full)
        return false;
    if (flat->scope_count < EDIF_SCOPES_MOST &&
        flat->node_count + (view->port_members + view->net_members) * instance->size <=
            EDIF_NODES_MOST)
        return true;
    complain(flat, LEVEL_ERROR, instance->place, "at most 1000000 cells and 8000000 nets and ports",
             "the design is too large with its hierarchy filled in: what follows is not read");
    assembly->full = true;
    return false;
}

static void push_scope(struct flattening *flat, const struct edif_instance *instance,
                       struct edif_view *view, size_t member)
{
    struct arena *scratch = flat->file->scratch;
    struct scope *scope = arena_alloc(scratch, sizeof *scope);
    const char *name = instance->designator;

    if (name == NULL)
        name = instance->name.id != NULL ? edif_called(flat->file, &instance->name) : "";
    *scope = (struct scope){.parent = flat->scope, .view = view, .depth = flat->scope->depth + 1};
    if (instance->size > 1)
        scope->path = arena_print(scratch, "%s%s[%zu]/", flat->scope->path, name, member);
    else
        scope->path = arena_print(scratch, "%s%s/", flat->scope->path, name);
    scope->base = add_nodes(flat, scope);
    flat->stack = arena_grow(scratch, flat->stack, &flat->stack_capacity, flat->stack_count,
                             sizeof *flat->stack);
    flat->stack[flat->stack_count++] = scope;
    flat->scope_count++;
}

static void make_instance(struct flattening *flat, const struct edif_instance *instance)
{
    struct made *made = &flat->made[instance->position];

    made->view = view_of(flat, instance);
    made->power = is_power(flat, instance, made->view);
    made->filled = made->view != NULL && is_filled(made->view) &&
                   can_fill(flat, instance, made->view) && has_room(flat, instance, made->view);
    if (flat->file->assembly.full || made->power || (!made->filled && is_mark(flat, instance)))
        return;
    made->base = flat->node_count;
    for (size_t i = 0; made->filled && i < instance->size; i++)
        push_scope(flat, instance, made->view, i);
    if (made->filled)
        return;
    made->parts = arena_array(flat->file->scratch, instance->size, sizeof *made->parts);
    for (size_t i = 0; i < instance->size; i++)
        made->parts[i] = edif_make_part(flat->file, flat->scope->path, instance, made->view,
                                        instance->size > 1 ? i : EDIF_WHOLE);
}

/* The instance ID where NET is: names of instances are those of a page. */
static const struct edif_instance *find_instance(struct flattening *flat, const struct edif_net *net,
                                                 const char *id)
{
    const struct edif_instance *instance = NULL;
    size_t view = flat->scope->view->number;

    if (net->page > 0)
        instance = edif_find(flat->file, view, EDIF_INSTANCE,
                             arena_print(flat->file->scratch, "%s\x1F%zu", id, net->page));
    return instance != NULL ? instance : edif_find(flat->file, view, EDIF_INSTANCE, id);
}

/* --- joins --- */

/* Joins NET to a port's NODE, from inside or outside; a port in two nets is an error, unless they are one that goes on
 * at another page. */
static void join_port(struct flattening *flat, const struct edif_net *net, size_t member, size_t node,
                      bool inside, const struct edif_join *join)
{
    const struct edif_net **taken = inside ? &flat->nodes[node].inside : &flat->nodes[node].outside;

    if (*taken != NULL && *taken != net && !(inside && (*taken)->page != net->page)) {
        complain(flat, LEVEL_ERROR, join->place, "each port in one net",
                 "port %s%s%s is in net %s (line %u, column %u) and in net %s; the first is used",
                 join->instance != NULL ? join->instance : "", join->instance != NULL ? "." : "",
                 join->port, edif_called(flat->file, &(*taken)->name), (*taken)->place.line,
                 (*taken)->place.column, edif_called(flat->file, &net->name));
        return;
    }
    *taken = net;
    unite(flat, net_node(flat, net, member), node);
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
    return array ? arena_print(arena, "%s[%zu]", number, member) : number;
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
    complain(flat, LEVEL_ERROR, join->place, "as many members as the net has",
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
    complain(flat, LEVEL_ERROR, join->place, "an index below the size of the array",
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
        complain(flat, LEVEL_WARNING, join->place, "a port of the cell or of an instance",
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
    size_t node = net_node(flat, net, member);

    if (made->power)
        unite(flat, node, global_node(flat, edif_called(flat->file, &made->view->cell->name)));
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
    const struct edif_instance *instance = find_instance(flat, net, join->instance);
    const struct edif_view *view;
    const struct edif_port *port;
    size_t ports, instances;

    if (instance == NULL) {
        complain(flat, LEVEL_ERROR, join->place, "an instance of the same cell",
                 "there is no instance %s: its port %s joins nothing", join->instance, join->port);
        return;
    }
    view = flat->made[instance->position].view;
    port = view != NULL ? edif_find(flat->file, view->number, EDIF_PORT, join->port) : NULL;
    if (view != NULL && port == NULL)
        complain(flat, LEVEL_WARNING, join->place, "a port that the cell has",
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

static void join_net(struct flattening *flat, const struct edif_net *net)
{
    for (size_t i = 0; i < net->join_count && !flat->file->assembly.full; i++) {
        const struct edif_join *join = &net->joins[i];

        if (join->global && widths_agree(flat, net, join, 1))
            unite(flat, net_node(flat, net, 0),
                  global_node(flat, edif_called(flat->file, &(struct edif_name){.id = join->port})));
        else if (!join->global && join->instance == NULL)
            join_own_port(flat, net, join);
        else if (!join->global)
            join_instance(flat, net, join);
    }
}

/* --- pages --- */

/* The net is drawn as going on: it is on a port, or on a symbol that is no part. */
static bool goes_on(struct flattening *flat, const struct edif_net *net)
{
    for (size_t i = 0; i < net->join_count; i++) {
        const struct edif_join *join = &net->joins[i];
        const struct edif_instance *instance;

        if (join->instance == NULL)
            return true;
        instance = find_instance(flat, net, join->instance);
        if (instance != NULL && flat->made[instance->position].parts == NULL &&
            !flat->made[instance->position].filled)
            return true;
    }
    return false;
}

/* Nets of one name in a view of pages are one; a word if they are not drawn as going on. */
static void join_pages(struct flattening *flat, struct edif_net *net)
{
    struct arena *scratch = flat->file->scratch;
    const char *name = edif_called(flat->file, &net->name);
    const char *key = arena_print(scratch, "%zx\x1F%zu\x1F%s", flat->scope->base, net->size, name);
    struct edif_net *first = map_get(flat->by_name, key);

    if (assembly_is_alone(&flat->file->assembly, name) ||
        assembly_is_no_net(&flat->file->assembly, name))
        return;
    if (first == NULL) {
        map_add(flat->by_name, key, net);
        return;
    }
    for (size_t i = 0; i < net->size; i++)
        unite(flat, net_node(flat, first, i), net_node(flat, net, i));
    if (!goes_on(flat, first) || !goes_on(flat, net))
        complain(flat, LEVEL_WARNING, net->place, "a mark that goes on at the other page",
                 "two nets are called %s, the other at line %u, column %u; they are read as one",
                 name, first->place.line, first->place.column);
}

static void fill_scope(struct flattening *flat, const struct scope *scope)
{
    struct edif_view *view = scope->view;

    flat->scope = scope;
    flat->made = arena_array(flat->file->scratch, view->instance_count, sizeof *flat->made);
    for (size_t i = 0; i < view->instance_count && !flat->file->assembly.full; i++)
        make_instance(flat, view->instances[i]);
    for (size_t i = 0; i < view->net_count && !flat->file->assembly.full; i++)
        join_net(flat, view->nets[i]);
    for (size_t i = 0; view->pages > 0 && i < view->net_count && !flat->file->assembly.full; i++)
        join_pages(flat, view->nets[i]);
}

/* --- names --- */

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
        size_t set = set_of(flat, i);
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

static void make_nets(struct flattening *flat)
{
    size_t *best = choose_names(flat);
    struct assembly_net **nets =
        arena_array(flat->file->scratch, flat->node_count, sizeof *nets);

    for (size_t i = 0; i < flat->pin_count; i++) {
        struct assembly_pin *pin = &flat->pins[i].pin;
        size_t set = set_of(flat, flat->pins[i].node);

        if (nets[set] == NULL)
            nets[set] = make_net(flat, &flat->nodes[best[set]], pin);
        pin->net = nets[set];
        if (pin->net != NULL)
            assembly_join(&flat->file->assembly, pin);
    }
}

/* --- the design --- */

/* What the design names; if it names none, the last cell that has instances. */
static struct edif_view *top_view(struct flattening *flat)
{
    struct edif_file *file = flat->file;
    struct edif_cell *cell = NULL;
    struct edif_view *view = NULL;

    if (file->top_cell != NULL) {
        cell = find_cell(flat, file->top_cell, file->top_library, NULL);
        view = cell != NULL ? choose_view(cell, NULL) : NULL;
        if (view == NULL)
            complain(flat, LEVEL_ERROR, file->design, "a cell that a library of the file has",
                     "the design is the cell %s, which is not in the file", file->top_cell);
    }
    for (size_t i = file->library_count; view == NULL && i-- > 0;)
        for (size_t k = file->libraries[i]->cell_count; view == NULL && k-- > 0;) {
            view = choose_view(file->libraries[i]->cells[k], NULL);
            view = view != NULL && is_filled(view) ? view : NULL;
        }
    if (file->top_cell == NULL && view != NULL)
        complain(flat, LEVEL_WARNING,
                 (struct place){.source = file->assembly.input->source, .line = 1, .column = 1},
                 "(design NAME (cellRef ...))",
                 "the file does not say which cell is the design: %s is taken",
                 edif_called(file, &view->cell->name));
    return view;
}

void edif_flatten(struct edif_file *file)
{
    struct flattening flat = {.file = file, .globals = map_new(), .by_name = map_new()};
    struct edif_view *view = top_view(&flat);
    struct scope top = {.view = view, .path = ""};

    if (view != NULL) {
        add_nodes(&flat, &top);
        fill_scope(&flat, &top);
        while (flat.stack_count > 0 && !file->assembly.full)
            fill_scope(&flat, flat.stack[--flat.stack_count]);
        make_nets(&flat);
    }
    map_free(flat.globals);
    map_free(flat.by_name);
}
