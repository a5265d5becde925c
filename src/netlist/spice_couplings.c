/* K lines: inductors coupled to each other. */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "netlist/spice_build.h"
#include "netlist/spice_expression.h"
#include "netlist/spice_names.h"

static bool is_inductor(struct spice_element *element, const struct spice_token *word)
{
    return toupper((unsigned char)word->text[0]) == 'L' &&
           strlen(word->text) <= SPICE_NAME_LONGEST &&
           spice_find(element->build->deck, element->at->scope, SPICE_ELEMENT, word->text) != NULL;
}

static void complain(struct spice_element *element, const struct spice_token *word,
                     const char *expected, const char *what)
{
    struct spice_card *card = element->card;
    size_t offset = word != NULL ? word->offset : 0;

    if (!card->noted)
        diag_input(element->build->diags, LEVEL_ERROR, spice_place(card->line, offset),
                   card->line->text, expected, "%s couples nothing: %.200s%s%s",
                   card->tokens[0].text, word != NULL ? word->text : "", word != NULL ? " " : "",
                   what);
    card->noted = true;
}

/* The first word after the inductors, worked out. False, and said so, if it is no coefficient. */
static bool read_coefficient(struct spice_element *element, const struct spice_token *word,
                             double *coefficient)
{
    const char *text = spice_value_or_name(element, word->text);
    size_t length = strlen(text);

    if (spice_number(text, length, coefficient) != length || length == 0 || *coefficient <= 0 ||
        *coefficient > 1) {
        complain(element, word, "a coefficient above 0, at most 1", "is no coefficient");
        return false;
    }
    return true;
}

/* How many words name inductors, from the first on. */
static size_t inductor_count(struct spice_element *element)
{
    size_t count = 0;

    while (count < element->card->word_count && is_inductor(element, element->card->words[count]))
        count++;
    return count;
}

static void couple(struct spice_element *element, size_t count, double coefficient)
{
    struct spice_build *build = element->build;
    const struct spice_card *card = element->card;
    struct coupling *coupling = circuit_add_coupling(
        build->circuit,
        arena_print(build->arena, "%s%s", element->at->path, card->tokens[0].text), coefficient,
        spice_place(card->line, 0));

    for (size_t i = 0; i < count; i++) {
        const struct spice_card *inductor = spice_find(build->deck, element->at->scope,
                                                       SPICE_ELEMENT, card->words[i]->text);

        circuit_couple(build->circuit, coupling, spice_ref(element, inductor->tokens[0].text));
    }
}

/* True if the line means a coupling though an inductor is missing: L names, then a number. */
static bool means_coupling(const struct spice_card *card)
{
    return card->word_count >= 3 && toupper((unsigned char)card->words[0]->text[0]) == 'L' &&
           toupper((unsigned char)card->words[1]->text[0]) == 'L' &&
           spice_is_numeric(card->words[card->word_count - 1]->text);
}

bool spice_make_coupling(struct spice_element *element)
{
    const struct spice_card *card = element->card;
    size_t count = inductor_count(element);
    double coefficient;

    if (count == 0 && !means_coupling(card))
        return false;
    if (count == card->word_count)
        complain(element, NULL, "a coefficient above 0, at most 1", "no coefficient is given");
    else if (count > SPICE_PINS_MOST)
        complain(element, NULL, "at most 1000 inductors", "too many inductors");
    else if (toupper((unsigned char)card->words[count]->text[0]) == 'L')
        complain(element, card->words[count], "the name of an inductor of this circuit",
                 "is not there");
    else if (count < 2)
        complain(element, NULL, "two inductors or more", "only one inductor is named");
    else if (read_coefficient(element, card->words[count], &coefficient))
        couple(element, count, coefficient);
    return true;
}
