/* The design of an EDIF file, its hierarchy filled in. Nets and ports of all views filled in are nodes; what joins them
 * makes sets of them, each of which is a net of the circuit. */
#include "netlist/edif_flatten.h"

#include <stdarg.h>

#include "base/arena.h"
#include "base/map.h"
#include "netlist/reader.h"

void flat_complain(struct flattening *flat, enum level level, struct place place,
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

/* The net is drawn as going on: it is on a port, or on a symbol that is no part. */
static bool goes_on(struct flattening *flat, const struct edif_net *net)
{
    for (size_t i = 0; i < net->join_count; i++) {
        const struct edif_join *join = &net->joins[i];
        const struct edif_instance *instance;

        if (join->instance == NULL)
            return true;
        instance = flat_find_instance(flat, net, join->instance);
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
        flat_unite(flat, flat_net_node(flat, first, i), flat_net_node(flat, net, i));
    if (!goes_on(flat, first) || !goes_on(flat, net))
        flat_complain(flat, LEVEL_WARNING, net->place, "a mark that goes on at the other page",
                      "two nets are called %s, the other at line %u, column %u; they are read as one",
                      name, first->place.line, first->place.column);
}

static void fill_scope(struct flattening *flat, const struct scope *scope)
{
    struct edif_view *view = scope->view;

    flat->scope = scope;
    flat->made = arena_array(flat->file->scratch, view->instance_count, sizeof *flat->made);
    for (size_t i = 0; i < view->instance_count && !flat->file->assembly.full; i++)
        flat_make_instance(flat, view->instances[i]);
    for (size_t i = 0; i < view->net_count && !flat->file->assembly.full; i++)
        flat_join_net(flat, view->nets[i]);
    for (size_t i = 0; view->pages > 0 && i < view->net_count && !flat->file->assembly.full; i++)
        join_pages(flat, view->nets[i]);
}

/* What the design names; if it names none, the last cell that has instances. */
static struct edif_view *top_view(struct flattening *flat)
{
    struct edif_file *file = flat->file;
    struct edif_cell *cell = NULL;
    struct edif_view *view = NULL;

    if (file->top_cell != NULL) {
        cell = flat_find_cell(flat, file->top_cell, file->top_library, NULL);
        view = cell != NULL ? flat_choose_view(cell, NULL) : NULL;
        if (view == NULL)
            flat_complain(flat, LEVEL_ERROR, file->design, "a cell that a library of the file has",
                          "the design is the cell %s, which is not in the file", file->top_cell);
    }
    for (size_t i = file->library_count; view == NULL && i-- > 0;)
        for (size_t k = file->libraries[i]->cell_count; view == NULL && k-- > 0;) {
            view = flat_choose_view(file->libraries[i]->cells[k], NULL);
            view = view != NULL && flat_is_filled(view) ? view : NULL;
        }
    if (file->top_cell == NULL && view != NULL)
        flat_complain(flat, LEVEL_WARNING,
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
        flat_add_nodes(&flat, &top);
        fill_scope(&flat, &top);
        while (flat.stack_count > 0 && !file->assembly.full)
            fill_scope(&flat, flat.stack[--flat.stack_count]);
        flat_make_nets(&flat);
    }
    map_free(flat.globals);
    map_free(flat.by_name);
}
