#include "netlist/spice_deck.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/map.h"
#include "netlist/spice_names.h"

/* The index's key for NAME, in a buffer that the next call reuses. */
static const char *index_key(struct spice_deck *deck, const struct spice_scope *scope,
                             enum spice_kind kind, const char *name)
{
    deck->key.length = 0;
    text_print(&deck->key, "%c%u:", kind, scope->id);
    for (; *name != '\0'; name++)
        text_add_char(&deck->key, (char)tolower((unsigned char)*name));
    return text_bytes(&deck->key);
}

bool spice_add(struct spice_deck *deck, const struct spice_scope *scope, enum spice_kind kind,
               const char *name, void *value)
{
    const char *key = index_key(deck, scope, kind, name);

    if (map_get(deck->index, key) != NULL)
        return false;
    return map_add(deck->index, arena_copy(deck->arena, key), value);
}

void *spice_find(struct spice_deck *deck, const struct spice_scope *scope, enum spice_kind kind,
                 const char *name)
{
    return map_get(deck->index, index_key(deck, scope, kind, name));
}

void *spice_find_up(struct spice_deck *deck, const struct spice_scope *scope, enum spice_kind kind,
                    const char *name)
{
    void *found = NULL;

    for (; scope != NULL && found == NULL; scope = scope->parent)
        found = spice_find(deck, scope, kind, name);
    return found;
}

bool spice_name_fits(struct spice_deck *deck, const struct spice_line *line,
                     const struct spice_token *token)
{
    if (strlen(token->text) <= SPICE_NAME_LONGEST)
        return true;
    diag_input(deck->diags, LEVEL_ERROR, spice_place(line, token->offset), token->text,
               "a name of at most 200 characters", "a name of %zu characters; the line is not read",
               strlen(token->text));
    return false;
}

/* Counts TOKEN's name if it is one that stands for "not connected". */
static void count_unconnected(struct spice_deck *deck, const char *name)
{
    size_t *uses;

    if (!spice_is_unconnected(name))
        return;
    uses = spice_find(deck, deck->scope, SPICE_NC, name);
    if (uses == NULL) {
        uses = arena_alloc(deck->arena, sizeof *uses);
        spice_add(deck, deck->scope, SPICE_NC, name, uses);
    }
    ++*uses;
}

/* Notes what tells names from values later on: the nodes that are nodes beyond doubt. */
static void note_names(struct spice_deck *deck, const struct spice_card *card)
{
    bool two = strchr("RCLDVI", toupper((unsigned char)card->tokens[0].text[0])) != NULL;

    for (size_t i = 0; i < card->word_count; i++) {
        const char *word = card->words[i]->text;

        if (strlen(word) > SPICE_NAME_LONGEST)
            continue;
        count_unconnected(deck, word);
        if (two && i < 2)
            spice_add(deck, deck->scope, SPICE_NODE, word, deck);
    }
}

static void report_duplicate(struct spice_deck *deck, const struct spice_card *card)
{
    const struct spice_card *first =
        spice_find(deck, deck->scope, SPICE_ELEMENT, card->tokens[0].text);
    struct place place = spice_place(first->line, first->tokens[0].offset);

    diag_input(deck->diags, LEVEL_ERROR, spice_place(card->line, card->tokens[0].offset),
               card->line->text, "a name of its own for every part",
               "%s is there already, at %s line %u column %u; this one is kept as %s# and a number",
               card->tokens[0].text, place.source->name, place.line, place.column,
               card->tokens[0].text);
}

static bool tokens_fit(struct spice_deck *deck, const struct spice_line *line,
                       const struct spice_tokens *tokens)
{
    if (!isalpha((unsigned char)tokens->items[0].text[0])) {
        diag_input(deck->diags, LEVEL_ERROR, spice_place(line, 0), line->text,
                   "a part (R1 ...), a card (.param ...), a comment (* ...)",
                   "a line that starts with neither a letter nor a dot");
        return false;
    }
    return spice_name_fits(deck, line, &tokens->items[0]);
}

/* "params:" before the settings says nothing that the settings do not; a blank may stand in it. */
static bool is_marker(const struct spice_card *card, size_t index)
{
    const struct spice_token *token = &card->tokens[index];
    size_t length = strlen(token->text);

    if (token->quoted || length == 0)
        return false;
    if (strcasecmp(token->text, "params") == 0 && index + 1 < card->count)
        return card->tokens[index + 1].name != NULL ||
               strcmp(card->tokens[index + 1].text, ":") == 0;
    return token->text[length - 1] == ':';
}

/* Fills the words of CARD; "PARAMS:A=1", written without a blank, is the setting A. */
static void sort_words(struct spice_deck *deck, struct spice_card *card)
{
    card->words = arena_array(deck->arena, card->count, sizeof(struct spice_token *));
    for (size_t i = 1; i < card->count; i++) {
        struct spice_token *token = &card->tokens[i];

        if (token->name != NULL && strncasecmp(token->name, "params:", 7) == 0)
            token->name += 7;
        else if (token->name == NULL && !is_marker(card, i))
            card->words[card->word_count++] = token;
    }
}

static void take_element(struct spice_deck *deck, const struct spice_line *line,
                         const struct spice_tokens *tokens)
{
    struct spice_scope *scope = deck->scope;
    struct spice_card *card;

    if (!tokens_fit(deck, line, tokens))
        return;
    card = arena_alloc(deck->arena, sizeof *card);
    *card = (struct spice_card){.line = line, .tokens = tokens->items, .count = tokens->count};
    sort_words(deck, card);
    card->again = !spice_add(deck, scope, SPICE_ELEMENT, tokens->items[0].text, card);
    if (card->again)
        report_duplicate(deck, card);
    note_names(deck, card);
    scope->cards = arena_grow(deck->arena, scope->cards, &scope->card_capacity, scope->card_count,
                              sizeof *scope->cards);
    scope->cards[scope->card_count++] = card;
}

static void report_unclosed(struct spice_deck *deck, const struct spice_line *line, size_t at)
{
    char open = line->text[at];
    const char *close = open == '(' ? ")" : open == '{' ? "}" : open == '[' ? "]" : "\"";

    diag_input(deck->diags, LEVEL_ERROR, spice_place(line, at), line->text + at, close,
               "%c is never closed", open);
}

static void take_line(struct spice_deck *deck, const struct spice_line *line)
{
    struct spice_tokens tokens;

    if (spice_skips(deck, line))
        return;
    if (line->text[0] == '+') {
        diag_input(deck->diags, LEVEL_ERROR, spice_place(line, 0), line->text,
                   "a line before it to go on with",
                   "a continuation of nothing; it is not read");
        return;
    }
    tokens = spice_tokenise(deck->arena, line, 0, line->length);
    if (tokens.count == 0)
        return;
    if (tokens.unclosed)
        report_unclosed(deck, line, tokens.unclosed_at);
    if (tokens.items[0].text[0] == '.')
        spice_take_dot_card(deck, line, &tokens);
    else
        take_element(deck, line, &tokens);
}

/* The next line of the innermost file; a file that has ended is closed. */
static const struct spice_line *next_line(struct spice_deck *deck)
{
    const struct spice_line *line;

    while (deck->file_count > 0 && !deck->ended) {
        line = spice_next_line(deck->arena, &deck->files[deck->file_count - 1].cursor);
        if (line != NULL)
            return line;
        spice_close_file(deck);
    }
    return NULL;
}

static void report_open_subcircuits(struct spice_deck *deck)
{
    for (struct spice_scope *scope = deck->scope; scope->parent != NULL; scope = scope->parent)
        diag_input(deck->diags, LEVEL_ERROR, spice_place(scope->line, 0), scope->line->text,
                   "a line .ends", "the subcircuit %s has no .ends: all after it is taken as its "
                   "inside", scope->name);
}

/* A first line that looks like a part is no part; whoever wrote it may not know. */
static void check_title(struct spice_deck *deck)
{
    struct spice_cursor start = spice_cursor_start(deck->files[0].cursor.source);
    const struct spice_line *line = spice_next_line(deck->arena, &start);
    struct spice_tokens tokens;

    if (line == NULL || line->pieces[0].line != 1)
        return;
    tokens = spice_tokenise(deck->arena, line, 0, line->length);
    if (tokens.count >= 4 && spice_is_plausible_ref(tokens.items[0].text) &&
        isdigit((unsigned char)tokens.items[3].text[0]) && tokens.items[3].name == NULL)
        diag_input(deck->diags, LEVEL_WARNING, spice_place(line, 0), line->text,
                   "a title in the first line",
                   "the first line of a deck is its title: %s is not read as a part",
                   tokens.items[0].text);
}

static void read_title(struct spice_deck *deck)
{
    const char *title = spice_title_line(deck->arena, &deck->files[0].cursor);

    check_title(deck);
    while (spice_is_blank(*title) && *title != '\0')
        title++;
    if (strncasecmp(title, ".title", 6) == 0)
        title += 6;
    while (*title == '*' || *title == ' ' || *title == '\t')
        title++;
    deck->title = *title != '\0' ? title : NULL;
}

/* A deck cut short at a line's end reads like a whole one; only .end tells. */
static void report_no_end(struct spice_deck *deck, const struct spice_line *last)
{
    if (deck->ended || last == NULL)
        return;
    diag_input(deck->diags, LEVEL_NOTE, spice_place(last, 0), last->text, "a last line .end",
               "the deck stops here without .end; if it was cut short, what is missing was not checked");
}

void spice_deck_read(struct spice_deck *deck, const struct read_input *input)
{
    const struct spice_line *line, *last = NULL;

    *deck = (struct spice_deck){.arena = input->arena, .diags = input->diags,
                                .options = input->options, .index = map_new()};
    deck->top = arena_alloc(deck->arena, sizeof *deck->top);
    deck->top->name = "";
    deck->scope = deck->top;
    spice_open_main(deck, input->source);
    read_title(deck);
    while ((line = next_line(deck)) != NULL) {
        take_line(deck, line);
        last = line;
    }
    spice_skip_ends_with_deck(deck);
    report_open_subcircuits(deck);
    report_no_end(deck, last);
}

void spice_deck_free(struct spice_deck *deck)
{
    map_free(deck->index);
    text_free(&deck->key);
}
