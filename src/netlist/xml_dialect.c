#include "netlist/xml_dialect.h"

#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "netlist/xml_document.h"
#include "netlist/xml_path.h"

struct loader {
    struct arena *arena;
    struct diags *diags;
    struct xml_document document;
    struct xml_dialect *dialect;
    bool bad;
};

/* What an element of a dialect file may be: loaded into the structure its parent stands for. */
struct slot {
    const char *name;
    const char *attributes; /* blank between them */
    void (*load)(struct loader *loader, const xmlNode *node, void *into);
    size_t offset; /* of the member in the structure */
};

static void complain(struct loader *loader, const xmlNode *node, const char *expected,
                     const char *message)
{
    loader->bad = true;
    diag_input(loader->diags, LEVEL_ERROR, xml_document_place(&loader->document, node),
               xml_document_excerpt(loader->diags->arena, node), expected, "%s", message);
}

static const char *attribute(struct loader *loader, const xmlNode *node, const char *name)
{
    const xmlAttr *attr = xmlHasProp(node, BAD_CAST name);
    xmlChar *value;
    const char *copy;

    if (attr == NULL)
        return NULL;
    value = xmlNodeGetContent((const xmlNode *)attr);
    copy = arena_copy(loader->arena, value != NULL ? (const char *)value : "");
    xmlFree(value);
    return copy;
}

static const char *required(struct loader *loader, const xmlNode *node, const char *name)
{
    const char *value = attribute(loader, node, name);

    if (value != NULL && *value != '\0')
        return value;
    complain(loader, node, arena_print(loader->arena, "an attribute %s", name),
             "an attribute is missing");
    return "";
}

static struct xml_path *compile(struct loader *loader, const xmlNode *node, const char *text)
{
    struct xml_path *path;

    if (text == NULL || *text == '\0') {
        complain(loader, node, "an XPath expression", "an expression is missing");
        return NULL;
    }
    path = xml_path_compile(loader->dialect->paths, text,
                            xml_document_place(&loader->document, node));
    loader->bad |= path == NULL;
    return path;
}

static bool listed(const char *list, const char *name)
{
    size_t length = strlen(name);

    for (const char *at = list; (at = strstr(at, name)) != NULL; at += length)
        if ((at == list || at[-1] == ' ') && (at[length] == ' ' || at[length] == '\0'))
            return true;
    return false;
}

static void check_attributes(struct loader *loader, const xmlNode *node, const char *allowed)
{
    for (const xmlAttr *attr = node->properties; attr != NULL; attr = attr->next)
        if (!listed(allowed, (const char *)attr->name))
            complain(loader, node,
                     *allowed != '\0' ? arena_print(loader->arena, "the attributes %s", allowed)
                                      : "no attributes",
                     arena_print(loader->arena, "unknown attribute '%s'",
                                 (const char *)attr->name));
}

static const char *slot_names(struct loader *loader, const struct slot *slots)
{
    const char *names = "one of";

    for (; slots->name != NULL; slots++)
        names = arena_print(loader->arena, "%s %s", names, slots->name);
    return names;
}

/* Loads the children of NODE, each by its row of SLOTS, into the structure INTO. */
static void load_children(struct loader *loader, const xmlNode *node, const struct slot *slots,
                          void *into)
{
    for (const xmlNode *child = node->children; child != NULL; child = child->next) {
        const struct slot *slot = slots;

        if (child->type != XML_ELEMENT_NODE)
            continue;
        while (slot->name != NULL && strcmp(slot->name, (const char *)child->name) != 0)
            slot++;
        if (slot->name == NULL) {
            complain(loader, child, slot_names(loader, slots), "unknown element");
            continue;
        }
        check_attributes(loader, child, slot->attributes);
        slot->load(loader, child, (char *)into + slot->offset);
    }
}

static const struct xml_table *find_table(struct loader *loader, const xmlNode *node,
                                          const char *name)
{
    const struct xml_dialect *dialect = loader->dialect;

    for (size_t i = 0; i < dialect->table_count; i++)
        if (strcmp(dialect->tables[i]->name, name) == 0)
            return dialect->tables[i];
    complain(loader, node, "the name of a <table> that stands before",
             arena_print(loader->arena, "there is no table '%s'", name));
    return NULL;
}

static size_t find_column(struct loader *loader, const xmlNode *node,
                          const struct xml_table *table, const char *name)
{
    for (size_t i = 0; table != NULL && i < table->column_count; i++)
        if (strcmp(table->columns[i].name, name) == 0)
            return i;
    if (table != NULL)
        complain(loader, node, "the name of a <column> of that table",
                 arena_print(loader->arena, "table '%s' has no column '%s'", table->name, name));
    return 0;
}

/* The pattern that NODE's attributes say; its text is NULL if there is none. */
static struct xml_pattern read_pattern(struct loader *loader, const xmlNode *node)
{
    static const char *const kinds[] = {
        [XML_PREFIX] = "prefix", [XML_SUFFIX] = "suffix", [XML_EQUALS] = "equals"};
    struct xml_pattern pattern = {0};

    for (int kind = XML_PREFIX; kind <= XML_EQUALS; kind++) {
        const char *text = attribute(loader, node, kinds[kind]);

        if (text == NULL)
            continue;
        if (*text == '\0' || pattern.text != NULL)
            complain(loader, node, "one of prefix, suffix, equals, with a text",
                     "an empty or a second pattern");
        pattern = (struct xml_pattern){.kind = kind, .text = text};
    }
    return pattern;
}

/* The attribute NAME, yes or no; absent: no. */
static bool read_flag(struct loader *loader, const xmlNode *node, const char *name)
{
    const char *text = attribute(loader, node, name);

    if (text != NULL && strcmp(text, "yes") != 0 && strcmp(text, "no") != 0)
        complain(loader, node, arena_print(loader->arena, "%s=\"yes\" or \"no\"", name), "neither yes nor no");
    return text != NULL && strcmp(text, "yes") == 0;
}

static void load_choice(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_choices *choices = into;
    struct xml_choice choice = {0};
    const char *table = attribute(loader, node, "table");

    choice.cut = attribute(loader, node, "cut");
    choice.strip = attribute(loader, node, "strip");
    choice.split = read_flag(loader, node, "split");
    choice.pattern = read_pattern(loader, node);
    if (table != NULL) {
        choice.table = find_table(loader, node, table);
        choice.column = find_column(loader, node, choice.table, required(loader, node, "column"));
    } else {
        choice.path = compile(loader, node, xml_node_text(node, loader->arena));
    }
    choices->items = arena_grow(loader->arena, choices->items, &choices->capacity, choices->count,
                                sizeof *choices->items);
    choices->items[choices->count++] = choice;
}

/* What tells the part of a connection cannot depend on that part. */
static void load_component(struct loader *loader, const xmlNode *node, void *into)
{
    const struct xml_choices *choices = into;

    load_choice(loader, node, into);
    if (choices->items[choices->count - 1].table != NULL && !choices->items[choices->count - 1].table->by_node)
        complain(loader, node, "a table whose keys look at the node only", "this table needs the part to be known");
}

/* What is read of a part cannot depend on a connection. */
static void load_of_part(struct loader *loader, const xmlNode *node, void *into)
{
    const struct xml_choices *choices = into;

    load_choice(loader, node, into);
    if (choices->items[choices->count - 1].table != NULL && !choices->items[choices->count - 1].table->by_component)
        complain(loader, node, "a table whose keys look at the component only", "this table needs a connection");
}

static void load_field(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_components *set = into;
    struct xml_field field = {
        .select = compile(loader, node, required(loader, node, "select")),
        .name = compile(loader, node, required(loader, node, "name")),
        .value = compile(loader, node, required(loader, node, "value")),
    };

    set->fields = arena_grow(loader->arena, set->fields, &set->field_capacity, set->field_count,
                             sizeof *set->fields);
    set->fields[set->field_count++] = field;
}

/* The side that a key's row is compared with: exactly one of component, node, table. */
static void load_side(struct loader *loader, const xmlNode *node, struct xml_key *key)
{
    const char *component = attribute(loader, node, "component");
    const char *of_node = attribute(loader, node, "node");
    const char *table = attribute(loader, node, "table"), *column = attribute(loader, node, "column");

    if (column != NULL && table == NULL)
        complain(loader, node, "the attribute table too", "a column of no table");
    if ((component != NULL) + (of_node != NULL) + (table != NULL) != 1) {
        complain(loader, node, "one of the attributes component, node, table",
                 "a key is compared with one thing");
        return;
    }
    key->side = component != NULL ? XML_SIDE_COMPONENT : of_node != NULL ? XML_SIDE_NODE
                                                                         : XML_SIDE_TABLE;
    if (table == NULL) {
        key->look_up = compile(loader, node, component != NULL ? component : of_node);
        return;
    }
    key->table = find_table(loader, node, table);
    if (column != NULL)
        key->column = find_column(loader, node, key->table, column);
    key->element = column == NULL;
}

static void load_key(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_table *table = into;
    struct xml_key key = {0};

    load_side(loader, node, &key);
    key.row = compile(loader, node, required(loader, node, "row"));
    table->by_component &= key.table != NULL ? key.table->by_component : key.side != XML_SIDE_NODE;
    table->by_node &= key.table != NULL ? key.table->by_node : key.side == XML_SIDE_NODE;
    table->keys = arena_grow(loader->arena, table->keys, &table->key_capacity, table->key_count,
                             sizeof *table->keys);
    table->keys[table->key_count++] = key;
}

static void load_column(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_table *table = into;
    struct xml_column column = {
        .name = required(loader, node, "name"),
        .path = compile(loader, node, xml_node_text(node, loader->arena)),
    };

    table->columns = arena_grow(loader->arena, table->columns, &table->column_capacity,
                                table->column_count, sizeof *table->columns);
    table->columns[table->column_count++] = column;
}

static const struct slot table_slots[] = {
    {"key", "row component node table column", load_key, 0},
    {"column", "name", load_column, 0},
    {NULL, NULL, NULL, 0},
};

static void load_table(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_dialect *dialect = into;
    struct xml_table *table = arena_alloc(loader->arena, sizeof *table);

    table->name = required(loader, node, "name");
    table->index = dialect->table_count;
    table->rows = compile(loader, node, required(loader, node, "rows"));
    table->by_component = table->by_node = true;
    load_children(loader, node, table_slots, table);
    if (table->key_count == 0)
        complain(loader, node, "a <key> in the table", "a table without a key");
    dialect->tables = arena_grow(loader->arena, dialect->tables, &dialect->table_capacity,
                                 dialect->table_count, sizeof *dialect->tables);
    dialect->tables[dialect->table_count++] = table;
}

static const char choice_attributes[] = "table column cut";
static const char pattern_attributes[] = "prefix suffix equals";
static const char condition_attributes[] = "table column prefix suffix equals";

#define IN_COMPONENTS(member) offsetof(struct xml_components, member)
static const struct slot component_slots[] = {
    {"exclude", condition_attributes, load_of_part, IN_COMPONENTS(exclude)},
    {"not-fitted", condition_attributes, load_of_part, IN_COMPONENTS(not_fitted)},
    {"key", "", load_choice, IN_COMPONENTS(key)},
    {"ref", choice_attributes, load_of_part, IN_COMPONENTS(ref)},
    {"value", choice_attributes, load_of_part, IN_COMPONENTS(value)},
    {"symbol", choice_attributes, load_of_part, IN_COMPONENTS(symbol)},
    {"library", choice_attributes, load_of_part, IN_COMPONENTS(library)},
    {"prefix", choice_attributes, load_of_part, IN_COMPONENTS(prefix)},
    {"description", choice_attributes, load_of_part, IN_COMPONENTS(description)},
    {"footprint", choice_attributes, load_of_part, IN_COMPONENTS(footprint)},
    {"sheet", choice_attributes, load_of_part, IN_COMPONENTS(sheet)},
    {"field", "select name value", load_field, 0},
    {NULL, NULL, NULL, 0},
};

static void load_components(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_dialect *dialect = into;
    struct xml_components *set = arena_alloc(loader->arena, sizeof *set);

    set->select = compile(loader, node, required(loader, node, "select"));
    set->repeated = read_flag(loader, node, "repeated");
    load_children(loader, node, component_slots, set);
    if (set->ref.count == 0)
        complain(loader, node, "a <ref> in <components>", "a part needs a reference");
    if (set->key.count == 0)
        set->key = set->ref;
    dialect->components =
        arena_grow(loader->arena, dialect->components, &dialect->components_capacity,
                   dialect->components_count, sizeof *dialect->components);
    dialect->components[dialect->components_count++] = set;
}

#define IN_CONNECTIONS(member) offsetof(struct xml_connections, member)
static const struct slot connection_slots[] = {
    {"exclude", pattern_attributes, load_choice, IN_CONNECTIONS(exclude)},
    {"net", choice_attributes, load_choice, IN_CONNECTIONS(net)},
    {"net-element", "", load_choice, IN_CONNECTIONS(net_element)},
    {"net-hint", "", load_choice, IN_CONNECTIONS(net_hint)},
    {"component", choice_attributes, load_component, IN_CONNECTIONS(component)},
    {"pin", "table column cut split", load_choice, IN_CONNECTIONS(pin)},
    {"pin-name", "table column cut strip", load_choice, IN_CONNECTIONS(pin_name)},
    {"pin-type", choice_attributes, load_choice, IN_CONNECTIONS(pin_type)},
    {NULL, NULL, NULL, 0},
};

static void load_connections(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_dialect *dialect = into;
    struct xml_connections *set = arena_alloc(loader->arena, sizeof *set);

    set->select = compile(loader, node, required(loader, node, "select"));
    load_children(loader, node, connection_slots, set);
    if (set->component.count == 0 || set->pin.count == 0)
        complain(loader, node, "a <component> and a <pin> in <connections>",
                 "a connection needs a part and a pin");
    if (set->net.count == 0 && set->net_element.count == 0)
        complain(loader, node, "a <net> or a <net-element> in <connections>",
                 "a connection needs a net");
    dialect->connections =
        arena_grow(loader->arena, dialect->connections, &dialect->connections_capacity,
                   dialect->connections_count, sizeof *dialect->connections);
    dialect->connections[dialect->connections_count++] = set;
}

static void load_pattern(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_patterns *patterns = into;
    struct xml_pattern pattern = read_pattern(loader, node);

    if (pattern.text == NULL)
        complain(loader, node, "one of the attributes prefix, suffix, equals",
                 "a pattern without a text");
    patterns->items = arena_grow(loader->arena, patterns->items, &patterns->capacity,
                                 patterns->count, sizeof *patterns->items);
    patterns->items[patterns->count++] = pattern;
}

static const struct slot unconnected_slots[] = {
    {"net", pattern_attributes, load_pattern, offsetof(struct xml_dialect, unconnected_nets)},
    {"pin-type", pattern_attributes, load_pattern,
     offsetof(struct xml_dialect, unconnected_types)},
    {NULL, NULL, NULL, 0},
};

static void load_unconnected(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_dialect *dialect = into;

    dialect->unconnected_nameless |= read_flag(loader, node, "nameless");
    load_children(loader, node, unconnected_slots, into);
}

static void load_detect(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_dialect *dialect = into;

    if (dialect->detect != NULL)
        complain(loader, node, "one <detect>; join conditions with or", "a second <detect>");
    dialect->detect = compile(loader, node, xml_node_text(node, loader->arena));
}

static void load_namespace(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_dialect *dialect = into;

    xml_paths_bind(dialect->paths, required(loader, node, "prefix"), required(loader, node, "uri"));
}

static void load_empty(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_dialect *dialect = into;

    dialect->empties = arena_grow(loader->arena, dialect->empties, &dialect->empty_capacity,
                                  dialect->empty_count, sizeof *dialect->empties);
    dialect->empties[dialect->empty_count++] = required(loader, node, "text");
}

static void load_word(struct loader *loader, const xmlNode *node, void *into)
{
    struct xml_dialect *dialect = into;
    struct xml_word word = {required(loader, node, "written"), required(loader, node, "means")};

    dialect->words = arena_grow(loader->arena, dialect->words, &dialect->word_capacity,
                                dialect->word_count, sizeof *dialect->words);
    dialect->words[dialect->word_count++] = word;
}

static const struct slot dialect_slots[] = {
    {"detect", "", load_detect, 0},
    {"namespace", "prefix uri", load_namespace, 0},
    {"title", "", load_choice, offsetof(struct xml_dialect, title)},
    {"empty", "text", load_empty, 0},
    {"table", "name rows", load_table, 0},
    {"components", "select repeated", load_components, 0},
    {"connections", "select", load_connections, 0},
    {"unconnected", "nameless", load_unconnected, 0},
    {"pin-type-word", "written means", load_word, 0},
    {NULL, NULL, NULL, 0},
};

static void load_dialect(struct loader *loader, const xmlNode *root)
{
    struct xml_dialect *dialect = loader->dialect;

    if (strcmp((const char *)root->name, "dialect") != 0) {
        complain(loader, root, "a root element <dialect name=\"...\">", "not a dialect file");
        return;
    }
    check_attributes(loader, root, "name");
    dialect->name = required(loader, root, "name");
    load_children(loader, root, dialect_slots, dialect);
    if (dialect->detect == NULL && !loader->bad)
        complain(loader, root, "a <detect> expression", "nothing tells when the dialect applies");
    if (dialect->components_count == 0 || dialect->connections_count == 0)
        complain(loader, root, "at least one <components> and one <connections>",
                 "the dialect names no parts or no connections");
}

struct xml_dialect *xml_dialect_load(struct arena *arena, struct diags *diags,
                                     const struct source *source)
{
    struct loader loader = {.arena = arena, .diags = diags};
    size_t errors = diag_count_input(diags, LEVEL_ERROR);

    if (!xml_document_open(&loader.document, source, diags))
        return NULL;
    loader.dialect = arena_alloc(arena, sizeof *loader.dialect);
    loader.dialect->paths = xml_paths_new(arena, diags);
    load_dialect(&loader, xmlDocGetRootElement(loader.document.tree));
    xml_document_close(&loader.document);
    if (!loader.bad && diag_count_input(diags, LEVEL_ERROR) == errors)
        return loader.dialect;
    xml_dialect_free(loader.dialect);
    return NULL;
}

void xml_dialect_free(struct xml_dialect *dialect)
{
    if (dialect != NULL)
        xml_paths_free(dialect->paths);
}

bool xml_pattern_matches(const struct xml_pattern *pattern, const char *text)
{
    size_t length = strlen(text), part = strlen(pattern->text);

    if (length < part)
        return false;
    switch (pattern->kind) {
    case XML_PREFIX:
        return strncmp(text, pattern->text, part) == 0;
    case XML_SUFFIX:
        return strcmp(text + length - part, pattern->text) == 0;
    case XML_EQUALS:
        return strcmp(text, pattern->text) == 0;
    }
    return false;
}
