/* SPICE decks. Reading is in two steps: spice_deck.c takes the deck as written, scope by scope;
 * then the instances are filled in from the top and their parts made. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/map.h"
#include "netlist/reader.h"
#include "netlist/spice_build.h"

static bool is_full(struct spice_build *build, const struct spice_instance *at,
                    const struct spice_card *card)
{
    if (at->depth > 0)
        build->work += card->line->length + strlen(at->path) + 64;
    if (build->full || (build->work <= SPICE_WORK_MOST &&
                        build->circuit->part_count < SPICE_PARTS_MOST))
        return build->full;
    build->full = true;
    diag_input(build->diags, LEVEL_ERROR, spice_place(card->line, 0), card->line->text,
               "at most 50000 parts, subcircuits filled in",
               "the deck is too large: %s and all after it is not read", card->tokens[0].text);
    return true;
}

void spice_build_instance(struct spice_build *build, const struct spice_instance *at)
{
    spice_build_models(build, at);
    for (size_t i = 0; i < at->scope->card_count; i++) {
        struct spice_element element = {.build = build, .at = at, .card = at->scope->cards[i]};

        if (is_full(build, at, element.card))
            return;
        spice_make_element(&element);
    }
}

/* The node that is named first gives the net its name, unless ground is among them. */
static void join_nodes(struct spice_build *build, const struct spice_instance *top,
                       const struct spice_wire *wire)
{
    struct spice_card card = {.line = wire->line};
    struct spice_element element = {.build = build, .at = top, .card = &card};
    struct net *kept = NULL;

    for (size_t i = 0; i < wire->count; i++) {
        struct net *net = spice_net(&element, &wire->nodes[i]);

        if (kept != NULL && net != NULL)
            circuit_join_nets(build->circuit, kept, net);
        kept = kept != NULL ? kept : net;
    }
}

static struct circuit *read_deck(const struct read_input *input)
{
    struct spice_deck deck;
    struct spice_build build = {.arena = input->arena, .diags = input->diags, .deck = &deck,
                                .nets = map_new(), .parameters = map_new()};
    struct spice_instance top = {.path = ""};

    spice_deck_read(&deck, input);
    top.scope = deck.top;
    build.circuit = circuit_new(input->arena, input->source);
    build.circuit->format = "spice";
    build.circuit->title = deck.title;
    spice_enter_parameters(&build, &top, NULL, NULL);
    spice_build_instance(&build, &top);
    for (size_t i = 0; i < deck.wire_count; i++)
        join_nodes(&build, &top, &deck.wires[i]);
    if (build.circuit->part_count == 0)
        diag_input(input->diags, LEVEL_ERROR, (struct place){.source = input->source, .line = 1},
                   NULL, "lines such as R1 in out 10k, after a title", "%s holds no parts",
                   input->source->name);
    circuit_finish(build.circuit);
    map_free(build.nets);
    map_free(build.parameters);
    text_free(&build.key);
    spice_deck_free(&deck);
    return build.circuit;
}

/* Other formats that are text start with one of these. */
static bool is_other_format(const struct source *source)
{
    size_t at = 0;

    while (at < source->length && (spice_is_blank(source->text[at]) || source->text[at] == '\n'))
        at++;
    return at < source->length && strchr("<({", source->text[at]) != NULL;
}

static bool looks_like_dot_card(const char *name)
{
    static const char *const cards[] = {".subckt", ".model", ".param",   ".include", ".inc",
                                        ".lib",    ".end",   ".tran",    ".op",      ".ac",
                                        ".dc",     ".ends",  ".control", ".global",  ".options"};

    for (size_t i = 0; i < sizeof cards / sizeof *cards; i++)
        if (strcasecmp(cards[i], name) == 0)
            return true;
    return false;
}

static bool looks_like_element(const struct spice_tokens *tokens)
{
    const char *name = tokens->items[0].text;

    return isalpha((unsigned char)name[0]) && strlen(name) < 40 && tokens->items[0].name == NULL &&
           strcspn(name, "0123456789_") < strlen(name) && tokens->count >= 2;
}

/* Looks at so many lines after the title. */
enum { LINES_LOOKED_AT = 200 };

static int detect(const struct source *source)
{
    struct arena *arena;
    struct spice_cursor cursor = spice_cursor_start(source);
    const struct spice_line *line;
    int sure = 1;

    if (is_other_format(source))
        return 0;
    arena = arena_new();
    spice_title_line(arena, &cursor);
    for (int i = 0; i < LINES_LOOKED_AT && sure < 2; i++) {
        struct spice_tokens tokens;

        line = spice_next_line(arena, &cursor);
        if (line == NULL)
            break;
        tokens = spice_tokenise(arena, line, 0, line->length);
        if (tokens.count > 0 &&
            (looks_like_dot_card(tokens.items[0].text) || looks_like_element(&tokens)))
            sure = 2;
    }
    arena_free(arena);
    return sure;
}

const struct reader spice_reader = {
    .name = "spice",
    .help = "SPICE decks (.cir, .net, .sp, .spice)",
    .detect = detect,
    .read = read_deck,
};
