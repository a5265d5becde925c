#include "rule/schematron.h"

#include <limits.h>
#include <string.h>

#include <libxml/parser.h>

#include "base/arena.h"
#include "rule/expression.h"

/* While a schema is read. Every expression is tried on an empty document as soon as it is
 * compiled, so that an unknown function, prefix or variable is told with the line it stands on. */
struct loader {
    struct arena *arena;
    struct diags *diags;
    struct schematron *schema;
    struct scope *trial;
    xmlDoc *empty;
};

const char *schematron_collapsed(struct arena *arena, const char *text)
{
    char *copy = arena_copy(arena, text), *out = copy;

    for (const char *in = text; *in != '\0'; in++) {
        if (strchr(" \t\r\n", *in) == NULL)
            *out++ = *in;
        else if (out != copy && out[-1] != ' ')
            *out++ = ' ';
    }
    if (out != copy && out[-1] == ' ')
        out--;
    *out = '\0';
    return copy;
}

/* The column of "<NAME" in line LINE of SOURCE; 0 if it is not there. */
static unsigned tag_column(const struct source *source, unsigned line, const char *name)
{
    size_t length, size = strlen(name);
    const char *text = source_line(source, line, &length);

    for (size_t i = 0; text != NULL && i + size < length; i++) {
        if (text[i] != '<')
            continue;
        for (size_t j = i + 1; j + size <= length && strchr(" \t>/", text[j]) == NULL; j++)
            if ((j == i + 1 || text[j - 1] == ':') && memcmp(text + j, name, size) == 0)
                return (unsigned)i + 1;
    }
    return 0;
}

/* Where NODE's start tag begins: libxml2 gives the line on which it ends. */
static struct place place_of(const struct loader *loader, const xmlNode *node)
{
    struct place place = {.source = loader->schema->source};
    long last = xmlGetLineNo(node);

    for (long line = last; line > 0 && line > last - 20; line--) {
        place.column = tag_column(place.source, (unsigned)line, (const char *)node->name);
        if (place.column > 0) {
            place.line = (unsigned)line;
            return place;
        }
    }
    place.line = last > 0 ? (unsigned)last : 1;
    place.column = 1;
    return place;
}

static bool is_schematron(const xmlNode *node, const char *name)
{
    return node->type == XML_ELEMENT_NODE && node->ns != NULL &&
           strcmp((const char *)node->ns->href, SCHEMATRON_NAMESPACE) == 0 &&
           (name == NULL || strcmp((const char *)node->name, name) == 0);
}

/* NULL if there is no such attribute. */
static const char *attribute(const struct loader *loader, const xmlNode *node, const char *name)
{
    xmlChar *value = xmlGetNoNsProp(node, (const xmlChar *)name);
    const char *copy = NULL;

    if (value != NULL)
        copy = arena_copy(loader->arena, (const char *)value);
    xmlFree(value);
    return copy;
}

/* The attribute, or NULL and a diagnostic. */
static const char *needed_attribute(const struct loader *loader, const xmlNode *node,
                                    const char *name)
{
    const char *value = attribute(loader, node, name);

    if (value == NULL || *value == '\0') {
        diag_input(loader->diags, LEVEL_ERROR, place_of(loader, node), NULL, NULL,
                   "%s without %s", (const char *)node->name, name);
        return NULL;
    }
    return value;
}

static const char *content(const struct loader *loader, const xmlNode *node)
{
    xmlChar *text = xmlNodeGetContent(node);
    const char *copy = arena_copy(loader->arena, text != NULL ? (const char *)text : "");

    xmlFree(text);
    return copy;
}

static void keep_expression(struct loader *loader, struct expression *expression)
{
    struct schematron *schema = loader->schema;

    schema->expressions =
        arena_grow(loader->arena, schema->expressions, &schema->expression_capacity,
                   schema->expression_count, sizeof *schema->expressions);
    schema->expressions[schema->expression_count++] = expression;
}

/* Compiles and tries the expression in attribute NAME of NODE; NULL and a diagnostic if it is
 * bad. */
static struct expression *compiled(struct loader *loader, const xmlNode *node, const char *name,
                                   const char *text, bool context)
{
    const char *error, *ignored;
    struct expression *expression;
    xmlNode **nodes, *root = (xmlNode *)loader->empty;
    size_t count;
    bool fine;

    if (text == NULL)
        return NULL;
    expression = context ? expression_compile_context(loader->trial, text, &error)
                         : expression_compile(loader->trial, text, &error);
    if (expression != NULL) {
        keep_expression(loader, expression);
        fine = context ? scope_nodes(loader->trial, expression, &nodes, &count)
                       : scope_string(loader->trial, expression, root, &ignored);
        if (fine)
            return expression;
        error = scope_error(loader->trial);
    }
    diag_input(loader->diags, LEVEL_ERROR, place_of(loader, node), text, "an XPath 1.0 expression",
               "%s of %s: %s", name, (const char *)node->name, error != NULL ? error : "bad");
    return NULL;
}

static struct expression *compiled_attribute(struct loader *loader, const xmlNode *node,
                                             const char *name, bool context)
{
    return compiled(loader, node, name, needed_attribute(loader, node, name), context);
}

static void load_let(struct loader *loader, const xmlNode *node, struct schematron_lets *lets)
{
    struct schematron_let let = {0};

    let.name = needed_attribute(loader, node, "name");
    let.value = compiled_attribute(loader, node, "value", false);
    if (let.name == NULL || let.value == NULL)
        return;
    scope_set(loader->trial, let.name, let.value, (xmlNode *)loader->empty);
    lets->items = arena_grow(loader->arena, lets->items, &lets->capacity, lets->count,
                             sizeof *lets->items);
    lets->items[lets->count++] = let;
}

static void load_lets(struct loader *loader, const xmlNode *parent, struct schematron_lets *lets)
{
    for (const xmlNode *node = parent->children; node != NULL; node = node->next)
        if (is_schematron(node, "let"))
            load_let(loader, node, lets);
}

/* Ends the scope of LETS in the trial. */
static void drop_lets(struct loader *loader, const struct schematron_lets *lets)
{
    for (size_t i = 0; i < lets->count; i++)
        scope_unset(loader->trial, lets->items[i].name);
}

static void add_piece(struct loader *loader, struct schematron_assertion *assertion,
                      const char *literal, struct expression *value)
{
    assertion->pieces = arena_grow(loader->arena, assertion->pieces, &assertion->piece_capacity,
                                   assertion->piece_count, sizeof *assertion->pieces);
    assertion->pieces[assertion->piece_count++] =
        (struct schematron_piece){.literal = literal, .value = value};
}

/* <name path="..."/>: the name of the node there, or of the context. */
static struct expression *name_expression(struct loader *loader, const xmlNode *node)
{
    const char *path = attribute(loader, node, "path");

    return compiled(loader, node, "path",
                    arena_print(loader->arena, "name(%s)", path != NULL ? path : "."), false);
}

static void load_piece(struct loader *loader, const xmlNode *node,
                       struct schematron_assertion *assertion)
{
    struct expression *value = NULL;

    if (node->type == XML_TEXT_NODE || node->type == XML_CDATA_SECTION_NODE ||
        is_schematron(node, "emph") || is_schematron(node, "span")) {
        add_piece(loader, assertion, content(loader, node), NULL);
        return;
    }
    if (is_schematron(node, "value-of"))
        value = compiled_attribute(loader, node, "select", false);
    else if (is_schematron(node, "name"))
        value = name_expression(loader, node);
    else if (node->type == XML_ELEMENT_NODE)
        diag_input(loader->diags, LEVEL_ERROR, place_of(loader, node), (const char *)node->name,
                   "text, value-of, name, emph or span", "not understood in a message");
    if (value != NULL)
        add_piece(loader, assertion, NULL, value);
}

static bool load_level(struct loader *loader, const xmlNode *node, enum level *level)
{
    const char *role = needed_attribute(loader, node, "role");

    if (role == NULL)
        return false;
    if (level_parse(role, level))
        return true;
    diag_input(loader->diags, LEVEL_ERROR, place_of(loader, node), role,
               "error, warning, note or unverified", "role of %s is no level",
               (const char *)node->name);
    return false;
}

/* Whether attribute NAME of NODE makes a number of an attribute of the facts. */
static bool is_numeric(struct loader *loader, const xmlNode *node, const char *name)
{
    const char *text = attribute(loader, node, name);

    return text != NULL && strstr(text, "number(@") != NULL;
}

static bool speaks_of_figures(struct loader *loader, const xmlNode *node)
{
    bool numeric = is_numeric(loader, node, "test") || is_numeric(loader, node->parent, "context");

    for (const xmlNode *child = node->children; child != NULL; child = child->next)
        numeric = numeric || (is_schematron(child, "value-of") && is_numeric(loader, child, "select"));
    return numeric;
}

static void load_assertion(struct loader *loader, const xmlNode *node, struct schematron_rule *rule)
{
    struct schematron_assertion assertion = {.report = is_schematron(node, "report")};
    bool levelled = load_level(loader, node, &assertion.level);

    assertion.place = place_of(loader, node);
    assertion.numeric = speaks_of_figures(loader, node);
    assertion.test = compiled_attribute(loader, node, "test", false);
    for (const xmlNode *child = node->children; child != NULL; child = child->next)
        load_piece(loader, child, &assertion);
    if (!levelled || assertion.test == NULL)
        return;
    rule->assertions = arena_grow(loader->arena, rule->assertions, &rule->assertion_capacity,
                                  rule->assertion_count, sizeof *rule->assertions);
    rule->assertions[rule->assertion_count++] = assertion;
}

/* Names an element that the format has but checks may not use: dropping it in silence would
 * change what is found. */
static void refuse(struct loader *loader, const xmlNode *node)
{
    if (is_schematron(node, NULL))
        diag_input(loader->diags, LEVEL_ERROR, place_of(loader, node), (const char *)node->name,
                   NULL, "this Schematron element is not supported here");
}

static void load_rule(struct loader *loader, const xmlNode *node,
                      struct schematron_pattern *pattern)
{
    struct schematron_rule rule = {.context = compiled_attribute(loader, node, "context", true)};

    load_lets(loader, node, &rule.lets);
    for (const xmlNode *child = node->children; child != NULL; child = child->next) {
        if (is_schematron(child, "assert") || is_schematron(child, "report"))
            load_assertion(loader, child, &rule);
        else if (!is_schematron(child, "let") && !is_schematron(child, "p"))
            refuse(loader, child);
    }
    drop_lets(loader, &rule.lets);
    if (rule.context == NULL)
        return;
    pattern->rules = arena_grow(loader->arena, pattern->rules, &pattern->rule_capacity,
                                pattern->rule_count, sizeof *pattern->rules);
    pattern->rules[pattern->rule_count++] = rule;
}

static void load_pattern(struct loader *loader, const xmlNode *node)
{
    struct schematron *schema = loader->schema;
    struct schematron_pattern pattern = {0};

    load_lets(loader, node, &pattern.lets);
    for (const xmlNode *child = node->children; child != NULL; child = child->next) {
        if (is_schematron(child, "rule"))
            load_rule(loader, child, &pattern);
        else if (!is_schematron(child, "let") && !is_schematron(child, "p") &&
                 !is_schematron(child, "title"))
            refuse(loader, child);
    }
    drop_lets(loader, &pattern.lets);
    schema->patterns = arena_grow(loader->arena, schema->patterns, &schema->pattern_capacity,
                                  schema->pattern_count, sizeof *schema->patterns);
    schema->patterns[schema->pattern_count++] = pattern;
}

static void load_namespace(struct loader *loader, const xmlNode *node)
{
    struct schematron *schema = loader->schema;
    struct schematron_namespace namespace = {
        .prefix = needed_attribute(loader, node, "prefix"),
        .uri = needed_attribute(loader, node, "uri"),
    };

    if (namespace.prefix == NULL || namespace.uri == NULL)
        return;
    scope_set_namespace(loader->trial, namespace.prefix, namespace.uri);
    schema->namespaces = arena_grow(loader->arena, schema->namespaces, &schema->namespace_capacity,
                                    schema->namespace_count, sizeof *schema->namespaces);
    schema->namespaces[schema->namespace_count++] = namespace;
}

static void load_paragraph(struct loader *loader, const xmlNode *node)
{
    struct schematron *schema = loader->schema;
    const char *class = attribute(loader, node, "class");
    const char *text = schematron_collapsed(loader->arena, content(loader, node));

    if (class == NULL || *text == '\0')
        return;
    if (strcmp(class, "why") == 0)
        schema->why = text;
    else if (strcmp(class, "fix") == 0)
        schema->fix = text;
    else if (strcmp(class, "source") == 0)
        schema->cited = text;
}

/* All but the patterns, which need the namespaces and variables. */
static void load_head(struct loader *loader, const xmlNode *root)
{
    for (const xmlNode *node = root->children; node != NULL; node = node->next) {
        if (is_schematron(node, "title"))
            loader->schema->title = schematron_collapsed(loader->arena, content(loader, node));
        else if (is_schematron(node, "p"))
            load_paragraph(loader, node);
        else if (is_schematron(node, "ns"))
            load_namespace(loader, node);
        else if (!is_schematron(node, "let") && !is_schematron(node, "pattern"))
            refuse(loader, node);
    }
    load_lets(loader, root, &loader->schema->lets);
}

static void check_head(struct loader *loader, const xmlNode *root)
{
    const struct schematron *schema = loader->schema;
    const struct {
        const char *value, *what;
    } rows[] = {
        {schema->title, "title"},
        {schema->why, "p class=\"why\""},
        {schema->fix, "p class=\"fix\""},
        {schema->cited, "p class=\"source\""},
    };

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].value == NULL || *rows[i].value == '\0')
            diag_input(loader->diags, LEVEL_ERROR, place_of(loader, root), NULL, rows[i].what,
                       "the check has no %s", rows[i].what);
}

/* The language of expressions: only XPath 1.0, under the names it goes by. */
static void check_binding(struct loader *loader, const xmlNode *root)
{
    const char *binding = attribute(loader, root, "queryBinding");

    if (binding != NULL && strcmp(binding, "xslt") != 0 && strcmp(binding, "xpath") != 0)
        diag_input(loader->diags, LEVEL_ERROR, place_of(loader, root), binding, "xslt or xpath",
                   "query language is not supported");
}

static void load_schema(struct loader *loader, const xmlNode *root)
{
    check_binding(loader, root);
    load_head(loader, root);
    check_head(loader, root);
    for (const xmlNode *node = root->children; node != NULL; node = node->next)
        if (is_schematron(node, "pattern"))
            load_pattern(loader, node);
}

/* Why and where parsing stopped: the parser's last error. */
static void tell_parse_error(struct diags *diags, const struct source *source,
                             const xmlError *error)
{
    struct place place = {.source = source, .line = 1, .column = 1};
    const char *message = "empty or too large";

    if (error != NULL && error->line > 0)
        place.line = (unsigned)error->line;
    if (error != NULL && error->int2 > 0)
        place.column = (unsigned)error->int2;
    if (error != NULL && error->message != NULL)
        message = schematron_collapsed(diags->arena, error->message);
    diag_input(diags, LEVEL_ERROR, place, NULL, "a Schematron schema", "not well-formed XML: %s",
               message);
}

static xmlDoc *parse(struct diags *diags, const struct source *source)
{
    const int options = XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING |
                        XML_PARSE_BIG_LINES;
    xmlParserCtxt *parser = xmlNewParserCtxt();
    xmlDoc *document = NULL;

    if (parser == NULL)
        return NULL;
    if (source->raw_length <= INT_MAX)
        document = xmlCtxtReadMemory(parser, source->raw, (int)source->raw_length, source->name,
                                     NULL, options);
    if (document == NULL)
        tell_parse_error(diags, source, xmlCtxtGetLastError(parser));
    xmlFreeParserCtxt(parser);
    return document;
}

struct schematron *schematron_load(struct arena *arena, struct diags *diags,
                                   const struct source *source)
{
    struct loader loader = {.arena = arena, .diags = diags};
    xmlDoc *document = parse(diags, source);
    const xmlNode *root = document != NULL ? xmlDocGetRootElement(document) : NULL;

    if (root == NULL)
        return NULL;
    loader.schema = arena_alloc(arena, sizeof *loader.schema);
    loader.schema->source = source;
    if (!is_schematron(root, "schema")) {
        diag_input(diags, LEVEL_ERROR, place_of(&loader, root), (const char *)root->name,
                   "schema in namespace " SCHEMATRON_NAMESPACE, "not a Schematron schema");
        xmlFreeDoc(document);
        return NULL;
    }
    loader.empty = xmlNewDoc(NULL);
    loader.trial = scope_new(arena, loader.empty);
    load_schema(&loader, root);
    scope_free(loader.trial);
    xmlFreeDoc(loader.empty);
    xmlFreeDoc(document);
    return loader.schema;
}

void schematron_free(struct schematron *schema)
{
    for (size_t i = 0; schema != NULL && i < schema->expression_count; i++)
        expression_free(schema->expressions[i]);
}
