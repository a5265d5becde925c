/* Libraries, cells, their views and ports, as an EDIF file lists them. */
#include "netlist/edif_lists.h"

#include <strings.h>

#include "base/arena.h"

void edif_begin_library(struct edif_file *file, struct frame *frame)
{
    (void)frame;
    file->library = arena_alloc(file->scratch, sizeof *file->library);
    file->library->number = file->library_count + 1;
    file->libraries = edif_grow(file, file->libraries, &file->library_capacity, file->library_count);
    file->libraries[file->library_count++] = file->library;
}

void edif_end_library(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    file->library->name = frame->name;
    if (frame->name.id != NULL)
        edif_add(file, 0, EDIF_LIBRARY, frame->name.id, file->library);
}

void edif_begin_cell(struct edif_file *file, struct frame *frame)
{
    struct edif_library *library = file->library;

    (void)frame;
    file->cell = arena_alloc(file->scratch, sizeof *file->cell);
    file->cell->library = library;
    library->cells = edif_grow(file, library->cells, &library->cell_capacity, library->cell_count);
    library->cells[library->cell_count++] = file->cell;
}

void edif_end_cell(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    file->cell->name = frame->name;
    if (frame->name.id != NULL &&
        !edif_add(file, file->library->number, EDIF_CELL, frame->name.id, file->cell))
        assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "each cell once",
                          "the cell %s is defined a second time; the first is used", frame->name.id);
}

void edif_begin_view(struct edif_file *file, struct frame *frame)
{
    struct edif_cell *cell = file->cell;

    (void)frame;
    file->view = arena_alloc(file->scratch, sizeof *file->view);
    file->view->cell = cell;
    file->view->number = ++file->view_count;
    cell->views = edif_grow(file, cell->views, &cell->view_capacity, cell->view_count);
    cell->views[cell->view_count++] = file->view;
}

void edif_end_view(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    file->view->name = frame->name;
}

void edif_end_view_type(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    file->view->schematic = frame->name.id != NULL && strcasecmp(frame->name.id, "SCHEMATIC") == 0;
}

void edif_begin_page(struct edif_file *file, struct frame *frame)
{
    (void)frame;
    file->view->pages++;
}

static void add_port(struct edif_file *file, const struct frame *frame)
{
    struct edif_view *view = file->view;
    struct edif_port *port = file->port;

    port->name = frame->name;
    port->size = edif_size(frame);
    port->first = view->port_members;
    if (frame->name.id == NULL ||
        !edif_add(file, view->number, EDIF_PORT, frame->name.id, port))
        return;
    view->port_members += port->size;
    view->ports = edif_grow(file, view->ports, &view->port_capacity, view->port_count);
    view->ports[view->port_count++] = port;
}

void edif_begin_port(struct edif_file *file, struct frame *frame)
{
    (void)frame;
    file->port = arena_alloc(file->scratch, sizeof *file->port);
}

void edif_end_port(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    add_port(file, frame);
}

/* A mark that goes on at another page is a port that only the pages see. */
void edif_end_off_page(struct edif_file *file, struct frame *frame, struct frame *around)
{
    edif_begin_port(file, frame);
    edif_end_port(file, frame, around);
}

void edif_end_direction(struct edif_file *file, struct frame *frame, struct frame *around)
{
    static const char *const words[][2] = {
        {"INPUT", "input"}, {"OUTPUT", "output"}, {"INOUT", "bidirectional"}};

    (void)around;
    for (size_t i = 0; frame->name.id != NULL && i < sizeof words / sizeof *words; i++)
        if (strcasecmp(frame->name.id, words[i][0]) == 0)
            file->port->type = words[i][1];
}
