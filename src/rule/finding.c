#include "rule/finding.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "base/text.h"
#include "rule/rules.h"
#include "rule/schematron.h"

/* So many objects a finding names, the first included. */
enum { OBJECTS_LARGEST = 8 };

struct finding_index {
    struct arena *arena;
    struct map *parts, *nets; /* xmlNode by @ref, @name */
    struct map *sources;      /* struct source by file name */
    struct map *assumptions;  /* xmlNode by @id */
    size_t assumption_count;
};

/* An attribute of an element (CHILD NULL: of the context itself, else of its children of that
 * name) that names an object. */
struct naming {
    const char *element, *child, *attribute, *kind;
};

/* In order of preference; the first that is there gives the first object. */
static const struct naming namings[] = {
    {"fuse", NULL, "ref", "part"},
    {"part", NULL, "ref", "part"},
    {"jack", NULL, "ref", "part"},
    {"net", NULL, "name", "net"},
    {"rail", NULL, "name", "rail"},
    {"rail", NULL, "id", "rail"},
    {"source", NULL, "id", "source"},
    {"mains", NULL, "part", "part"},
    {"mains", NULL, "source", "source"},
    {"rectifier", NULL, "rail", "rail"},
    {"valve", NULL, "part", "part"},
    {"section", NULL, "part", "part"},
    {"line-capacitor", NULL, "part", "part"},
    {"capacitor-string", NULL, "net", "net"},
    {"diode-string", NULL, "part", "part"},
    {"loudspeaker-side", NULL, "part", "part"},
    {"transistor", NULL, "part", "part"},
    {"regulator", NULL, "part", "part"},
    {"fault", NULL, "id", "fault"},
    {"conductor", NULL, "fuse", "part"},
    {"through", NULL, "fuse", "part"},
    {"carrier", NULL, "part", "part"},
    {"load", NULL, "part", "part"},
    {"stress", NULL, "part", "part"},
    {"contact", NULL, "net", "net"},
    {"node", NULL, "net", "net"},
    {"protects", NULL, "net", "net"},
    {"gap", NULL, "part", "part"},
    {"gap", NULL, "net", "net"},
    {"assumption", NULL, "part", "part"},
    {"measured", NULL, "net", "net"},
    {"acceptance", NULL, "name", "rail"},
    {"acceptance", NULL, "part", "part"},
    {"acceptance", NULL, "net", "net"},
    {"fault", NULL, "net", "net"},
    {"fault", "carrier", "part", "part"},
    {"unrated", NULL, "worst", "part"},
    {"unrated", "lacking", "part", "part"},
    {"source", NULL, "part", "part"},
    {"fuse", "protects", "net", "net"},
    {"rail", "node", "net", "net"},
};

static const char *attribute(struct arena *arena, const xmlNode *node, const char *name)
{
    xmlChar *value = xmlGetNoNsProp(node, (const xmlChar *)name);
    const char *copy = NULL;

    if (value != NULL)
        copy = arena_copy(arena, (const char *)value);
    xmlFree(value);
    return copy;
}

static bool is_named(const xmlNode *node, const char *name)
{
    return node->type == XML_ELEMENT_NODE && strcmp((const char *)node->name, name) == 0;
}

static void index_child(struct finding_index *index, xmlNode *node)
{
    bool part = is_named(node, "part");
    const char *name = NULL;

    if (part || is_named(node, "net"))
        name = attribute(index->arena, node, part ? "ref" : "name");
    if (name != NULL)
        map_add(part ? index->parts : index->nets, name, node);
    if (!is_named(node, "assumption"))
        return;
    index->assumption_count++;
    name = attribute(index->arena, node, "id");
    if (name != NULL)
        map_add(index->assumptions, name, node);
}

struct finding_index *finding_index_new(struct arena *arena, xmlDoc *facts)
{
    struct finding_index *index = arena_alloc(arena, sizeof *index);
    xmlNode *root = xmlDocGetRootElement(facts);

    index->arena = arena;
    index->parts = map_new();
    index->nets = map_new();
    index->sources = map_new();
    index->assumptions = map_new();
    for (xmlNode *node = root != NULL ? root->children : NULL; node != NULL; node = node->next)
        index_child(index, node);
    return index;
}

void finding_index_free(struct finding_index *index)
{
    map_free(index->parts);
    map_free(index->nets);
    map_free(index->sources);
    map_free(index->assumptions);
}

/* The finding's objects as they are gathered. */
struct gathering {
    struct finding_index *index;
    struct diag_object *objects;
    size_t count;
};

static void gather(struct gathering *gathering, const xmlNode *node, const struct naming *naming)
{
    const char *name = attribute(gathering->index->arena, node, naming->attribute);

    if (name == NULL || gathering->count >= OBJECTS_LARGEST)
        return;
    for (size_t i = 0; i < gathering->count; i++)
        if (strcmp(gathering->objects[i].name, name) == 0 &&
            strcmp(gathering->objects[i].kind, naming->kind) == 0)
            return;
    gathering->objects[gathering->count++] =
        (struct diag_object){.kind = naming->kind, .name = name};
}

static void gather_children(struct gathering *gathering, const xmlNode *node,
                            const struct naming *naming)
{
    for (const xmlNode *child = node->children; child != NULL; child = child->next)
        if (is_named(child, naming->child))
            gather(gathering, child, naming);
}

/* A rail goes by its name, else its id: not by both. */
static bool is_second_name(const struct gathering *gathering, const struct naming *naming)
{
    return gathering->count > 0 && strcmp(naming->kind, gathering->objects[0].kind) == 0 &&
           strcmp(naming->kind, "rail") == 0;
}

static void gather_all(struct gathering *gathering, const xmlNode *node)
{
    for (size_t i = 0; i < sizeof namings / sizeof *namings; i++) {
        const struct naming *naming = &namings[i];

        if (!is_named(node, naming->element) || is_second_name(gathering, naming))
            continue;
        if (naming->child != NULL)
            gather_children(gathering, node, naming);
        else
            gather(gathering, node, naming);
    }
}

/* A source that stands for the file NAME; its text is not at hand. */
static const struct source *named_source(struct finding_index *index, const char *name)
{
    const struct source *source = map_get(index->sources, name);

    if (source != NULL)
        return source;
    source = source_from_bytes(index->arena, name, "", 0);
    map_add(index->sources, name, (void *)source);
    return source;
}

static unsigned number(struct finding_index *index, const xmlNode *node, const char *name)
{
    const char *text = attribute(index->arena, node, name);

    return text != NULL ? (unsigned)strtoul(text, NULL, 10) : 0;
}

/* False if NODE says nothing of its place. */
static bool element_place(struct finding_index *index, const xmlNode *node, struct place *place)
{
    const char *file = NULL;

    if (node->type == XML_ELEMENT_NODE)
        file = attribute(index->arena, node, "file");
    if (file == NULL)
        return false;
    place->source = named_source(index, file);
    place->line = number(index, node, "line");
    place->column = number(index, node, "column");
    return place->line > 0;
}

static struct place find_place(struct finding_index *index, const xmlNode *node,
                               const struct diag_object *objects, size_t count)
{
    struct place place = {0};

    if (element_place(index, node, &place))
        return place;
    for (size_t i = 0; i < count; i++) {
        const struct map *map = strcmp(objects[i].kind, "part") == 0  ? index->parts
                                : strcmp(objects[i].kind, "net") == 0 ? index->nets
                                                                      : NULL;
        const xmlNode *named = map != NULL ? map_get(map, objects[i].name) : NULL;

        if (named != NULL && element_place(index, named, &place))
            return place;
    }
    return (struct place){0};
}

/* The attribute rests-on of NODE or of the element it is in, but for the whole circuit; NULL: neither has
 * one. */
static const char *rests_on(struct finding_index *index, const xmlNode *node)
{
    const char *list = NULL;

    while (list == NULL && node->type == XML_ELEMENT_NODE && node->parent != NULL &&
           node->parent->type == XML_ELEMENT_NODE) {
        list = attribute(index->arena, node, "rests-on");
        node = node->parent;
    }
    return list;
}

static const char *rounded(struct arena *arena, const xmlNode *node, const char *name)
{
    const char *text = attribute(arena, node, name);

    return text != NULL ? arena_print(arena, "%.4g", strtod(text, NULL)) : NULL;
}

/* "T1 winding-ohms HT 50 (25 to 100) [assumption5]" */
static void add_assumed(struct finding_index *index, struct text *text, const char *id)
{
    struct arena *arena = index->arena;
    const xmlNode *node = map_get(index->assumptions, id);
    const char *part, *value, *low, *high;

    if (node == NULL)
        return;
    part = attribute(arena, node, "part");
    value = rounded(arena, node, "value");
    low = rounded(arena, node, "low");
    high = rounded(arena, node, "high");
    text_print(text, "%s%s%s%s", part != NULL ? part : "", part != NULL ? " " : "",
               attribute(arena, node, "what"), value != NULL ? " " : "");
    text_add(text, value != NULL ? value : "");
    if (low != NULL && high != NULL)
        text_print(text, " (%s to %s)", low, high);
    text_print(text, " [%s]", id);
}

/* The first ones of LIST in words, the rest counted. */
static const char *assumed_words(struct finding_index *index, const char *list)
{
    enum { NAMED_LARGEST = 4 };
    char *copy = arena_copy(index->arena, list), *rest = NULL;
    struct text text = {0};
    size_t found = 0;
    const char *words;

    for (char *id = strtok_r(copy, " ", &rest); id != NULL; id = strtok_r(NULL, " ", &rest)) {
        if (found++ >= NAMED_LARGEST)
            continue;
        text_add(&text, found > 1 ? "; " : "");
        add_assumed(index, &text, id);
    }
    if (found > NAMED_LARGEST)
        text_print(&text, "; and %zu more", found - NAMED_LARGEST);
    words = arena_copy(index->arena, text_bytes(&text));
    text_free(&text);
    return words;
}

/* What the figures that RESULT speaks of rest on; NULL: it speaks of none, or they rest on nothing
 * assumed. */
static const char *assumed_of(struct finding_index *index, const struct schematron_result *result)
{
    const char *list = result->assertion->numeric ? rests_on(index, result->node) : NULL;

    if (list == NULL || strcmp(list, "every") != 0)
        return list != NULL ? assumed_words(index, list) : NULL;
    return arena_print(index->arena, "all %zu values listed as assumed", index->assumption_count);
}

/* A check that could not be evaluated has checked nothing: that is a finding. */
static void add_failure(struct finding_index *index, const struct rule *rule, const char *why,
                        struct diags *diags)
{
    struct diag diag = {
        .level = LEVEL_UNVERIFIED,
        .rule = rule->id,
        .message = arena_print(index->arena, "This check could not be evaluated: %s.", why),
        .fix = "Correct the check's file.",
    };

    diag_add(diags, &diag);
}

void finding_add(struct finding_index *index, const struct rule *rule,
                 const struct schematron_result *result, struct diags *diags)
{
    struct gathering gathering = {.index = index};
    struct diag diag = {.rule = rule->id, .message = result->text, .fix = rule->fix};

    if (result->assertion == NULL) {
        add_failure(index, rule, result->text, diags);
        return;
    }
    gathering.objects = arena_array(index->arena, OBJECTS_LARGEST, sizeof *gathering.objects);
    gather_all(&gathering, result->node);
    diag.level = result->assertion->level;
    diag.rests_on = assumed_of(index, result);
    diag.objects = gathering.objects;
    diag.object_count = gathering.count;
    diag.place = find_place(index, result->node, gathering.objects, gathering.count);
    diag_add(diags, &diag);
}
