/* The lists of an EDIF file: which list means what, by the list it is in. What a list says is handed to the list
 * around it when it closes. */
#include <ctype.h>
#include <errno.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "netlist/edif.h"
#include "netlist/reader.h"
#include "netlist/sexpr.h"

enum list {
    OTHER, TOP, EDIF, VERSION, LEVEL, ALIAS, LIBRARY, CELL, VIEW, VIEW_TYPE, INTERFACE, PORT,
    DIRECTION, DESIGNATOR, CONTENTS, PAGE, INSTANCE, PORT_INSTANCE, VIEW_REF, CELL_REF, LIBRARY_REF,
    NET, NET_PIECE, BUNDLE, JOINED, PORT_REF, GLOBAL_REF, INSTANCE_REF, OFF_PAGE, DESIGN, PROPERTY, STRING,
    INTEGER, NUMBER, EXPONENT, BOOLEAN, TRUE_LIST, FALSE_LIST, RENAME, NAME, ARRAY, MEMBER,
    DISPLAY_STRING
};

#define IN(list) ((uint64_t)1 << (list))
#define ANYWHERE (~(IN(OTHER) | IN(TOP)))

/* A list that is open, and what the lists in it said. */
struct frame {
    enum list list;
    struct edif_name name;
    const char *text;      /* its string */
    const char *reference, *library;  /* what it refers to: a cell or an instance */
    const char *numbers[3]; /* bare atoms after the name */
    size_t number_count;
    size_t size, index, reference_index;
    struct place place;
};

static void *grow(struct edif_file *file, void *items, size_t *capacity, size_t count)
{
    return arena_grow(file->scratch, items, capacity, count, sizeof(void *));
}

/* The whole of TEXT as a number not above MOST. */
static bool parse_count(const char *text, size_t most, size_t *count)
{
    char *end;
    unsigned long long value;

    if (text == NULL || !isdigit((unsigned char)text[0]))
        return false;
    errno = 0;
    value = strtoull(text, &end, 10);
    if (errno != 0 || *end != '\0' || value > most)
        return false;
    *count = (size_t)value;
    return true;
}

static void begin_library(struct edif_file *file, struct frame *frame)
{
    (void)frame;
    file->library = arena_alloc(file->scratch, sizeof *file->library);
    file->library->number = file->library_count + 1;
    file->libraries = grow(file, file->libraries, &file->library_capacity, file->library_count);
    file->libraries[file->library_count++] = file->library;
}

static void end_library(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    file->library->name = frame->name;
    if (frame->name.id != NULL)
        edif_add(file, 0, EDIF_LIBRARY, frame->name.id, file->library);
}

static void begin_cell(struct edif_file *file, struct frame *frame)
{
    struct edif_library *library = file->library;

    (void)frame;
    file->cell = arena_alloc(file->scratch, sizeof *file->cell);
    file->cell->library = library;
    library->cells = grow(file, library->cells, &library->cell_capacity, library->cell_count);
    library->cells[library->cell_count++] = file->cell;
}

static void end_cell(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    file->cell->name = frame->name;
    if (frame->name.id != NULL &&
        !edif_add(file, file->library->number, EDIF_CELL, frame->name.id, file->cell))
        assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "each cell once",
                          "the cell %s is defined a second time; the first is used", frame->name.id);
}

static void begin_view(struct edif_file *file, struct frame *frame)
{
    struct edif_cell *cell = file->cell;

    (void)frame;
    file->view = arena_alloc(file->scratch, sizeof *file->view);
    file->view->cell = cell;
    file->view->number = ++file->view_count;
    cell->views = grow(file, cell->views, &cell->view_capacity, cell->view_count);
    cell->views[cell->view_count++] = file->view;
}

static void end_view(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    file->view->name = frame->name;
}

static void end_view_type(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    file->view->schematic = frame->name.id != NULL && strcasecmp(frame->name.id, "SCHEMATIC") == 0;
}

static void begin_page(struct edif_file *file, struct frame *frame)
{
    (void)frame;
    file->view->pages++;
}

/* An array's size, or 1; an error if it cannot be. */
static size_t size_of(const struct frame *frame)
{
    return frame->size > 0 ? frame->size : 1;
}

static void add_port(struct edif_file *file, const struct frame *frame)
{
    struct edif_view *view = file->view;
    struct edif_port *port = file->port;

    port->name = frame->name;
    port->size = size_of(frame);
    port->first = view->port_members;
    if (frame->name.id == NULL ||
        !edif_add(file, view->number, EDIF_PORT, frame->name.id, port))
        return;
    view->port_members += port->size;
    view->ports = grow(file, view->ports, &view->port_capacity, view->port_count);
    view->ports[view->port_count++] = port;
}

static void begin_port(struct edif_file *file, struct frame *frame)
{
    (void)frame;
    file->port = arena_alloc(file->scratch, sizeof *file->port);
}

static void end_port(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    add_port(file, frame);
}

/* A mark that goes on at another page is a port that only the pages see. */
static void end_off_page(struct edif_file *file, struct frame *frame, struct frame *around)
{
    begin_port(file, frame);
    end_port(file, frame, around);
}

static void end_direction(struct edif_file *file, struct frame *frame, struct frame *around)
{
    static const char *const words[][2] = {
        {"INPUT", "input"}, {"OUTPUT", "output"}, {"INOUT", "bidirectional"}};

    (void)around;
    for (size_t i = 0; frame->name.id != NULL && i < sizeof words / sizeof *words; i++)
        if (strcasecmp(frame->name.id, words[i][0]) == 0)
            file->port->type = words[i][1];
}

static void begin_instance(struct edif_file *file, struct frame *frame)
{
    struct edif_view *view = file->view;

    file->instance = arena_alloc(file->scratch, sizeof *file->instance);
    file->instance->place = frame->place;
    file->instance->number = ++file->instance_count;
    file->instance->position = view->instance_count;
    view->instances = grow(file, view->instances, &view->instance_capacity, view->instance_count);
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

static void end_instance(struct edif_file *file, struct frame *frame, struct frame *around)
{
    struct edif_instance *instance = file->instance;

    (void)around;
    instance->name = frame->name;
    instance->size = size_of(frame);
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

static void end_view_ref(struct edif_file *file, struct frame *frame, struct frame *around)
{
    if (around->list == INSTANCE) {
        file->instance->view = frame->name.id;
        file->instance->cell = frame->reference;
        file->instance->library = frame->library;
    }
    around->reference = frame->reference;
    around->library = frame->library;
}

static void end_cell_ref(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->reference = frame->name.id;
    around->library = frame->library;
}

static void end_library_ref(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->library = frame->name.id;
}

static void end_designator(struct edif_file *file, struct frame *frame, struct frame *around)
{
    const char *text = frame->text != NULL ? frame->text : frame->name.id;

    if (text == NULL || *text == '\0')
        return;
    if (around->list == INSTANCE) {
        file->instance->designator = text;
    } else if (around->list == INTERFACE) {
        file->view->prefix = text;
    } else if (around->list == PORT) {
        file->port->designator = text;
    } else {
        around->text = text;
    }
}

static void end_port_instance(struct edif_file *file, struct frame *frame, struct frame *around)
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

static void begin_net(struct edif_file *file, struct frame *frame)
{
    file->net = arena_alloc(file->scratch, sizeof *file->net);
    file->net->place = frame->place;
    file->net->page = file->view->pages;
}

static void end_net(struct edif_file *file, struct frame *frame, struct frame *around)
{
    struct edif_view *view = file->view;
    struct edif_net *net = file->net;

    (void)around;
    net->name = frame->name;
    net->size = size_of(frame);
    net->first = view->net_members;
    if (frame->name.id == NULL) {
        assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "a name",
                          "a net without a name: its connections are left out");
        return;
    }
    view->net_members += net->size;
    view->nets = grow(file, view->nets, &view->net_capacity, view->net_count);
    view->nets[view->net_count++] = net;
}

static void end_join(struct edif_file *file, struct frame *frame, struct frame *around)
{
    struct edif_net *net = file->net;
    struct edif_join join = {.port = frame->name.id, .instance = frame->reference,
                             .port_index = frame->index, .instance_index = frame->reference_index,
                             .global = frame->list == GLOBAL_REF, .place = frame->place};

    if (around->list == PORT_REF) { /* a member of a bundle: the instance is said inside */
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

static void end_instance_ref(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->reference = frame->name.id;
    around->reference_index = frame->index;
}

static void end_design(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    file->top_cell = frame->reference;
    file->top_library = frame->library;
    file->design = frame->place;
    if (frame->name.id != NULL)
        file->title = edif_called(file, &frame->name);
}

static void begin_property(struct edif_file *file, struct frame *frame)
{
    file->property = (struct edif_property){.place = frame->place};
}

static void end_property(struct edif_file *file, struct frame *frame, struct frame *around)
{
    struct edif_properties *properties = around->list == INSTANCE ? &file->instance->properties
                                         : around->list == CELL   ? &file->cell->properties
                                                                  : &file->view->properties;

    if (frame->name.id == NULL)
        return;
    file->property.name = edif_called(file, &frame->name);
    file->property.value = frame->text != NULL           ? frame->text
                           : frame->numbers[0] != NULL ? frame->numbers[0]
                                                         : "";
    properties->items = arena_grow(file->scratch, properties->items, &properties->capacity,
                                   properties->count, sizeof *properties->items);
    properties->items[properties->count++] = file->property;
}

/* A string or number that stands in another list. */
static void end_text(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->text = frame->text != NULL ? frame->text : frame->name.id;
}

/* (e MANTISSA EXPONENT), a number to the base of ten. */
static void end_exponent(struct edif_file *file, struct frame *frame, struct frame *around)
{
    const char *mantissa = frame->name.id, *exponent = frame->numbers[0];
    double value;
    char *end;

    if (mantissa == NULL || exponent == NULL)
        return;
    value = strtod(arena_print(file->scratch, "%se%s", mantissa, exponent), &end);
    if (*end != '\0' || value > 1e300 || value < -1e300)
        assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "a mantissa and an exponent",
                          "a number that cannot be");
    else
        around->text = arena_print(file->assembly.arena, "%.15g", value);
}

static void end_true(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->text = frame->list == TRUE_LIST ? "true" : "false";
}

static void end_name(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)file;
    around->name = frame->name;
    if (frame->text != NULL)
        around->name.display = frame->text;
    if (frame->size > 0)
        around->size = frame->size;
}

static void end_array(struct edif_file *file, struct frame *frame, struct frame *around)
{
    end_name(file, frame, around);
    if (frame->number_count == 1 &&
        parse_count(frame->numbers[0], EDIF_ARRAY_LARGEST, &around->size) && around->size > 0)
        return;
    around->size = 1;
    assembly_complain(&file->assembly, LEVEL_ERROR, frame->place,
                      "a name and one size of 1 to 4096",
                      "an array that is too large or has several dimensions is read as one item");
}

static void end_member(struct edif_file *file, struct frame *frame, struct frame *around)
{
    around->name = frame->name;
    if (frame->number_count == 1 &&
        parse_count(frame->numbers[0], EDIF_ARRAY_LARGEST - 1, &around->index))
        return;
    around->name.id = NULL;
    assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "a name and one index below 4096",
                      "a member of an array that cannot be is left out");
}

static void end_version(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    if (frame->name.id == NULL || strcmp(frame->name.id, "2") == 0)
        return;
    file->refused = true;
    assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "(edifVersion 2 0 0)",
                      "EDIF of version %s is not read", frame->name.id);
}

static void end_level(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    if (frame->name.id != NULL && strcmp(frame->name.id, "0") != 0)
        assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "(edifLevel 0)",
                          "EDIF of level %s is read as level 0", frame->name.id);
}

static void end_alias(struct edif_file *file, struct frame *frame, struct frame *around)
{
    (void)around;
    assembly_complain(&file->assembly, LEVEL_ERROR, frame->place, "keywords as the standard has them",
                      "words that stand for keywords are not read");
}

static const struct row {
    const char *word;
    enum list list;
    uint64_t in; /* the lists it may be in */
    void (*begin)(struct edif_file *file, struct frame *frame);
    void (*end)(struct edif_file *file, struct frame *frame, struct frame *around);
} rows[] = {
    {"edif", EDIF, IN(TOP), NULL, NULL},
    {"edifVersion", VERSION, IN(EDIF), NULL, end_version},
    {"edifLevel", LEVEL, IN(EDIF), NULL, end_level},
    {"keywordMap", NAME, IN(EDIF), NULL, NULL},
    {"keywordAlias", ALIAS, IN(NAME), NULL, end_alias},
    {"library", LIBRARY, IN(EDIF), begin_library, end_library},
    {"external", LIBRARY, IN(EDIF), begin_library, end_library},
    {"cell", CELL, IN(LIBRARY), begin_cell, end_cell},
    {"view", VIEW, IN(CELL), begin_view, end_view},
    {"viewType", VIEW_TYPE, IN(VIEW), NULL, end_view_type},
    {"interface", INTERFACE, IN(VIEW), NULL, NULL},
    {"port", PORT, IN(INTERFACE) | IN(BUNDLE), begin_port, end_port},
    {"portBundle", BUNDLE, IN(INTERFACE), NULL, NULL},
    {"listOfPorts", BUNDLE, IN(BUNDLE), NULL, NULL},
    {"direction", DIRECTION, IN(PORT), NULL, end_direction},
    {"designator", DESIGNATOR, IN(INSTANCE) | IN(INTERFACE) | IN(PORT) | IN(PORT_INSTANCE), NULL,
     end_designator},
    {"contents", CONTENTS, IN(VIEW), NULL, NULL},
    {"page", PAGE, IN(CONTENTS), begin_page, NULL},
    {"instance", INSTANCE, IN(CONTENTS) | IN(PAGE), begin_instance, end_instance},
    {"portInstance", PORT_INSTANCE, IN(INSTANCE), NULL, end_port_instance},
    {"viewRef", VIEW_REF, IN(INSTANCE) | IN(DESIGN), NULL, end_view_ref},
    {"cellRef", CELL_REF, IN(INSTANCE) | IN(DESIGN) | IN(VIEW_REF), NULL, end_cell_ref},
    {"libraryRef", LIBRARY_REF, IN(CELL_REF), NULL, end_library_ref},
    {"net", NET, IN(CONTENTS) | IN(PAGE) | IN(BUNDLE), begin_net, end_net},
    {"net", NET_PIECE, IN(NET) | IN(NET_PIECE), NULL, NULL},
    {"netBundle", BUNDLE, IN(CONTENTS) | IN(PAGE), NULL, NULL},
    {"listOfNets", BUNDLE, IN(BUNDLE), NULL, NULL},
    {"joined", JOINED, IN(NET) | IN(NET_PIECE), NULL, NULL},
    {"portList", JOINED, IN(JOINED), NULL, NULL},
    {"portRef", PORT_REF, IN(JOINED) | IN(PORT_REF), NULL, end_join},
    {"globalPortRef", GLOBAL_REF, IN(JOINED), NULL, end_join},
    {"instanceRef", INSTANCE_REF, IN(PORT_REF), NULL, end_instance_ref},
    {"offPageConnector", OFF_PAGE, IN(PAGE) | IN(CONTENTS), NULL, end_off_page},
    {"design", DESIGN, IN(EDIF), NULL, end_design},
    {"property", PROPERTY, IN(INSTANCE) | IN(CELL) | IN(VIEW) | IN(INTERFACE), begin_property,
     end_property},
    {"string", STRING, IN(PROPERTY), NULL, end_text},
    {"integer", INTEGER, IN(PROPERTY), NULL, end_text},
    {"number", NUMBER, IN(PROPERTY), NULL, end_text},
    {"e", EXPONENT, IN(NUMBER), NULL, end_exponent},
    {"boolean", BOOLEAN, IN(PROPERTY), NULL, end_text},
    {"true", TRUE_LIST, IN(BOOLEAN), NULL, end_true},
    {"false", FALSE_LIST, IN(BOOLEAN), NULL, end_true},
    {"rename", RENAME, ANYWHERE, NULL, end_name},
    {"name", NAME, ANYWHERE & ~IN(EDIF), NULL, end_name},
    {"array", ARRAY, ANYWHERE, NULL, end_array},
    {"member", MEMBER, ANYWHERE, NULL, end_member},
    {"stringDisplay", DISPLAY_STRING, ANYWHERE, NULL, end_text},
};

enum { ROW_COUNT = sizeof rows / sizeof *rows };

/* Index of the row, or ROW_COUNT. */
static size_t row_of(enum list in, const struct sexpr *sexpr)
{
    size_t i = 0;

    while (i < ROW_COUNT && !((rows[i].in & IN(in)) != 0 && strlen(rows[i].word) == sexpr->length &&
                              strncasecmp(rows[i].word, sexpr->text, sexpr->length) == 0))
        i++;
    return i;
}

static void take_atom(struct edif_file *file, struct frame *frame, const struct sexpr *sexpr)
{
    const char *text;

    if (frame->list == OTHER)
        return;
    text = assembly_text(&file->assembly, sexpr->text, sexpr->length);
    if (sexpr->quoted && frame->list == RENAME)
        frame->name.display = *text != '\0' ? text : NULL;
    else if (sexpr->quoted)
        frame->text = text;
    else if (frame->name.id == NULL)
        frame->name.id = text;
    else if (frame->number_count < 3)
        frame->numbers[frame->number_count++] = text;
}

/* Open lists, and the row each was made by. */
struct stack {
    struct frame frames[SEXPR_DEEPEST + 1];
    size_t rows[SEXPR_DEEPEST + 1];
    size_t depth;
};

static void open_list(struct edif_file *file, struct stack *stack, const struct sexpr *sexpr)
{
    size_t row = row_of(stack->frames[stack->depth].list, sexpr);
    struct frame *frame = &stack->frames[++stack->depth];

    *frame = (struct frame){.list = row < ROW_COUNT ? rows[row].list : OTHER, .index = EDIF_WHOLE,
                            .reference_index = EDIF_WHOLE, .place = sexpr->place};
    stack->rows[stack->depth] = row;
    if (row < ROW_COUNT && rows[row].begin != NULL)
        rows[row].begin(file, frame);
}

static void close_list(struct edif_file *file, struct stack *stack)
{
    size_t row = stack->rows[stack->depth];
    struct frame *frame = &stack->frames[stack->depth--];

    if (row < ROW_COUNT && rows[row].end != NULL)
        rows[row].end(file, frame, &stack->frames[stack->depth]);
}

void edif_gather(struct edif_file *file, const struct source *source)
{
    struct stack *stack = arena_alloc(file->scratch, sizeof *stack);
    struct sexpr *sexpr = arena_alloc(file->scratch, sizeof *sexpr);
    enum sexpr_event event;

    stack->frames[0].list = TOP;
    sexpr_start(sexpr, source, file->assembly.input->diags, SEXPR_PERCENT);
    while (!file->refused && (event = sexpr_next(sexpr)) != SEXPR_END) {
        if (event == SEXPR_OPEN)
            open_list(file, stack, sexpr);
        else if (event == SEXPR_ATOM)
            take_atom(file, &stack->frames[stack->depth], sexpr);
        else
            close_list(file, stack);
    }
    sexpr_end(sexpr);
}
