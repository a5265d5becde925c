#include "parts/ballot.h"

#include <ctype.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/wording.h"

enum {
    WEIGHT_TYPE_FIELD = 100, WEIGHT_COUPLING = 50, WEIGHT_WINDINGS_FIELD = 8,
    WEIGHT_VALUE_TYPE = 6, WEIGHT_SYMBOL_TYPE = 5, WEIGHT_AMBIGUOUS_TYPE = 2, WEIGHT_MODEL = 5,
    WEIGHT_UNIT = 2, WEIGHT_NUMBER = 1, WEIGHT_LETTERS = 3,
    WEIGHT_TYPE_WORD = 5, /* a word of this weight or more in a value is a type number */
    PINS_NAMED_LARGEST = 32,
    LETTERS_LARGEST = 32 /* of a reference */
};

/* SPICE element letters. A letter not listed says nothing. */
static const struct letter_row {
    char letter;
    uint64_t kinds;
    enum part_kind first;
    int weight;
} letters[] = {
    {'R',
     KIND_BIT(PART_RESISTOR) | KIND_BIT(PART_POTENTIOMETER) | KIND_BIT(PART_THERMISTOR)
         | KIND_BIT(PART_LAMP),
     PART_RESISTOR, 4},
    {'C', KIND_BIT(PART_CAPACITOR), PART_CAPACITOR, 6},
    {'L', KIND_BIT(PART_INDUCTOR) | KIND_BIT(PART_CHOKE), PART_INDUCTOR, 6},
    {'D',
     KIND_BIT(PART_DIODE) | KIND_BIT(PART_ZENER) | KIND_BIT(PART_LED)
         | KIND_BIT(PART_RECTIFIER_VALVE),
     PART_DIODE, 4},
    {'Q', KIND_BIT(PART_TRANSISTOR), PART_TRANSISTOR, 5},
    {'M', KIND_BIT(PART_FET), PART_FET, 5},
    {'V', KIND_BIT(PART_VOLTAGE_SOURCE) | KIND_BIT(PART_BATTERY), PART_VOLTAGE_SOURCE, 6},
    {'I', KIND_BIT(PART_CURRENT_SOURCE), PART_CURRENT_SOURCE, 6},
    {'S', KIND_BIT(PART_SWITCH) | KIND_BIT(PART_STANDBY_SWITCH), PART_SWITCH, 2},
    {'W', KIND_BIT(PART_SWITCH) | KIND_BIT(PART_STANDBY_SWITCH), PART_SWITCH, 2},
};

/* .model types. */
static const struct model_row {
    const char *type;
    enum part_kind kind;
} model_types[] = {
    {"D", PART_DIODE},        {"NPN", PART_TRANSISTOR}, {"PNP", PART_TRANSISTOR},
    {"NJF", PART_FET},        {"PJF", PART_FET},        {"NMOS", PART_FET},
    {"PMOS", PART_FET},       {"VDMOS", PART_FET},      {"SW", PART_SWITCH},
    {"VSWITCH", PART_SWITCH}, {"CSW", PART_SWITCH},     {"R", PART_RESISTOR},
    {"RES", PART_RESISTOR},   {"C", PART_CAPACITOR},    {"CAP", PART_CAPACITOR},
    {"TRIODE", PART_TRIODE},  {"VP", PART_PENTODE},
};

/* A kind that is one of a more general kind: what speaks for the general one speaks for it too. */
static const struct special_row {
    enum part_kind special, general;
} specials[] = {
    {PART_OUTPUT_TRANSFORMER, PART_TRANSFORMER}, {PART_STANDBY_SWITCH, PART_SWITCH},
    {PART_ZENER, PART_DIODE},                    {PART_LED, PART_DIODE},
    {PART_CHOKE, PART_INDUCTOR},                 {PART_FEED, PART_CONNECTOR},
    {PART_INLET, PART_CONNECTOR},
};
enum { SPECIALS = sizeof specials / sizeof *specials };

static uint64_t with_specials(uint64_t kinds)
{
    for (size_t i = 0; i < SPECIALS; i++)
        if (kinds & KIND_BIT(specials[i].general))
            kinds |= KIND_BIT(specials[i].special);
    return kinds;
}

static void cast(struct count *count, const char *place, const char *text, uint64_t kinds,
                 enum part_kind first, int weight)
{
    if (count->ballot_count == BALLOTS_LARGEST || kinds == 0)
        return;
    count->ballots[count->ballot_count++] = (struct ballot){.kinds = with_specials(kinds),
                                                            .first = first,
                                                            .weight = weight,
                                                            .place = place,
                                                            .text = text};
}

static void cast_kind(struct count *count, const char *place, const char *text,
                      enum part_kind kind, int weight)
{
    cast(count, place, text, KIND_BIT(kind), kind, weight);
}

static void cast_word(struct count *count, const char *place, const char *text,
                      const struct word *word)
{
    cast(count, place, text, word->kinds, word->first, word->weight);
}

bool kind_is_general(enum part_kind general, enum part_kind special)
{
    for (size_t i = 0; i < SPECIALS; i++)
        if (specials[i].special == special && specials[i].general == general)
            return true;
    return false;
}

/* The fields `kind` and `type` decide. */
static void ask_fields(struct count *count, struct part_info *info)
{
    struct arena *arena = count->recogniser->arena;
    const char *kind_text = part_field(count->part, "kind");
    const char *type_text = part_field(count->part, "type");
    enum part_kind kind;
    struct wording wording;
    const char *word;
    size_t length;

    if (kind_text != NULL && part_kind_parse(kind_text, &kind))
        cast_kind(count, "field", kind_text, kind, WEIGHT_KIND_FIELD);
    else if (kind_text != NULL)
        part_doubt(arena, info, "its field kind says \"%s\", which is no kind of part", kind_text);
    if (type_text == NULL)
        return;
    wording_start(&wording, type_text);
    count->types[0] = wording_type(count->recogniser->library, &wording, &word, &length);
    if (count->types[0] != NULL) {
        count->type_texts[0] = arena_copy_span(arena, word, length);
        cast_kind(count, "field", type_text, count->types[0]->kind, WEIGHT_TYPE_FIELD);
    }
}

/* Only a transformer has a field windings. */
static void ask_windings(struct count *count)
{
    const char *field = part_field(count->part, "windings");

    if (field != NULL)
        cast_kind(count, "field", field, PART_TRANSFORMER, WEIGHT_WINDINGS_FIELD);
}

static void ask_coupling(struct count *count)
{
    if (count->recogniser->coupled[count->part->index])
        cast_kind(count, "coupling", count->part->ref, PART_COUPLED_INDUCTOR, WEIGHT_COUPLING);
}

static void ask_letter(struct count *count)
{
    const struct part *part = count->part;
    const char *text;

    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++) {
        if (letters[i].letter != part->letter || part->letter == 0)
            continue;
        text = arena_print(count->recogniser->arena, "%c", part->letter);
        cast(count, "letter", text, letters[i].kinds, letters[i].first, letters[i].weight);
    }
}

static void ask_model(struct count *count)
{
    const struct part *part = count->part;
    const struct model *model =
        part->symbol != NULL ? circuit_part_model(count->recogniser->circuit, part, part->symbol) : NULL;
    uint64_t kinds;

    for (size_t i = 0; model != NULL && i < sizeof model_types / sizeof *model_types; i++) {
        if (strcmp(model->type, model_types[i].type) != 0)
            continue;
        kinds = KIND_BIT(model_types[i].kind);
        if (model_types[i].kind == PART_DIODE)
            kinds |= KIND_BIT(PART_ZENER) | KIND_BIT(PART_LED) | KIND_BIT(PART_RECTIFIER_VALVE);
        cast(count, "model", model->name, kinds, model_types[i].kind, WEIGHT_MODEL);
    }
}

/* A type number in WORDING, which goes to types[INDEX]. A model's name may carry its letter before
 * it: "D1N4007". */
static const struct type *find_type(struct count *count, struct wording *wording, size_t index)
{
    const struct library *library = count->recogniser->library;
    const char *word;
    size_t length;
    const struct type *type = wording_type(library, wording, &word, &length);

    if (type == NULL && count->part->letter != 0 && strchr("DQ", wording->text[0]) != NULL
        && wording->length > 2) {
        word = wording->text + 1;
        length = wording->length - 1;
        type = library_find(library, word, length);
    }
    count->types[index] = type;
    if (type != NULL)
        count->type_texts[index] = arena_copy_span(count->recogniser->arena, word, length);
    return type;
}

/* From here on an inductor has an iron core: a choke (common practice, no source). */
static const double iron_henries = 0.1;

/* The unit a value is written in, for a part nothing better speaks for. */
static void ask_unit(struct count *count, const char *value)
{
    const struct part *part = count->part;
    struct quantity first;

    if (quantity_scan(value, part->dialect, UNIT_NONE, &first, 1) == 0)
        return;
    if (part->letter == 'L' && first.unit == UNIT_NONE && first.value >= iron_henries)
        first.unit = UNIT_HENRY;
    if (first.unit == UNIT_OHM)
        cast(count, "value", value,
             KIND_BIT(PART_RESISTOR) | KIND_BIT(PART_POTENTIOMETER) | KIND_BIT(PART_THERMISTOR)
                 | KIND_BIT(PART_SPEAKER) | KIND_BIT(PART_JACK) | KIND_BIT(PART_OUTPUT_TRANSFORMER),
             PART_RESISTOR, WEIGHT_UNIT);
    else if (first.unit == UNIT_FARAD)
        cast_kind(count, "value", value, PART_CAPACITOR, WEIGHT_UNIT);
    else if (first.unit == UNIT_HENRY && first.value >= iron_henries)
        cast_kind(count, "value", value, PART_CHOKE, WEIGHT_UNIT);
    else if (first.unit == UNIT_HENRY)
        cast(count, "value", value, KIND_BIT(PART_INDUCTOR) | KIND_BIT(PART_CHOKE), PART_INDUCTOR,
             WEIGHT_UNIT);
    else if (first.unit == UNIT_NONE && first.value >= 1)
        cast(count, "value", value,
             KIND_BIT(PART_RESISTOR) | KIND_BIT(PART_POTENTIOMETER) | KIND_BIT(PART_THERMISTOR),
             PART_UNKNOWN, WEIGHT_NUMBER);
    else if (first.unit == UNIT_NONE && first.value > 0 && first.value < 0.1)
        cast(count, "value", value,
             KIND_BIT(PART_CAPACITOR) | KIND_BIT(PART_INDUCTOR) | KIND_BIT(PART_CHOKE),
             PART_UNKNOWN, WEIGHT_NUMBER);
}

static bool has_digit(const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if (isdigit((unsigned char)text[i]))
            return true;
    return false;
}

static int type_weight(const struct type *type, int weight)
{
    return type->ambiguous ? WEIGHT_AMBIGUOUS_TYPE : weight;
}

static void ask_value(struct count *count)
{
    const char *value = count->part->value, *found;
    struct wording wording;
    const struct type *type;
    const struct word *word;
    size_t length;

    if (value == NULL)
        return;
    wording_start(&wording, value);
    type = find_type(count, &wording, 1);
    word = wording_best(count->recogniser->library, WORD_VALUE, &wording, &found, &length);
    if (type != NULL && (word == NULL || word->weight <= type_weight(type, WEIGHT_VALUE_TYPE)))
        cast_kind(count, "value", value, type->kind, type_weight(type, WEIGHT_VALUE_TYPE));
    else if (word != NULL)
        cast_word(count, "value", value, word);
    else
        ask_unit(count, value);
    if (type == NULL && word != NULL && word->weight >= WEIGHT_TYPE_WORD
        && word->first != PART_FUSE /* a marking */ && has_digit(found, length))
        count->type_word = arena_copy_span(count->recogniser->arena, found, length);
}

static void ask_symbol(struct count *count)
{
    const char *symbol = count->part->symbol, *found;
    struct wording wording;
    const struct type *type;
    const struct word *word;
    size_t length;

    if (symbol == NULL)
        return;
    wording_symbol(&wording, symbol);
    type = find_type(count, &wording, 2);
    word = wording_best(count->recogniser->library, WORD_SYMBOL, &wording, &found, &length);
    if (type != NULL && (word == NULL || word->weight <= type_weight(type, WEIGHT_SYMBOL_TYPE)
                         || word->first == PART_UNKNOWN))
        cast_kind(count, "symbol", symbol, type->kind, type_weight(type, WEIGHT_SYMBOL_TYPE));
    else if (word != NULL)
        cast_word(count, "symbol", symbol, word);
}

/* What the footprint is called, without its library: "Valve:Valve_Noval_P". */
static void ask_footprint(struct count *count)
{
    const char *footprint = count->part->footprint, *colon, *found;
    struct wording wording;
    const struct word *word;
    size_t length;

    if (footprint == NULL)
        return;
    colon = strrchr(footprint, ':');
    wording_symbol(&wording, colon != NULL && colon[1] != '\0' ? colon + 1 : footprint);
    word = wording_best(count->recogniser->library, WORD_FOOTPRINT, &wording, &found, &length);
    if (word != NULL)
        cast_word(count, "footprint", footprint, word);
}

static void ask_library(struct count *count)
{
    struct wording wording;
    const struct word *word;
    const char *found;
    size_t length;

    wording_symbol(&wording, count->part->library);
    word = wording_best(count->recogniser->library, WORD_LIBRARY, &wording, &found, &length);
    if (word != NULL)
        cast_word(count, "library", count->part->library, word);
}

/* The letters TEXT begins with, of a reference or its prefix. */
static const struct word *letters_word(struct count *count, enum word_place place,
                                       const char *text)
{
    struct wording wording;
    const char *found;
    size_t length;

    wording_start(&wording, text);
    length = strspn(wording.text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ");
    if (length == 0 || length >= LETTERS_LARGEST)
        return NULL;
    wording.text[length] = '\0';
    wording.length = length;
    return wording_best(count->recogniser->library, place, &wording, &found, &length);
}

/* What the words of a reference say, as in "HT_FUSE1" or "S-STANDBY", if the letters it begins with, which said START
 * (or NULL), say nothing else or it is surer than what letters can say. */
static const struct word *reference_words(struct count *count, const struct word *start)
{
    const struct word *word;
    struct wording wording;
    const char *found;
    size_t length;

    wording_start(&wording, count->part->own_ref);
    if (strpbrk(wording.text, "_- ") == NULL)
        return start;
    for (char *at = wording.text; *at != '\0'; at++) /* numbers are not words */
        if (isdigit((unsigned char)*at))
            *at = ' ';
    word = wording_best(count->recogniser->library, WORD_REFERENCE, &wording, &found, &length);
    if (word == NULL || start == NULL || start->weight == 1 || word->weight > WEIGHT_LETTERS)
        return word != NULL ? word : start;
    return word->weight > start->weight && (with_specials(start->kinds) & word->kinds) != 0 ? word : start;
}

/* The letters a reference begins with; in a deck the element's letter has spoken already. */
static void ask_reference(struct count *count)
{
    const struct part *part = count->part;
    const struct word *word = part->prefix != NULL
                                  ? letters_word(count, WORD_PREFIX, part->prefix) : NULL;

    if (word != NULL)
        cast_word(count, "prefix", part->prefix, word);
    word = reference_words(count, letters_word(count, WORD_REFERENCE, part->own_ref));
    if (word == NULL || (part->letter != 0 && strchr("CLVIEFGHBQM", part->letter) != NULL))
        return;
    cast_word(count, "reference", part->own_ref, word);
}

static bool is_heater_name(const char *name)
{
    return (toupper((unsigned char)name[0]) == 'F' || toupper((unsigned char)name[0]) == 'H')
           && (name[1] == '\0' || isdigit((unsigned char)name[1]));
}

/* All pin names but the heater's, sorted, joined by blanks. */
static void pin_names(const struct part *part, struct wording *wording)
{
    const char *names[PINS_NAMED_LARGEST];
    char joined[WORDING_LARGEST];
    size_t count = 0, used = 0;

    for (size_t i = 0; i < part->pin_count && count < PINS_NAMED_LARGEST; i++) {
        const char *name = pin_label(&part->pins[i]);
        size_t at = count;

        if (is_heater_name(name))
            continue;
        while (at > 0 && strcmp(names[at - 1], name) > 0) {
            names[at] = names[at - 1];
            at--;
        }
        names[at] = name;
        count++;
    }
    for (size_t i = 0; i < count; i++) {
        size_t length = strlen(names[i]);

        if (used + length + 2 > sizeof joined)
            break;
        memcpy(joined + used, names[i], length);
        used += length;
        joined[used++] = ' ';
    }
    joined[used] = '\0';
    wording_start(wording, joined);
}

static void ask_pins(struct count *count)
{
    struct wording wording;
    const struct word *word;
    const char *found;
    size_t length;

    pin_names(count->part, &wording);
    word = wording_best(count->recogniser->library, WORD_PINS, &wording, &found, &length);
    if (word != NULL)
        cast_word(count, "pins", arena_copy(count->recogniser->arena, wording.text), word);
}

void ballots_collect(struct count *count, struct part_info *info)
{
    ask_fields(count, info);
    ask_windings(count);
    ask_coupling(count);
    ask_value(count);
    ask_symbol(count);
    ask_footprint(count);
    ask_library(count);
    ask_letter(count);
    ask_model(count);
    ask_pins(count);
    ask_reference(count);
}
