/* Voltage and current sources, independent and controlled. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "netlist/spice_build.h"
#include "netlist/spice_names.h"

static const char *const polarity[] = {"+", "-"};

static const char *const behaviour_settings[] = {"v", "i", "value", NULL};

/* Settings that are part of a source's value, as in `V1 a 0 DC=9`. */
static const char *const value_settings[] = {"dc", "ac", "v", "i", "value", NULL};

static bool is_one_of(const char *const *list, const char *name)
{
    for (; *list != NULL; list++)
        if (strcasecmp(*list, name) == 0)
            return true;
    return false;
}

static bool looks_like_value(const char *word)
{
    return spice_is_numeric(word) || spice_is_source_word(word) || strchr("{'(", word[0]) != NULL;
}

/* A V or I line with more words than nodes and a value, the last of them a name: a valve, an IC. */
static bool is_named_part(const struct spice_card *card)
{
    if (card->word_count < 4)
        return false;
    for (size_t i = 2; i < card->word_count; i++)
        if (spice_is_source_word(card->words[i]->text))
            return false;
    return !looks_like_value(card->words[card->word_count - 1]->text);
}

/* The value: from the third word to the first setting that is none of a source's own. */
static const char *source_value(struct spice_element *element)
{
    const struct spice_card *card = element->card;
    size_t from = card->word_count > 2 ? card->words[2]->offset : 0, to = card->line->length;

    if (card->word_count > 2 && card->words[2]->quoted)
        return spice_rest(element, 2, false);
    for (size_t i = 1; i < card->count; i++) {
        const struct spice_token *token = &card->tokens[i];

        if (token->name == NULL)
            continue;
        if (is_one_of(value_settings, token->name)) {
            from = from == 0 || token->offset < from ? token->offset : from;
        } else if (token->offset > from) {
            to = token->offset;
            break;
        }
    }
    while (to > from && card->line->text[to - 1] == ' ')
        to--;
    return from != 0 && to > from
               ? arena_copy_span(element->build->arena, card->line->text + from, to - from)
               : NULL;
}

bool spice_make_source(struct spice_element *element)
{
    const struct spice_card *card = element->card;
    const char *value;

    if (is_named_part(card))
        return false;
    if (card->word_count < 2) {
        spice_complain(element, "two nodes and a value");
        return true;
    }
    spice_part(element, (char)toupper((unsigned char)card->tokens[0].text[0]));
    spice_pins(element, 2, polarity);
    value = source_value(element);
    element->part->value = card->word_count == 3 ? spice_value_or_name(element, value)
                                                 : spice_value(element, value, true);
    spice_fields(element, value_settings);
    return true;
}

/* Two nodes and an equation kept as text. */
static void make_equation(struct spice_element *element, char letter, size_t nodes)
{
    const struct spice_card *card = element->card;

    spice_part(element, letter);
    spice_pins(element, nodes, NULL);
    element->part->value = spice_rest(element, nodes, true);
    for (size_t i = 1; i < card->count && element->part->value == NULL; i++)
        if (card->tokens[i].name != NULL && is_one_of(behaviour_settings, card->tokens[i].name))
            element->part->value = card->line->text + card->tokens[i].offset;
}

bool spice_make_behavioural(struct spice_element *element)
{
    const struct spice_card *card = element->card;

    for (size_t i = 1; i < card->count && card->word_count >= 2; i++) {
        if (card->tokens[i].name == NULL || !is_one_of(behaviour_settings, card->tokens[i].name))
            continue;
        make_equation(element, 'B', 2);
        return true;
    }
    return false;
}

static bool starts_equation(const char *word)
{
    static const char *const starts[] = {"poly", "table", "laplace", "freq", "value", "vol", "cur"};

    if (word[0] == '{' || word[0] == '\'' || word[0] == '(')
        return true;
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++)
        if (strncasecmp(word, starts[i], strlen(starts[i])) == 0)
            return true;
    return false;
}

/* E and G: two nodes, then an equation, or two controlling nodes and a gain. */
bool spice_make_steered_by_voltage(struct spice_element *element)
{
    const struct spice_card *card = element->card;
    char letter = (char)toupper((unsigned char)card->tokens[0].text[0]);

    if (card->word_count < 2)
        spice_complain(element, "two nodes, then an equation or two more nodes and a gain");
    else if (card->word_count < 5 || starts_equation(card->words[2]->text))
        make_equation(element, letter, 2);
    else
        make_equation(element, letter, 4);
    return true;
}

bool spice_is_steered_by_current(struct spice_deck *deck, const struct spice_scope *scope,
                                 const struct spice_card *card)
{
    const char *third = card->word_count > 2 ? card->words[2]->text : "";

    if (strncasecmp(third, "poly", 4) == 0)
        return true;
    return card->word_count >= 4 && toupper((unsigned char)third[0]) == 'V' &&
           strlen(third) <= SPICE_NAME_LONGEST &&
           spice_find(deck, scope, SPICE_ELEMENT, third) != NULL &&
           (spice_is_numeric(card->words[3]->text) ||
            strchr("{'", card->words[3]->text[0]) != NULL);
}

/* F and H with a source that is not there: read as a part, but that is not what was meant. */
static void warn_of_missing_source(struct spice_element *element)
{
    struct spice_card *card = element->card;

    if (card->noted || card->word_count != 4 ||
        toupper((unsigned char)card->words[2]->text[0]) != 'V' ||
        !spice_is_numeric(card->words[3]->text))
        return;
    card->noted = true;
    diag_input(element->build->diags, LEVEL_WARNING,
               spice_place(card->line, card->words[2]->offset), card->line->text,
               "the name of a voltage source that is there",
               "%s is read as a part of its own: it looks like a controlled source, but there is "
               "no %.200s", card->tokens[0].text, card->words[2]->text);
}

bool spice_make_steered_by_current(struct spice_element *element)
{
    const struct spice_card *card = element->card;

    if (spice_is_steered_by_current(element->build->deck, element->at->scope, card)) {
        make_equation(element, (char)toupper((unsigned char)card->tokens[0].text[0]), 2);
        return true;
    }
    warn_of_missing_source(element);
    return false;
}
