/* What the nodes of decks mean: pins of other netlists' parts. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/forest.h"
#include "base/diag.h"
#include "base/map.h"
#include "base/nearest.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "netlist/boards.h"

/* A part by its reference's key; NEXT has the same one. */
struct known {
    size_t board;
    const struct part *part;
    struct known *next;
};

/* A node of a deck. */
struct node {
    size_t deck;
    const char *name;
    struct net *net;
    struct place place;
    bool own; /* may be called after the deck's own pin, and after another's */
};

struct finder {
    struct boards *boards;
    struct arena *arena;  /* for what is not kept */
    size_t *parents;
    struct map *parts;    /* struct known, by key */
    struct map *names;    /* struct board, by key */
    struct node *strange; /* look like references, and nothing is called so */
    size_t strange_count, strange_capacity;
};

/* What a node says if it is a reference: QUALIFIER may be NULL. */
struct reference {
    const struct board *board; /* the one that the qualifier names, or NULL */
    const char *text;          /* REF.PIN */
    const struct known *known; /* parts called REF on other boards, or on that one */
    const struct part *own;    /* the deck's own REF */
    const char *pin;
    size_t ref_length, count;  /* of KNOWN */
};

static void learn_parts(struct finder *finder, size_t index)
{
    const struct circuit *circuit = finder->boards->items[index].circuit;

    for (size_t i = 0; i < circuit->part_count; i++) {
        struct known *known = arena_alloc(finder->arena, sizeof *known), *first;
        const char *ref = circuit->parts[i]->ref, *key = boards_key(finder->arena, ref, strlen(ref));

        *known = (struct known){.board = index, .part = circuit->parts[i]};
        first = map_get(finder->parts, key);
        if (first != NULL) {
            known->next = first->next;
            first->next = known;
        } else {
            map_add(finder->parts, key, known);
        }
    }
}

static void complain(struct finder *finder, const struct node *node, const char *expected,
                     const char *format, ...) __attribute__((format(printf, 4, 5)));

static void complain(struct finder *finder, const struct node *node, const char *expected,
                     const char *format, ...)
{
    struct board *deck = &finder->boards->items[node->deck];
    va_list args;

    va_start(args, format);
    diag_input(deck->diags, LEVEL_ERROR, node->place, node->name, expected, "%s",
               arena_vprint(finder->arena, format, args));
    va_end(args);
    deck->wires = true;
}

/* The parts REF of TEXT = REF.PIN, split at byte DOT. */
static void look_up(struct finder *finder, const struct node *node, struct reference *reference, size_t dot)
{
    const struct known *known =
        map_get(finder->parts, boards_key(finder->arena, reference->text, dot));

    reference->count = 0;
    reference->own = NULL;
    reference->known = NULL;
    reference->pin = reference->text + dot + 1;
    reference->ref_length = dot;
    for (; known != NULL; known = known->next) {
        if (known->board == node->deck) {
            reference->own = known->part;
        } else if (reference->board == NULL || reference->board == &finder->boards->items[known->board]) {
            reference->known = known;
            reference->count++;
        }
    }
}

/* Tools name a node after a pin on it: then it is no reference. */
static bool is_own_pin(const struct finder *finder, const struct node *node, const struct reference *reference)
{
    const char *wanted = boards_key(finder->arena, reference->pin, strlen(reference->pin));

    for (size_t i = 0; reference->own != NULL && i < node->net->pin_count; i++) {
        const struct pin *pin = node->net->pins[i];

        if (pin->part == reference->own &&
            strcmp(boards_key(finder->arena, pin->number, strlen(pin->number)), wanted) == 0)
            return true;
    }
    return false;
}

/* The pin NAME of PART by its number, else by a name that no other net of it has. */
static struct pin *find_pin(const struct finder *finder, const struct part *part, const char *name)
{
    const char *wanted = boards_key(finder->arena, name, strlen(name));
    struct pin *found = NULL;

    for (size_t i = 0; i < part->pin_count; i++)
        if (strcmp(boards_key(finder->arena, part->pins[i].number, strlen(part->pins[i].number)), wanted) == 0)
            return &part->pins[i];
    for (size_t i = 0; i < part->pin_count; i++) {
        struct pin *pin = &part->pins[i];

        if (pin->name == NULL ||
            strcmp(boards_key(finder->arena, pin->name, strlen(pin->name)), wanted) != 0)
            continue;
        if (found != NULL && (found->net == NULL || found->net != pin->net))
            return NULL;
        found = pin;
    }
    return found;
}

static void complain_of_pin(struct finder *finder, const struct node *node, const struct reference *reference)
{
    enum { NAMED_MOST = 12 };
    const struct part *part = reference->known->part;
    struct nearest nearest = nearest_start(reference->pin, strlen(reference->pin));
    struct text pins = {0};

    for (size_t i = 0; i < part->pin_count; i++) {
        if (i < NAMED_MOST)
            text_print(&pins, "%s%s", i > 0 ? ", " : "", part->pins[i].number);
        nearest_offer(&nearest, part->pins[i].number);
    }
    if (part->pin_count > NAMED_MOST)
        text_print(&pins, " and %zu more", part->pin_count - NAMED_MOST);
    complain(finder, node, arena_print(finder->arena, "one of its pins: %s", text_bytes(&pins)),
             "%s of %s has no pin %.60s%s%s", part->ref,
             finder->boards->items[reference->known->board].source->name, reference->pin,
             nearest.name != NULL ? "; the nearest is " : "", nearest.name != NULL ? nearest.name : "");
    text_free(&pins);
}

/* All boards that have such a part are taken together: nothing of them passes before it is said which is meant. */
static void complain_of_two(struct finder *finder, const struct node *node, const struct reference *reference)
{
    const char *key = boards_key(finder->arena, reference->text, reference->ref_length);
    struct text all = {0};

    for (const struct known *known = map_get(finder->parts, key); known != NULL; known = known->next) {
        const struct board *board = &finder->boards->items[known->board];

        if (known->board == node->deck || (reference->board != NULL && reference->board != board))
            continue;
        text_print(&all, "%s%s:%s", all.length > 0 ? ", " : "", board->name, reference->text);
        forest_join(finder->parents, node->deck, known->board);
    }
    complain(finder, node, text_bytes(&all), "%.60s can mean more than one pin: there is a part %.*s in several netlists",
             node->name, (int)reference->ref_length, reference->text);
    text_free(&all);
}

static void add_wire(struct finder *finder, const struct node *node, const struct reference *reference,
                     struct pin *pin)
{
    struct boards *boards = finder->boards;

    boards->wires = arena_grow(boards->arena, boards->wires, &boards->wire_capacity, boards->wire_count,
                               sizeof *boards->wires);
    boards->wires[boards->wire_count++] =
        (struct board_wire){.deck = node->deck, .board = reference->known->board, .node = node->name,
                            .net = node->net, .pin = pin, .place = node->place};
    pin->wired = true;
    boards->items[node->deck].wires = true;
    forest_join(finder->parents, node->deck, reference->known->board);
}

static void keep_strange(struct finder *finder, const struct node *node)
{
    finder->strange = arena_grow(finder->arena, finder->strange, &finder->strange_capacity,
                                 finder->strange_count, sizeof *finder->strange);
    finder->strange[finder->strange_count++] = *node;
}

static void keep_doubtful(struct finder *finder, const struct node *node)
{
    struct node doubtful = *node;

    doubtful.own = true;
    keep_strange(finder, &doubtful);
}

/* A deck calls no node after a pin of its own part that is elsewhere: another's is meant, which is said. */
static void note_own(struct finder *finder, const struct node *node, const struct reference *reference,
                     const struct pin *pin)
{
    const struct board *board = &finder->boards->items[reference->known->board];

    diag_input(finder->boards->items[node->deck].diags, LEVEL_NOTE, node->place, node->name,
               arena_print(finder->arena, "%s:%s, which leaves no doubt", board->name, reference->text),
               "%.60s is read as pin %s of %s of %s; this deck has a part of that name too", node->name, pin->number,
               pin->part->ref, board->source->name);
}

/* True if REFERENCE, split at some dot, is one, right or wrong. */
static bool settle(struct finder *finder, const struct node *node, struct reference *reference)
{
    for (size_t dot = strlen(reference->text); dot-- > 1;) {
        struct pin *pin;

        if (reference->text[dot] != '.' || reference->text[dot + 1] == '\0')
            continue;
        look_up(finder, node, reference, dot);
        if (reference->board == NULL && is_own_pin(finder, node, reference)) {
            if (reference->count > 0)
                keep_doubtful(finder, node);
            return true;
        }
        if (reference->count == 0)
            continue;
        if (reference->count > 1) {
            complain_of_two(finder, node, reference);
            return true;
        }
        pin = find_pin(finder, reference->known->part, reference->pin);
        forest_join(finder->parents, node->deck, reference->known->board);
        if (pin == NULL)
            complain_of_pin(finder, node, reference);
        else
            add_wire(finder, node, reference, pin);
        if (pin != NULL && reference->own != NULL && reference->board == NULL)
            note_own(finder, node, reference, pin);
        return true;
    }
    return false;
}

static size_t span_of(const char **at, int (*is)(int))
{
    const char *start = *at;

    while (is((unsigned char)**at) != 0)
        ++*at;
    return (size_t)(*at - start);
}

/* J12.3, J12A.K1: nobody calls a node so who does not mean a pin. */
static bool looks_like_reference(const char *text)
{
    if (span_of(&text, isalpha) == 0 || span_of(&text, isdigit) == 0)
        return false;
    span_of(&text, isalpha);
    if (*text++ != '.' || *text == '\0')
        return false;
    return text[strspn(text, "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz+-~_")] == '\0';
}

/* NETLIST:REF.PIN. A name of a netlist, or else a part that there is, leaves no doubt that a pin is meant. */
static void look_at_qualified(struct finder *finder, const struct node *node, struct reference *reference)
{
    struct board *deck = &finder->boards->items[node->deck];

    if (reference->board != NULL && reference->board != deck) {
        if (settle(finder, node, reference))
            return;
        deck->wires = true;
        forest_join(finder->parents, node->deck, (size_t)(reference->board - finder->boards->items));
    }
    for (size_t dot = strlen(reference->text); dot-- > 1 && reference->board == NULL && !deck->wires;)
        if (reference->text[dot] == '.') {
            look_up(finder, node, reference, dot);
            deck->wires = reference->count > 0;
        }
    keep_strange(finder, node);
}

static void look_at(struct finder *finder, const struct node *node)
{
    const char *colon = strchr(node->name, ':');
    struct reference reference = {.text = node->name};

    if (strchr(node->name, '.') == NULL)
        return;
    if (colon != NULL && colon > node->name) {
        reference.board = map_get(
            finder->names, boards_key(finder->arena, node->name, (size_t)(colon - node->name)));
        reference.text = colon + 1;
        look_at_qualified(finder, node, &reference);
        return;
    }
    if (!settle(finder, node, &reference) && looks_like_reference(node->name))
        keep_strange(finder, node);
}

static void look_at_deck(struct finder *finder, size_t index)
{
    const struct circuit *circuit = finder->boards->items[index].circuit;

    for (size_t i = 0; i < circuit->net_count; i++)
        if (!circuit->nets[i]->inner)
            look_at(finder, &(struct node){.deck = index, .name = circuit->nets[i]->name,
                                           .net = circuit->nets[i], .place = circuit->nets[i]->place});
    for (size_t i = 0; i < circuit->alias_count; i++)
        if (!circuit->aliases[i].inner)
            look_at(finder, &(struct node){.deck = index, .name = circuit->aliases[i].name,
                                           .net = circuit->aliases[i].net,
                                           .place = circuit->aliases[i].place});
}

static bool is_deck(const struct board *board)
{
    return board->circuit != NULL && strcmp(board->circuit->format, "spice") == 0;
}

/* Offers what the parts are called of BOARD, or, if it is NULL, of all that go with the deck. */
static void offer_parts(const struct finder *finder, const struct node *node, const struct board *board,
                        struct nearest *nearest)
{
    size_t group = forest_root(finder->parents, node->deck);

    for (size_t i = 0; i < finder->boards->count; i++) {
        const struct board *item = &finder->boards->items[i];

        if (item->circuit == NULL || i == node->deck || (board != NULL && board != item) ||
            forest_root(finder->parents, i) != group)
            continue;
        for (size_t k = 0; k < item->circuit->part_count; k++)
            nearest_offer(nearest, item->circuit->parts[k]->ref);
    }
}

static void complain_of_netlist(struct finder *finder, const struct node *node, size_t length)
{
    struct nearest nearest = nearest_start(node->name, length);

    for (size_t i = 0; i < finder->boards->count; i++)
        if (i != node->deck && finder->boards->items[i].name != NULL)
            nearest_offer(&nearest, finder->boards->items[i].name);
    complain(finder, node, "NETLIST:REF.PIN, REF.PIN, or a name of the deck's own without a colon",
             "no netlist here is called %.*s%s%s", (int)length, node->name,
             nearest.name != NULL ? "; the nearest is " : "", nearest.name != NULL ? nearest.name : "");
}

/* In a deck that refers to others, what looks like a reference and is none is a slip. */
static void complain_of_strange(struct finder *finder, const struct node *node)
{
    const char *colon = strchr(node->name, ':'), *text = colon != NULL ? colon + 1 : node->name;
    size_t length = colon != NULL ? (size_t)(colon - node->name) : 0, ref_length = strcspn(text, ".");
    const struct board *board =
        colon != NULL ? map_get(finder->names, boards_key(finder->arena, node->name, length)) : NULL;
    struct nearest nearest = nearest_start(text, ref_length);

    if (!finder->boards->items[node->deck].wires)
        return;
    if (node->own) {
        complain(finder, node, "NETLIST:REF.PIN for the other's pin, or another name for the deck's own node",
                 "%.60s is a pin of this deck's own part on that node, and of a part of another netlist", node->name);
        return;
    }
    if (colon != NULL && board == NULL) {
        complain_of_netlist(finder, node, length);
        return;
    }
    offer_parts(finder, node, board, &nearest);
    complain(finder, node, "REF.PIN of a part that there is, or a name of the deck's own without a full stop",
             "there is no part %.*s in %s%s%s", (int)ref_length, text,
             board != NULL ? board->source->name : "the netlists that go with this deck", nearest.name != NULL ? "; the nearest is " : "",
             nearest.name != NULL ? nearest.name : "");
}

void boards_find_wires(struct boards *boards, size_t *parents)
{
    struct finder finder = {.boards = boards, .arena = arena_new(), .parents = parents,
                            .parts = map_new(), .names = map_new()};

    for (size_t i = 0; i < boards->count; i++) {
        struct board *board = &boards->items[i];

        if (board->circuit != NULL)
            learn_parts(&finder, i);
        if (board->name != NULL)
            map_add(finder.names, boards_key(finder.arena, board->name, strlen(board->name)), board);
    }
    for (size_t i = 0; i < boards->count; i++)
        if (is_deck(&boards->items[i]))
            look_at_deck(&finder, i);
    for (size_t i = 0; i < finder.strange_count; i++)
        complain_of_strange(&finder, &finder.strange[i]);
    map_free(finder.parts);
    map_free(finder.names);
    arena_free(finder.arena);
}
