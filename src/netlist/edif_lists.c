/* Reads the lists of an EDIF file: which list means what, by the list it is in. What a list says is handed to the list
 * around it when it closes. */
#include "netlist/edif_lists.h"

#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "netlist/reader.h"
#include "netlist/sexpr.h"

void *edif_grow(struct edif_file *file, void *items, size_t *capacity, size_t count)
{
    return arena_grow(file->scratch, items, capacity, count, sizeof(void *));
}

size_t edif_size(const struct frame *frame)
{
    return frame->size > 0 ? frame->size : 1;
}

static const struct row {
    const char *word;
    enum list list;
    uint64_t in; /* the lists it may be in */
    void (*begin)(struct edif_file *file, struct frame *frame);
    void (*end)(struct edif_file *file, struct frame *frame, struct frame *around);
} rows[] = {
    {"edif", LIST_EDIF, IN(LIST_TOP), NULL, NULL},
    {"edifVersion", LIST_VERSION, IN(LIST_EDIF), NULL, edif_end_version},
    {"edifLevel", LIST_LEVEL, IN(LIST_EDIF), NULL, edif_end_level},
    {"keywordMap", LIST_NAME, IN(LIST_EDIF), NULL, NULL},
    {"keywordAlias", LIST_ALIAS, IN(LIST_NAME), NULL, edif_end_alias},
    {"library", LIST_LIBRARY, IN(LIST_EDIF), edif_begin_library, edif_end_library},
    {"external", LIST_LIBRARY, IN(LIST_EDIF), edif_begin_library, edif_end_library},
    {"cell", LIST_CELL, IN(LIST_LIBRARY), edif_begin_cell, edif_end_cell},
    {"view", LIST_VIEW, IN(LIST_CELL), edif_begin_view, edif_end_view},
    {"viewType", LIST_VIEW_TYPE, IN(LIST_VIEW), NULL, edif_end_view_type},
    {"interface", LIST_INTERFACE, IN(LIST_VIEW), NULL, NULL},
    {"port", LIST_PORT, IN(LIST_INTERFACE) | IN(LIST_BUNDLE), edif_begin_port, edif_end_port},
    {"portBundle", LIST_BUNDLE, IN(LIST_INTERFACE), NULL, NULL},
    {"listOfPorts", LIST_BUNDLE, IN(LIST_BUNDLE), NULL, NULL},
    {"direction", LIST_DIRECTION, IN(LIST_PORT), NULL, edif_end_direction},
    {"designator", LIST_DESIGNATOR, IN(LIST_INSTANCE) | IN(LIST_INTERFACE) | IN(LIST_PORT) | IN(LIST_PORT_INSTANCE),
     NULL, edif_end_designator},
    {"contents", LIST_CONTENTS, IN(LIST_VIEW), NULL, NULL},
    {"page", LIST_PAGE, IN(LIST_CONTENTS), edif_begin_page, NULL},
    {"instance", LIST_INSTANCE, IN(LIST_CONTENTS) | IN(LIST_PAGE), edif_begin_instance, edif_end_instance},
    {"portInstance", LIST_PORT_INSTANCE, IN(LIST_INSTANCE), NULL, edif_end_port_instance},
    {"viewRef", LIST_VIEW_REF, IN(LIST_INSTANCE) | IN(LIST_DESIGN), NULL, edif_end_view_ref},
    {"cellRef", LIST_CELL_REF, IN(LIST_INSTANCE) | IN(LIST_DESIGN) | IN(LIST_VIEW_REF), NULL, edif_end_cell_ref},
    {"libraryRef", LIST_LIBRARY_REF, IN(LIST_CELL_REF), NULL, edif_end_library_ref},
    {"net", LIST_NET, IN(LIST_CONTENTS) | IN(LIST_PAGE) | IN(LIST_BUNDLE), edif_begin_net, edif_end_net},
    {"net", LIST_NET_PIECE, IN(LIST_NET) | IN(LIST_NET_PIECE), NULL, NULL},
    {"netBundle", LIST_BUNDLE, IN(LIST_CONTENTS) | IN(LIST_PAGE), NULL, NULL},
    {"listOfNets", LIST_BUNDLE, IN(LIST_BUNDLE), NULL, NULL},
    {"joined", LIST_JOINED, IN(LIST_NET) | IN(LIST_NET_PIECE), NULL, NULL},
    {"portList", LIST_JOINED, IN(LIST_JOINED), NULL, NULL},
    {"portRef", LIST_PORT_REF, IN(LIST_JOINED) | IN(LIST_PORT_REF), NULL, edif_end_join},
    {"globalPortRef", LIST_GLOBAL_REF, IN(LIST_JOINED), NULL, edif_end_join},
    {"instanceRef", LIST_INSTANCE_REF, IN(LIST_PORT_REF), NULL, edif_end_instance_ref},
    {"offPageConnector", LIST_OFF_PAGE, IN(LIST_PAGE) | IN(LIST_CONTENTS), NULL, edif_end_off_page},
    {"design", LIST_DESIGN, IN(LIST_EDIF), NULL, edif_end_design},
    {"property", LIST_PROPERTY, IN(LIST_INSTANCE) | IN(LIST_CELL) | IN(LIST_VIEW) | IN(LIST_INTERFACE),
     edif_begin_property, edif_end_property},
    {"string", LIST_STRING, IN(LIST_PROPERTY), NULL, edif_end_text},
    {"integer", LIST_INTEGER, IN(LIST_PROPERTY), NULL, edif_end_text},
    {"number", LIST_NUMBER, IN(LIST_PROPERTY), NULL, edif_end_text},
    {"e", LIST_EXPONENT, IN(LIST_NUMBER), NULL, edif_end_exponent},
    {"boolean", LIST_BOOLEAN, IN(LIST_PROPERTY), NULL, edif_end_text},
    {"true", LIST_TRUE, IN(LIST_BOOLEAN), NULL, edif_end_true},
    {"false", LIST_FALSE, IN(LIST_BOOLEAN), NULL, edif_end_true},
    {"rename", LIST_RENAME, ANYWHERE, NULL, edif_end_name},
    {"name", LIST_NAME, ANYWHERE & ~IN(LIST_EDIF), NULL, edif_end_name},
    {"array", LIST_ARRAY, ANYWHERE, NULL, edif_end_array},
    {"member", LIST_MEMBER, ANYWHERE, NULL, edif_end_member},
    {"stringDisplay", LIST_DISPLAY_STRING, ANYWHERE, NULL, edif_end_text},
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

    if (frame->list == LIST_OTHER)
        return;
    text = assembly_text(&file->assembly, sexpr->text, sexpr->length);
    if (sexpr->quoted && frame->list == LIST_RENAME)
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

    *frame = (struct frame){.list = row < ROW_COUNT ? rows[row].list : LIST_OTHER, .index = EDIF_WHOLE,
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

    stack->frames[0].list = LIST_TOP;
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
