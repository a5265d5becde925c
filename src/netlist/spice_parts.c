/* Parts of the circuit: their refs, pins, fields, values. */
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "netlist/spice_build.h"
#include "netlist/spice_names.h"

void spice_complain(struct spice_element *element, const char *expected)
{
    struct spice_card *card = element->card;

    if (!card->noted)
        diag_input(element->build->diags, LEVEL_ERROR, spice_place(card->line, 0), card->line->text,
                   expected, "%s lacks something; it is not read", card->tokens[0].text);
    card->noted = true;
}

const char *spice_ref(struct spice_element *element, const char *name)
{
    const char *stripped = spice_strip_letter(name);

    if (stripped != name &&
        spice_find(element->build->deck, element->at->scope, SPICE_ELEMENT, stripped) != NULL)
        stripped = name;
    return arena_print(element->build->arena, "%s%s", element->at->path, stripped);
}

/* A ref for a part whose own is taken: "R1#2". */
static void add_under_other_ref(struct spice_element *element)
{
    struct spice_build *build = element->build;
    const struct spice_card *card = element->card;
    struct place place = spice_place(card->line, card->tokens[0].offset);
    const char *name = arena_print(build->arena, "%s%s", element->at->path, card->tokens[0].text);

    if (!card->again)
        element->part = circuit_add_part(build->circuit, name, place);
    for (unsigned number = 2; element->part == NULL; number = ++build->again_count + 2)
        element->part = circuit_add_part(build->circuit,
                                         arena_print(build->arena, "%s#%u", name, number), place);
}

void spice_part(struct spice_element *element, char letter)
{
    struct spice_build *build = element->build;
    const struct spice_card *card = element->card;
    struct place place = spice_place(card->line, card->tokens[0].offset);

    if (!card->again)
        element->part = circuit_add_part(build->circuit,
                                         spice_ref(element, card->tokens[0].text), place);
    if (element->part == NULL)
        add_under_other_ref(element);
    element->part->letter = letter;
    element->part->dialect = QUANTITY_SPICE;
}

static const char *pin_number(struct arena *arena, size_t number)
{
    static const char *const numbers[] = {"1", "2", "3", "4", "5", "6", "7", "8", "9"};

    return number <= 9 ? numbers[number - 1] : arena_print(arena, "%zu", number);
}

void spice_pin(struct spice_element *element, size_t index, const char *name)
{
    struct spice_build *build = element->build;
    const struct spice_token *word = element->card->words[index];

    if (!spice_name_fits(build->deck, element->card->line, word))
        return;
    circuit_connect(build->circuit, element->part, pin_number(build->arena, index + 1), name, NULL,
                    spice_net(element, word));
}

void spice_pins(struct spice_element *element, size_t count, const char *const *names)
{
    for (size_t i = 0; i < count && i < element->card->word_count; i++)
        spice_pin(element, i, names != NULL ? names[i] : NULL);
}

static bool is_listed(const char *const *list, const char *name)
{
    for (; list != NULL && *list != NULL; list++)
        if (strcasecmp(*list, name) == 0)
            return true;
    return false;
}

void spice_fields(struct spice_element *element, const char *const *skipped)
{
    const struct spice_card *card = element->card;

    for (size_t i = 1; i < card->count; i++) {
        const struct spice_token *token = &card->tokens[i];

        if (token->name != NULL && !is_listed(skipped, token->name))
            circuit_add_field(element->build->circuit, element->part, token->name,
                              token->quoted ? token->text
                                            : spice_value(element, token->text, true));
    }
}

const char *spice_setting(struct spice_element *element, const char *name)
{
    const struct spice_card *card = element->card;

    for (size_t i = 1; i < card->count; i++) {
        const struct spice_token *token = &card->tokens[i];

        if (token->name != NULL && strcasecmp(token->name, name) == 0 && *token->text != '\0')
            return token->quoted ? token->text : spice_value_or_name(element, token->text);
    }
    return NULL;
}

const char *spice_rest(struct spice_element *element, size_t index, bool with_settings)
{
    const struct spice_card *card = element->card;
    size_t from, to = card->line->length;

    if (index >= card->word_count)
        return NULL;
    if (card->words[index]->quoted)
        return *card->words[index]->text != '\0' ? card->words[index]->text : NULL;
    from = card->words[index]->offset;
    for (size_t i = 1; i < card->count && !with_settings; i++)
        if (card->tokens[i].name != NULL && card->tokens[i].offset > from) {
            to = card->tokens[i].offset;
            break;
        }
    while (to > from && strchr(" ,", card->line->text[to - 1]) != NULL)
        to--;
    return arena_copy_span(element->build->arena, card->line->text + from, to - from);
}
