/* Circuits made by hand for the tests of the parts stage. Include once a file: all is static. */
#ifndef PREARC_TESTS_MADE_CIRCUIT_H
#define PREARC_TESTS_MADE_CIRCUIT_H

#include "check_prearc.h"

#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "parts/parts.h"

struct made {
    struct arena *arena;
    struct circuit *circuit;
    struct parts *parts;
    struct diags diags;
};

__attribute__((unused)) static struct made made_start(void)
{
    struct made made = {.arena = arena_new()};

    made.circuit = circuit_new(made.arena, NULL);
    made.diags = diags_start(made.arena);
    return made;
}

__attribute__((unused)) static void made_end(struct made *made)
{
    circuit_free(made->circuit);
    arena_free(made->arena);
}

/* Adds a part; texts may be NULL. */
__attribute__((unused)) static struct part *made_part(struct made *made, const char *ref,
                                                      const char *value, const char *symbol)
{
    struct part *part = circuit_add_part(made->circuit, arena_copy(made->arena, ref),
                                         (struct place){0});

    ck_assert_ptr_nonnull(part);
    part->value = value != NULL ? arena_copy(made->arena, value) : NULL;
    part->symbol = symbol != NULL ? arena_copy(made->arena, symbol) : NULL;
    return part;
}

/* Pins "NUMBER:NAME=NET ..." or "NUMBER=NET", "NUMBER:NAME", "NUMBER"; without net one of their
 * own. */
__attribute__((unused)) static void made_pins(struct made *made, struct part *part,
                                              const char *text)
{
    char *copy = arena_copy(made->arena, text), *rest = NULL;

    for (char *item = strtok_r(copy, " ", &rest); item != NULL; item = strtok_r(NULL, " ", &rest)) {
        char *net = strchr(item, '='), *name = strchr(item, ':');

        if (net != NULL)
            *net++ = '\0';
        if (name != NULL)
            *name++ = '\0';
        if (net == NULL)
            net = arena_print(made->arena, "Net-(%s-Pad%s)", part->ref, item);
        circuit_connect(made->circuit, part, item, name, NULL,
                        circuit_net(made->circuit, net, (struct place){0}));
    }
}

__attribute__((unused)) static void made_recognise(struct made *made)
{
    struct parts_options options = {.data_dir = source_path("rules")};

    circuit_finish(made->circuit);
    made->parts = parts_recognise(made->arena, &made->diags, made->circuit, &options);
    ck_assert_ptr_nonnull(made->parts);
    ck_assert_uint_eq(made->diags.count, 0);
}

__attribute__((unused)) static struct part_info *made_info(struct made *made, const char *ref)
{
    struct part *part = circuit_find_part(made->circuit, ref);

    ck_assert_ptr_nonnull(part);
    return &made->parts->items[part->index];
}

#endif
