/* Tables of a dialect (hash joins) and the choices that use them. */
#include <stdarg.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/map.h"
#include "base/text.h"
#include "netlist/reader.h"
#include "netlist/xml_dialect.h"
#include "netlist/xml_document.h"
#include "netlist/xml_path.h"
#include "netlist/xml_reading.h"

/* Keys of several texts are joined by a byte that no XML text can hold (XML 1.0 clause 2.2). */
static const char separator = '\x1F';

enum { ROW_KEYS_LARGEST = 1000 }; /* keys of one row: a symbol with all its aliases */

void xml_complain(struct xml_reading *reading, enum level level, const xmlNode *node,
                  const char *expected, const char *format, ...)
{
    struct diags *diags = reading->input->diags;
    va_list args;
    char *message;

    if (diags->dropped > 0) {
        diags->dropped++;
        return;
    }
    va_start(args, format);
    message = arena_vprint(diags->arena, format, args);
    va_end(args);
    diag_input(diags, level, xml_document_place(reading->document, node),
               xml_document_excerpt(diags->arena, node), expected, "%s", message);
}

bool xml_is_empty(const struct xml_dialect *dialect, const char *text)
{
    for (size_t i = 0; i < dialect->empty_count; i++)
        if (strcmp(dialect->empties[i], text) == 0)
            return true;
    return false;
}

/* What one key column says of ROW: an element's number, or the text of each node. */
static struct xml_nodes key_nodes(struct xml_reading *reading, const struct xml_key *key,
                                  const xmlNode *row)
{
    return xml_path_nodes(key->row, row, reading->scratch);
}

static const char *key_text(struct xml_reading *reading, const struct xml_key *key,
                            const xmlNode *node)
{
    const char *text;

    if (key->element)
        return arena_print(reading->scratch, "%zu", xml_document_number(node));
    text = xml_node_text(node, reading->scratch);
    return text != NULL ? text : "";
}

/* The keys so far, each followed by each text that KEY gives for ROW. */
static size_t extend_keys(struct xml_reading *reading, const struct xml_key *key,
                          const xmlNode *row, const char ***keys, size_t count)
{
    struct xml_nodes nodes = key_nodes(reading, key, row);
    size_t wanted = count * (nodes.count > 0 ? nodes.count : 1), made = 0;
    const char **longer;

    if (nodes.count > ROW_KEYS_LARGEST || wanted > ROW_KEYS_LARGEST) {
        xml_complain(reading, LEVEL_WARNING, row, "at most 1000 names for one entry",
                     "this entry has too many names; some are not known");
        nodes.count = nodes.count / count > 0 && ROW_KEYS_LARGEST / count < nodes.count
                          ? ROW_KEYS_LARGEST / count : nodes.count;
        wanted = count * (nodes.count > 0 ? nodes.count : 1);
    }
    longer = arena_array(reading->scratch, wanted, sizeof *longer);
    for (size_t i = 0; i < count; i++) {
        if (nodes.count == 0)
            longer[made++] = arena_print(reading->scratch, "%s%c", (*keys)[i], separator);
        for (size_t k = 0; k < nodes.count; k++)
            longer[made++] = arena_print(reading->scratch, "%s%s%c", (*keys)[i],
                                         key_text(reading, key, nodes.items[k]), separator);
    }
    *keys = longer;
    return made;
}

/* Adds ROW under its keys; of two rows with one key the first counts. */
static void add_row(struct xml_reading *reading, const struct xml_table *table, struct map *index,
                    const xmlNode *element)
{
    struct xml_row *row = arena_alloc(reading->scratch, sizeof *row);
    const char *start = "", **keys = &start;
    size_t count = 1;

    row->element = element;
    row->cells = arena_array(reading->scratch, table->column_count, sizeof *row->cells);
    row->known = arena_array(reading->scratch, table->column_count, sizeof *row->known);
    for (size_t i = 0; i < table->key_count; i++)
        count = extend_keys(reading, &table->keys[i], element, &keys, count);
    for (size_t i = 0; i < count; i++)
        map_add(index, keys[i], row);
}

static struct map *index_of(struct xml_reading *reading, const struct xml_table *table)
{
    struct map **index = &reading->indexes[table->index];
    struct xml_nodes rows;

    if (*index != NULL)
        return *index;
    *index = map_new();
    rows = xml_path_nodes(table->rows, (const xmlNode *)reading->document->tree, reading->scratch);
    for (size_t i = 0; i < rows.count; i++)
        add_row(reading, table, *index, rows.items[i]);
    return *index;
}

static const char *cell(struct xml_reading *reading, struct xml_row *row, const struct xml_table *table,
                        size_t column)
{
    if (!row->known[column]) {
        row->known[column] = true;
        row->cells[column] = xml_path_text(table->columns[column].path, row->element, reading->input->arena);
    }
    return row->cells[column];
}

/* Adds to TEXT what KEY is compared with; false if there is nothing to compare. */
static bool add_look_up(struct xml_reading *reading, const struct xml_key *key,
                        struct xml_component *component, const xmlNode *node, struct text *text)
{
    const xmlNode *context = key->side == XML_SIDE_NODE ? node : component != NULL ? component->element : NULL;
    struct xml_row *row;
    const char *part;

    if (key->side == XML_SIDE_TABLE) {
        row = xml_join_find(reading, key->table, component, node);
        if (row == NULL)
            return false;
        if (key->element)
            text_print(text, "%zu", xml_document_number(row->element));
        else if ((part = cell(reading, row, key->table, key->column)) != NULL)
            text_add(text, part);
    } else if (context == NULL) {
        return false;
    } else if ((part = xml_path_text(key->look_up, context, reading->scratch)) != NULL) {
        text_add(text, part);
    }
    text_add_char(text, separator);
    return true;
}

static struct xml_row *look_up(struct xml_reading *reading, const struct xml_table *table,
                               struct xml_component *component, const xmlNode *node)
{
    struct map *index = index_of(reading, table);
    struct text key = {0};
    struct xml_row *row = NULL;
    bool whole = true;

    for (size_t i = 0; whole && i < table->key_count; i++)
        whole = add_look_up(reading, &table->keys[i], component, node, &key);
    if (whole)
        row = map_get_span(index, text_bytes(&key), key.length);
    text_free(&key);
    return row;
}

struct xml_row *xml_join_find(struct xml_reading *reading, const struct xml_table *table,
                              struct xml_component *component, const xmlNode *node)
{
    if (!table->by_component)
        return look_up(reading, table, component, node);
    if (!component->looked_up[table->index]) {
        component->looked_up[table->index] = true;
        component->rows[table->index] = look_up(reading, table, component, NULL);
    }
    return component->rows[table->index];
}

/* What CHOICE's table says. */
static const char *chosen_cell(struct xml_reading *reading, const struct xml_choice *choice,
                               struct xml_component *component, const xmlNode *node)
{
    struct xml_row *row = xml_join_find(reading, choice->table, component, node);

    return row != NULL ? cell(reading, row, choice->table, choice->column) : NULL;
}

/* TEXT up to the first CUT, in any case of letters; NULL if nothing is left. */
static const char *cut_off(struct arena *arena, const char *text, const char *cut)
{
    size_t length = strlen(cut);

    for (const char *at = text; *at != '\0'; at++)
        if (strncasecmp(at, cut, length) == 0)
            return at > text ? arena_copy_span(arena, text, (size_t)(at - text)) : NULL;
    return text;
}

const char *xml_choices_text(struct xml_reading *reading, const struct xml_choices *choices,
                             const xmlNode *context, struct xml_component *component,
                             const xmlNode *node)
{
    const char *text = NULL;

    for (size_t i = 0; text == NULL && i < choices->count; i++) {
        const struct xml_choice *choice = &choices->items[i];

        text = choice->table != NULL ? chosen_cell(reading, choice, component, node)
                                     : xml_path_text(choice->path, context, reading->input->arena);
        if (text != NULL && choice->cut != NULL)
            text = cut_off(reading->input->arena, text, choice->cut);
    }
    return text;
}

const char *xml_choices_value(struct xml_reading *reading, const struct xml_choices *choices,
                              const xmlNode *context, struct xml_component *component,
                              const xmlNode *node)
{
    for (size_t i = 0; i < choices->count; i++) {
        struct xml_choices one = {.items = &choices->items[i], .count = 1};
        const char *text = xml_choices_text(reading, &one, context, component, node);

        if (text != NULL && !xml_is_empty(reading->dialect, text))
            return text;
    }
    return NULL;
}

static bool is_true(struct xml_reading *reading, const struct xml_choice *choice,
                    const xmlNode *context, struct xml_component *component)
{
    const char *text;

    if (choice->table != NULL) {
        text = chosen_cell(reading, choice, component, NULL);
        return text != NULL && (choice->pattern.text == NULL || xml_pattern_matches(&choice->pattern, text));
    }
    if (choice->pattern.text == NULL)
        return xml_path_test(choice->path, context);
    text = xml_path_text(choice->path, context, reading->scratch);
    return text != NULL && xml_pattern_matches(&choice->pattern, text);
}

bool xml_choices_test(struct xml_reading *reading, const struct xml_choices *choices,
                      const xmlNode *context, struct xml_component *component)
{
    for (size_t i = 0; i < choices->count; i++)
        if (is_true(reading, &choices->items[i], context, component))
            return true;
    return false;
}
