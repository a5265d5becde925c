/* The circuit that several netlists make. */
#include <ctype.h>
#include <string.h>

#include "base/arena.h"
#include "base/forest.h"
#include "base/diag.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "netlist/boards.h"

/* How well a name suits a net that has several, best first. */
enum suits {
    SUITS_GROUND,    /* 0 of a deck that wires the others */
    SUITS_ZERO,      /* 0 of another deck */
    SUITS_DECK,      /* a name that a deck gives */
    SUITS_DRAWN,     /* a name that somebody gave on a board */
    SUITS_MADE_UP    /* by a program, or a reference */
};

/* A name of a net of one board. */
struct label {
    size_t board, set; /* SET: the root of its net in the forest */
    const char *name, *leaf;
    struct place place;
    enum suits suits;
    bool clash;  /* of the first of its name: another net has this name too */
    bool shared; /* the name tells no net */
};

/* A pin on no net of its board, which a deck wires. */
struct loose {
    const struct pin *pin;
    size_t set;
    struct loose *next;
};

struct joining {
    struct arena *arena, *scratch;
    const struct boards *boards;
    size_t group;
    struct circuit *circuit;
    size_t *first;            /* of each board: its net 0 in the forest */
    size_t *parents;          /* forest of all nets */
    struct net **nets;        /* of each root, made */
    struct label *labels;
    size_t label_count, label_capacity;
    struct loose *loose;
    struct circuit_file **files; /* of each board */
};

static bool is_member(const struct joining *joining, size_t board)
{
    return joining->boards->items[board].group == joining->group &&
           joining->boards->items[board].circuit != NULL;
}

static size_t set_of(const struct joining *joining, size_t board, const struct net *net)
{
    return forest_root(joining->parents, joining->first[board] + net->index);
}

/* Nets are one where a wire says so, and nowhere else. */
static void join_sets(struct joining *joining)
{
    for (size_t i = 0; i < joining->boards->wire_count; i++) {
        const struct board_wire *wire = &joining->boards->wires[i];
        struct loose *loose = joining->loose;
        size_t set;

        if (!is_member(joining, wire->deck))
            continue;
        set = joining->first[wire->deck] + wire->net->index;
        joining->files[wire->board]->wired++;
        if (wire->pin->net != NULL) {
            forest_join(joining->parents, set, joining->first[wire->board] + wire->pin->net->index);
            continue;
        }
        while (loose != NULL && loose->pin != wire->pin)
            loose = loose->next;
        if (loose != NULL) {
            forest_join(joining->parents, set, loose->set);
            continue;
        }
        diag_input(joining->boards->items[wire->deck].diags, LEVEL_WARNING, wire->place, wire->node,
                   "a pin that something hangs on", "pin %s of %s is on no net of %s: the wire to it leads nowhere",
                   wire->pin->number, wire->pin->part->ref, joining->boards->items[wire->board].source->name);
        loose = arena_alloc(joining->scratch, sizeof *loose);
        *loose = (struct loose){.pin = wire->pin, .set = set, .next = joining->loose};
        joining->loose = loose;
    }
}

static bool is_digits(const char *text)
{
    return *text != '\0' && text[strspn(text, "0123456789")] == '\0';
}

/* Names that programs make up; those of nets without a name are the first pin's, R8.1. */
static bool is_made_up(const struct circuit *circuit, const char *leaf)
{
    const char *dot = strrchr(leaf, '.');

    if (strncmp(leaf, "Net-(", 5) == 0 || strncmp(leaf, "N$", 2) == 0 || strncmp(leaf, "unconnected-", 12) == 0 ||
        strncmp(leaf, "N-", 2) == 0 || (toupper((unsigned char)leaf[0]) == 'N' && is_digits(leaf + 1)))
        return true;
    return dot != NULL && map_get_span(circuit->parts_by_ref, leaf, (size_t)(dot - leaf)) != NULL;
}

static enum suits suits(const struct joining *joining, size_t board, const char *name, const char *leaf,
                        const struct map *references)
{
    const struct board *item = &joining->boards->items[board];
    const char *key = arena_print(joining->scratch, "%zu %s", board, name);

    if (strcmp(item->circuit->format, "spice") != 0)
        return is_made_up(item->circuit, leaf) ? SUITS_MADE_UP : SUITS_DRAWN;
    if (strcmp(name, "0") == 0)
        return item->wires ? SUITS_GROUND : SUITS_ZERO;
    if (map_get(references, key) != NULL || is_made_up(item->circuit, leaf))
        return SUITS_MADE_UP;
    return item->wires ? SUITS_DECK : SUITS_DRAWN;
}

static void add_label(struct joining *joining, const struct label *label)
{
    joining->labels = arena_grow(joining->scratch, joining->labels, &joining->label_capacity,
                                 joining->label_count, sizeof *joining->labels);
    joining->labels[joining->label_count++] = *label;
}

static struct map *references_of(const struct joining *joining)
{
    struct map *references = map_new();

    for (size_t i = 0; i < joining->boards->wire_count; i++) {
        const struct board_wire *wire = &joining->boards->wires[i];

        map_add(references, arena_print(joining->scratch, "%zu %s", wire->deck, wire->node), (void *)wire->node);
    }
    return references;
}

static void gather_labels(struct joining *joining)
{
    struct map *references = references_of(joining);

    for (size_t b = 0; b < joining->boards->count; b++) {
        const struct circuit *circuit = joining->boards->items[b].circuit;

        if (!is_member(joining, b))
            continue;
        for (size_t i = 0; i < circuit->net_count + circuit->alias_count; i++) {
            const struct net_alias *alias = i >= circuit->net_count ? &circuit->aliases[i - circuit->net_count] : NULL;
            const struct net *net = alias != NULL ? alias->net : circuit->nets[i];
            const char *name = alias != NULL ? alias->name : net->name, *leaf = alias != NULL ? name : net->leaf;

            add_label(joining, &(struct label){.board = b, .set = set_of(joining, b, net), .name = name, .leaf = leaf,
                                               .place = alias != NULL ? alias->place : net->place,
                                               .suits = suits(joining, b, name, leaf, references)});
        }
    }
    map_free(references);
}

/* A name that more than one net has tells none of them; but 0 is that of the deck that wires the others. */
static void mark_shared(struct joining *joining)
{
    struct map *names = map_new();
    const struct label *ground = NULL;

    for (size_t i = 0; i < joining->label_count; i++) {
        struct label *label = &joining->labels[i], *first;
        const char *key = boards_key(joining->scratch, label->name, strlen(label->name));

        first = map_add(names, key, label) ? label : map_get(names, key);
        first->clash |= first->set != label->set;
        if (ground == NULL && label->suits == SUITS_GROUND)
            ground = label;
    }
    for (size_t i = 0; i < joining->label_count; i++) {
        struct label *label = &joining->labels[i];
        const struct label *first =
            map_get(names, boards_key(joining->scratch, label->name, strlen(label->name)));

        label->shared = first->clash && (ground == NULL || label->set != ground->set || label->suits != SUITS_GROUND);
    }
    map_free(names);
}

static const char *qualified(const struct joining *joining, size_t board, const char *name)
{
    return arena_print(joining->arena, "%s:%s", joining->boards->items[board].name, name);
}

/* A net for each set, called by the label that suits it best. */
static void make_nets(struct joining *joining, size_t net_count)
{
    const struct label **best = arena_array(joining->scratch, net_count, sizeof *best);

    for (size_t i = 0; i < joining->label_count; i++) {
        const struct label *label = &joining->labels[i];

        if (best[label->set] == NULL || label->suits < best[label->set]->suits)
            best[label->set] = label;
    }
    for (size_t i = 0; i < joining->label_count; i++) {
        const struct label *label = best[joining->labels[i].set];
        const char *name = label->shared ? qualified(joining, label->board, label->name) : label->name;

        if (joining->nets[label->set] != NULL)
            continue;
        while (map_get(joining->circuit->nets_by_name, name) != NULL)
            name = arena_print(joining->arena, "%s'", name); /* never one net of two */
        joining->nets[label->set] = circuit_net(joining->circuit, name, label->place);
        joining->nets[label->set]->leaf = label->leaf;
    }
    for (size_t i = 0; i < joining->label_count; i++) {
        const struct label *label = &joining->labels[i];

        circuit_alias_net(joining->circuit, qualified(joining, label->board, label->name), joining->nets[label->set],
                          label->place);
        if (!label->shared)
            circuit_alias_net(joining->circuit, label->name, joining->nets[label->set], label->place);
    }
}

static struct net *net_of(const struct joining *joining, size_t board, const struct pin *pin)
{
    if (pin->net != NULL)
        return joining->nets[set_of(joining, board, pin->net)];
    for (const struct loose *loose = joining->loose; loose != NULL && pin->wired; loose = loose->next)
        if (loose->pin == pin)
            return joining->nets[forest_root(joining->parents, loose->set)];
    return NULL;
}

/* How many boards of the group have a part of each reference. */
static struct map *shared_refs(const struct joining *joining)
{
    struct map *firsts = map_new(), *shared = map_new();

    for (size_t b = 0; b < joining->boards->count; b++) {
        const struct circuit *circuit = joining->boards->items[b].circuit;

        for (size_t i = 0; is_member(joining, b) && i < circuit->part_count; i++) {
            const char *ref = circuit->parts[i]->ref, *key = boards_key(joining->scratch, ref, strlen(ref));
            const struct circuit *first = map_get(firsts, key);

            if (first == NULL)
                map_add(firsts, key, (void *)circuit);
            else if (first != circuit)
                map_add(shared, key, (void *)circuit);
        }
    }
    map_free(firsts);
    return shared;
}

static const char *ref_of(const struct joining *joining, const struct map *shared, size_t board, const char *ref)
{
    return map_get(shared, boards_key(joining->scratch, ref, strlen(ref))) != NULL
               ? qualified(joining, board, ref) : ref;
}

static void copy_part(struct joining *joining, const struct map *shared, size_t board, const struct part *part)
{
    const char *ref = ref_of(joining, shared, board, part->ref);
    struct part *made = circuit_add_part(joining->circuit, ref, part->place);
    size_t index;

    while (made == NULL) {
        ref = arena_print(joining->arena, "%s'", ref); /* never one part of two */
        made = circuit_add_part(joining->circuit, ref, part->place);
    }
    index = made->index;
    *made = *part;
    made->ref = ref;
    made->own_ref = part->ref;
    made->home = joining->files[board];
    made->index = index;
    made->pin_capacity = part->pin_count;
    made->pins = arena_array(joining->arena, part->pin_count, sizeof *made->pins);
    for (size_t i = 0; i < part->pin_count; i++) {
        made->pins[i] = part->pins[i];
        made->pins[i].part = made;
        made->pins[i].net = net_of(joining, board, &part->pins[i]);
    }
    circuit_alias_part(joining->circuit, qualified(joining, board, part->ref), made);
}

static void copy_couplings(struct joining *joining, const struct map *shared, size_t board)
{
    const struct circuit *circuit = joining->boards->items[board].circuit;

    for (size_t i = 0; i < circuit->coupling_count; i++) {
        const struct coupling *coupling = &circuit->couplings[i];
        struct coupling *made = circuit_add_coupling(joining->circuit, coupling->ref, coupling->coefficient,
                                                     coupling->place);

        for (size_t k = 0; k < coupling->inductor_count; k++)
            circuit_couple(joining->circuit, made, ref_of(joining, shared, board, coupling->inductors[k]));
    }
}

/* Each model by its qualified name; by its own too if it is the first of that name. */
static void copy_models(struct joining *joining, size_t board)
{
    const struct circuit *circuit = joining->boards->items[board].circuit;

    for (size_t i = 0; i < circuit->model_count; i++) {
        const struct model *model = circuit->models[i];
        const char *names[] = {model->name, qualified(joining, board, model->name)};

        for (size_t k = 0; k < 2; k++) {
            struct model *made = circuit_add_model(joining->circuit, names[k], model->type, model->place);

            if (made == NULL)
                continue;
            made->parameters = model->parameters;
            made->parameter_count = made->parameter_capacity = model->parameter_count;
        }
    }
}

static void list_files(struct joining *joining)
{
    struct circuit *circuit = joining->circuit;

    for (size_t b = 0; b < joining->boards->count; b++)
        circuit->file_count += is_member(joining, b);
    circuit->files = arena_array(joining->arena, circuit->file_count, sizeof *circuit->files);
    for (size_t b = 0, next = 0; b < joining->boards->count; b++) {
        const struct board *board = &joining->boards->items[b];

        if (!is_member(joining, b))
            continue;
        joining->files[b] = &circuit->files[next++];
        *joining->files[b] = (struct circuit_file){.source = board->source, .name = board->name, .wires = board->wires,
                                                   .format = board->circuit->format,
                                                   .part_count = board->circuit->part_count};
    }
}

/* Whether any deck has a wire on the net SET. */
static bool is_wired(const struct joining *joining, size_t set)
{
    for (size_t i = 0; i < joining->label_count; i++)
        if (joining->labels[i].set == set && joining->boards->items[joining->labels[i].board].wires)
            return true;
    return false;
}

/* Which net of each board is named as its ground, and whether a deck joins it to the circuit's. */
static void find_grounds(struct joining *joining)
{
    bool named;
    const struct net *ground = circuit_ground(joining->circuit, &named);

    for (size_t b = 0; b < joining->boards->count; b++) {
        struct circuit_file *file = joining->files[b];
        const struct net *own = is_member(joining, b) ? circuit_ground(joining->boards->items[b].circuit, &named) : NULL;
        size_t set;

        if (own == NULL || !named)
            continue;
        set = set_of(joining, b, own);
        file->ground = own->name;
        file->net = joining->nets[set];
        file->grounded = file->net == ground;
        if (!file->grounded && !is_wired(joining, set))
            diag_input(joining->boards->items[b].diags, LEVEL_WARNING, own->place, own->name,
                       "a wire of the chassis deck, such as .connect 0 J1.2",
                       "the ground %s of %s is joined to nothing else: no deck wires a pin that is on it", own->name,
                       file->source->name);
    }
}

static void copy_boards(struct joining *joining)
{
    struct map *shared = shared_refs(joining);

    for (size_t b = 0; b < joining->boards->count; b++) {
        const struct circuit *circuit = joining->boards->items[b].circuit;

        if (!is_member(joining, b))
            continue;
        for (size_t i = 0; i < circuit->part_count; i++)
            copy_part(joining, shared, b, circuit->parts[i]);
        copy_couplings(joining, shared, b);
        copy_models(joining, b);
        if (joining->circuit->title == NULL && joining->boards->items[b].wires)
            joining->circuit->title = circuit->title;
    }
    map_free(shared);
}

/* The deck that wires the others. */
static const struct source *main_source(const struct joining *joining)
{
    const struct source *source = NULL;

    for (size_t b = 0; b < joining->boards->count; b++)
        if (is_member(joining, b) && (source == NULL || joining->boards->items[b].wires)) {
            source = joining->boards->items[b].source;
            if (joining->boards->items[b].wires)
                break;
        }
    return source;
}

struct circuit *boards_join(struct arena *arena, struct boards *boards, size_t group)
{
    struct joining joining = {.arena = arena, .scratch = arena_new(), .boards = boards, .group = group};
    size_t net_count = 0;

    joining.circuit = circuit_new(arena, main_source(&joining));
    joining.circuit->format = "several";
    joining.first = arena_array(joining.scratch, boards->count, sizeof *joining.first);
    joining.files = arena_array(joining.scratch, boards->count, sizeof *joining.files);
    for (size_t b = 0; b < boards->count; b++) {
        joining.first[b] = net_count;
        net_count += is_member(&joining, b) ? boards->items[b].circuit->net_count : 0;
    }
    joining.parents = forest_new(joining.scratch, net_count);
    joining.nets = arena_array(joining.scratch, net_count, sizeof *joining.nets);
    list_files(&joining);
    join_sets(&joining);
    gather_labels(&joining);
    mark_shared(&joining);
    make_nets(&joining, net_count);
    copy_boards(&joining);
    circuit_finish(joining.circuit);
    find_grounds(&joining);
    arena_free(joining.scratch);
    return joining.circuit;
}
