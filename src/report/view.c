#include "report/view.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"

static const xmlNode *find(const xmlNode *node, const xmlChar *element)
{
    while (node != NULL &&
           (node->type != XML_ELEMENT_NODE || !xmlStrEqual(node->name, element)))
        node = node->next;
    return node;
}

const xmlNode *view_first(const xmlNode *parent, const char *element)
{
    return parent != NULL ? find(parent->children, (const xmlChar *)element) : NULL;
}

const xmlNode *view_following(const xmlNode *node)
{
    return find(node->next, node->name);
}

size_t view_count(const xmlNode *parent, const char *element)
{
    size_t count = 0;

    for (const xmlNode *at = view_first(parent, element); at != NULL; at = view_following(at))
        count++;
    return count;
}

const char *view_text(struct arena *arena, const xmlNode *node, const char *name)
{
    xmlChar *value = node != NULL ? xmlGetNoNsProp((xmlNode *)node, (const xmlChar *)name) : NULL;
    const char *copy =
        value != NULL && value[0] != '\0' ? arena_copy(arena, (const char *)value) : NULL;

    xmlFree(value);
    return copy;
}

bool view_is(const xmlNode *node, const char *name, const char *value)
{
    xmlChar *got = node != NULL ? xmlGetNoNsProp((xmlNode *)node, (const xmlChar *)name) : NULL;
    bool same = got != NULL && strcmp((const char *)got, value) == 0;

    xmlFree(got);
    return same;
}

bool view_number(const xmlNode *node, const char *name, double *value)
{
    xmlChar *text = node != NULL ? xmlGetNoNsProp((xmlNode *)node, (const xmlChar *)name) : NULL;
    char *end = NULL;
    double number = text != NULL ? strtod((const char *)text, &end) : NAN;
    bool read = text != NULL && end != (char *)text && *end == '\0' && isfinite(number);

    if (read)
        *value = number;
    xmlFree(text);
    return read;
}

const char *view_quantity(struct arena *arena, const xmlNode *node, const char *name,
                          enum unit unit)
{
    char buffer[64];
    double value;

    if (!view_number(node, name, &value))
        return "?";
    return arena_copy(arena, quantity_print(buffer, sizeof buffer, value, unit));
}

struct map *view_map(struct arena *arena, const xmlNode *parent, const char *element, const char *key)
{
    struct map *map = map_new();

    for (const xmlNode *at = view_first(parent, element); at != NULL; at = view_following(at)) {
        const char *text = view_text(arena, at, key);

        if (text != NULL)
            map_add(map, text, (void *)at);
    }
    return map;
}

bool view_is_lost_fuse(const xmlNode *part, const struct map *fuses)
{
    xmlChar *ref = xmlGetNoNsProp((xmlNode *)part, (const xmlChar *)"ref");
    bool lost = view_is(part, "kind", "fuse") && ref != NULL &&
                map_get(fuses, (const char *)ref) == NULL;

    xmlFree(ref);
    return lost;
}

size_t view_fuse_count(const xmlNode *facts)
{
    struct arena *arena = arena_new();
    struct map *refs = view_map(arena, facts, "fuse", "ref");
    size_t count = view_count(facts, "fuse");

    for (const xmlNode *at = view_first(facts, "part"); at != NULL; at = view_following(at))
        count += view_is_lost_fuse(at, refs);
    map_free(refs);
    arena_free(arena);
    return count;
}
