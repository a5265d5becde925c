/* Parameters, and the values that are made of them. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/map.h"
#include "netlist/spice_build.h"
#include "netlist/spice_expression.h"

enum state { PENDING, BUSY, KNOWN, UNKNOWN };

/* Chains of parameters that wait for later ones are followed so far. */
enum { CHAIN_LONGEST = 32 };

struct parameter {
    const char *text;
    const struct spice_instance *at; /* where its text is worked out */
    bool quoted;
    enum state state;
    double value;
};

/* Where an expression is worked out. */
struct view {
    struct spice_build *build;
    const struct spice_instance *at;
    unsigned chain;
};

static const char *parameter_key(struct spice_build *build, const struct spice_instance *at,
                                 const char *name, size_t length)
{
    build->key.length = 0;
    text_print(&build->key, "%u:", at->id);
    for (size_t i = 0; i < length; i++)
        text_add_char(&build->key, (char)tolower((unsigned char)name[i]));
    return text_bytes(&build->key);
}

static struct parameter *find_parameter(struct spice_build *build, const struct spice_instance *at,
                                        const char *name, size_t length)
{
    struct parameter *found = NULL;

    for (; at != NULL && found == NULL; at = at->parent)
        found = map_get(build->parameters, parameter_key(build, at, name, length));
    return found;
}

static bool settle(struct view *view, struct parameter *parameter);

static bool find_value(void *context, const char *name, size_t length, double *value)
{
    struct view *view = context;
    struct parameter *parameter;

    if (length > SPICE_NAME_LONGEST)
        return false;
    parameter = find_parameter(view->build, view->at, name, length);
    if (parameter == NULL || !settle(view, parameter))
        return false;
    *value = parameter->value;
    return true;
}

static bool evaluate(struct view *view, const char *text, double *value,
                     struct spice_failure *failure)
{
    struct spice_names names = {.find = find_value, .context = view};
    size_t length = strlen(text);

    if (length >= 2 && text[0] == '\'' && text[length - 1] == '\'') {
        text++;
        length -= 2;
    }
    return spice_evaluate(text, length, &names, value, failure);
}

/* Works PARAMETER out if that has not been done. Recursion is at most CHAIN_LONGEST deep. */
static bool settle(struct view *view, struct parameter *parameter)
{
    struct view inner = {view->build, parameter->at, view->chain + 1};
    struct spice_failure ignored;

    if (parameter->state != PENDING || inner.chain > CHAIN_LONGEST)
        return parameter->state == KNOWN;
    parameter->state = BUSY;
    parameter->state = !parameter->quoted &&
                               evaluate(&inner, parameter->text, &parameter->value, &ignored)
                           ? KNOWN
                           : UNKNOWN;
    return parameter->state == KNOWN;
}

static struct parameter *add_parameter(struct spice_build *build, const struct spice_instance *at,
                                       const char *name, const struct parameter *parameter)
{
    size_t length = strlen(name);
    const char *key = parameter_key(build, at, name, length);
    struct parameter *copy = map_get(build->parameters, key);

    build->work += strlen(parameter->text);
    if (copy != NULL) {
        *copy = *parameter;
        return copy;
    }
    key = arena_copy(build->arena, key);
    copy = arena_alloc(build->arena, sizeof *copy);
    *copy = *parameter;
    map_add(build->parameters, key, copy);
    return copy;
}

static void add_settings(struct spice_build *build, const struct spice_instance *at,
                         const struct spice_settings *settings)
{
    for (size_t i = 0; i < settings->count; i++) {
        const struct spice_setting *setting = &settings->items[i];

        if (strlen(setting->name) <= SPICE_NAME_LONGEST)
            add_parameter(build, at, setting->name,
                          &(struct parameter){.text = setting->text, .quoted = setting->quoted,
                                              .at = at});
    }
}

/* Works out all that SETTINGS defined, in order: by then most need no chain. */
static void settle_all(struct spice_build *build, const struct spice_instance *at,
                       const struct spice_settings *settings)
{
    struct view view = {build, at, 0};

    for (size_t i = 0; i < settings->count; i++) {
        const char *name = settings->items[i].name;
        struct parameter *parameter =
            map_get(build->parameters, parameter_key(build, at, name, strlen(name)));

        if (parameter != NULL)
            settle(&view, parameter);
    }
}

void spice_enter_parameters(struct spice_build *build, const struct spice_instance *at,
                            const struct spice_instance *caller, const struct spice_card *card)
{
    struct view outside = {build, caller, 0};

    add_settings(build, at, &at->scope->parameters);
    add_settings(build, at, &at->scope->defaults);
    for (size_t i = 1; card != NULL && i < card->count; i++) {
        const struct spice_token *token = &card->tokens[i];

        if (token->name != NULL && strlen(token->name) <= SPICE_NAME_LONGEST)
            settle(&outside,
                   add_parameter(build, at, token->name,
                                 &(struct parameter){.text = token->text, .at = caller,
                                                     .quoted = token->quoted}));
    }
    settle_all(build, at, &at->scope->defaults);
    settle_all(build, at, &at->scope->parameters);
}

bool spice_declares(const struct spice_scope *scope, const char *name)
{
    for (size_t i = 0; i < scope->defaults.count; i++)
        if (strcasecmp(scope->defaults.items[i].name, name) == 0)
            return true;
    return false;
}

static void tell_failure(struct spice_element *element, const char *text,
                         const struct spice_failure *failure)
{
    struct spice_card *card = element->card;

    if (card->noted)
        return;
    card->noted = true;
    diag_input(element->build->diags, LEVEL_WARNING, spice_place(card->line, 0), text,
               "numbers and names with a value; a text goes into \"...\"",
               "%s: the value is not known: %.*s%s%s", card->tokens[0].text,
               (int)(failure->length < 60 ? failure->length : 60), failure->at,
               failure->length > 0 ? " " : "it ", failure->what);
}

/* The length of the {...} or '...' that TEXT starts with, 0 if it is not closed. */
static size_t group_length(const char *text)
{
    size_t depth = 0;
    const char *close;

    if (*text == '\'') {
        close = strchr(text + 1, '\'');
        return close != NULL ? (size_t)(close - text) + 1 : 0;
    }
    for (const char *at = text; *at != '\0'; at++) {
        depth += *at == '{';
        depth -= *at == '}';
        if (depth == 0)
            return (size_t)(at - text) + 1;
    }
    return 0;
}

/* Adds the group of LENGTH bytes at AT to OUT, worked out if it can be. */
static void add_group(struct spice_element *element, struct text *out, const char *at,
                      size_t length, bool tell)
{
    struct view view = {element->build, element->at, 0};
    char *inside = arena_copy_span(element->build->arena, at + 1, length - 2);
    struct spice_failure failure = {0};
    double value;

    if (evaluate(&view, inside, &value, &failure)) {
        text_print(out, "%.9g", value);
        return;
    }
    text_add_span(out, at, length);
    if (tell)
        tell_failure(element, at, &failure);
}

const char *spice_value(struct spice_element *element, const char *text, bool tell)
{
    struct text out = {0};
    const char *copy, *at = text;

    if (text == NULL || strpbrk(text, "{'") == NULL)
        return text;
    element->build->work += strlen(text);
    while (*at != '\0') {
        bool open = *at == '{' || *at == '\'';
        size_t length = open ? group_length(at) : 0;

        if (open && length == 0) { /* never closed: nothing after it can be a group */
            text_add(&out, at);
            break;
        }
        if (length > 0)
            add_group(element, &out, at, length, tell);
        else
            text_add_span(&out, at, length = 1);
        at += length;
    }
    copy = arena_copy(element->build->arena, text_bytes(&out));
    text_free(&out);
    return copy;
}

const char *spice_value_or_name(struct spice_element *element, const char *text)
{
    struct view view = {element->build, element->at, 0};
    double value;

    if (text != NULL && (isalpha((unsigned char)text[0]) || text[0] == '_') &&
        find_value(&view, text, strlen(text), &value))
        return arena_print(element->build->arena, "%.9g", value);
    return spice_value(element, text, true);
}
