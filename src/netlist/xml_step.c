#include "netlist/xml_step.h"

#include <string.h>

#include "base/arena.h"

enum { STEPS_LARGEST = 8 };

struct step {
    const char *element; /* NULL in the last: an attribute */
    const char *attribute;
    const char *equals; /* [@attribute='equals'], or NULL */
};

struct xml_steps {
    bool absolute; /* "/" at the start */
    unsigned up;   /* ".." at the start */
    size_t count;
    struct step steps[STEPS_LARGEST];
};

/* One walk: where it goes and whom it calls. */
struct walk {
    const struct xml_steps *steps;
    unsigned long *left;
    bool (*visit)(void *context, const xmlNode *node);
    void *context;
};

static bool is_name_byte(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           c == '-' || (c & 0x80) != 0;
}

/* Reads a name at *AT and steps over it; NULL if there is none. */
static const char *take_name(struct arena *arena, const char **at)
{
    const char *start = *at;

    if ((*start >= '0' && *start <= '9') || *start == '-')
        return NULL;
    while (is_name_byte(**at))
        ++*at;
    return *at > start ? arena_copy_span(arena, start, (size_t)(*at - start)) : NULL;
}

static bool take(const char **at, const char *text)
{
    size_t length = strlen(text);

    if (strncmp(*at, text, length) != 0)
        return false;
    *at += length;
    return true;
}

/* "[@name='text']" into STEP. */
static bool take_predicate(struct arena *arena, const char **at, struct step *step)
{
    const char *end;
    char quote;

    if (!take(at, "[@") || (step->attribute = take_name(arena, at)) == NULL || !take(at, "="))
        return false;
    quote = *(*at)++;
    end = quote == '\'' || quote == '"' ? strchr(*at, quote) : NULL;
    if (end == NULL || end[1] != ']')
        return false;
    step->equals = arena_copy_span(arena, *at, (size_t)(end - *at));
    *at = end + 2;
    return true;
}

static bool take_step(struct arena *arena, const char **at, struct step *step)
{
    if (take(at, "@"))
        return (step->attribute = take_name(arena, at)) != NULL && **at == '\0';
    step->element = take_name(arena, at);
    if (step->element == NULL)
        return false;
    return **at != '[' || take_predicate(arena, at, step);
}

struct xml_steps *xml_steps_parse(struct arena *arena, const char *expression)
{
    struct xml_steps *steps = arena_alloc(arena, sizeof *steps);
    const char *at = expression;

    steps->absolute = take(&at, "/");
    while (!steps->absolute && take(&at, "../"))
        steps->up++;
    if (!steps->absolute && strcmp(at, "..") == 0) {
        steps->up++;
        return steps;
    }
    if (strcmp(expression, ".") == 0)
        return steps;
    do {
        if (steps->count == STEPS_LARGEST || !take_step(arena, &at, &steps->steps[steps->count++]))
            return NULL;
    } while (take(&at, "/"));
    return *at == '\0' ? steps : NULL;
}

static const xmlAttr *find_attribute(const xmlNode *node, const char *name)
{
    const xmlAttr *attr = node->type == XML_ELEMENT_NODE ? node->properties : NULL;

    while (attr != NULL && (attr->ns != NULL || strcmp((const char *)attr->name, name) != 0))
        attr = attr->next;
    return attr;
}

/* Whether ATTR is there and says TEXT. No entity is ever in a document, so a value is one text. */
static bool says(const xmlAttr *attr, const char *text)
{
    const xmlNode *value;

    if (attr == NULL)
        return false;
    value = attr->children;
    return strcmp(value != NULL && value->content != NULL ? (const char *)value->content : "",
                  text) == 0;
}

/* Recursion is as deep as the dialect's expression has steps. False: the visitor has had enough. */
static bool walk_from(const struct walk *walk, size_t index, const xmlNode *node)
{
    const struct step *step = &walk->steps->steps[index];
    const xmlNode *child;

    if (index == walk->steps->count)
        return walk->visit(walk->context, node);
    if (step->element == NULL) {
        const xmlAttr *attr = find_attribute(node, step->attribute);

        return attr == NULL || walk->visit(walk->context, (const xmlNode *)attr);
    }
    if (node->type != XML_ELEMENT_NODE && node->type != XML_DOCUMENT_NODE)
        return true;
    for (child = node->children; child != NULL && *walk->left > 0; child = child->next) {
        --*walk->left;
        if (child->type != XML_ELEMENT_NODE || child->ns != NULL ||
            strcmp((const char *)child->name, step->element) != 0)
            continue;
        if (step->equals != NULL && !says(find_attribute(child, step->attribute), step->equals))
            continue;
        if (!walk_from(walk, index + 1, child))
            return false;
    }
    return true;
}

void xml_steps_walk(const struct xml_steps *steps, const xmlNode *node, unsigned long *left,
                    bool (*visit)(void *context, const xmlNode *node), void *context)
{
    struct walk walk = {steps, left, visit, context};

    if (steps->absolute)
        node = (const xmlNode *)node->doc;
    for (unsigned i = 0; i < steps->up && node != NULL; i++)
        node = node->parent;
    if (node != NULL)
        walk_from(&walk, 0, node);
}
