/* From the deck as written to the circuit: instances, their nets, parameters, models and parts. */
#ifndef PREARC_NETLIST_SPICE_BUILD_H
#define PREARC_NETLIST_SPICE_BUILD_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "circuit/circuit.h"
#include "netlist/spice_deck.h"

/* What a deck may grow to when its subcircuits are filled in. */
enum {
    SPICE_PARTS_MOST = 50000,
    SPICE_WORK_MOST = 64 * 1024 * 1024 /* bytes of cards read inside instances */
};

/* The deck itself, or one instance of a subcircuit. */
struct spice_instance {
    const struct spice_instance *parent; /* NULL: the deck itself */
    struct spice_scope *scope;
    const char *path;   /* "" or "X1.X2." */
    unsigned id, depth; /* depth 0: the deck itself */
    struct net **bound; /* one for each formal; NULL: not connected outside */
};

struct spice_build {
    struct arena *arena;
    struct diags *diags;
    struct spice_deck *deck;
    struct circuit *circuit;
    struct map *nets;       /* by lower-case name */
    struct map *parameters; /* struct parameter, by instance and lower-case name */
    struct text key;
    unsigned instance_count, again_count;
    size_t work;
    bool full; /* too large: nothing more is made */
};

/* An element being made. */
struct spice_element {
    struct spice_build *build;
    const struct spice_instance *at;
    struct spice_card *card;
    struct part *part; /* made by spice_part */
};

/* Makes all that is in AT: its models, then its cards. */
void spice_build_instance(struct spice_build *build, const struct spice_instance *at);

/* spice_elements.c: one card. */
void spice_make_element(struct spice_element *element);
/* An element that is no element of its letter: a fuse F1, a jack J1, a valve V1. */
void spice_make_named(struct spice_element *element);
/* spice_sources.c */
bool spice_make_source(struct spice_element *element);
bool spice_make_behavioural(struct spice_element *element);
bool spice_make_steered_by_current(struct spice_element *element);
bool spice_make_steered_by_voltage(struct spice_element *element);
/* True if CARD steers another by its current: names a voltage source of its scope and a gain. */
bool spice_is_steered_by_current(struct spice_deck *deck, const struct spice_scope *scope,
                                 const struct spice_card *card);
/* spice_couplings.c */
bool spice_make_coupling(struct spice_element *element);
/* spice_subckt.c */
bool spice_make_instance(struct spice_element *element);
/* One opaque part with SCOPE's node names on its pins, or SCOPE NULL. The last word names it. */
void spice_make_opaque(struct spice_element *element, const struct spice_scope *scope,
                       char letter);

/* spice_nets.c: the net a word means; NULL: not connected. */
struct net *spice_net(struct spice_element *element, const struct spice_token *word);
/* True if WORD is known to be a node. */
bool spice_is_node(const struct spice_element *element, const char *word);

/* spice_parts.c: the part of the card, LETTER 0 if it is not an element of its letter. */
void spice_part(struct spice_element *element, char letter);
/* The ref that the element NAME of the element's scope has in the circuit. */
const char *spice_ref(struct spice_element *element, const char *name);
/* Joins pin number INDEX + 1 to the net that word INDEX means. NAME may be NULL. */
void spice_pin(struct spice_element *element, size_t index, const char *name);
/* Joins the first COUNT words; NAMES has as many names, or is NULL. */
void spice_pins(struct spice_element *element, size_t count, const char *const *names);
/* Makes fields of the settings but those called one of SKIPPED (NULL-terminated, or NULL). */
void spice_fields(struct spice_element *element, const char *const *skipped);
/* The text of the line from word INDEX to the first setting, or the end; NULL if there is none. */
const char *spice_rest(struct spice_element *element, size_t index, bool with_settings);
/* The value of the setting NAME, worked out, or NULL. */
const char *spice_setting(struct spice_element *element, const char *name);
/* Says that the card lacks something: the card is not read. */
void spice_complain(struct spice_element *element, const char *expected);

/* spice_models.c */
void spice_build_models(struct spice_build *build, const struct spice_instance *at);
const struct spice_model *spice_model(const struct spice_element *element, const char *name);

/* spice_params.c: TEXT with every {...} and '...' in it worked out; what cannot be stays as it is,
 * and TELL says so once. */
const char *spice_value(struct spice_element *element, const char *text, bool tell);
/* A value that may be the bare name of a parameter. */
const char *spice_value_or_name(struct spice_element *element, const char *text);
/* Gives AT the parameters of its scope: defaults, overridden by the settings of CARD, which are
 * worked out in CALLER; then its .param cards. CARD and CALLER may be NULL. */
void spice_enter_parameters(struct spice_build *build, const struct spice_instance *at,
                            const struct spice_instance *caller, const struct spice_card *card);
/* True if NAME=... is a parameter the subcircuit SCOPE declares. */
bool spice_declares(const struct spice_scope *scope, const char *name);

#endif
