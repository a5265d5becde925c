/* Windings of a transformer whose pins have no telling names, from what the pins are connected to: for the
 * fuse map, which needs no volts. Windings are drawn with their pins in a row, and what a rectifier or a
 * heater takes both ends of is one winding (common practice, no source). What comes of it is said to be
 * doubtful. */
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"
#include "parts/winding_build.h"

enum { REACH_LARGEST = 24, GUESS_PINS_LARGEST = 32 };

/* A connected pin, and the nets that it reaches through fuses and contacts. */
struct reach {
    const struct pin *pin;
    const struct net *nets[REACH_LARGEST];
    size_t count;
    bool mains;      /* one of them is the mains' live or neutral */
    size_t group;    /* of winding_draft */
};

struct guessing {
    const struct parts *parts;
    const struct part *part;
    struct reach pins[GUESS_PINS_LARGEST];
    size_t count;
    struct winding_draft drafts[GUESS_PINS_LARGEST];
    size_t draft_count;
    unsigned rectified, heaters; /* windings named so far */
};

static const struct part_info *info_of(const struct guessing *guessing, const struct pin *pin)
{
    return &guessing->parts->items[pin->part->index];
}

static bool is_way(enum part_kind kind)
{
    return kind == PART_FUSE || kind == PART_SWITCH || kind == PART_STANDBY_SWITCH ||
           kind == PART_THERMISTOR || kind == PART_RELAY;
}

static void add_net(struct reach *reach, const struct net *net)
{
    for (size_t i = 0; i < reach->count; i++)
        if (reach->nets[i] == net)
            return;
    if (net != NULL && reach->count < REACH_LARGEST)
        reach->nets[reach->count++] = net;
}

static bool is_mains_pin(const struct guessing *guessing, const struct pin *pin)
{
    const struct part_info *info = info_of(guessing, pin);
    bool mains = info->kind == PART_INLET ||
                 (info->kind == PART_FEED && info->role != NULL && strcmp(info->role, "mains") == 0);

    return mains && info->pins[pin->index].role != PIN_EARTH;
}

static void find_reach(const struct guessing *guessing, struct reach *reach)
{
    add_net(reach, reach->pin->net);
    for (size_t i = 0; i < reach->count; i++)
        for (size_t k = 0; k < reach->nets[i]->pin_count; k++) {
            const struct pin *pin = reach->nets[i]->pins[k];

            reach->mains = reach->mains || is_mains_pin(guessing, pin);
            for (size_t p = 0; is_way(info_of(guessing, pin)->kind) && p < pin->part->pin_count; p++)
                if (pin->part->pin_count == 2 || info_of(guessing, pin)->kind != PART_FUSE)
                    add_net(reach, pin->part->pins[p].net);
        }
}

/* A diode's net at its other end; NULL: PIN is none of a diode. */
static const struct net *beyond_diode(const struct guessing *guessing, const struct pin *pin)
{
    const struct part_info *info = info_of(guessing, pin);

    if (info->kind != PART_DIODE || pin->part->pin_count != 2)
        return NULL;
    return pin->part->pins[1 - pin->index].net;
}

static bool takes_both_ends(enum pin_role role)
{
    return role == PIN_AC || role == PIN_ANODE || role == PIN_HEATER;
}

/* Whether pins A and B, on two nets, are of something that takes both ends of a winding. */
static bool belong_together(const struct guessing *guessing, const struct pin *a, const struct pin *b)
{
    enum pin_role role_a = info_of(guessing, a)->pins[a->index].role;
    enum pin_role role_b = info_of(guessing, b)->pins[b->index].role;
    enum part_kind kind = info_of(guessing, a)->kind;
    const struct net *beyond = beyond_diode(guessing, a);

    if (a->part == guessing->part || b->part == guessing->part || a->net == b->net)
        return false;
    if (a->part == b->part)
        return role_a == role_b && takes_both_ends(role_a) &&
               (role_a == PIN_HEATER || kind == PART_BRIDGE || kind == PART_RECTIFIER_VALVE);
    return beyond != NULL && role_a == role_b && role_a != PIN_END &&
           beyond == beyond_diode(guessing, b);
}

static bool nets_alike(const struct guessing *guessing, const struct net *x, const struct net *y)
{
    for (size_t i = 0; i < x->pin_count; i++)
        for (size_t k = 0; k < y->pin_count; k++)
            if (belong_together(guessing, x->pins[i], y->pins[k]))
                return true;
    return false;
}

static bool is_diode_way(const struct guessing *guessing, const struct reach *reach)
{
    for (size_t i = 0; i < reach->count; i++)
        for (size_t k = 0; k < reach->nets[i]->pin_count; k++) {
            const struct pin *pin = reach->nets[i]->pins[k];
            enum part_kind kind = info_of(guessing, pin)->kind;

            if (kind == PART_DIODE || kind == PART_BRIDGE || kind == PART_RECTIFIER_VALVE)
                return true;
        }
    return false;
}

/* The pins are in one winding: something takes both as its ends. */
static bool alike(const struct guessing *guessing, size_t a, size_t b)
{
    const struct reach *x = &guessing->pins[a], *y = &guessing->pins[b];
    enum { PINS_LARGEST = 200 }; /* the ground of a large circuit tells nothing */

    for (size_t i = 0; i < x->count; i++)
        for (size_t k = 0; k < y->count; k++)
            if (x->nets[i]->pin_count < PINS_LARGEST && y->nets[k]->pin_count < PINS_LARGEST &&
                nets_alike(guessing, x->nets[i], y->nets[k]))
                return true;
    return false;
}

static bool read_pins(struct arena *arena, struct guessing *guessing)
{
    const struct pin **order = pins_in_order(arena, guessing->part);

    for (size_t i = 0; i < guessing->part->pin_count; i++) {
        if (order[i]->net == NULL || order[i]->net->pin_count < 2)
            continue;
        if (guessing->count == GUESS_PINS_LARGEST)
            return false;
        guessing->pins[guessing->count] = (struct reach){.pin = order[i], .group = SIZE_MAX};
        find_reach(guessing, &guessing->pins[guessing->count++]);
    }
    return true;
}

static void add_draft(struct guessing *guessing, const char *name, bool primary, const size_t *pins,
                      size_t count)
{
    struct winding_draft *draft = &guessing->drafts[guessing->draft_count];

    *draft = (struct winding_draft){.name = name, .primary = primary};
    for (size_t i = 0; i < count; i++) {
        draft->pins[draft->pin_count++] = guessing->pins[pins[i]].pin;
        guessing->pins[pins[i]].group = guessing->draft_count;
    }
    guessing->draft_count++;
}

/* Two pins on the mains: a winding; three: one with a tap; four: two windings. */
static bool guess_primary(struct guessing *guessing)
{
    size_t found[4], count = 0;

    for (size_t i = 0; i < guessing->count; i++) {
        if (!guessing->pins[i].mains)
            continue;
        if (count == 4)
            return false;
        found[count++] = i;
    }
    if (count == 2 || count == 3)
        add_draft(guessing, "primary", true, found, count);
    if (count == 4) {
        add_draft(guessing, "primary1", true, found, 2);
        add_draft(guessing, "primary2", true, found + 2, 2);
    }
    return count >= 2;
}

static bool has_heater(const struct guessing *guessing, const struct net *net)
{
    for (size_t i = 0; i < net->pin_count; i++)
        if (info_of(guessing, net->pins[i])->pins[net->pins[i]->index].role == PIN_HEATER)
            return true;
    return false;
}

static bool heats(const struct guessing *guessing, const struct reach *reach)
{
    for (size_t i = 0; i < reach->count; i++)
        if (has_heater(guessing, reach->nets[i]))
            return true;
    return false;
}

static const char *name_of(struct arena *arena, struct guessing *guessing, const size_t *pins,
                           size_t count)
{
    const struct reach *first = &guessing->pins[pins[0]], *last = &guessing->pins[pins[count - 1]];

    if (is_diode_way(guessing, first) || is_diode_way(guessing, last)) {
        guessing->rectified++;
        return guessing->rectified == 1 ? "HT" : arena_print(arena, "HT%u", guessing->rectified);
    }
    if (heats(guessing, first) || heats(guessing, last)) {
        guessing->heaters++;
        return guessing->heaters == 1 ? "heater" : arena_print(arena, "heater%u", guessing->heaters);
    }
    return arena_print(arena, "winding%zu", guessing->draft_count + 1);
}

/* The pins that are not on the mains, in a row: three where the outer two are alike and the middle one is
 * neither, else two. */
static bool guess_secondaries(struct arena *arena, struct guessing *guessing)
{
    size_t rest[GUESS_PINS_LARGEST], count = 0, i = 0;

    for (size_t k = 0; k < guessing->count; k++)
        if (guessing->pins[k].group == SIZE_MAX)
            rest[count++] = k;
    while (i + 1 < count) {
        size_t size = i + 2 < count && alike(guessing, rest[i], rest[i + 2]) &&
                              !alike(guessing, rest[i], rest[i + 1])
                          ? 3
                          : 2;

        add_draft(guessing, name_of(arena, guessing, &rest[i], size), false, &rest[i], size);
        i += size;
    }
    return count > 0 && i == count;
}

/* Nothing that takes both ends of a winding takes them of two. */
static bool is_consistent(const struct guessing *guessing)
{
    for (size_t i = 0; i < guessing->count; i++)
        for (size_t k = i + 1; k < guessing->count; k++)
            if (guessing->pins[i].group != guessing->pins[k].group && alike(guessing, i, k))
                return false;
    return true;
}

bool windings_guess(const struct recogniser *recogniser, const struct parts *parts,
                    struct part_info *info)
{
    struct guessing *guessing = arena_alloc(recogniser->arena, sizeof *guessing);

    *guessing = (struct guessing){.parts = parts, .part = info->part};
    if (info->kind != PART_TRANSFORMER || !read_pins(recogniser->arena, guessing) ||
        !guess_primary(guessing) || !guess_secondaries(recogniser->arena, guessing) ||
        !is_consistent(guessing))
        return false;
    for (size_t i = 0; i < guessing->draft_count; i++)
        winding_add(recogniser->arena, info, &guessing->drafts[i]);
    return true;
}
