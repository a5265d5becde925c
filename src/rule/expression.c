#include "rule/expression.h"

#include <stdint.h>
#include <string.h>

#include <libxml/xmlerror.h>
#include <libxml/xmlversion.h>
#include <libxml/xpath.h>
#include <libxml/xpathInternals.h>

#include "base/arena.h"
#include "base/text.h"

/* Steps one evaluation may take: far above what a check over the largest circuit needs, so that
 * no expression hangs. */
enum { STEPS_LARGEST = 500 * 1000 * 1000 };

struct expression {
    xmlXPathCompExpr *compiled;
};

struct scope {
    struct arena *arena;
    xmlXPathContext *context;
    const char *error;
};

/* Keeps the first error in words. */
#if LIBXML_VERSION >= 21200
static void remember_error(void *data, const xmlError *error)
#else
static void remember_error(void *data, xmlError *error)
#endif
{
    struct scope *scope = data;
    const char *message = error != NULL ? error->message : NULL;
    size_t length;

    if (scope->error != NULL)
        return;
    if (message == NULL)
        message = "the expression cannot be evaluated";
    length = strlen(message);
    while (length > 0 && (message[length - 1] == '\n' || message[length - 1] == ' '))
        length--;
    scope->error = arena_copy_span(scope->arena, message, length);
}

struct scope *scope_new(struct arena *arena, xmlDoc *document)
{
    struct scope *scope = arena_alloc(arena, sizeof *scope);

    scope->arena = arena;
    scope->context = xmlXPathNewContext(document);
    if (scope->context == NULL) /* out of memory: let the arena end the program */
        arena_array(arena, SIZE_MAX, SIZE_MAX);
    scope->context->error = remember_error;
    scope->context->userData = scope;
    scope->context->opLimit = STEPS_LARGEST;
    return scope;
}

void scope_free(struct scope *scope)
{
    xmlXPathFreeContext(scope->context);
}

void scope_set_namespace(struct scope *scope, const char *prefix, const char *uri)
{
    xmlXPathRegisterNs(scope->context, (const xmlChar *)prefix, (const xmlChar *)uri);
}

const char *scope_error(struct scope *scope)
{
    const char *error = scope->error;

    scope->error = NULL;
    return error;
}

struct expression *expression_compile(struct scope *scope, const char *text, const char **error)
{
    struct expression *expression = NULL;
    xmlXPathCompExpr *compiled;

    compiled = xmlXPathCtxtCompile(scope->context, (const xmlChar *)text);
    if (compiled != NULL) {
        expression = arena_alloc(scope->arena, sizeof *expression);
        expression->compiled = compiled;
    } else {
        *error = scope_error(scope);
        if (*error == NULL)
            *error = "not an XPath 1.0 expression";
    }
    return expression;
}

/* The length of the first alternative of TEXT: up to a '|' outside brackets and quotes, or the
 * end. */
static size_t alternative_length(const char *text)
{
    size_t depth = 0, i;
    char quote = '\0';

    for (i = 0; text[i] != '\0'; i++) {
        char c = text[i];

        if (quote != '\0') {
            if (c == quote)
                quote = '\0';
        } else if (c == '"' || c == '\'') {
            quote = c;
        } else if (c == '(' || c == '[') {
            depth++;
        } else if ((c == ')' || c == ']') && depth > 0) {
            depth--;
        } else if (c == '|' && depth == 0) {
            break;
        }
    }
    return i;
}

struct expression *expression_compile_context(struct scope *scope, const char *text,
                                              const char **error)
{
    struct text path = {0};
    struct expression *expression;

    for (;;) {
        size_t length;

        text += strspn(text, " \t\r\n");
        length = alternative_length(text);
        if (*text != '/')
            text_add(&path, "//");
        text_add_span(&path, text, length);
        text += length;
        if (*text == '\0')
            break;
        text_add(&path, " | ");
        text++;
    }
    expression = expression_compile(scope, text_bytes(&path), error);
    text_free(&path);
    return expression;
}

void expression_free(struct expression *expression)
{
    if (expression != NULL)
        xmlXPathFreeCompExpr(expression->compiled);
}

/* libxml2 repeats some failures through its generic handler, on standard error by default. */
__attribute__((format(printf, 2, 3))) static void say_nothing(void *data, const char *format, ...)
{
    (void)data;
    (void)format;
}

static xmlXPathObject *evaluate(struct scope *scope, const struct expression *expression,
                                xmlNode *node)
{
    xmlGenericErrorFunc handler = xmlGenericError;
    void *data = xmlGenericErrorContext;
    xmlXPathObject *object;

    scope->context->node = node;
    scope->context->opCount = 0;
    xmlSetGenericErrorFunc(NULL, say_nothing);
    object = xmlXPathCompiledEval(expression->compiled, scope->context);
    xmlSetGenericErrorFunc(data, handler);
    if (object == NULL && scope->error == NULL)
        scope->error = "the expression cannot be evaluated";
    return object;
}

bool scope_set(struct scope *scope, const char *name, const struct expression *expression,
               xmlNode *node)
{
    xmlXPathObject *object = evaluate(scope, expression, node);

    if (object == NULL)
        return false;
    return xmlXPathRegisterVariable(scope->context, (const xmlChar *)name, object) == 0;
}

void scope_unset(struct scope *scope, const char *name)
{
    xmlXPathRegisterVariable(scope->context, (const xmlChar *)name, NULL);
}

bool scope_boolean(struct scope *scope, const struct expression *expression, xmlNode *node,
                   bool *out)
{
    xmlXPathObject *object = evaluate(scope, expression, node);

    if (object == NULL)
        return false;
    *out = xmlXPathCastToBoolean(object) != 0;
    xmlXPathFreeObject(object);
    return true;
}

bool scope_string(struct scope *scope, const struct expression *expression, xmlNode *node,
                  const char **out)
{
    xmlXPathObject *object = evaluate(scope, expression, node);
    xmlChar *string;

    if (object == NULL)
        return false;
    string = xmlXPathCastToString(object);
    xmlXPathFreeObject(object);
    if (string == NULL)
        return false;
    *out = arena_copy(scope->arena, (const char *)string);
    xmlFree(string);
    return true;
}

bool scope_nodes(struct scope *scope, const struct expression *expression, xmlNode **out[],
                 size_t *count)
{
    xmlXPathObject *object = evaluate(scope, expression, (xmlNode *)scope->context->doc);
    xmlNodeSet *set;

    if (object == NULL)
        return false;
    if (object->type != XPATH_NODESET) {
        scope->error = "the context is not a path to nodes";
        xmlXPathFreeObject(object);
        return false;
    }
    set = object->nodesetval;
    *count = 0;
    *out = arena_array(scope->arena, set != NULL ? (size_t)set->nodeNr : 0, sizeof **out);
    for (int i = 0; set != NULL && i < set->nodeNr; i++)
        if (set->nodeTab[i]->type != XML_NAMESPACE_DECL)
            (*out)[(*count)++] = set->nodeTab[i];
    xmlXPathFreeObject(object);
    return true;
}
