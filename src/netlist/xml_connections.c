/* Nets and pins of an XML netlist: first all connections are gathered, then each net is judged (is
 * it one at all, what is it called), then the pins are joined. */
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

struct xml_net {
    const char *name;
    const xmlNode *element;             /* NULL if the dialect does not say */
    const xmlNode *node;                /* the first connection */
    const struct xml_component *first;  /* of the first connection */
    bool shared;                        /* other components too */
    bool told;                          /* about a name or mark that contradicts the connections */
    bool nowhere;                       /* no net: its pins are not connected */
    struct net *net;
};

struct xml_pin {
    const xmlNode *node;
    struct xml_component *component;
    const char *number, *name, *type;
    struct xml_net *net;
    bool marked; /* its type says "not connected" */
};

struct gathering {
    struct xml_reading *reading;
    const struct xml_connections *set;
    struct map *by_name, *by_element; /* struct xml_net */
    struct xml_pin *pins;
    size_t pin_count, pin_capacity;
    struct pin_store store;
    struct xml_net *nowhere; /* of connections that name no net, where the dialect allows it; else NULL */
};

static const struct xml_pattern *match_any(const struct xml_patterns *patterns, const char *text)
{
    for (size_t i = 0; text != NULL && i < patterns->count; i++)
        if (xml_pattern_matches(&patterns->items[i], text))
            return &patterns->items[i];
    return NULL;
}

static struct xml_net *find_net(const struct gathering *all, const char *name,
                                const xmlNode *element)
{
    char number[24];

    if (name != NULL)
        return map_get(all->by_name, name);
    snprintf(number, sizeof number, "%zu", xml_document_number(element));
    return map_get(all->by_element, number);
}

static bool is_no_net(const struct gathering *all, const char *name)
{
    const struct xml_pattern *pattern = match_any(&all->reading->dialect->unconnected_nets, name);

    return pattern != NULL && pattern->kind == XML_EQUALS;
}

static struct xml_net *add_net(struct gathering *all, const char *name, const xmlNode *element)
{
    struct arena *scratch = all->reading->scratch;
    struct xml_net *net = arena_alloc(scratch, sizeof *net);

    net->name = name;
    net->element = element;
    net->nowhere = is_no_net(all, name);
    if (name != NULL)
        map_add(all->by_name, name, net);
    else
        map_add(all->by_element, arena_print(scratch, "%zu", xml_document_number(element)), net);
    return net;
}

/* The net of the connection NODE; NULL, with a diagnostic, if it names none. */
static struct xml_net *net_of(struct gathering *all, const xmlNode *node, struct xml_component *component)
{
    struct xml_reading *reading = all->reading;
    const char *name = xml_choices_text(reading, &all->set->net, node, component, node);
    struct xml_nodes elements = {0};
    const xmlNode *element;
    struct xml_net *net;

    for (size_t i = 0; elements.count == 0 && i < all->set->net_element.count; i++)
        elements = xml_path_nodes(all->set->net_element.items[i].path, node, reading->scratch);
    element = elements.count > 0 ? elements.items[0] : NULL;
    if (name == NULL && element == NULL && all->nowhere != NULL)
        return all->nowhere;
    if (name == NULL && element == NULL) {
        xml_complain(reading, LEVEL_ERROR, node, "the net's name",
                     "a connection to a net without a name");
        return NULL;
    }
    net = find_net(all, name, element);
    if (net == NULL)
        return add_net(all, name, element);
    if (net->element != element && !net->told) {
        net->told = true;
        xml_complain(reading, LEVEL_WARNING, element, "each net once",
                     "two nets are called %s; they are read as one", name);
    }
    return net;
}

/* NAME without what the dialect says is appended to it with the pin's number: "A_1" of pin 1 is
 * "A". */
static const char *stripped(struct arena *arena, const char *name, const char *strip,
                            const char *number)
{
    size_t length = strlen(name), tail = strlen(strip) + strlen(number);

    if (length <= tail || strcmp(name + length - strlen(number), number) != 0 ||
        strncmp(name + length - tail, strip, strlen(strip)) != 0)
        return name;
    return arena_copy_span(arena, name, length - tail);
}

static const char *pin_name(struct gathering *all, const xmlNode *node,
                            struct xml_component *component, const char *number)
{
    const struct xml_choices *choices = &all->set->pin_name;

    for (size_t i = 0; i < choices->count; i++) {
        struct xml_choices one = {.items = &choices->items[i], .count = 1};
        const char *name = xml_choices_text(all->reading, &one, node, component, node);

        if (name != NULL && one.items->strip != NULL)
            return stripped(all->reading->input->arena, name, one.items->strip, number);
        if (name != NULL)
            return name;
    }
    return NULL;
}

/* The pin's type in the dialect's own words; *MARKED if it says "not connected". */
static const char *pin_type(struct gathering *all, const xmlNode *node,
                            struct xml_component *component, bool *marked)
{
    const struct xml_dialect *dialect = all->reading->dialect;
    const char *type =
        xml_choices_value(all->reading, &all->set->pin_type, node, component, node);
    const struct xml_pattern *pattern = match_any(&dialect->unconnected_types, type);

    *marked = pattern != NULL;
    if (pattern != NULL && pattern->kind == XML_SUFFIX)
        type = arena_copy_span(all->reading->input->arena, type,
                               strlen(type) - strlen(pattern->text));
    for (size_t i = 0; type != NULL && i < dialect->word_count; i++)
        if (strcmp(dialect->words[i].written, type) == 0)
            return dialect->words[i].means;
    return type;
}

static void add_pin(struct gathering *all, const xmlNode *node, const char *number,
                    struct xml_component *component, struct xml_net *net)
{
    struct xml_pin pin = {.node = node, .number = number, .component = component, .net = net};

    pin.name = pin_name(all, node, component, number);
    pin.type = pin_type(all, node, component, &pin.marked);
    if (net->first == NULL) {
        net->first = component;
        net->node = node;
    }
    net->shared |= net->first != component;
    component->pins.most++;
    all->pins = arena_grow(all->reading->scratch, all->pins, &all->pin_capacity, all->pin_count,
                           sizeof *all->pins);
    all->pins[all->pin_count++] = pin;
}

/* The pins that TEXT lists, if the dialect says that it is a list, else the one it names. */
static void add_pins(struct gathering *all, const xmlNode *node, const char *text, bool list,
                     struct xml_component *component, struct xml_net *net)
{
    static const char blanks[] = " \t\r\n";

    if (!list) {
        add_pin(all, node, text, component, net);
        return;
    }
    for (text += strspn(text, blanks); *text != '\0'; text += strspn(text, blanks)) {
        size_t length = strcspn(text, blanks);

        add_pin(all, node, arena_copy_span(all->reading->input->arena, text, length), component, net);
        text += length;
    }
}

/* The pin's number by the first alternative that gives one; *LIST: it is a list of them. */
static const char *pin_number(struct gathering *all, const xmlNode *node, struct xml_component *component, bool *list)
{
    const struct xml_choices *choices = &all->set->pin;
    const char *text = NULL;

    for (size_t i = 0; text == NULL && i < choices->count; i++) {
        struct xml_choices one = {.items = &choices->items[i], .count = 1};

        text = xml_choices_text(all->reading, &one, node, component, node);
        *list = one.items->split;
    }
    return text;
}

static void gather(struct gathering *all, const xmlNode *node)
{
    struct xml_reading *reading = all->reading;
    struct xml_component *component = NULL;
    struct xml_net *net;
    const char *key, *number = NULL;
    bool list = false;

    if (xml_choices_test(reading, &all->set->exclude, node, NULL))
        return;
    key = xml_choices_text(reading, &all->set->component, node, NULL, node);
    if (key != NULL)
        component = xml_component_find(reading, key, node);
    if (component != NULL && component->part == NULL)
        return;
    if (component != NULL)
        number = pin_number(all, node, component, &list);
    if (number == NULL) {
        xml_complain(reading, LEVEL_ERROR, node, "a part and the number of its pin",
                     "a connection without %s", key == NULL ? "a part" : "a pin number");
        return;
    }
    net = net_of(all, node, component);
    if (net != NULL)
        add_pins(all, node, number, list, component, net);
}

/* Whether PIN, by its net's name or its own type, is not connected. A mark for a single pin on a
 * net that joins several parts contradicts itself: the connection counts. */
static bool is_unconnected(struct gathering *all, const struct xml_pin *pin)
{
    const struct xml_pattern *pattern =
        match_any(&all->reading->dialect->unconnected_nets, pin->net->name);

    if (pin->net->nowhere)
        return true;
    if (pattern == NULL && !pin->marked)
        return false;
    if (!pin->net->shared)
        return true;
    if (!pin->net->told) {
        pin->net->told = true;
        xml_complain(all->reading, LEVEL_WARNING, pin->node, "a pin alone on its net",
                     "pin %s of %s is marked as not connected, but net %s joins it to other parts; "
                     "it is read as connected",
                     pin->number, pin->component->part->ref, pin->net->name);
    }
    return false;
}

/* A name for the net that PIN is the first of: what it hints at, else the part and pin. */
static const char *made_up_name(struct gathering *all, const struct xml_pin *pin)
{
    struct arena *arena = all->reading->input->arena;
    const char *hint = xml_choices_text(all->reading, &all->set->net_hint, pin->node,
                                        pin->component, pin->node);
    const char *name = arena_print(arena, "%s.%s", pin->component->part->ref, pin->number);

    if (hint != NULL && map_get(all->by_name, hint) == NULL)
        return hint;
    if (hint != NULL)
        name = arena_print(arena, "%s (%s)", hint, name);
    while (map_get(all->by_name, name) != NULL)
        name = arena_print(arena, "%s'", name);
    return name;
}

/* Names the nets that have none: by the first hint of their connections, else by the first pin. */
static void name_nets(struct gathering *all)
{
    const struct xml_choices *hint = &all->set->net_hint;

    for (int pass = hint->count > 0 ? 0 : 1; pass < 2; pass++)
        for (size_t i = 0; i < all->pin_count; i++) {
            struct xml_pin *pin = &all->pins[i];

            if (pin->net->name != NULL)
                continue;
            if (pass == 0 && xml_choices_text(all->reading, hint, pin->node, pin->component,
                                              pin->node) == NULL)
                continue;
            pin->net->name = made_up_name(all, pin);
            map_add(all->by_name, pin->net->name, pin->net);
        }
}

static void join(struct gathering *all, struct xml_pin *pin)
{
    struct xml_reading *reading = all->reading;
    struct part *part = pin->component->part;
    const struct xml_pin *taken = part_pins_find(&all->store, &pin->component->pins, part, pin->number);
    struct pin made = {.number = pin->number, .name = pin->name, .type = pin->type, .part = part};

    if (taken != NULL) {
        if (taken->net != pin->net && !pin->net->nowhere)
            xml_complain(reading, LEVEL_ERROR, pin->node, "each pin in one net",
                         "pin %s of %s is in net %s and in net %s; the first is used", pin->number,
                         part->ref, taken->net->name, pin->net->name);
        return;
    }
    if (!is_unconnected(all, pin)) {
        if (pin->net->net == NULL)
            pin->net->net = circuit_net(
                reading->circuit, pin->net->name,
                xml_document_place(reading->document, pin->net->element != NULL ? pin->net->element
                                                                                : pin->net->node));
        made.net = pin->net->net;
    }
    part_pins_add(&all->store, &pin->component->pins, &made, pin);
}

/* A sentinel is no pin name, unless other pins have names: "~" beside "+" and "-" is a bridge's. */
static void drop_sentinels(const struct xml_dialect *dialect, struct part *part)
{
    for (size_t i = 0; i < part->pin_count; i++)
        if (part->pins[i].name != NULL && !xml_is_empty(dialect, part->pins[i].name))
            return;
    for (size_t i = 0; i < part->pin_count; i++)
        part->pins[i].name = NULL;
}

static void gather_all(struct gathering *all)
{
    struct xml_reading *reading = all->reading;
    const struct xml_dialect *dialect = reading->dialect;
    struct xml_nodes nodes = {0};

    for (size_t i = 0; nodes.count == 0 && i < dialect->connections_count; i++) {
        all->set = dialect->connections[i];
        nodes = xml_path_nodes(all->set->select, (const xmlNode *)reading->document->tree,
                               reading->scratch);
    }
    all->pin_capacity = nodes.count;
    all->pins = arena_array(reading->scratch, nodes.count, sizeof *all->pins);
    for (size_t i = 0; i < nodes.count; i++)
        gather(all, nodes.items[i]);
}

/* What is on no net comes last: a pin may be listed once for each of its layers, and on one of them with its net. */
static void join_all(struct gathering *all)
{
    for (int nowhere = 0; nowhere < 2; nowhere++)
        for (size_t i = 0; i < all->pin_count; i++)
            if (all->pins[i].net->nowhere == nowhere)
                join(all, &all->pins[i]);
}

bool xml_connections_read(struct xml_reading *reading)
{
    struct gathering all = {.reading = reading, .by_name = map_new(), .by_element = map_new(),
                            .store = {reading->input->arena, reading->scratch, map_new()}};
    struct circuit *circuit = reading->circuit;
    struct xml_net nowhere = {.name = "(none)", .nowhere = true};

    if (reading->dialect->unconnected_nameless)
        all.nowhere = &nowhere;
    gather_all(&all);
    name_nets(&all);
    join_all(&all);
    for (size_t i = 0; i < circuit->part_count; i++)
        drop_sentinels(reading->dialect, circuit->parts[i]);
    map_free(all.by_name);
    map_free(all.by_element);
    map_free(all.store.many);
    if (circuit->net_count > 0)
        return true;
    xml_complain(reading, LEVEL_ERROR, xmlDocGetRootElement(reading->document->tree),
                 "nets with the pins they join",
                 "the file lists %zu part%s and no connections", circuit->part_count,
                 circuit->part_count == 1 ? "" : "s");
    return false;
}
