#include "netlist/assembly.h"

#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "netlist/part_pins.h"
#include "netlist/reader.h"
#include "netlist/sexpr.h"

void assembly_start(struct assembly *assembly, const struct read_input *input, const char *format)
{
    *assembly = (struct assembly){.input = input, .arena = input->arena};
    assembly->circuit = circuit_new(input->arena, input->source);
    assembly->circuit->format = format;
    assembly->texts = map_new();
    assembly->parts = map_new();
    assembly->nets = map_new();
    assembly->left_out = arena_alloc(input->arena, sizeof *assembly->left_out);
}

void assembly_complain(struct assembly *assembly, enum level level, struct place place,
                       const char *expected, const char *format, ...)
{
    struct arena *scratch = arena_new();
    va_list args;
    const char *message;

    va_start(args, format);
    message = arena_vprint(scratch, format, args);
    va_end(args);
    /* Past the limit a diagnostic is only counted: finding its line would take long for nothing. */
    diag_input(assembly->input->diags, level, place,
               assembly->input->diags->count < DIAG_INPUT_LARGEST ? sexpr_excerpt(scratch, place)
                                                                  : NULL,
               expected, "%s", message);
    arena_free(scratch);
}

static bool is_blank(char c)
{
    return c == ' ' || (c >= '\t' && c <= '\r') || c == '\0';
}

const char *assembly_text(struct assembly *assembly, const char *text, size_t length)
{
    char *copy;
    const char *known;

    for (; length > 0 && is_blank(*text); length--)
        text++;
    while (length > 0 && is_blank(text[length - 1]))
        length--;
    known = map_get_span(assembly->texts, text, length);
    if (known != NULL)
        return known;
    copy = arena_copy_span(assembly->arena, text, length);
    for (size_t i = 0; i < length; i++)
        if (copy[i] == '\0')
            copy[i] = ' ';
    map_add(assembly->texts, copy, copy);
    return copy;
}

const char *assembly_word(struct assembly *assembly, const char *text, size_t length)
{
    const char *word = assembly_text(assembly, text, length);

    return *word != '\0' ? word : NULL;
}

/* False, with a diagnostic, if a limit is met. */
static bool fits(struct assembly *assembly, size_t count, size_t most, const char *what,
                 const char *name, struct place place)
{
    if (assembly->full)
        return false;
    if (count >= most) {
        assembly->full = true;
        assembly_complain(assembly, LEVEL_ERROR, place, "a smaller netlist",
                          "the netlist has more than %zu %s: what follows is not read", most, what);
        return false;
    }
    if (strlen(name) <= ASSEMBLY_NAME_LONGEST)
        return true;
    assembly_complain(assembly, LEVEL_ERROR, place, "a name of at most 1000 bytes",
                      "a name of %zu bytes is too long: what it names is left out", strlen(name));
    return false;
}

static struct part *make_part(struct assembly *assembly, const char *ref, struct place place)
{
    struct part *part;

    if (!fits(assembly, assembly->circuit->part_count, ASSEMBLY_PARTS_MOST, "parts", ref, place))
        return NULL;
    part = circuit_add_part(assembly->circuit, ref, place);
    if (part != NULL) {
        part->dialect = QUANTITY_SCHEMATIC;
        map_add(assembly->parts, ref, part);
    }
    return part;
}

struct part *assembly_part(struct assembly *assembly, const char *ref, struct place place)
{
    const struct part *known = map_get(assembly->parts, ref);

    if (known == NULL)
        return make_part(assembly, ref, place);
    assembly_complain(assembly, LEVEL_ERROR, place, "each part once",
                      "the part %s is listed a second time: it is listed at line %u, column %u too",
                      ref, known->place.line, known->place.column);
    return NULL;
}

void assembly_leave_out(struct assembly *assembly, const char *ref)
{
    map_add(assembly->parts, ref, assembly->left_out);
}

bool assembly_has(const struct assembly *assembly, const char *ref)
{
    return map_get(assembly->parts, ref) != NULL;
}

struct part *assembly_find(struct assembly *assembly, const char *ref, struct place place)
{
    struct part *part = map_get(assembly->parts, ref);

    if (part != NULL)
        return part != assembly->left_out ? part : NULL;
    part = make_part(assembly, ref, place);
    if (part != NULL)
        assembly_complain(assembly, LEVEL_WARNING, place, "a part that the list of parts holds",
                          "part %s is connected but not listed: only its pins are known", ref);
    return part;
}

void assembly_field(struct assembly *assembly, struct part *part, const char *name,
                    const char *value, struct place place)
{
    const struct field *other = circuit_merge_field(assembly->circuit, part, name, value);

    if (other != NULL)
        assembly_complain(assembly, LEVEL_WARNING, place, "each field once",
                          "field %s of %s is \"%s\" and \"%s\"; the first is used", name, part->ref,
                          other->value, value);
}

/* The last component of a hierarchical name. */
static const char *leaf_of(const char *name)
{
    const char *slash = strcasecmp(name, "n/c") != 0 ? strrchr(name, '/') : NULL;

    return slash != NULL && slash[1] != '\0' ? slash + 1 : name;
}

bool assembly_is_no_net(const struct assembly *assembly, const char *name)
{
    static const char *const names[] = {"?", "No Net", "N/C", "No_Net", "NC", "n.c.", "not connected",
                                        "unconnected", "no connect"};
    enum { NEVER_A_LABEL = 3 };
    size_t count = assembly->unconnected == UNCONNECTED_BY_NAME ? sizeof names / sizeof *names : NEVER_A_LABEL;

    name = leaf_of(name);
    for (size_t i = 0; i < count; i++)
        if (strcasecmp(name, names[i]) == 0)
            return true;
    return false;
}

bool assembly_is_alone(const struct assembly *assembly, const char *name)
{
    const char *number;

    if (assembly->unconnected == UNCONNECTED_BY_PREFIX)
        return strncmp(name, "unconnected-(", 13) == 0;
    name = leaf_of(name);
    if (strncasecmp(name, "unused_", 7) == 0 || strncasecmp(name, "unconnected-", 12) == 0)
        return true;
    if (strncasecmp(name, "nc", 2) != 0)
        return false;
    number = name + 2;
    number += *number == '_' || *number == '-';
    return *number != '\0' && number[strspn(number, "0123456789")] == '\0';
}

struct assembly_net *assembly_net_again(struct assembly *assembly, const char *name,
                                        struct place place)
{
    struct assembly_net *net = map_get(assembly->nets, name);

    if (net != NULL ||
        !fits(assembly, assembly->net_count, ASSEMBLY_NETS_MOST, "nets", name, place))
        return net;
    net = arena_alloc(assembly->arena, sizeof *net);
    net->name = name;
    net->place = place;
    net->alone = assembly_is_alone(assembly, name);
    map_add(assembly->nets, name, net);
    assembly->net_count++;
    return net;
}

struct assembly_net *assembly_net(struct assembly *assembly, const char *name, struct place place)
{
    struct assembly_net *known = map_get(assembly->nets, name);

    if (known == NULL)
        return assembly_net_again(assembly, name, place);
    if (!known->told && !assembly_is_no_net(assembly, name))
        assembly_complain(assembly, LEVEL_WARNING, place, "each net once",
                          "two nets are called %s, the other at line %u, column %u; they are read as "
                          "one", name, known->place.line, known->place.column);
    known->told = true;
    return known;
}

void assembly_join(struct assembly *assembly, const struct assembly_pin *pin)
{
    struct assembly_net *net = pin->net;

    if (!fits(assembly, assembly->pin_count, ASSEMBLY_PINS_MOST, "pins", pin->number, pin->place))
        return;
    assembly->pins = arena_grow(assembly->arena, assembly->pins, &assembly->pin_capacity,
                                assembly->pin_count, sizeof *assembly->pins);
    assembly->pins[assembly->pin_count++] = *pin;
    if (net == NULL)
        return;
    if (net->pin_count++ == 0)
        net->first = pin->part;
    net->shared |= net->first != pin->part;
}

/* A mark on a net of several parts contradicts itself: the connection counts. */
static bool is_unconnected(struct assembly *assembly, const struct assembly_pin *pin)
{
    if (pin->net == NULL || assembly_is_no_net(assembly, pin->net->name))
        return true;
    if (!pin->marked && !pin->net->alone)
        return false;
    if (pin->net->shared && !pin->net->told)
        assembly_complain(assembly, LEVEL_WARNING, pin->place, "a pin alone on its net",
                          "pin %s of %s is marked as not connected, but net %s joins it to other "
                          "parts; it is read as connected", pin->number, pin->part->ref,
                          pin->net->name);
    pin->net->told |= pin->net->shared;
    return !pin->net->shared;
}

static const char *net_called(const struct assembly_pin *pin)
{
    return pin->net != NULL ? pin->net->name : "(none)";
}

static void add_pin(struct assembly *assembly, const struct pin_store *store, struct part_pins *pins,
                    const struct assembly_pin *pin)
{
    struct pin made = {.number = pin->number, .name = pin->name, .type = pin->type, .part = pin->part};

    if (!is_unconnected(assembly, pin)) {
        if (pin->net->net == NULL)
            pin->net->net = circuit_net(assembly->circuit, pin->net->name, pin->net->place);
        made.net = pin->net->net;
    }
    part_pins_add(store, pins, &made, pin);
}

static void settle_pin(struct assembly *assembly, const struct pin_store *store, struct part_pins *pins,
                       const struct assembly_pin *pin)
{
    const struct assembly_pin *known = part_pins_find(store, pins, pin->part, pin->number);

    if (known == NULL)
        add_pin(assembly, store, pins, pin);
    else if (known->net != pin->net)
        assembly_complain(assembly, LEVEL_ERROR, pin->place, "each pin in one net",
                          "pin %s of %s is in net %s (line %u, column %u) and in net %s; the first is "
                          "used", pin->number, pin->part->ref, net_called(known), known->place.line,
                          known->place.column, net_called(pin));
}

static void settle_pins(struct assembly *assembly)
{
    struct pin_store store = {.arena = assembly->arena, .scratch = arena_new(), .many = map_new()};
    struct part_pins *parts = arena_array(store.scratch, assembly->circuit->part_count, sizeof *parts);

    for (size_t i = 0; i < assembly->pin_count; i++)
        parts[assembly->pins[i].part->index].most++;
    for (size_t i = 0; i < assembly->pin_count; i++)
        settle_pin(assembly, &store, &parts[assembly->pins[i].part->index], &assembly->pins[i]);
    map_free(store.many);
    arena_free(store.scratch);
}

/* "~" is no pin name, unless other pins have names: "~" beside "+" and "-" is a bridge's. */
static void drop_empty_names(struct part *part)
{
    for (size_t i = 0; i < part->pin_count; i++)
        if (part->pins[i].name != NULL && strcmp(part->pins[i].name, "~") != 0)
            return;
    for (size_t i = 0; i < part->pin_count; i++)
        part->pins[i].name = NULL;
}

struct circuit *assembly_finish(struct assembly *assembly)
{
    struct circuit *circuit = assembly->circuit;
    struct place start = {.source = assembly->input->source, .line = 1, .column = 1};

    settle_pins(assembly);
    for (size_t i = 0; i < circuit->part_count; i++)
        drop_empty_names(circuit->parts[i]);
    circuit_finish(circuit);
    map_free(assembly->texts);
    map_free(assembly->parts);
    map_free(assembly->nets);
    if (circuit->net_count == 0)
        assembly_complain(assembly, LEVEL_ERROR, start, "nets with the pins they join",
                          "the file lists %zu part%s and no connections", circuit->part_count,
                          circuit->part_count == 1 ? "" : "s");
    return circuit;
}
