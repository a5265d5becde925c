/* What is in a view of an EDIF cell: instances, nets, and what they refer to. */
#include "netlist/edif_lists.h"

#include "base/arena.h"

void edif_begin_instance(struct edif_file *file, struct frame *frame)
{
    struct edif_view *view = file->view;

    file->instance = arena_alloc(file->scratch, sizeof *file->instance);
    file->instance->place = frame->place;
    file->instance->number = ++file->instance_count;
    file->instance->position = view->instance_count;
    view->instances = edif_grow(file, view->instances, &view->instance_capacity, view->instance_count);
    view->instances[view->instance_count++] = file->instance;
}

/* False if there is an instance of that name; names are those of a page, if there are pages. */
static bool enter_instance(struct edif_file *file, struct edif_instance *instance)
{
    const struct edif_view *view = file->view;
    bool first = edif_add(file, view->number, EDIF_INSTANCE, instance->name.id, instance);

    if (view->pages == 0)
        return first;
    return edif_add(file, view->number, EDIF_INSTANCE,
                    arena_print(file->scratch, "%s\x1F%zu", instance->name.id, view->pages), instance);
}

void edif_end_instance(struct edif_file *file, struct frame *frame, struct frame *around)
{
    struct edif_instance *instance = file->instance;

    (void)around;
    instance->name = frame->name;
    instance->size = edif_size(frame);
    if (instance->cell == NULL) {
        instance->cell = frame->reference;
        instance->library = frame->library;
    }
    if (instance->designator == NULL)
        instance->designator = edif_reference(file, &instance->properties);
    file->designated |= instance->designator != NULL;
    if (frame->name.id == NULL)
        assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "a name",
                          "an instance without a name");
    else if (!enter_instance(file, instance))
        assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "each instance once",
                          "the instance %s is there a second time; connections go to the first",
                          frame->name.id);
}

void edif_end_view_ref(struct edif_file *file, struct frame *frame, struct frame *around)
{
    if (around->list == LIST_INSTANCE) {
        file->instance->view = frame->name.id;
        file->instance->cell = frame->reference;
        file->instance->library = frame->library;
    }
    around->reference = frame->reference;
    around->library = frame->library;
}

void edif_end_cell_ref(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->reference = frame->name.id;
    around->library = frame->library;
}

void edif_end_library_ref(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->library = frame->name.id;
}

void edif_end_designator(struct edif_file *file, struct frame *frame, struct frame *around)
{
    const char *text = frame->text != NULL ? frame->text : frame->name.id;

    if (text == NULL || *text == '\0')
        return;
    if (around->list == LIST_INSTANCE) {
        file->instance->designator = text;
    } else if (around->list == LIST_INTERFACE) {
        file->view->prefix = text;
    } else if (around->list == LIST_PORT) {
        file->port->designator = text;
    } else {
        around->text = text;
    }
}

void edif_end_port_instance(struct edif_file *file, struct frame *frame, struct frame *around)
{
    const char *port = frame->name.id;

    (void)around;
    if (port == NULL || frame->text == NULL)
        return;
    if (frame->index != EDIF_WHOLE)
        port = arena_print(file->scratch, "%s\x1F%zu", port, frame->index);
    file->numbered = true;
    edif_add(file, file->instance->number, EDIF_NUMBER, port, (void *)frame->text);
}

void edif_begin_net(struct edif_file *file, struct frame *frame)
{
    file->net = arena_alloc(file->scratch, sizeof *file->net);
    file->net->place = frame->place;
    file->net->page = file->view->pages;
}

void edif_end_net(struct edif_file *file, struct frame *frame, struct frame *around)
{
    struct edif_view *view = file->view;
    struct edif_net *net = file->net;

    (void)around;
    net->name = frame->name;
    net->size = edif_size(frame);
    net->first = view->net_members;
    if (frame->name.id == NULL) {
        assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "a name",
                          "a net without a name: its connections are left out");
        return;
    }
    view->net_members += net->size;
    view->nets = edif_grow(file, view->nets, &view->net_capacity, view->net_count);
    view->nets[view->net_count++] = net;
}

void edif_end_join(struct edif_file *file, struct frame *frame, struct frame *around)
{
    struct edif_net *net = file->net;
    struct edif_join join = {.port = frame->name.id, .instance = frame->reference,
                             .port_index = frame->index, .instance_index = frame->reference_index,
                             .global = frame->list == LIST_GLOBAL_REF, .place = frame->place};

    if (around->list == LIST_PORT_REF) { /* a member of a bundle: the instance is said inside */
        around->reference = frame->reference;
        around->reference_index = frame->reference_index;
        return;
    }
    if (join.port == NULL)
        return;
    net->joins = arena_grow(file->scratch, net->joins, &net->join_capacity, net->join_count,
                            sizeof *net->joins);
    net->joins[net->join_count++] = join;
}

void edif_end_instance_ref(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->reference = frame->name.id;
    around->reference_index = frame->index;
}

void edif_end_design(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    file->top_cell = frame->reference;
    file->top_library = frame->library;
    file->design = frame->place;
    if (frame->name.id != NULL)
        file->title = edif_called(file, &frame->name);
}
