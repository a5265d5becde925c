/* Parts of an XML netlist. */
#include <stddef.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"
#include "netlist/xml_dialect.h"
#include "netlist/xml_document.h"
#include "netlist/xml_path.h"
#include "netlist/xml_reading.h"

/* Texts of a part and where the dialect says them. */
static const struct {
    size_t choices; /* in struct xml_components */
    size_t member;  /* in struct part */
} texts[] = {
    {offsetof(struct xml_components, value), offsetof(struct part, value)},
    {offsetof(struct xml_components, symbol), offsetof(struct part, symbol)},
    {offsetof(struct xml_components, library), offsetof(struct part, library)},
    {offsetof(struct xml_components, prefix), offsetof(struct part, prefix)},
    {offsetof(struct xml_components, description), offsetof(struct part, description)},
    {offsetof(struct xml_components, footprint), offsetof(struct part, footprint)},
    {offsetof(struct xml_components, sheet), offsetof(struct part, sheet)},
};

static struct xml_component *new_component(struct xml_reading *reading, const char *key,
                                           const xmlNode *element, size_t set)
{
    struct xml_component *component = arena_alloc(reading->scratch, sizeof *component);
    size_t tables = reading->dialect->table_count;

    component->element = element;
    component->set = set;
    component->rows = arena_array(reading->scratch, tables, sizeof *component->rows);
    component->looked_up = arena_array(reading->scratch, tables, sizeof *component->looked_up);
    map_add(reading->components, key, component);
    return component;
}

/* A part called REF, or, if that is taken, an error and a part called after its KEY too. */
static struct part *new_part(struct xml_reading *reading, const char *ref, const char *key,
                             const xmlNode *element)
{
    struct place place = xml_document_place(reading->document, element);
    struct part *part = circuit_add_part(reading->circuit, ref, place);

    if (part != NULL)
        return part;
    xml_complain(reading, LEVEL_ERROR, element, "a reference for each part alone",
                 "the reference %s is given to two parts", ref);
    ref = arena_print(reading->input->arena, "%s (%s)", ref, key);
    return circuit_add_part(reading->circuit, ref, place);
}

/* Of fields of one name the first that says something counts; a contradiction is told. */
static void read_field(struct xml_reading *reading, const struct xml_field *field,
                       const xmlNode *node, struct part *part)
{
    struct arena *arena = reading->input->arena;
    const char *name = xml_path_text(field->name, node, arena);
    const char *value = xml_path_text(field->value, node, arena);
    const struct field *other;

    if (name == NULL)
        return;
    if (value == NULL || xml_is_empty(reading->dialect, value))
        value = "";
    other = circuit_merge_field(reading->circuit, part, name, value);
    if (other != NULL)
        xml_complain(reading, LEVEL_WARNING, node, "each field once",
                     "field %s of %s is \"%s\" and \"%s\"; the first is used", name, part->ref, other->value,
                     value);
}

/* What SET says of the part at ELEMENT; what an earlier set said stays. */
static void fill_part(struct xml_reading *reading, const struct xml_components *set,
                      const xmlNode *element, struct xml_component *component)
{
    struct part *part = component->part;

    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const struct xml_choices *choices =
            (const struct xml_choices *)((const char *)set + texts[i].choices);
        const char **member = (const char **)((char *)part + texts[i].member);

        if (*member == NULL)
            *member = xml_choices_value(reading, choices, element, component, NULL);
    }
    part->not_fitted |= xml_choices_test(reading, &set->not_fitted, element, component);
    for (size_t i = 0; i < set->field_count; i++) {
        struct xml_nodes nodes = xml_path_nodes(set->fields[i].select, element, reading->scratch);

        for (size_t k = 0; k < nodes.count; k++)
            read_field(reading, &set->fields[i], nodes.items[k], part);
    }
}

static void add_component(struct xml_reading *reading, size_t index, const xmlNode *element,
                          const char *key)
{
    const struct xml_components *set = reading->dialect->components[index];
    struct xml_component *component = new_component(reading, key, element, index);
    const char *ref;

    if (xml_choices_test(reading, &set->exclude, element, component))
        return;
    ref = xml_choices_text(reading, &set->ref, element, component, NULL);
    if (ref == NULL)
        xml_complain(reading, LEVEL_ERROR, element, "a reference such as R1",
                     "a part without a reference");
    component->part = new_part(reading, ref != NULL ? ref : key, key, element);
    if (component->part == NULL)
        return;
    component->part->dialect = QUANTITY_SCHEMATIC;
    fill_part(reading, set, element, component);
}

static void read_component(struct xml_reading *reading, size_t index, const xmlNode *element)
{
    const struct xml_components *set = reading->dialect->components[index];
    const char *key = xml_choices_text(reading, &set->key, element, NULL, NULL);
    struct xml_component *known = key != NULL ? map_get(reading->components, key) : NULL;

    if (key == NULL)
        xml_complain(reading, LEVEL_ERROR, element, "a reference such as R1",
                     "a part without a reference");
    else if (known == NULL)
        add_component(reading, index, element, key);
    else if (known->set == index && !set->repeated)
        xml_complain(reading, LEVEL_ERROR, element, "each part once",
                     "the part %s is listed a second time", key);
    else if (known->set != index && known->part != NULL &&
             !xml_choices_test(reading, &set->exclude, element, known))
        fill_part(reading, set, element, known);
}

void xml_components_read(struct xml_reading *reading)
{
    const struct xml_dialect *dialect = reading->dialect;

    for (size_t i = 0; i < dialect->components_count; i++) {
        struct xml_nodes nodes =
            xml_path_nodes(dialect->components[i]->select,
                           (const xmlNode *)reading->document->tree, reading->scratch);

        for (size_t k = 0; k < nodes.count; k++)
            read_component(reading, i, nodes.items[k]);
    }
}

struct xml_component *xml_component_find(struct xml_reading *reading, const char *key,
                                         const xmlNode *node)
{
    struct xml_component *component = map_get(reading->components, key);

    if (component != NULL)
        return component;
    xml_complain(reading, LEVEL_WARNING, node, "a part that the list of parts holds",
                 "part %s is connected but not listed: only its pins are known", key);
    component = new_component(reading, key, NULL, reading->dialect->components_count);
    component->part = new_part(reading, key, key, node);
    return component;
}
