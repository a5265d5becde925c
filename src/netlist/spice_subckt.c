/* X lines: instances of subcircuits, filled in or kept as one part. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "netlist/spice_build.h"
#include "netlist/spice_names.h"

/* Names the nodes of SCOPE, for a message. */
static const char *node_list(struct arena *arena, const struct spice_scope *scope)
{
    struct text text = {0};
    const char *list;

    for (size_t i = 0; i < scope->formal_count && i < 12; i++)
        text_print(&text, "%s%s", i > 0 ? " " : "", scope->formals[i]);
    list = arena_copy(arena, text_bytes(&text));
    text_free(&text);
    return list;
}

static bool has_equation(const struct spice_card *card)
{
    for (size_t i = 1; i < card->count; i++)
        if (card->tokens[i].name != NULL && (strcasecmp(card->tokens[i].name, "v") == 0 ||
                                             strcasecmp(card->tokens[i].name, "i") == 0))
            return true;
    return false;
}

static bool is_behavioural(struct spice_deck *deck, const struct spice_scope *scope,
                           const struct spice_card *card)
{
    switch (toupper((unsigned char)card->tokens[0].text[0])) {
    case 'B':
        return has_equation(card);
    case 'E':
    case 'G':
        return true;
    case 'F':
    case 'H':
        return spice_is_steered_by_current(deck, scope, card);
    default:
        return false;
    }
}

static bool is_fuse(struct spice_deck *deck, const struct spice_scope *scope,
                    const struct spice_card *card)
{
    char letter = (char)toupper((unsigned char)card->tokens[0].text[0]);

    if (letter == 'F')
        return !spice_is_steered_by_current(deck, scope, card);
    return letter == 'X' && card->word_count > 0 &&
           spice_names_a_fuse(card->words[card->word_count - 1]->text);
}

/* Looks once at what SCOPE holds. */
static void judge(struct spice_deck *deck, struct spice_scope *scope)
{
    for (size_t i = 0; i < scope->card_count && !scope->judged; i++) {
        const struct spice_card *card = scope->cards[i];

        scope->behavioural |= is_behavioural(deck, scope, card);
        scope->fused |= is_fuse(deck, scope, card);
        scope->coupled |= toupper((unsigned char)card->tokens[0].text[0]) == 'K';
    }
    scope->judged = true;
}

/* The instance says something of a part ("rating=") that the subcircuit does not ask for. */
static bool describes_a_part(struct spice_element *element, const struct spice_scope *scope)
{
    for (size_t i = 1; i < element->card->count; i++) {
        const char *name = element->card->tokens[i].name;

        if (name != NULL && !spice_declares(scope, name) &&
            spice_is_part_field(field_key(element->build->arena, name)))
            return true;
    }
    return false;
}

/* A subcircuit stays one part if it is known to stand for one; a fuse inside is never hidden, and
 * coupled inductors say more than the name of a transformer. */
static bool is_one_part(struct spice_element *element, struct spice_scope *scope)
{
    judge(element->build->deck, scope);
    if (scope->card_count == 0 || describes_a_part(element, scope) ||
        spice_names_a_fuse(scope->name))
        return true;
    if (scope->fused)
        return false;
    return scope->behavioural || (spice_names_a_part(scope->name) && !scope->coupled);
}

/* Defaults of SCOPE that the card does not override are the part's as well: `CURRENT=1`. */
static void add_default_fields(struct spice_element *element, const struct spice_scope *scope)
{
    for (size_t i = 0; i < scope->defaults.count; i++) {
        const struct spice_setting *setting = &scope->defaults.items[i];
        bool given = strcasecmp(setting->name, "value") == 0;

        for (size_t k = 1; k < element->card->count && !given; k++)
            given = element->card->tokens[k].name != NULL &&
                    strcasecmp(element->card->tokens[k].name, setting->name) == 0;
        if (!given && (setting->quoted || strpbrk(setting->text, "{'") == NULL))
            circuit_add_field(element->build->circuit, element->part, setting->name, setting->text);
    }
}

void spice_make_opaque(struct spice_element *element, const struct spice_scope *scope, char letter)
{
    static const char *const skipped[] = {"value", NULL};
    const struct spice_card *card = element->card;
    const char *name = card->words[card->word_count - 1]->text;

    spice_part(element, letter);
    for (size_t i = 0; i + 1 < card->word_count; i++)
        spice_pin(element, i, scope != NULL && i < scope->formal_count ? scope->formals[i] : NULL);
    element->part->symbol = scope != NULL ? scope->name : name;
    element->part->value = spice_setting(element, "value");
    spice_fields(element, skipped);
    if (scope != NULL)
        add_default_fields(element, scope);
}

/* Says that the instance stays one part, and WHY, unless the card has been spoken of. */
static void refuse(struct spice_element *element, const struct spice_scope *scope,
                   const char *expected, const char *why)
{
    struct spice_card *card = element->card;

    if (!card->noted)
        diag_input(element->build->diags, LEVEL_ERROR, spice_place(card->line, 0), card->line->text,
                   expected, "%s is kept as one part: %s %s", card->tokens[0].text, scope->name,
                   why);
    card->noted = true;
}

static bool counts_agree(struct spice_element *element, const struct spice_scope *scope)
{
    struct spice_card *card = element->card;
    size_t nodes = card->word_count - 1;

    if (nodes == scope->formal_count)
        return true;
    if (!card->noted)
        diag_input(element->build->diags, LEVEL_ERROR, spice_place(card->line, 0), card->line->text,
                   arena_print(element->build->arena, "nodes for %s",
                               node_list(element->build->arena, scope)),
                   "%s has %zu nodes, but its subcircuit %s has %zu; it is kept as one part",
                   card->tokens[0].text, nodes, scope->name, scope->formal_count);
    card->noted = true;
    return false;
}

static bool can_fill_in(struct spice_element *element, const struct spice_scope *scope)
{
    if (!counts_agree(element, scope))
        return false;
    if (scope->open) {
        refuse(element, scope, "an instance of another subcircuit", "contains itself");
        return false;
    }
    if (element->at->depth + 1 >= SPICE_NESTING_DEEPEST) {
        refuse(element, scope, "fewer instances inside instances", "is too deep inside others");
        return false;
    }
    return true;
}

static const char *instance_path(struct spice_element *element)
{
    struct spice_build *build = element->build;
    const char *name = element->card->tokens[0].text;

    if (element->card->again)
        return arena_print(build->arena, "%s%s#%u.", element->at->path, name,
                           ++build->again_count + 1);
    return arena_print(build->arena, "%s%s.", element->at->path, name);
}

/* The depth of this recursion is bounded by can_fill_in. */
static void fill_in(struct spice_element *element, struct spice_scope *scope)
{
    struct spice_build *build = element->build;
    struct spice_instance instance = {.parent = element->at, .scope = scope,
                                      .path = instance_path(element),
                                      .id = ++build->instance_count,
                                      .depth = element->at->depth + 1};

    instance.bound = arena_array(build->arena, scope->formal_count, sizeof *instance.bound);
    for (size_t i = 0; i < scope->formal_count; i++)
        if (spice_name_fits(build->deck, element->card->line, element->card->words[i]))
            instance.bound[i] = spice_net(element, element->card->words[i]);
    spice_enter_parameters(build, &instance, element->at, element->card);
    scope->open = true;
    spice_build_instance(build, &instance);
    scope->open = false;
}

static bool has_sense(struct spice_element *element)
{
    const struct spice_card *card = element->card;

    if (card->word_count == 0 || card->word_count > SPICE_PINS_MOST ||
        strlen(card->words[card->word_count - 1]->text) > SPICE_NAME_LONGEST) {
        spice_complain(element, "nodes (at most 1000), then the name of a subcircuit");
        return false;
    }
    if (card->word_count == 1 && !card->noted) {
        diag_input(element->build->diags, LEVEL_WARNING, spice_place(card->line, 0),
                   card->line->text, "nodes, then the name of a subcircuit",
                   "%s has no nodes: what it is connected to is not known", card->tokens[0].text);
        element->card->noted = true;
    }
    return true;
}

bool spice_make_instance(struct spice_element *element)
{
    const struct spice_card *card = element->card;
    struct spice_scope *scope;

    if (!has_sense(element))
        return true;
    scope = spice_find_up(element->build->deck, element->at->scope, SPICE_SUBCKT,
                          card->words[card->word_count - 1]->text);
    if (scope == NULL || is_one_part(element, scope)) {
        if (scope != NULL)
            counts_agree(element, scope);
        spice_make_opaque(element, scope, 'X');
    } else if (can_fill_in(element, scope)) {
        fill_in(element, scope);
    } else {
        spice_make_opaque(element, scope, 'X');
    }
    return true;
}
