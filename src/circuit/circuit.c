#include "circuit/circuit.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/map.h"

struct circuit *circuit_new(struct arena *arena, const struct source *source)
{
    struct circuit *circuit = arena_alloc(arena, sizeof *circuit);

    circuit->arena = arena;
    circuit->source = source;
    circuit->parts_by_ref = map_new();
    circuit->nets_by_name = map_new();
    circuit->models_by_name = map_new();
    return circuit;
}

void circuit_free(struct circuit *circuit)
{
    if (circuit == NULL)
        return;
    map_free(circuit->parts_by_ref);
    map_free(circuit->nets_by_name);
    map_free(circuit->models_by_name);
}

static const char *leaf_of(const char *name)
{
    const char *slash = strrchr(name, '/');

    return slash != NULL && slash[1] != '\0' ? slash + 1 : name;
}

/* The net that NET has become. */
static struct net *joined_net(struct net *net)
{
    while (net->same != NULL)
        net = net->same;
    return net;
}

struct net *circuit_net(struct circuit *circuit, const char *name, struct place place)
{
    struct net *net = map_get(circuit->nets_by_name, name);

    if (net != NULL)
        return joined_net(net);
    net = arena_alloc(circuit->arena, sizeof *net);
    net->name = arena_copy(circuit->arena, name);
    net->leaf = leaf_of(net->name);
    net->place = place;
    net->index = circuit->net_count;
    circuit->nets = arena_grow(circuit->arena, circuit->nets, &circuit->net_capacity,
                               circuit->net_count, sizeof *circuit->nets);
    circuit->nets[circuit->net_count++] = net;
    map_add(circuit->nets_by_name, net->name, net);
    return net;
}

void circuit_alias_net(struct circuit *circuit, const char *name, struct net *net, struct place place)
{
    circuit->aliases = arena_grow(circuit->arena, circuit->aliases, &circuit->alias_capacity,
                                  circuit->alias_count, sizeof *circuit->aliases);
    circuit->aliases[circuit->alias_count++] =
        (struct net_alias){.name = name, .net = net, .inner = net->inner, .place = place};
    map_add(circuit->nets_by_name, name, net);
}

void circuit_join_nets(struct circuit *circuit, struct net *kept, struct net *other)
{
    kept = joined_net(kept);
    other = joined_net(other);
    if (kept == other)
        return;
    if (strcmp(other->name, "0") == 0) {
        other = kept;
        kept = map_get(circuit->nets_by_name, "0");
    }
    circuit_alias_net(circuit, other->name, kept, other->place);
    other->same = kept;
}

void circuit_alias_part(struct circuit *circuit, const char *ref, struct part *part)
{
    map_add(circuit->parts_by_ref, ref, part);
}

struct part *circuit_add_part(struct circuit *circuit, const char *ref, struct place place)
{
    struct part *part = arena_alloc(circuit->arena, sizeof *part);

    part->ref = part->own_ref = ref;
    part->place = place;
    part->index = circuit->part_count;
    if (!map_add(circuit->parts_by_ref, ref, part))
        return NULL;
    circuit->parts = arena_grow(circuit->arena, circuit->parts, &circuit->part_capacity,
                                circuit->part_count, sizeof *circuit->parts);
    circuit->parts[circuit->part_count++] = part;
    return part;
}

bool circuit_connect(struct circuit *circuit, struct part *part, const char *number,
                     const char *name, const char *type, struct net *net)
{
    struct pin *pin = part_pin(part, number);

    if (pin != NULL)
        return pin->net == net;
    part->pins = arena_grow(circuit->arena, part->pins, &part->pin_capacity, part->pin_count,
                            sizeof *part->pins);
    pin = &part->pins[part->pin_count];
    *pin = (struct pin){.number = number, .name = name, .type = type, .part = part, .net = net,
                        .index = part->pin_count};
    part->pin_count++;
    return true;
}

char *field_key(struct arena *arena, const char *name)
{
    char *key = arena_copy(arena, name), *out = key;

    for (const char *in = name; *in != '\0'; in++)
        if (isalnum((unsigned char)*in) || *in == '.' || (*in & 0x80) != 0)
            *out++ = (char)tolower((unsigned char)*in);
    *out = '\0';
    return key;
}

static void add_field(struct arena *arena, struct field **fields, size_t *count, size_t *capacity,
                      const char *name, const char *value)
{
    *fields = arena_grow(arena, *fields, capacity, *count, sizeof **fields);
    (*fields)[(*count)++] =
        (struct field){.name = name, .key = field_key(arena, name), .value = value};
}

void circuit_add_field(struct circuit *circuit, struct part *part, const char *name,
                       const char *value)
{
    add_field(circuit->arena, &part->fields, &part->field_count, &part->field_capacity, name,
              value);
}

const struct field *circuit_merge_field(struct circuit *circuit, struct part *part, const char *name,
                                        const char *value)
{
    enum { FIELDS_COMPARED = 64 };

    for (size_t i = 0; i < part->field_count && i < FIELDS_COMPARED; i++) {
        struct field *field = &part->fields[i];

        if (strcmp(field->name, name) != 0)
            continue;
        if (field->value[0] == '\0')
            field->value = value;
        return value[0] != '\0' && strcmp(field->value, value) != 0 ? field : NULL;
    }
    circuit_add_field(circuit, part, name, value);
    return NULL;
}

static char *lower(struct arena *arena, const char *text)
{
    char *copy = arena_copy(arena, text);

    for (char *c = copy; *c != '\0'; c++)
        *c = (char)tolower((unsigned char)*c);
    return copy;
}

struct model *circuit_add_model(struct circuit *circuit, const char *name, const char *type,
                                struct place place)
{
    struct model *model = arena_alloc(circuit->arena, sizeof *model);

    model->name = name;
    model->type = type;
    model->place = place;
    if (!map_add(circuit->models_by_name, lower(circuit->arena, name), model))
        return NULL;
    circuit->models = arena_grow(circuit->arena, circuit->models, &circuit->model_capacity,
                                 circuit->model_count, sizeof *circuit->models);
    circuit->models[circuit->model_count++] = model;
    return model;
}

void circuit_add_parameter(struct circuit *circuit, struct model *model, const char *name,
                           const char *value)
{
    add_field(circuit->arena, &model->parameters, &model->parameter_count,
              &model->parameter_capacity, name, value);
}

struct coupling *circuit_add_coupling(struct circuit *circuit, const char *ref, double coefficient,
                                      struct place place)
{
    struct coupling *coupling;

    circuit->couplings = arena_grow(circuit->arena, circuit->couplings,
                                    &circuit->coupling_capacity, circuit->coupling_count,
                                    sizeof *circuit->couplings);
    coupling = &circuit->couplings[circuit->coupling_count++];
    *coupling = (struct coupling){.ref = ref, .coefficient = coefficient, .place = place};
    return coupling;
}

void circuit_couple(struct circuit *circuit, struct coupling *coupling, const char *inductor)
{
    const char **grown = arena_array(circuit->arena, coupling->inductor_count + 1, sizeof *grown);

    if (coupling->inductor_count > 0)
        memcpy(grown, coupling->inductors, coupling->inductor_count * sizeof *grown);
    grown[coupling->inductor_count++] = inductor;
    coupling->inductors = grown;
}

/* Nets that were joined to others are there no more. */
static void drop_joined(struct circuit *circuit)
{
    size_t kept = 0;

    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++) {
            struct pin *pin = &circuit->parts[i]->pins[k];

            if (pin->net != NULL)
                pin->net = joined_net(pin->net);
        }
    for (size_t i = 0; i < circuit->alias_count; i++)
        circuit->aliases[i].net = joined_net(circuit->aliases[i].net);
    for (size_t i = 0; i < circuit->net_count; i++) {
        if (circuit->nets[i]->same != NULL)
            continue;
        circuit->nets[i]->index = kept;
        circuit->nets[kept++] = circuit->nets[i];
    }
    circuit->net_count = kept;
}

void circuit_finish(struct circuit *circuit)
{
    if (circuit->alias_count > 0)
        drop_joined(circuit);
    for (size_t i = 0; i < circuit->net_count; i++)
        circuit->nets[i]->pin_count = 0;
    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++)
            if (circuit->parts[i]->pins[k].net != NULL)
                circuit->parts[i]->pins[k].net->pin_count++;
    for (size_t i = 0; i < circuit->net_count; i++) {
        struct net *net = circuit->nets[i];

        net->pins = arena_array(circuit->arena, net->pin_count, sizeof *net->pins);
        net->pin_count = 0;
    }
    for (size_t i = 0; i < circuit->part_count; i++)
        for (size_t k = 0; k < circuit->parts[i]->pin_count; k++) {
            struct pin *pin = &circuit->parts[i]->pins[k];

            if (pin->net != NULL)
                pin->net->pins[pin->net->pin_count++] = pin;
        }
}

struct part *circuit_find_part(const struct circuit *circuit, const char *ref)
{
    struct part *part = map_get(circuit->parts_by_ref, ref);

    for (size_t i = 0; part == NULL && i < circuit->part_count; i++)
        if (strcasecmp(circuit->parts[i]->ref, ref) == 0)
            part = circuit->parts[i];
    return part;
}

struct net *circuit_find_net(const struct circuit *circuit, const char *name)
{
    struct net *net = map_get(circuit->nets_by_name, name);

    if (net != NULL)
        return joined_net(net);
    for (size_t i = 0; net == NULL && i < circuit->net_count; i++)
        if (strcasecmp(circuit->nets[i]->name, name) == 0)
            net = circuit->nets[i];
    return net;
}

const struct model *circuit_find_model(const struct circuit *circuit, const char *name)
{
    char key[256];
    size_t length = strlen(name);

    if (length >= sizeof key)
        return NULL;
    for (size_t i = 0; i <= length; i++)
        key[i] = (char)tolower((unsigned char)name[i]);
    return map_get(circuit->models_by_name, key);
}

const struct model *circuit_part_model(const struct circuit *circuit, const struct part *part,
                                       const char *name)
{
    char own[256];
    const struct model *model = NULL;

    if (part->home != NULL &&
        (size_t)snprintf(own, sizeof own, "%s:%s", part->home->name, name) < sizeof own)
        model = circuit_find_model(circuit, own);
    return model != NULL ? model : circuit_find_model(circuit, name);
}

const char *circuit_same_refs(const struct circuit *circuit, struct arena *arena, const char *ref)
{
    const char *list = NULL;
    size_t count = 0;

    for (size_t i = 0; i < circuit->part_count; i++) {
        const struct part *part = circuit->parts[i];

        if (part->home == NULL || strcasecmp(part->own_ref, ref) != 0)
            continue;
        list = count++ == 0 ? part->ref : arena_print(arena, "%s, %s", list, part->ref);
    }
    return count > 1 ? list : NULL;
}

/* How much a net's name sounds like the reference; 0: not at all. */
static unsigned ground_likeness(const char *leaf)
{
    static const char *const names[] = {"0", "GND", "0V", "AGND", "GNDA", "CHASSIS", "GNDREF",
                                        "COM", "COMMON", "PGND", "GNDPWR", "EARTH", "PE"};
    enum { COUNT = sizeof names / sizeof *names };

    for (unsigned i = 0; i < COUNT; i++)
        if (strcasecmp(leaf, names[i]) == 0)
            return COUNT - i;
    return 0;
}

const struct net *circuit_ground(const struct circuit *circuit, bool *named)
{
    const struct net *best = NULL;
    unsigned likeness = 0;

    for (size_t i = 0; i < circuit->net_count; i++) {
        const struct net *net = circuit->nets[i];
        unsigned likely = ground_likeness(net->leaf);

        if (best == NULL || likely > likeness ||
            (likely == likeness && net->pin_count > best->pin_count)) {
            best = net;
            likeness = likely;
        }
    }
    *named = likeness > 0;
    return best;
}

static const char *find_field(const struct field *fields, size_t count, const char *key)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(fields[i].key, key) == 0 && fields[i].value[0] != '\0')
            return fields[i].value;
    return NULL;
}

const char *part_field(const struct part *part, const char *key)
{
    return find_field(part->fields, part->field_count, key);
}

const char *model_parameter(const struct model *model, const char *name)
{
    return find_field(model->parameters, model->parameter_count, name);
}

struct pin *part_pin(const struct part *part, const char *number)
{
    for (size_t i = 0; i < part->pin_count; i++)
        if (strcmp(part->pins[i].number, number) == 0)
            return &part->pins[i];
    return NULL;
}
