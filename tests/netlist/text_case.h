/* Reading a text netlist in a test: what each suite of a reader needs. */
#ifndef PREARC_TESTS_NETLIST_TEXT_CASE_H
#define PREARC_TESTS_NETLIST_TEXT_CASE_H

#include "check_prearc.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"

struct text_case {
    struct arena *arena;
    struct diags diags;
    struct read_options options;
    struct circuit *circuit;
};

static inline void text_case_start(struct text_case *c)
{
    c->arena = arena_new();
    c->diags = diags_start(c->arena);
    c->options = (struct read_options){.data_dir = arena_copy(c->arena, source_path("rules"))};
    c->circuit = NULL;
}

static inline void text_case_end(struct text_case *c)
{
    circuit_free(c->circuit);
    arena_free(c->arena);
}

/* Reads a copy of just LENGTH bytes, so that a read past the end is seen. */
static inline void text_case_read(struct text_case *c, const char *bytes, size_t length)
{
    char *copy = memory_alloc(length + 1);
    struct read_input input = {.arena = c->arena, .diags = &c->diags, .options = &c->options};

    memcpy(copy, bytes, length);
    copy[length] = '\0';
    input.source = source_from_bytes(c->arena, "x.net", copy, length);
    c->circuit = netlist_read(&input);
    free(copy);
}

static inline size_t text_case_errors(const struct text_case *c)
{
    return diag_count_input(&c->diags, LEVEL_ERROR);
}

/* The diagnostic of LEVEL that says TEXT, which must be there. */
static inline const struct diag *text_case_told(const struct text_case *c, enum level level,
                                                const char *text)
{
    for (size_t i = 0; i < c->diags.count; i++)
        if (c->diags.items[i].level == level && strstr(c->diags.items[i].message, text) != NULL)
            return &c->diags.items[i];
    ck_abort_msg("no %s saying '%s' among %zu (first: %s)", level_name(level), text, c->diags.count,
                 c->diags.count > 0 ? c->diags.items[0].message : "-");
    return NULL;
}

/* The net of a pin, "-" if it is on none, "" if there is no such pin. */
static inline const char *text_case_net(const struct text_case *c, const char *ref,
                                        const char *number)
{
    const struct part *part = circuit_find_part(c->circuit, ref);
    const struct pin *pin = part != NULL ? part_pin(part, number) : NULL;

    return pin == NULL ? "" : pin->net != NULL ? pin->net->name : "-";
}

/* WHOLE cut after every byte from FROM on: an error, or all PARTS read. And every byte changed: no crash. */
static inline void text_case_cuts(const char *whole, size_t from)
{
    struct text_case c;
    char *copy = memory_alloc(strlen(whole) + 1);
    size_t parts;

    text_case_start(&c);
    text_case_read(&c, whole, strlen(whole));
    ck_assert_uint_eq(text_case_errors(&c), 0);
    parts = c.circuit->part_count;
    text_case_end(&c);
    for (size_t length = 0; length < strlen(whole); length++) {
        text_case_start(&c);
        text_case_read(&c, whole, length);
        ck_assert_msg(length < from || text_case_errors(&c) > 0 ||
                          (c.circuit != NULL && c.circuit->part_count == parts),
                      "nothing said after %zu bytes", length);
        text_case_end(&c);
    }
    for (size_t at = 0; at < strlen(whole); at++)
        for (const char *damage = "\x80\xFF() \"'[%&\n"; *damage != '\0'; damage++) {
            strcpy(copy, whole);
            copy[at] = *damage;
            text_case_start(&c);
            text_case_read(&c, copy, strlen(whole));
            ck_assert(c.circuit != NULL || text_case_errors(&c) > 0);
            text_case_end(&c);
        }
    free(copy);
}

/* COUNT times TEXT. */
static inline char *text_case_repeat(struct text_case *c, const char *text, size_t count)
{
    size_t length = strlen(text);
    char *all = arena_alloc(c->arena, length * count + 1);

    for (size_t i = 0; i < count; i++)
        memcpy(all + i * length, text, length);
    return all;
}

#endif
