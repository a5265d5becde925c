/* Elements, letter by letter. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "netlist/spice_build.h"
#include "netlist/spice_expression.h"
#include "netlist/spice_names.h"

static const char *last_word(const struct spice_card *card)
{
    return card->words[card->word_count - 1]->text;
}

/* Value and symbol of a part that its model describes; WORD as written. */
static void set_model(struct spice_element *element, const char *word)
{
    const struct spice_model *model = spice_model(element, word);

    element->part->value = word;
    element->part->symbol = model != NULL && model->known != NULL ? model->known : word;
}

static bool is_model_of(struct spice_element *element, size_t index, const char *const *types)
{
    const struct spice_model *model;

    if (index >= element->card->word_count)
        return false;
    model = spice_model(element, element->card->words[index]->text);
    for (; model != NULL && *types != NULL; types++)
        if (strcmp(model->type, *types) == 0)
            return true;
    return false;
}

/* A megohm was meant: "1M" is a thousandth of an ohm to a simulator. */
static void check_milliohm(struct spice_element *element, const char *value)
{
    struct spice_card *card = element->card;
    const struct spice_token *word = card->word_count > 2 ? card->words[2] : &card->tokens[0];
    double ohms;
    size_t length = value != NULL ? spice_number(value, strlen(value), &ohms) : 0;
    size_t at = length > 0 ? strspn(value, "0123456789.") : 0;

    if (length == 0 || value[at] != 'M' || ohms >= 1 || card->noted ||
        strncasecmp(value + at, "meg", 3) == 0 || strncasecmp(value + at, "mil", 3) == 0)
        return;
    card->noted = true;
    diag_input(element->build->diags, LEVEL_NOTE, spice_place(card->line, word->offset),
               card->line->text, "MEG for a million",
               "%s: %.*sM is %g ohm in a deck; write %.*sMEG if a megohm is meant",
               card->tokens[0].text, (int)at, value, ohms, (int)at, value);
}

/* References of parts with more pins than two that begin like a resistor, capacitor or inductor. */
static bool has_more_pins(const struct spice_card *card)
{
    static const char *const prefixes[] = {"RV", "VR", "RVAR", "RPOT", "RLY",
                                           "RY", "CON", "CN", "LS",   "LED"};
    const char *name = card->tokens[0].text;
    size_t letters = strcspn(name, "0123456789_");

    for (size_t i = 0; i < sizeof prefixes / sizeof *prefixes && card->word_count >= 4; i++)
        if (strlen(prefixes[i]) == letters && strncasecmp(name, prefixes[i], letters) == 0)
            return true;
    return false;
}

static bool has_digit(const char *text)
{
    return strpbrk(text, "0123456789{'") != NULL;
}

/* The value of R, C, L: words after the nodes, but for the name of a model. */
static const char *two_ended_value(struct spice_element *element)
{
    static const char *const names[] = {"r", "c", "l", "value", "val"};
    const struct spice_card *card = element->card;
    size_t first = 2;
    const char *value = NULL;

    if (card->word_count > 2 && spice_model(element, card->words[2]->text) != NULL) {
        element->part->symbol = spice_model(element, card->words[2]->text)->known;
        first = 3;
    }
    if (first < card->word_count)
        value = spice_rest(element, first, false);
    if (value != NULL && card->word_count == first + 2 &&
        spice_model(element, last_word(card)) != NULL) {
        element->part->symbol = spice_model(element, last_word(card))->known;
        value = spice_word(element->build->arena, card->line, card->words[first]->offset);
    }
    if (value != NULL)
        return spice_value_or_name(element, value);
    for (size_t i = 0; i < sizeof names / sizeof *names && value == NULL; i++)
        value = spice_setting(element, names[i]);
    return value;
}

static bool make_two_ended(struct spice_element *element)
{
    static const char *const skipped[] = {"r", "c", "l", "value", "val", NULL};
    const struct spice_card *card = element->card;
    char letter = (char)toupper((unsigned char)card->tokens[0].text[0]);

    if (has_more_pins(card))
        return false;
    if (card->word_count < 2) {
        spice_complain(element, "two nodes and a value");
        return true;
    }
    spice_part(element, letter);
    spice_pins(element, 2, NULL);
    element->part->value = two_ended_value(element);
    if (element->part->value != NULL && !has_digit(element->part->value))
        element->part->letter = 0; /* "LS1 a b Speaker" */
    spice_fields(element, skipped);
    if (letter == 'R')
        check_milliohm(element, element->part->value);
    return true;
}

/* The word that names the model: one that is known, else the last that is no number. */
static size_t model_index(struct spice_element *element, size_t least, size_t most)
{
    const struct spice_card *card = element->card;
    size_t index = least;

    for (size_t i = least; i <= most && i < card->word_count; i++)
        if (spice_model(element, card->words[i]->text) != NULL)
            return i;
    for (size_t i = least; i <= most && i < card->word_count; i++)
        if (!spice_is_numeric(card->words[i]->text) && card->words[i]->text[0] != '[' &&
            strcasecmp(card->words[i]->text, "off") != 0)
            index = i;
    return index;
}

/* LEAST to MOST nodes, then a model. */
static void make_semiconductor(struct spice_element *element, size_t least, size_t most,
                               const char *const *names)
{
    const struct spice_card *card = element->card;
    size_t model = model_index(element, least, most);

    spice_part(element, (char)toupper((unsigned char)card->tokens[0].text[0]));
    spice_pins(element, model, names);
    set_model(element, card->words[model]->text);
    spice_fields(element, NULL);
}

static bool make_diode(struct spice_element *element)
{
    static const char *const names[] = {"A", "K"};
    static const char *const types[] = {"D", NULL};
    const struct spice_card *card = element->card;
    size_t words = card->word_count;

    if (words < 2) {
        spice_complain(element, "two nodes and a model");
        return true;
    }
    if (words > 3 && !is_model_of(element, 2, types) &&
        !spice_is_numeric(card->words[3]->text) && strcasecmp(card->words[3]->text, "off") != 0)
        return false; /* a bridge, a double diode */
    if (words > 2) {
        make_semiconductor(element, 2, 2, names);
        return true;
    }
    spice_part(element, 'D');
    spice_pins(element, 2, names);
    spice_fields(element, NULL);
    return true;
}

static bool make_bipolar(struct spice_element *element)
{
    static const char *const names[] = {"C", "B", "E", "S", "TJ"};

    if (element->card->word_count < 4)
        return false;
    make_semiconductor(element, 3, 5, names);
    return true;
}

/* A J line without a model of its kind is a jack or a connector. */
static bool make_jfet(struct spice_element *element)
{
    static const char *const names[] = {"D", "G", "S"};
    static const char *const types[] = {"NJF", "PJF", NULL};

    if (!is_model_of(element, 3, types))
        return false;
    make_semiconductor(element, 3, 3, names);
    return true;
}

static bool make_mosfet(struct spice_element *element)
{
    static const char *const names[] = {"D", "G", "S", "B"};

    if (element->card->word_count < 4)
        return false;
    make_semiconductor(element, 3, 4, names);
    return true;
}

static const char *const valve_types[] = {"TRIODE", "VP", "PENTODE", "TETRODE", NULL};

static void make_valve(struct spice_element *element, size_t nodes, const char *const *names)
{
    spice_part(element, (char)toupper((unsigned char)element->card->tokens[0].text[0]));
    spice_pins(element, nodes, names);
    set_model(element, element->card->words[nodes]->text);
    spice_fields(element, NULL);
}

static bool has_setting(const struct spice_card *card, const char *name)
{
    for (size_t i = 1; i < card->count; i++)
        if (card->tokens[i].name != NULL && strcasecmp(card->tokens[i].name, name) == 0)
            return true;
    return false;
}

/* T: a transmission line if it gives its delay, a triode if its model is one, or a transformer. */
static bool make_line_or_triode(struct spice_element *element)
{
    static const char *const names[] = {"A", "G", "K"};
    const struct spice_card *card = element->card;

    if (is_model_of(element, 3, valve_types)) {
        make_valve(element, 3, names);
        return true;
    }
    if (card->word_count < 4 || !(has_setting(card, "td") || has_setting(card, "z0")))
        return false;
    spice_part(element, 'T');
    spice_pins(element, 4, NULL);
    spice_fields(element, NULL);
    return true;
}

static bool make_pentode(struct spice_element *element)
{
    static const char *const names[] = {"A", "G1", "K", "G2", "G3"};

    for (size_t nodes = 4; nodes <= 5; nodes++) {
        if (!is_model_of(element, nodes, valve_types))
            continue;
        make_valve(element, nodes, names);
        return true;
    }
    return false;
}

static bool make_switch(struct spice_element *element)
{
    static const char *const types[] = {"SW", "VSWITCH", NULL};
    static const char *const names[] = {"+", "-", "C+", "C-"};

    if (!is_model_of(element, 4, types))
        return false;
    make_semiconductor(element, 4, 4, names);
    return true;
}

static bool make_current_switch(struct spice_element *element)
{
    static const char *const types[] = {"CSW", "ISWITCH", NULL};

    if (!is_model_of(element, 3, types))
        return false;
    spice_part(element, 'W');
    spice_pins(element, 2, NULL);
    set_model(element, element->card->words[3]->text);
    spice_fields(element, NULL);
    return true;
}

/* F lines have two nodes; what follows is the marking, blanks and all. */
static bool make_fuse(struct spice_element *element)
{
    static const char *const skipped[] = {"value", NULL};

    if (spice_make_steered_by_current(element))
        return true;
    if (element->card->word_count < 2)
        return false;
    spice_part(element, 0);
    spice_pins(element, 2, NULL);
    element->part->value = element->card->word_count > 2
                               ? spice_value(element, spice_rest(element, 2, false), true)
                               : spice_setting(element, "value");
    spice_fields(element, skipped);
    return true;
}

/* Each returns false if the line is no element of its letter. */
static const struct element_row {
    char letter;
    bool (*make)(struct spice_element *element);
} rows[] = {
    {'B', spice_make_behavioural},
    {'C', make_two_ended},
    {'D', make_diode},
    {'E', spice_make_steered_by_voltage},
    {'F', make_fuse},
    {'G', spice_make_steered_by_voltage},
    {'H', spice_make_steered_by_current},
    {'I', spice_make_source},
    {'J', make_jfet},
    {'K', spice_make_coupling},
    {'L', make_two_ended},
    {'M', make_mosfet},
    {'P', make_pentode},
    {'Q', make_bipolar},
    {'R', make_two_ended},
    {'S', make_switch},
    {'T', make_line_or_triode},
    {'V', spice_make_source},
    {'W', make_current_switch},
    {'X', spice_make_instance},
};

/* `REF __REF`: an exporter had no model, and left the nodes out as well. */
static bool make_bare(struct spice_element *element)
{
    struct spice_card *card = element->card;

    if (card->word_count != 1 || strncmp(card->words[0]->text, "__", 2) != 0)
        return false;
    spice_part(element, 0);
    spice_fields(element, NULL);
    if (!card->noted)
        diag_input(element->build->diags, LEVEL_WARNING, spice_place(card->line, 0),
                   card->line->text, "its nodes",
                   "%s has no nodes: what it is connected to is not known", card->tokens[0].text);
    card->noted = true;
    return true;
}

/* The last word is its value, unless it is known to be a node. */
void spice_make_named(struct spice_element *element)
{
    static const char *const skipped[] = {"value", NULL};
    const struct spice_card *card = element->card;
    size_t nodes = card->word_count;
    const struct spice_scope *scope;

    if (nodes == 0 || nodes > SPICE_PINS_MOST ||
        strlen(last_word(card)) > SPICE_NAME_LONGEST) {
        spice_complain(element, "nodes (at most 1000), then a value");
        return;
    }
    scope = spice_find_up(element->build->deck, element->at->scope, SPICE_SUBCKT, last_word(card));
    if (scope != NULL) {
        spice_make_opaque(element, scope, 0);
        return;
    }
    if (nodes > 2 && !spice_is_node(element, last_word(card)))
        nodes--;
    spice_part(element, 0);
    spice_pins(element, nodes, NULL);
    if (nodes < card->word_count)
        element->part->value = spice_value(element, last_word(card), true);
    if (element->part->value == NULL)
        element->part->value = spice_setting(element, "value");
    if (spice_model(element, last_word(card)) != NULL)
        element->part->symbol = spice_model(element, last_word(card))->known;
    spice_fields(element, skipped);
}

void spice_make_element(struct spice_element *element)
{
    char letter = (char)toupper((unsigned char)element->card->tokens[0].text[0]);

    if (make_bare(element))
        return;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].letter == letter && rows[i].make(element))
            return;
    spice_make_named(element);
}
