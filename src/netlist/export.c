/* The `(export ...)` netlist, the form in nested lists of the XML one of that name: components, symbols, nets. */
#include "netlist/export.h"

#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"
#include "netlist/sexpr.h"

static int detect(const struct source *source)
{
    return sexpr_starts_with(source, "export") ? 2 : 0;
}

/* NULL if TEXT stands for nothing. */
static const char *said(const char *text)
{
    return text != NULL && strcmp(text, "~") != 0 ? text : NULL;
}

/* TEXT without the tail that a symbol saved from a lost library has. */
static const char *without_rescue(struct export_reading *reading, const char *text)
{
    const char *tail = text != NULL ? strcasestr(text, "-rescue") : NULL;

    return tail != NULL ? assembly_word(&reading->assembly, text, (size_t)(tail - text)) : said(text);
}

static const char *symbol_key(struct arena *arena, const char *library, const char *name)
{
    return arena_print(arena, "%s\x1F%s", library != NULL ? library : "", name != NULL ? name : "");
}

static struct map *index_symbols(struct export_reading *reading)
{
    struct map *map = map_new();

    for (size_t i = 0; i < reading->symbol_count; i++) {
        struct export_symbol *symbol = reading->symbols[i];

        map_add(map, symbol_key(reading->scratch, symbol->library, symbol->name), symbol);
        for (size_t k = 0; k < symbol->alias_count; k++)
            map_add(map, symbol_key(reading->scratch, symbol->library, symbol->aliases[k]), symbol);
    }
    return map;
}

static const char *first_said(const char *first, const char *second, const char *third)
{
    if (said(first) != NULL)
        return first;
    return said(second) != NULL ? second : said(third);
}

static void fill_part(struct export_reading *reading, const struct export_component *component,
                      const struct export_symbol *symbol, struct part *part)
{
    part->value = said(component->value);
    part->symbol = without_rescue(reading, component->symbol);
    part->library = without_rescue(reading, component->library);
    part->prefix = symbol != NULL ? said(symbol->prefix) : NULL;
    part->footprint = said(component->footprint);
    part->sheet = said(component->sheet);
    part->description = first_said(component->description, component->symbol_description,
                                   symbol != NULL ? symbol->description : NULL);
    part->not_fitted = component->not_fitted;
    for (size_t i = 0; i < component->field_count; i++) {
        const struct export_field *field = &component->fields[i];
        const char *value = said(field->value);

        assembly_field(&reading->assembly, part, field->name, value != NULL ? value : "",
                       field->place);
    }
}

/* Makes the parts; OF gets the symbol of each by its reference. */
static void make_parts(struct export_reading *reading, struct map *symbols, struct map *of)
{
    for (size_t i = 0; i < reading->component_count; i++) {
        const struct export_component *component = reading->components[i];
        struct export_symbol *symbol;
        struct part *part;

        if (component->ref == NULL) {
            assembly_complain(&reading->assembly, LEVEL_ERROR, component->place,
                              "a reference such as R1", "a part without a reference");
            continue;
        }
        if (component->ref[0] == '#') {
            assembly_leave_out(&reading->assembly, component->ref);
            continue;
        }
        part = assembly_part(&reading->assembly, component->ref, component->place);
        if (part == NULL)
            continue;
        symbol = map_get(symbols,
                         symbol_key(reading->scratch, component->library, component->symbol));
        if (symbol != NULL)
            map_add(of, part->ref, symbol);
        fill_part(reading, component, symbol, part);
    }
}

/* NAME without "_" and NUMBER at its end, which the newest files append. */
static const char *stripped(struct export_reading *reading, const char *name, const char *number)
{
    size_t length = name != NULL ? strlen(name) : 0, tail = strlen(number) + 1;

    if (length <= tail || name[length - tail] != '_' ||
        strcmp(name + length - tail + 1, number) != 0)
        return name;
    return assembly_text(&reading->assembly, name, length - tail);
}

/* TYPE in the words of today's files. */
static const char *type_word(const char *type)
{
    static const char *const words[][2] = {
        {"BiDi", "bidirectional"},    {"3state", "tri_state"},     {"unspc", "unspecified"},
        {"openCol", "open_collector"}, {"openEm", "open_emitter"}, {"NotConnected", "no_connect"}};

    for (size_t i = 0; type != NULL && i < sizeof words / sizeof *words; i++)
        if (strcmp(type, words[i][0]) == 0)
            return words[i][1];
    return type;
}

static const char *pin_type(struct export_reading *reading, const char *type, bool *marked)
{
    static const char suffix[] = "+no_connect";
    size_t length = type != NULL ? strlen(type) : 0, tail = strlen(suffix);

    *marked = length > tail && strcmp(type + length - tail, suffix) == 0;
    if (*marked)
        type = assembly_text(&reading->assembly, type, length - tail);
    return type_word(type);
}

static void join_node(struct export_reading *reading, const struct map *symbols,
                      struct assembly_net *net, const struct export_node *node)
{
    struct assembly_pin pin = {.number = node->pin, .net = net, .place = node->place};
    const struct export_symbol *symbol;
    const struct export_pin *drawn = NULL;

    if (node->ref == NULL || node->pin == NULL) {
        assembly_complain(&reading->assembly, LEVEL_ERROR, node->place,
                          "a part and the number of its pin", "a connection without %s",
                          node->ref == NULL ? "a part" : "a pin number");
        return;
    }
    if (node->ref[0] == '#' ||
        (pin.part = assembly_find(&reading->assembly, node->ref, node->place)) == NULL)
        return;
    symbol = map_get(symbols, node->ref);
    if (symbol != NULL)
        drawn = map_get(reading->pins,
                        arena_print(reading->scratch, "%zu\x1F%s", symbol->index, node->pin));
    pin.name = drawn != NULL && drawn->name != NULL ? drawn->name
                                                    : stripped(reading, node->name, node->pin);
    pin.type = pin_type(reading, first_said(node->type, drawn != NULL ? drawn->type : NULL, NULL),
                        &pin.marked);
    assembly_join(&reading->assembly, &pin);
}

/* A net without a name is called after its first pin. */
static const char *net_name(struct export_reading *reading, const struct export_net *net)
{
    const struct export_node *node = &net->nodes[0];

    if (net->name != NULL)
        return net->name;
    return arena_print(reading->assembly.arena, "%s.%s", node->ref != NULL ? node->ref : "",
                       node->pin != NULL ? node->pin : "");
}

static void make_nets(struct export_reading *reading, const struct map *symbols)
{
    for (size_t i = 0; i < reading->net_count; i++) {
        const struct export_net *gathered = reading->nets[i];
        struct assembly_net *net;

        if (gathered->node_count == 0)
            continue;
        net = assembly_net(&reading->assembly, net_name(reading, gathered), gathered->place);
        for (size_t k = 0; net != NULL && k < gathered->node_count; k++)
            join_node(reading, symbols, net, &gathered->nodes[k]);
    }
}

static struct circuit *read_export(const struct read_input *input)
{
    struct export_reading reading = {.scratch = arena_new(), .pins = map_new()};
    struct map *symbols, *of = map_new();
    struct circuit *circuit;

    assembly_start(&reading.assembly, input, "export lists");
    export_gather(&reading, input->source);
    reading.assembly.circuit->title = said(reading.title);
    symbols = index_symbols(&reading);
    make_parts(&reading, symbols, of);
    make_nets(&reading, of);
    circuit = assembly_finish(&reading.assembly);
    map_free(reading.pins);
    map_free(symbols);
    map_free(of);
    arena_free(reading.scratch);
    return circuit;
}

const struct reader export_reader = {
    .name = "export",
    .help = "netlists in nested lists that start with (export",
    .detect = detect,
    .read = read_export,
};
