#include "netlist/xml_path.h"

#include <string.h>

#include <libxml/xpath.h>
#include <libxml/xpathInternals.h>

#include "base/arena.h"
#include "base/diag.h"
#include "netlist/xml_step.h"

/* XPath steps that all evaluations may take together: so many, and so many for each byte of the
 * file. A dialect looks at each node a few dozen times. */
static const unsigned long steps_least = 1000000, steps_per_byte = 100;

struct xml_path {
    struct xml_paths *paths;
    struct xml_path *next;
    xmlXPathCompExpr *compiled;
    const struct xml_steps *steps; /* the same, if it is plain enough */
    const char *text;
    struct place place;
    bool failed; /* told already */
};

struct xml_paths {
    struct arena *arena;
    struct diags *diags;
    struct xml_path *first;
    xmlXPathContext *context;
    unsigned long steps_left;
    int error; /* xmlParserErrors code of the last failure, 0 if none */
};

#if LIBXML_VERSION >= 21200
static void note_error(void *data, const xmlError *error)
#else
static void note_error(void *data, xmlErrorPtr error)
#endif
{
    struct xml_paths *paths = data;

    if (paths->error == 0)
        paths->error = error->code;
}

struct xml_paths *xml_paths_new(struct arena *arena, struct diags *diags)
{
    struct xml_paths *paths = arena_alloc(arena, sizeof *paths);

    paths->arena = arena;
    paths->diags = diags;
    paths->steps_left = steps_least;
    paths->context = xmlXPathNewContext(NULL);
    if (paths->context == NULL)
        return paths;
    paths->context->error = note_error;
    paths->context->userData = paths;
    xmlXPathContextSetCache(paths->context, 1, -1, 0);
    return paths;
}

void xml_paths_free(struct xml_paths *paths)
{
    if (paths == NULL)
        return;
    for (struct xml_path *path = paths->first; path != NULL; path = path->next)
        xmlXPathFreeCompExpr(path->compiled);
    xmlXPathFreeContext(paths->context);
}

void xml_paths_bind(struct xml_paths *paths, const char *prefix, const char *uri)
{
    if (paths->context != NULL)
        xmlXPathRegisterNs(paths->context, BAD_CAST prefix, BAD_CAST uri);
}

static const char *reason(int error)
{
    switch (error) {
    case XML_XPATH_UNDEF_PREFIX_ERROR:
        return "it uses a prefix that no <namespace> binds";
    case XML_XPATH_UNKNOWN_FUNC_ERROR:
        return "it calls a function that XPath 1.0 does not have";
    case XML_XPATH_UNDEF_VARIABLE_ERROR:
        return "it uses a variable";
    case XML_XPATH_INVALID_ARITY:
        return "it calls a function with the wrong number of arguments";
    case XML_XPATH_INVALID_TYPE:
        return "it uses a value of the wrong type";
    case XPATH_OP_LIMIT_EXCEEDED + XML_XPATH_EXPRESSION_OK - XPATH_EXPRESSION_OK:
        return "it takes more steps than the size of the file allows";
    }
    return "it is not valid XPath 1.0";
}

static void tell(struct xml_path *path, int error)
{
    if (path->failed)
        return;
    path->failed = true;
    diag_input(path->paths->diags, LEVEL_ERROR, path->place, path->text,
               "an XPath 1.0 expression relative to the part or connection",
               "this expression cannot be used: %s", reason(error));
}

struct xml_path *xml_path_compile(struct xml_paths *paths, const char *text, struct place place)
{
    struct xml_path *path = arena_alloc(paths->arena, sizeof *path);

    path->paths = paths;
    path->text = arena_copy(paths->arena, text);
    path->place = place;
    paths->error = 0;
    if (paths->context != NULL) {
        paths->context->opCount = 0;
        paths->context->opLimit = 0;
        path->compiled = xmlXPathCtxtCompile(paths->context, BAD_CAST text);
    }
    if (path->compiled == NULL) {
        tell(path, paths->error);
        return NULL;
    }
    path->steps = xml_steps_parse(paths->arena, text);
    path->next = paths->first;
    paths->first = path;
    return path;
}

void xml_paths_enter(struct xml_paths *paths, xmlDoc *tree, size_t bytes)
{
    paths->steps_left = steps_least + steps_per_byte * bytes;
    if (paths->context != NULL)
        paths->context->doc = tree;
    xmlXPathOrderDocElems(tree); /* or sorting nodes walks along their siblings */
}

/* NULL, with a diagnostic, on failure; the steps taken come off those left. */
static xmlXPathObject *evaluate(struct xml_path *path, const xmlNode *node)
{
    struct xml_paths *paths = path->paths;
    xmlXPathContext *context = paths->context;
    xmlXPathObject *result;

    if (path->failed)
        return NULL;
    paths->error = 0;
    context->node = (xmlNode *)node;
    context->opCount = 0;
    context->opLimit = paths->steps_left;
    result = xmlXPathCompiledEval(path->compiled, context);
    paths->steps_left -= context->opCount < paths->steps_left ? context->opCount
                                                              : paths->steps_left - 1;
    if (result == NULL)
        tell(path, paths->error);
    return result;
}

/* As evaluate, for a path that is plain steps. */
static void walk(struct xml_path *path, const xmlNode *node,
                 bool (*visit)(void *context, const xmlNode *node), void *context)
{
    if (path->failed)
        return;
    xml_steps_walk(path->steps, node, &path->paths->steps_left, visit, context);
    if (path->paths->steps_left > 0)
        return;
    path->paths->steps_left = 1;
    tell(path, XPATH_OP_LIMIT_EXCEEDED + XML_XPATH_EXPRESSION_OK - XPATH_EXPRESSION_OK);
}

static bool visit_any(void *context, const xmlNode *node)
{
    bool *found = context;

    (void)node;
    *found = true;
    return false;
}

bool xml_path_test(struct xml_path *path, const xmlNode *node)
{
    xmlXPathObject *result;
    bool is_true = false;

    if (path->steps != NULL) {
        walk(path, node, visit_any, &is_true);
        return is_true;
    }
    result = evaluate(path, node);
    is_true = result != NULL && xmlXPathCastToBoolean(result);
    xmlXPathFreeObject(result);
    return is_true;
}

/* A copy of TEXT without the blanks at both ends; NULL if nothing is left. */
static const char *trimmed(const xmlChar *text, struct arena *arena)
{
    static const char blanks[] = " \t\r\n";
    const char *start = (const char *)text;
    size_t length;

    if (text == NULL)
        return NULL;
    start += strspn(start, blanks);
    length = strlen(start);
    while (length > 0 && strchr(blanks, start[length - 1]) != NULL)
        length--;
    return length > 0 ? arena_copy_span(arena, start, length) : NULL;
}

const char *xml_node_text(const xmlNode *node, struct arena *arena)
{
    const xmlNode *child = node->type == XML_ELEMENT_NODE || node->type == XML_ATTRIBUTE_NODE
                               ? node->children : NULL;
    const char *text;
    xmlChar *content;

    if (child != NULL && child->type == XML_TEXT_NODE && child->next == NULL)
        return trimmed(child->content, arena);
    content = xmlNodeGetContent(node);
    text = trimmed(content, arena);
    xmlFree(content);
    return text;
}

/* A search for the first node with a text. */
struct text_search {
    struct arena *arena;
    const char *text;
};

static bool visit_text(void *context, const xmlNode *node)
{
    struct text_search *search = context;

    search->text = xml_node_text(node, search->arena);
    return search->text == NULL;
}

const char *xml_path_text(struct xml_path *path, const xmlNode *node, struct arena *arena)
{
    struct text_search search = {.arena = arena};
    xmlXPathObject *result;

    if (path->steps != NULL) {
        walk(path, node, visit_text, &search);
        return search.text;
    }
    result = evaluate(path, node);
    if (result != NULL && result->type == XPATH_NODESET) {
        for (int i = 0; i < xmlXPathNodeSetGetLength(result->nodesetval); i++)
            if (!visit_text(&search, result->nodesetval->nodeTab[i]))
                break;
    } else if (result != NULL) {
        xmlChar *string = xmlXPathCastToString(result);

        search.text = trimmed(string, arena);
        xmlFree(string);
    }
    xmlXPathFreeObject(result);
    return search.text;
}

/* Nodes being collected. */
struct collection {
    struct arena *arena;
    struct xml_nodes nodes;
    size_t capacity;
};

static bool visit_node(void *context, const xmlNode *node)
{
    struct collection *all = context;

    if (all->nodes.count == all->capacity && all->capacity == 0) {
        all->nodes.items = arena_array(all->arena, 1, sizeof *all->nodes.items);
        all->capacity = 1; /* most sets hold one node */
    }
    all->nodes.items = arena_grow(all->arena, all->nodes.items, &all->capacity, all->nodes.count,
                                  sizeof *all->nodes.items);
    all->nodes.items[all->nodes.count++] = (xmlNode *)node;
    return true;
}

struct xml_nodes xml_path_nodes(struct xml_path *path, const xmlNode *node, struct arena *arena)
{
    struct collection all = {.arena = arena};
    xmlXPathObject *result;

    if (path->steps != NULL) {
        walk(path, node, visit_node, &all);
        return all.nodes;
    }
    result = evaluate(path, node);
    if (result != NULL && result->type == XPATH_NODESET)
        for (int i = 0; i < xmlXPathNodeSetGetLength(result->nodesetval); i++)
            visit_node(&all, result->nodesetval->nodeTab[i]);
    xmlXPathFreeObject(result);
    return all.nodes;
}
