/* The cards that start with a dot. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "netlist/spice_deck.h"
#include "netlist/spice_names.h"

void spice_add_setting(struct spice_deck *deck, struct spice_settings *settings,
                       const struct spice_line *line, const struct spice_token *token)
{
    settings->items = arena_grow(deck->arena, settings->items, &settings->capacity, settings->count,
                                 sizeof *settings->items);
    settings->items[settings->count++] =
        (struct spice_setting){.name = token->name, .text = token->text, .quoted = token->quoted,
                               .line = line, .offset = token->value};
}

/* The text of LINE from byte FROM up to TO, blanks and commas at its end cut. */
static const char *span(struct spice_deck *deck, const struct spice_line *line, size_t from,
                        size_t to)
{
    while (to > from && (line->text[to - 1] == ' ' || line->text[to - 1] == ','))
        to--;
    return arena_copy_span(deck->arena, line->text + from, to - from);
}

static void take_param(struct spice_deck *deck, const struct spice_line *line,
                       const struct spice_tokens *tokens)
{
    for (size_t i = 1; i < tokens->count; i++) {
        struct spice_token token = tokens->items[i];
        size_t next = i + 1;

        if (token.name == NULL)
            continue;
        while (next < tokens->count && tokens->items[next].name == NULL)
            next++;
        if (!token.quoted)
            token.text = span(deck, line, token.value,
                              next < tokens->count ? tokens->items[next].offset : line->length);
        spice_add_setting(deck, &deck->scope->parameters, line, &token);
    }
}

static bool same_place(const struct spice_line *a, const struct spice_line *b)
{
    return strcmp(a->source->name, b->source->name) == 0 && a->pieces[0].line == b->pieces[0].line;
}

/* Says that NAME is defined twice, unless a file that was included twice is the cause. */
static void report_again(struct spice_deck *deck, const char *what, const char *name,
                         const struct spice_line *first, const struct spice_line *again)
{
    if (!same_place(first, again))
        diag_input(deck->diags, LEVEL_ERROR, spice_place(again, 0), again->text,
                   "a name of its own", "the %s %s is defined already, at %s line %u; the first "
                   "one is used", what, name, first->source->name, first->pieces[0].line);
}

static bool is_marker(const char *text)
{
    size_t length = strlen(text);

    return length > 0 && text[length - 1] == ':';
}

static void add_formal(struct spice_deck *deck, struct spice_scope *scope,
                       const struct spice_token *token)
{
    size_t *index = arena_alloc(deck->arena, sizeof *index);

    if (!spice_name_fits(deck, scope->line, token))
        return;
    *index = scope->formal_count;
    scope->formals = arena_grow(deck->arena, scope->formals, &scope->formal_capacity,
                                scope->formal_count, sizeof *scope->formals);
    scope->formals[scope->formal_count++] = token->text;
    if (!spice_add(deck, scope, SPICE_FORMAL, token->text, index))
        diag_input(deck->diags, LEVEL_ERROR, spice_place(scope->line, token->offset), token->text,
                   "names that differ", "two nodes of the subcircuit %s are called %s",
                   scope->name, token->text);
    if (spice_is_ground(token->text))
        diag_input(deck->diags, LEVEL_WARNING, spice_place(scope->line, token->offset), token->text,
                   "another name", "a node of the subcircuit %s is called %s, which is ground "
                   "everywhere", scope->name, token->text);
}

/* Nodes up to the first setting or "params:", then settings. */
static void take_formals(struct spice_deck *deck, struct spice_scope *scope,
                         const struct spice_tokens *tokens)
{
    bool nodes = true;

    if (tokens->count > SPICE_PINS_MOST)
        diag_input(deck->diags, LEVEL_ERROR, spice_place(scope->line, 0), scope->line->text,
                   "at most 1000 nodes and settings", "%s has too many; the rest is not read",
                   scope->name);
    for (size_t i = 2; i < tokens->count && i <= SPICE_PINS_MOST; i++) {
        struct spice_token token = tokens->items[i];

        nodes = nodes && token.name == NULL && !is_marker(token.text);
        if (nodes && strcasecmp(token.text, "params") != 0)
            add_formal(deck, scope, &token);
        else if (token.name != NULL)
            spice_add_setting(deck, &scope->defaults, scope->line, &token);
    }
}

static struct spice_scope *open_scope(struct spice_deck *deck, const struct spice_line *line,
                                      const char *name)
{
    struct spice_scope *scope = arena_alloc(deck->arena, sizeof *scope);

    scope->id = ++deck->scope_count;
    scope->depth = deck->scope->depth + 1;
    scope->name = name;
    scope->parent = deck->scope;
    scope->line = line;
    deck->scope = scope;
    return scope;
}

static void take_subckt(struct spice_deck *deck, const struct spice_line *line,
                        const struct spice_tokens *tokens)
{
    struct spice_scope *scope, *first;
    const char *name = tokens->count > 1 ? tokens->items[1].text : "";

    if (*name == '\0' || strlen(name) > SPICE_NAME_LONGEST) {
        diag_input(deck->diags, LEVEL_ERROR, spice_place(line, 0), line->text,
                   ".subckt NAME NODE...", "a subcircuit without a usable name");
        name = "?";
    }
    if (deck->scope->depth + 1 >= SPICE_NESTING_DEEPEST) {
        diag_input(deck->diags, LEVEL_ERROR, spice_place(line, 0), line->text,
                   "a .ends before it", "subcircuits are defined inside each other %d deep; the "
                   "rest is not read", SPICE_NESTING_DEEPEST);
        deck->ended = true;
        return;
    }
    first = spice_find(deck, deck->scope, SPICE_SUBCKT, name);
    scope = open_scope(deck, line, name);
    take_formals(deck, scope, tokens);
    if (first != NULL)
        report_again(deck, "subcircuit", name, first->line, line);
    else
        spice_add(deck, scope->parent, SPICE_SUBCKT, name, scope);
}

/* The open subcircuit called NAME, innermost first, or NULL. */
static struct spice_scope *open_named(struct spice_deck *deck, const char *name)
{
    for (struct spice_scope *scope = deck->scope; scope->parent != NULL; scope = scope->parent)
        if (strcasecmp(scope->name, name) == 0)
            return scope;
    return NULL;
}

static void take_ends(struct spice_deck *deck, const struct spice_line *line,
                      const struct spice_tokens *tokens)
{
    const char *name = tokens->count > 1 ? tokens->items[1].text : NULL;
    struct spice_scope *ended = deck->scope;

    if (ended->parent == NULL) {
        diag_input(deck->diags, LEVEL_ERROR, spice_place(line, 0), line->text,
                   "a .subckt before it", ".ends without a subcircuit to end");
        return;
    }
    if (name != NULL && strcasecmp(name, ended->name) != 0) {
        ended = open_named(deck, name);
        diag_input(deck->diags, LEVEL_ERROR, spice_place(line, tokens->items[1].offset), line->text,
                   deck->scope->name, "%s ends here, but the subcircuit that is open is %s%s", name,
                   deck->scope->name, ended != NULL ? "; both are ended" : "");
    }
    deck->scope = ended != NULL ? ended->parent : deck->scope->parent;
}

/* The settings of a .model card: after its type, with or without one pair of parentheses. */
static void take_model_settings(struct spice_deck *deck, struct spice_model *model,
                                const struct spice_line *line, size_t from)
{
    size_t to = line->length;
    struct spice_tokens tokens;

    while (from < to && line->text[from] == ' ')
        from++;
    if (from < to && line->text[from] == '(') {
        from++;
        to -= line->text[to - 1] == ')';
    }
    tokens = spice_tokenise(deck->arena, line, from, to > from ? to : from);
    for (size_t i = 0; i < tokens.count; i++)
        if (tokens.items[i].name != NULL)
            spice_add_setting(deck, &model->settings, line, &tokens.items[i]);
}

/* The letters of a model's type in upper case; *LENGTH gets how many. */
static const char *model_type(struct spice_deck *deck, const char *text, size_t *length)
{
    char *type;

    for (*length = 0; isalnum((unsigned char)text[*length]) || text[*length] == '_'; ++*length)
        ;
    type = arena_copy_span(deck->arena, text, *length);
    for (char *c = type; *c != '\0'; c++)
        *c = (char)toupper((unsigned char)*c);
    return type;
}

static void take_model(struct spice_deck *deck, const struct spice_line *line,
                       const struct spice_tokens *tokens)
{
    struct spice_scope *scope = deck->scope;
    struct spice_model *model, *first;
    size_t length;

    if (tokens->count < 3 || tokens->items[2].name != NULL ||
        strlen(tokens->items[1].text) > SPICE_NAME_LONGEST) {
        diag_input(deck->diags, LEVEL_ERROR, spice_place(line, 0), line->text,
                   ".model NAME TYPE (NAME=VALUE ...)", "a model without name or type");
        return;
    }
    model = arena_alloc(deck->arena, sizeof *model);
    model->name = tokens->items[1].text;
    model->type = model_type(deck, tokens->items[2].text, &length);
    model->line = line;
    take_model_settings(deck, model, line, tokens->items[2].offset + length);
    if (!spice_add(deck, scope, SPICE_MODEL, model->name, model)) {
        first = spice_find(deck, scope, SPICE_MODEL, model->name);
        report_again(deck, "model", model->name, first->line, line);
        return;
    }
    scope->models = arena_grow(deck->arena, scope->models, &scope->model_capacity,
                               scope->model_count, sizeof *scope->models);
    scope->models[scope->model_count++] = model;
}

static void take_include(struct spice_deck *deck, const struct spice_line *line,
                         const struct spice_tokens *tokens)
{
    if (tokens->count < 2)
        diag_input(deck->diags, LEVEL_ERROR, spice_place(line, 0), line->text, "the name of a file",
                   "nothing to include");
    else
        spice_include(deck, line, &tokens->items[1], NULL);
}

/* `.lib FILE`, `.lib FILE SECTION`, and in a file with .endl `.lib SECTION`, which starts one. */
static void take_lib(struct spice_deck *deck, const struct spice_line *line,
                     const struct spice_tokens *tokens)
{
    struct spice_file *file = &deck->files[deck->file_count - 1];

    if (tokens->count == 2 && file->sectioned) {
        if (file->section != NULL && strcasecmp(file->section, tokens->items[1].text) == 0)
            file->section_found = true;
        else
            deck->skip = (struct spice_skip){.from = ".lib", .until = ".endl", .line = line};
        if (file->section == NULL)
            diag_input(deck->diags, LEVEL_NOTE, spice_place(line, 0), line->text,
                       ".lib FILE SECTION", "the section %.200s is not asked for and not read",
                       tokens->items[1].text);
        return;
    }
    if (tokens->count < 3)
        take_include(deck, line, tokens);
    else
        spice_include(deck, line, &tokens->items[1], tokens->items[2].text);
}

static void take_global(struct spice_deck *deck, const struct spice_line *line,
                        const struct spice_tokens *tokens)
{
    for (size_t i = 1; i < tokens->count && spice_name_fits(deck, line, &tokens->items[i]); i++)
        spice_add(deck, deck->top, SPICE_GLOBAL, tokens->items[i].text, deck);
}

/* `.connect A B ...` of the deck itself; the nodes become nets when all else is there. */
static void take_connect(struct spice_deck *deck, const struct spice_line *line,
                         const struct spice_tokens *tokens)
{
    bool fits = tokens->count >= 3 && deck->scope->parent == NULL;

    for (size_t i = 1; i < tokens->count && fits; i++)
        fits = spice_name_fits(deck, line, &tokens->items[i]);
    if (!fits) {
        diag_input(deck->diags, LEVEL_ERROR, spice_place(line, 0), line->text,
                   ".connect and two or more nodes, outside subcircuits",
                   "this joins nothing; it is not read");
        return;
    }
    deck->wires = arena_grow(deck->arena, deck->wires, &deck->wire_capacity, deck->wire_count,
                             sizeof *deck->wires);
    deck->wires[deck->wire_count++] =
        (struct spice_wire){.line = line, .nodes = tokens->items + 1, .count = tokens->count - 1};
}

/* .end inside a subcircuit that ends later is the mark of a library glued together. */
static void take_end(struct spice_deck *deck, const struct spice_line *line,
                     const struct spice_tokens *tokens)
{
    struct spice_file *file = &deck->files[deck->file_count - 1];
    const struct spice_line *after;

    (void)tokens;
    if (deck->scope->parent != NULL && file->last_ends >= file->cursor.at)
        return;
    if (deck->file_count > 1) {
        file->cursor.at = file->cursor.source->length;
        return;
    }
    after = spice_next_line(deck->arena, &file->cursor);
    if (after != NULL)
        diag_input(deck->diags, LEVEL_WARNING, spice_place(after, 0), after->text, "nothing more",
                   "the deck has ended at line %u; what comes after it is not read",
                   line->pieces[0].line);
    deck->ended = true;
}

static void take_title(struct spice_deck *deck, const struct spice_line *line,
                       const struct spice_tokens *tokens)
{
    if (tokens->count > 1)
        deck->title = span(deck, line, tokens->items[1].offset, line->length);
}

static void take_nothing(struct spice_deck *deck, const struct spice_line *line,
                         const struct spice_tokens *tokens)
{
    (void)deck, (void)line, (void)tokens;
}

static const struct dot_card {
    const char *name;
    void (*take)(struct spice_deck *, const struct spice_line *, const struct spice_tokens *);
} dot_cards[] = {
    {".param", take_param},     {".params", take_param},   {".parameter", take_param},
    {".csparam", take_param},   {".subckt", take_subckt},  {".macro", take_subckt},
    {".ends", take_ends},       {".eom", take_ends},       {".model", take_model},
    {".include", take_include}, {".inc", take_include},    {".incl", take_include},
    {".connect", take_connect},
    {".lib", take_lib},         {".endl", take_nothing},   {".global", take_global},
    {".end", take_end},         {".title", take_title},    {".backanno", take_nothing},
    {".tran", take_nothing},    {".ac", take_nothing},     {".dc", take_nothing},
    {".op", take_nothing},      {".tf", take_nothing},     {".noise", take_nothing},
    {".four", take_nothing},    {".fft", take_nothing},    {".sens", take_nothing},
    {".step", take_nothing},    {".meas", take_nothing},   {".measure", take_nothing},
    {".print", take_nothing},   {".plot", take_nothing},   {".probe", take_nothing},
    {".save", take_nothing},    {".option", take_nothing}, {".options", take_nothing},
    {".opt", take_nothing},     {".opts", take_nothing},   {".temp", take_nothing},
    {".ic", take_nothing},      {".nodeset", take_nothing}, {".width", take_nothing},
    {".wave", take_nothing},    {".func", take_nothing},   {".text", take_nothing},
    {".net", take_nothing},     {".disto", take_nothing},  {".pz", take_nothing},
    {".mc", take_nothing},      {".wcase", take_nothing},  {".savebias", take_nothing},
    {".loadbias", take_nothing}, {".machine", take_nothing}, {".unprotect", take_nothing},
    {".unprot", take_nothing},  {".endif", take_nothing},  {".endc", take_nothing},
    {".enddata", take_nothing},
};

void spice_take_dot_card(struct spice_deck *deck, const struct spice_line *line,
                         const struct spice_tokens *tokens)
{
    const char *name = tokens->items[0].text;

    if (spice_skip_starts(deck, line, name))
        return;
    for (size_t i = 0; i < sizeof dot_cards / sizeof *dot_cards; i++) {
        if (strcasecmp(dot_cards[i].name, name) == 0) {
            dot_cards[i].take(deck, line, tokens);
            return;
        }
    }
    diag_input(deck->diags, LEVEL_WARNING, spice_place(line, 0), line->text,
               "a card of a SPICE deck", "the card %s is not known; what it says is not checked",
               strlen(name) <= SPICE_NAME_LONGEST ? name : "");
}
