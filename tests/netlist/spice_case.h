/* A deck read for a test, and short ways to ask about what came out. */
#ifndef PREARC_TESTS_NETLIST_SPICE_CASE_H
#define PREARC_TESTS_NETLIST_SPICE_CASE_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "check_prearc.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"

struct spice_case {
    struct arena *arena;
    struct diags diags;
    struct read_options options;
    const struct source *source;
    struct circuit *circuit;
};

static inline void case_start(struct spice_case *c)
{
    *c = (struct spice_case){.arena = arena_new()};
    c->diags = diags_start(c->arena);
}

static inline void case_end(struct spice_case *c)
{
    circuit_free(c->circuit);
    arena_free(c->arena);
}

static inline void case_read(struct spice_case *c, const struct source *source)
{
    struct read_input input = {c->arena, &c->diags, source, &c->options};

    c->source = source;
    c->circuit = source != NULL ? spice_reader.read(&input) : NULL;
}

static inline void case_read_bytes(struct spice_case *c, const char *bytes, size_t length)
{
    case_read(c, source_from_bytes(c->arena, "deck.cir", bytes, length));
}

/* DECK with .end put after it where it has none, so that a test says only what it is about. */
static inline void case_read_text(struct spice_case *c, const char *deck)
{
    const char *end = strstr(deck, "\n.end\n") != NULL ? "" : "\n.end\n";
    char *whole = arena_print(c->arena, "%s%s", deck, end);

    case_read_bytes(c, whole, strlen(whole));
}

static inline struct part *case_part(const struct spice_case *c, const char *ref)
{
    struct part *part = circuit_find_part(c->circuit, ref);

    ck_assert_msg(part != NULL, "no part %s", ref);
    return part;
}

/* "(none)" and "(open)" so that a comparison of strings shows what is missing. */
static inline const char *value_of(const struct spice_case *c, const char *ref)
{
    const char *value = case_part(c, ref)->value;

    return value != NULL ? value : "(none)";
}

static inline const char *symbol_of(const struct spice_case *c, const char *ref)
{
    const char *symbol = case_part(c, ref)->symbol;

    return symbol != NULL ? symbol : "(none)";
}

static inline const char *field_of(const struct spice_case *c, const char *ref, const char *key)
{
    const char *value = part_field(case_part(c, ref), key);

    return value != NULL ? value : "(none)";
}

static inline const char *net_of(const struct spice_case *c, const char *ref, const char *pin)
{
    const struct pin *found = part_pin(case_part(c, ref), pin);

    if (found == NULL)
        return "(no pin)";
    return found->net != NULL ? found->net->name : "(open)";
}

static inline const char *pin_name_of(const struct spice_case *c, const char *ref, const char *pin)
{
    const struct pin *found = part_pin(case_part(c, ref), pin);

    return found != NULL && found->name != NULL ? found->name : "(none)";
}

/* All diagnostics as text, for the message of a failing assertion. */
static inline const char *case_diags(const struct spice_case *c)
{
    const char *all = "";

    for (size_t i = 0; i < c->diags.count; i++)
        all = arena_print(c->arena, "%s\n  %u:%u %s: %s", all, c->diags.items[i].place.line,
                          c->diags.items[i].place.column, level_name(c->diags.items[i].level),
                          c->diags.items[i].message);
    return all;
}

/* The diagnostic at LINE and COLUMN whose message holds WORDS; it must be of LEVEL. */
static inline const struct diag *case_diag(const struct spice_case *c, enum level level,
                                           unsigned line, unsigned column, const char *words)
{
    for (size_t i = 0; i < c->diags.count; i++) {
        const struct diag *diag = &c->diags.items[i];

        if (diag->place.line == line && diag->place.column == column &&
            diag->level == level && strstr(diag->message, words) != NULL)
            return diag;
    }
    ck_abort_msg("no %s \"%s\" at %u:%u among%s", level_name(level), words, line, column,
                 case_diags(c));
    return NULL;
}

#define assert_silent(c)                                                                           \
    ck_assert_msg((c)->diags.count == 0, "unwanted diagnostics:%s", case_diags(c))
#define assert_value(c, ref, want) ck_assert_str_eq(value_of(c, ref), want)
#define assert_symbol(c, ref, want) ck_assert_str_eq(symbol_of(c, ref), want)
#define assert_field(c, ref, key, want) ck_assert_str_eq(field_of(c, ref, key), want)
#define assert_net(c, ref, pin, want) ck_assert_str_eq(net_of(c, ref, pin), want)
#define assert_pin_name(c, ref, pin, want) ck_assert_str_eq(pin_name_of(c, ref, pin), want)
#define assert_no_part(c, ref) ck_assert_ptr_null(circuit_find_part((c)->circuit, ref))

#endif
