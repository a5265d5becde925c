/* The lists of an `(export ...)` netlist: which list means what, by the list it is in. Children come in any order, and
 * a list's own text before or after them, so that what a list says is taken when it closes. */
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "base/text.h"
#include "netlist/export.h"
#include "netlist/reader.h"
#include "netlist/sexpr.h"

enum list {
    LIST_OTHER, LIST_TOP, LIST_EXPORT, LIST_DESIGN, LIST_SHEET, LIST_BLOCK, LIST_TITLE,
    LIST_COMPONENTS, LIST_COMP, LIST_REF, LIST_VALUE, LIST_FOOTPRINT, LIST_DESCRIPTION, LIST_FIELDS,
    LIST_FIELD, LIST_FIELD_NAME, LIST_LIBSOURCE, LIST_LIB, LIST_PART, LIST_LIB_DESCRIPTION,
    LIST_PROPERTY, LIST_PROPERTY_NAME, LIST_PROPERTY_VALUE, LIST_SHEETPATH, LIST_NAMES,
    LIST_LIBPARTS, LIST_LIBPART, LIST_SYMBOL_LIB, LIST_SYMBOL_PART, LIST_ALIASES, LIST_ALIAS,
    LIST_SYMBOL_DESCRIPTION, LIST_SYMBOL_FIELDS, LIST_SYMBOL_FIELD, LIST_SYMBOL_FIELD_NAME, LIST_PINS,
    LIST_PIN, LIST_NUM, LIST_PIN_NAME, LIST_PIN_TYPE, LIST_NETS, LIST_NET, LIST_NET_NAME, LIST_NODE,
    LIST_NODE_REF, LIST_NODE_PIN, LIST_FUNCTION, LIST_NODE_TYPE
};

/* A list that is open. */
struct frame {
    enum list list;
    const char *text; /* its own atoms, or NULL */
    struct place place;
};

static void keep(const char **at, const char *text)
{
    if (*at == NULL)
        *at = text;
}

static void begin_component(struct export_reading *r, const struct frame *frame)
{
    r->component = arena_alloc(r->scratch, sizeof *r->component);
    r->component->place = frame->place;
    r->components = arena_grow(r->scratch, r->components, &r->component_capacity,
                               r->component_count, sizeof(struct export_component *));
    r->components[r->component_count++] = r->component;
}

static void begin_field(struct export_reading *r, const struct frame *frame)
{
    r->field = (struct export_field){.place = frame->place};
}

static void end_field(struct export_reading *r, const struct frame *frame)
{
    struct export_component *component = r->component;

    if (r->field.name == NULL)
        return;
    keep(&r->field.value, frame->text);
    component->fields = arena_grow(r->scratch, component->fields, &component->field_capacity,
                                   component->field_count, sizeof *component->fields);
    component->fields[component->field_count++] = r->field;
    if (frame->list == LIST_PROPERTY)
        component->not_fitted |= strcmp(r->field.name, "dnp") == 0;
}

static void begin_symbol(struct export_reading *r, const struct frame *frame)
{
    (void)frame;
    r->symbol = arena_alloc(r->scratch, sizeof *r->symbol);
    r->symbol->index = r->symbol_count;
    r->symbols = arena_grow(r->scratch, r->symbols, &r->symbol_capacity, r->symbol_count,
                            sizeof(struct export_symbol *));
    r->symbols[r->symbol_count++] = r->symbol;
}

static void end_symbol_field(struct export_reading *r, const struct frame *frame)
{
    if (r->field.name != NULL && strcmp(r->field.name, "Reference") == 0)
        keep(&r->symbol->prefix, frame->text);
}

static void begin_pin(struct export_reading *r, const struct frame *frame)
{
    (void)frame;
    r->pin = (struct export_pin){0};
}

static void end_pin(struct export_reading *r, const struct frame *frame)
{
    struct export_pin *pin;

    (void)frame;
    if (r->pin.number == NULL)
        return;
    pin = arena_alloc(r->scratch, sizeof *pin);
    *pin = r->pin;
    map_add(r->pins, arena_print(r->scratch, "%zu\x1F%s", r->symbol->index, pin->number), pin);
}

static void end_alias(struct export_reading *r, const struct frame *frame)
{
    if (frame->text == NULL)
        return;
    r->symbol->aliases = arena_grow(r->scratch, r->symbol->aliases, &r->symbol->alias_capacity,
                                    r->symbol->alias_count, sizeof(const char *));
    r->symbol->aliases[r->symbol->alias_count++] = frame->text;
}

static void begin_net(struct export_reading *r, const struct frame *frame)
{
    r->net = arena_alloc(r->scratch, sizeof *r->net);
    r->net->place = frame->place;
    r->nets = arena_grow(r->scratch, r->nets, &r->net_capacity, r->net_count,
                         sizeof(struct export_net *));
    r->nets[r->net_count++] = r->net;
}

static void begin_node(struct export_reading *r, const struct frame *frame)
{
    r->node = (struct export_node){.place = frame->place};
}

static void end_node(struct export_reading *r, const struct frame *frame)
{
    (void)frame;
    r->net->nodes = arena_grow(r->scratch, r->net->nodes, &r->net->node_capacity,
                               r->net->node_count, sizeof *r->net->nodes);
    r->net->nodes[r->net->node_count++] = r->node;
}

/* Lists whose text is one text of what is being read. */
static const char **place_of(struct export_reading *r, enum list list)
{
    switch (list) {
    case LIST_TITLE:
        return &r->title;
    case LIST_REF:
        return &r->component->ref;
    case LIST_VALUE:
        return &r->component->value;
    case LIST_FOOTPRINT:
        return &r->component->footprint;
    case LIST_DESCRIPTION:
        return &r->component->description;
    case LIST_LIB:
        return &r->component->library;
    case LIST_PART:
        return &r->component->symbol;
    case LIST_LIB_DESCRIPTION:
        return &r->component->symbol_description;
    case LIST_NAMES:
        return &r->component->sheet;
    case LIST_FIELD_NAME:
    case LIST_PROPERTY_NAME:
    case LIST_SYMBOL_FIELD_NAME:
        return &r->field.name;
    case LIST_PROPERTY_VALUE:
        return &r->field.value;
    case LIST_SYMBOL_LIB:
        return &r->symbol->library;
    case LIST_SYMBOL_PART:
        return &r->symbol->name;
    case LIST_SYMBOL_DESCRIPTION:
        return &r->symbol->description;
    case LIST_NUM:
        return &r->pin.number;
    case LIST_PIN_NAME:
        return &r->pin.name;
    case LIST_PIN_TYPE:
        return &r->pin.type;
    case LIST_NET_NAME:
        return &r->net->name;
    case LIST_NODE_REF:
        return &r->node.ref;
    case LIST_NODE_PIN:
        return &r->node.pin;
    case LIST_FUNCTION:
        return &r->node.name;
    case LIST_NODE_TYPE:
        return &r->node.type;
    default:
        return NULL;
    }
}

static void end_text(struct export_reading *r, const struct frame *frame)
{
    keep(place_of(r, frame->list), frame->text);
}

static const struct row {
    enum list in;
    const char *word;
    enum list list;
    void (*begin)(struct export_reading *reading, const struct frame *frame);
    void (*end)(struct export_reading *reading, const struct frame *frame);
} rows[] = {
    {LIST_TOP, "export", LIST_EXPORT, NULL, NULL},
    {LIST_EXPORT, "design", LIST_DESIGN, NULL, NULL},
    {LIST_DESIGN, "sheet", LIST_SHEET, NULL, NULL},
    {LIST_SHEET, "title_block", LIST_BLOCK, NULL, NULL},
    {LIST_BLOCK, "title", LIST_TITLE, NULL, end_text},
    {LIST_EXPORT, "components", LIST_COMPONENTS, NULL, NULL},
    {LIST_COMPONENTS, "comp", LIST_COMP, begin_component, NULL},
    {LIST_COMP, "ref", LIST_REF, NULL, end_text},
    {LIST_COMP, "value", LIST_VALUE, NULL, end_text},
    {LIST_COMP, "footprint", LIST_FOOTPRINT, NULL, end_text},
    {LIST_COMP, "description", LIST_DESCRIPTION, NULL, end_text},
    {LIST_COMP, "fields", LIST_FIELDS, NULL, NULL},
    {LIST_FIELDS, "field", LIST_FIELD, begin_field, end_field},
    {LIST_FIELD, "name", LIST_FIELD_NAME, NULL, end_text},
    {LIST_COMP, "libsource", LIST_LIBSOURCE, NULL, NULL},
    {LIST_LIBSOURCE, "lib", LIST_LIB, NULL, end_text},
    {LIST_LIBSOURCE, "part", LIST_PART, NULL, end_text},
    {LIST_LIBSOURCE, "description", LIST_LIB_DESCRIPTION, NULL, end_text},
    {LIST_COMP, "property", LIST_PROPERTY, begin_field, end_field},
    {LIST_PROPERTY, "name", LIST_PROPERTY_NAME, NULL, end_text},
    {LIST_PROPERTY, "value", LIST_PROPERTY_VALUE, NULL, end_text},
    {LIST_COMP, "sheetpath", LIST_SHEETPATH, NULL, NULL},
    {LIST_SHEETPATH, "names", LIST_NAMES, NULL, end_text},
    {LIST_EXPORT, "libparts", LIST_LIBPARTS, NULL, NULL},
    {LIST_LIBPARTS, "libpart", LIST_LIBPART, begin_symbol, NULL},
    {LIST_LIBPART, "lib", LIST_SYMBOL_LIB, NULL, end_text},
    {LIST_LIBPART, "part", LIST_SYMBOL_PART, NULL, end_text},
    {LIST_LIBPART, "aliases", LIST_ALIASES, NULL, NULL},
    {LIST_ALIASES, "alias", LIST_ALIAS, NULL, end_alias},
    {LIST_LIBPART, "description", LIST_SYMBOL_DESCRIPTION, NULL, end_text},
    {LIST_LIBPART, "fields", LIST_SYMBOL_FIELDS, NULL, NULL},
    {LIST_SYMBOL_FIELDS, "field", LIST_SYMBOL_FIELD, begin_field, end_symbol_field},
    {LIST_SYMBOL_FIELD, "name", LIST_SYMBOL_FIELD_NAME, NULL, end_text},
    {LIST_LIBPART, "pins", LIST_PINS, NULL, NULL},
    {LIST_PINS, "pin", LIST_PIN, begin_pin, end_pin},
    {LIST_PIN, "num", LIST_NUM, NULL, end_text},
    {LIST_PIN, "name", LIST_PIN_NAME, NULL, end_text},
    {LIST_PIN, "type", LIST_PIN_TYPE, NULL, end_text},
    {LIST_EXPORT, "nets", LIST_NETS, NULL, NULL},
    {LIST_NETS, "net", LIST_NET, begin_net, NULL},
    {LIST_NET, "name", LIST_NET_NAME, NULL, end_text},
    {LIST_NET, "node", LIST_NODE, begin_node, end_node},
    {LIST_NODE, "ref", LIST_NODE_REF, NULL, end_text},
    {LIST_NODE, "pin", LIST_NODE_PIN, NULL, end_text},
    {LIST_NODE, "pinfunction", LIST_FUNCTION, NULL, end_text},
    {LIST_NODE, "pintype", LIST_NODE_TYPE, NULL, end_text},
};

enum { ROW_COUNT = sizeof rows / sizeof *rows };

static const struct row *row_of(enum list in, const struct sexpr *sexpr)
{
    for (size_t i = 0; in != LIST_OTHER && i < ROW_COUNT; i++)
        if (rows[i].in == in && strlen(rows[i].word) == sexpr->length &&
            strncmp(rows[i].word, sexpr->text, sexpr->length) == 0)
            return &rows[i];
    return NULL;
}

/* TEXT with the names in braces that stand for characters replaced: "A{slash}B". */
static const char *unbraced(struct export_reading *reading, const char *text)
{
    static const struct {
        const char *written;
        char means;
    } names[] = {{"{slash}", '/'},  {"{backslash}", '\\'}, {"{colon}", ':'}, {"{lt}", '<'},
                 {"{gt}", '>'},     {"{dblquote}", '"'},   {"{bar}", '|'},   {"{space}", ' '},
                 {"{tab}", '\t'},   {"{return}", ' '},     {"{brace}", '{'}};
    struct text plain = {0};

    if (strchr(text, '{') == NULL)
        return text;
    while (*text != '\0') {
        size_t i = 0, count = sizeof names / sizeof *names;

        while (i < count && strncmp(text, names[i].written, strlen(names[i].written)) != 0)
            i++;
        text_add_char(&plain, i < count ? names[i].means : *text);
        text += i < count ? strlen(names[i].written) : 1;
    }
    text = assembly_text(&reading->assembly, text_bytes(&plain), plain.length);
    text_free(&plain);
    return text;
}

static void take_atom(struct export_reading *reading, struct frame *frame, const struct sexpr *sexpr)
{
    const char *text;

    if (frame->list == LIST_OTHER)
        return;
    text = assembly_word(&reading->assembly, sexpr->text, sexpr->length);
    if (text == NULL)
        return;
    text = unbraced(reading, text);
    if (frame->text == NULL)
        frame->text = text;
    else if (strlen(frame->text) < SEXPR_TEXT_LONGEST)
        frame->text = arena_print(reading->assembly.arena, "%s %s", frame->text, text);
}

static void open_list(struct export_reading *reading, const struct frame *in, struct frame *frame,
                      const struct sexpr *sexpr)
{
    const struct row *row = row_of(in->list, sexpr);

    *frame = (struct frame){.list = row != NULL ? row->list : LIST_OTHER, .place = sexpr->place};
    if (row != NULL && row->begin != NULL)
        row->begin(reading, frame);
}

static void close_list(struct export_reading *reading, const struct frame *frame)
{
    for (size_t i = 0; frame->list != LIST_OTHER && i < ROW_COUNT; i++)
        if (rows[i].list == frame->list && rows[i].end != NULL)
            rows[i].end(reading, frame);
}

void export_gather(struct export_reading *reading, const struct source *source)
{
    struct frame *frames = arena_array(reading->scratch, SEXPR_DEEPEST + 1, sizeof *frames);
    struct sexpr *sexpr = arena_alloc(reading->scratch, sizeof *sexpr);
    enum sexpr_event event;
    size_t depth = 0;

    frames[0].list = LIST_TOP;
    sexpr_start(sexpr, source, reading->assembly.input->diags, SEXPR_BACKSLASH);
    while ((event = sexpr_next(sexpr)) != SEXPR_END) {
        if (event == SEXPR_OPEN) {
            open_list(reading, &frames[depth], &frames[depth + 1], sexpr);
            depth++;
        } else if (event == SEXPR_ATOM) {
            take_atom(reading, &frames[depth], sexpr);
        } else {
            close_list(reading, &frames[depth--]);
        }
    }
    sexpr_end(sexpr);
}
