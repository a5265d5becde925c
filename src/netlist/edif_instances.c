/* What each instance of an EDIF design becomes: a part, a supply symbol, or a view filled in. */
#include "netlist/edif_flatten.h"

#include <ctype.h>
#include <strings.h>

#include "base/arena.h"

bool flat_is_filled(const struct edif_view *view)
{
    return view->instance_count > 0;
}

/* The view WANTED of CELL (NULL: any), else one that can be filled in, else the first. */
struct edif_view *flat_choose_view(const struct edif_cell *cell, const char *wanted)
{
    struct edif_view *best = cell->view_count > 0 ? cell->views[0] : NULL;

    for (size_t i = cell->view_count; i-- > 0;)
        if (flat_is_filled(cell->views[i]) && (!flat_is_filled(best) || !cell->views[i]->schematic))
            best = cell->views[i];
    for (size_t i = 0; wanted != NULL && i < cell->view_count; i++)
        if (cell->views[i]->name.id != NULL && strcasecmp(cell->views[i]->name.id, wanted) == 0)
            return cell->views[i];
    return best;
}

struct edif_cell *flat_find_cell(struct flattening *flat, const char *name, const char *library,
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
        cell = flat_find_cell(flat, instance->cell, instance->library, flat->scope->view->cell->library);
    if (cell == NULL)
        flat_complain(flat, LEVEL_WARNING, instance->place, "a cell that a library of the file has",
                      "the instance %s is of the cell %s, which is not in the file: only its connections "
                      "are known", instance->name.id != NULL ? instance->name.id : "(no name)",
                      instance->cell != NULL ? instance->cell : "(none)");
    return cell != NULL ? flat_choose_view(cell, instance->view) : NULL;
}

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
    return instance->designator == NULL && view != NULL && !flat_is_filled(view) &&
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
            flat_complain(flat, LEVEL_ERROR, instance->place, "an instance of another cell",
                          "the instance %s is kept as one part: its cell %s contains itself", name,
                          edif_called(flat->file, &view->cell->name));
            return false;
        }
    if (flat->scope->depth + 1 < EDIF_NESTING_DEEPEST)
        return true;
    flat_complain(flat, LEVEL_ERROR, instance->place, "at most 32 instances inside each other",
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
    flat_complain(flat, LEVEL_ERROR, instance->place, "at most 1000000 cells and 8000000 nets and ports",
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
    scope->base = flat_add_nodes(flat, scope);
    flat->stack = arena_grow(scratch, flat->stack, &flat->stack_capacity, flat->stack_count,
                             sizeof *flat->stack);
    flat->stack[flat->stack_count++] = scope;
    flat->scope_count++;
}

void flat_make_instance(struct flattening *flat, const struct edif_instance *instance)
{
    struct made *made = &flat->made[instance->position];

    made->view = view_of(flat, instance);
    made->power = is_power(flat, instance, made->view);
    made->filled = made->view != NULL && flat_is_filled(made->view) &&
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
const struct edif_instance *flat_find_instance(struct flattening *flat, const struct edif_net *net,
                                                 const char *id)
{
    const struct edif_instance *instance = NULL;
    size_t view = flat->scope->view->number;

    if (net->page > 0)
        instance = edif_find(flat->file, view, EDIF_INSTANCE,
                             arena_print(flat->file->scratch, "%s\x1F%zu", id, net->page));
    return instance != NULL ? instance : edif_find(flat->file, view, EDIF_INSTANCE, id);
}
