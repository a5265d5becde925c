#include <config.h>

#include "parts/library.h"

#include <ctype.h>
#include <dirent.h>
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <libxml/parser.h>
#include <libxml/tree.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/map.h"
#include "parts/wording.h"

enum { NAME_LARGEST = 64, SUFFIX_LETTERS = 3, WEIGHT_LARGEST = 100 };

/* One document being read. */
struct loading {
    struct arena *arena;
    struct diags *diags;
    struct library *library;
    const char *path;
    bool good;
};

static const struct {
    const char *name;
    int weight; /* of a word that states none */
} word_places[WORD_PLACE_COUNT] = {
    [WORD_VALUE] = {"value", 3},         [WORD_SYMBOL] = {"symbol", 4},
    [WORD_FOOTPRINT] = {"footprint", 2},
    [WORD_LIBRARY] = {"library", 2},     [WORD_PREFIX] = {"prefix", 3},
    [WORD_REFERENCE] = {"reference", 2}, [WORD_PINS] = {"pins", 3},
    [WORD_FEED] = {"feed", 3},
};

static void complain(struct loading *loading, const xmlNode *node, const char *what,
                     const char *excerpt)
{
    diag_input(loading->diags, LEVEL_ERROR, (struct place){0}, excerpt, NULL,
               "parts library %s, line %ld: %s", loading->path,
               node != NULL ? xmlGetLineNo((xmlNode *)node) : 0L, what);
    loading->good = false;
}

/* The attribute NAME, copied into the arena; NULL if absent. */
static char *attribute(struct loading *loading, xmlNode *node, const char *name)
{
    xmlChar *value = xmlGetNoNsProp(node, (const xmlChar *)name);
    char *copy;

    if (value == NULL)
        return NULL;
    copy = arena_copy(loading->arena, (const char *)value);
    xmlFree(value);
    return copy;
}

static const char *required(struct loading *loading, xmlNode *node, const char *name)
{
    const char *value = attribute(loading, node, name);

    if (value == NULL || value[0] == '\0') {
        complain(loading, node, "attribute missing", name);
        return "";
    }
    return value;
}

static char *upper(char *text)
{
    return wording_fold_all(text);
}

static size_t read_unit(struct loading *loading, xmlNode *node)
{
    const char *text = attribute(loading, node, "unit");
    long unit = text != NULL ? strtol(text, NULL, 10) : 1;

    if (unit < 1 || unit > 8) {
        complain(loading, node, "unit is not 1 to 8", text);
        return 0;
    }
    return (size_t)unit - 1;
}

static void read_pin(struct loading *loading, xmlNode *node, struct base *base)
{
    const char *role = required(loading, node, "role");
    struct base_pin pin = {.number = required(loading, node, "number"),
                           .unit = read_unit(loading, node)};

    if (!pin_role_parse(role, &pin.role))
        complain(loading, node, "no such pin role", role);
    base->pins = arena_grow(loading->arena, base->pins, &base->pin_capacity, base->pin_count,
                            sizeof *base->pins);
    base->pins[base->pin_count++] = pin;
}

static bool named(const xmlNode *node, const char *name)
{
    return node->type == XML_ELEMENT_NODE && strcmp((const char *)node->name, name) == 0;
}

static void read_base(struct loading *loading, xmlNode *node)
{
    struct library *library = loading->library;
    struct base *base = arena_alloc(loading->arena, sizeof *base);

    base->name = required(loading, node, "name");
    base->source = required(loading, node, "source");
    for (xmlNode *child = node->children; child != NULL; child = child->next)
        if (named(child, "pin"))
            read_pin(loading, child, base);
    library->bases = arena_grow(loading->arena, library->bases, &library->base_capacity,
                                library->base_count, sizeof(struct base *));
    library->bases[library->base_count++] = base;
}

static const struct base *find_base(struct loading *loading, xmlNode *node, const char *name)
{
    const struct library *library = loading->library;

    for (size_t i = 0; i < library->base_count; i++)
        if (strcmp(library->bases[i]->name, name) == 0)
            return library->bases[i];
    complain(loading, node, "no such base before this line", name);
    return NULL;
}

static bool find_figure(const char *name, enum figure_id *id)
{
    for (size_t i = 0; i < FIGURE_COUNT; i++) {
        if (strcmp(figure_rows[i].name, name) == 0) {
            *id = (enum figure_id)i;
            return true;
        }
    }
    return false;
}

static void read_figure(struct loading *loading, xmlNode *node, struct type *type)
{
    const char *name = required(loading, node, "name"), *text = required(loading, node, "value");
    struct type_figure figure = {.source = required(loading, node, "source")};
    char *end;

    if (!find_figure(name, &figure.id))
        complain(loading, node, "no such figure", name);
    figure.value = strtod(text, &end);
    if (end == text || *end != '\0' || !isfinite(figure.value))
        complain(loading, node, "value is not a number", text);
    type->figures = arena_grow(loading->arena, type->figures, &type->figure_capacity,
                               type->figure_count, sizeof *type->figures);
    type->figures[type->figure_count++] = figure;
}

/* The attribute NAME as a number above 0; 0 if absent. */
static double read_positive(struct loading *loading, xmlNode *node, const char *name)
{
    const char *text = attribute(loading, node, name);
    char *end;
    double value;

    if (text == NULL)
        return 0;
    value = strtod(text, &end);
    if (end == text || *end != '\0' || !isfinite(value) || value <= 0) {
        complain(loading, node, "not a number above 0", text);
        return 0;
    }
    return value;
}

static void read_rating(struct loading *loading, xmlNode *node, struct type *type)
{
    struct rating_row row = {.source = required(loading, node, "source"),
                             .volts = read_positive(loading, node, "volts"),
                             .ohms = read_positive(loading, node, "ohms"),
                             .amps = read_positive(loading, node, "amps")};
    double last = type->rating_count > 0 ? type->ratings[type->rating_count - 1].volts : 0;

    if (row.volts <= last)
        complain(loading, node, "volts of ratings do not rise", NULL);
    if (row.ohms <= 0 && row.amps <= 0)
        complain(loading, node, "a rating without ohms and amps", NULL);
    type->ratings = arena_grow(loading->arena, type->ratings, &type->rating_capacity,
                               type->rating_count, sizeof *type->ratings);
    type->ratings[type->rating_count++] = row;
}

static void read_limits(struct loading *loading, xmlNode *node, struct type *type)
{
    static const char *const systems[] = {"design-centre", "design-maximum", "absolute"};
    const char *text = attribute(loading, node, "limits");

    for (size_t i = 0; text != NULL && i < sizeof systems / sizeof *systems; i++)
        if (strcmp(text, systems[i]) == 0)
            type->limits = text;
    if (text != NULL && type->limits == NULL)
        complain(loading, node, "no such system of limits", text);
}

static void read_type_child(struct loading *loading, xmlNode *node, struct type *type)
{
    if (named(node, "figure"))
        read_figure(loading, node, type);
    else if (named(node, "rating"))
        read_rating(loading, node, type);
    else if (node->type == XML_ELEMENT_NODE)
        complain(loading, node, "unknown element", (const char *)node->name);
}

/* Adds TYPE under each of the blank-separated NAMES. */
static void add_names(struct loading *loading, xmlNode *node, struct type *type, char *names)
{
    char *rest = NULL;

    for (char *name = strtok_r(upper(names), " \t\r\n", &rest); name != NULL;
         name = strtok_r(NULL, " \t\r\n", &rest))
        if (!map_add(loading->library->types, name, type))
            complain(loading, node, "type number listed twice", name);
}

static void read_type(struct loading *loading, xmlNode *node)
{
    struct library *library = loading->library;
    struct type *type = arena_alloc(loading->arena, sizeof *type);
    const char *kind = required(loading, node, "kind");
    const char *base = attribute(loading, node, "base");
    char *aliases = attribute(loading, node, "alias");

    type->name = required(loading, node, "type");
    type->role = attribute(loading, node, "role");
    type->ambiguous = attribute(loading, node, "ambiguous") != NULL;
    if (!part_kind_parse(kind, &type->kind))
        complain(loading, node, "no such kind", kind);
    if (base != NULL)
        type->base = find_base(loading, node, base);
    for (xmlNode *child = node->children; child != NULL; child = child->next)
        read_type_child(loading, child, type);
    read_limits(loading, node, type);
    add_names(loading, node, type, arena_copy(loading->arena, type->name));
    if (aliases != NULL)
        add_names(loading, node, type, aliases);
    library->list = arena_grow(loading->arena, library->list, &library->type_capacity,
                               library->type_count, sizeof(struct type *));
    library->list[library->type_count++] = type;
}

static void read_kinds(struct loading *loading, xmlNode *node, char *names, struct word *word)
{
    char *rest = NULL;
    enum part_kind kind;

    for (char *name = strtok_r(names, " \t\r\n", &rest); name != NULL;
         name = strtok_r(NULL, " \t\r\n", &rest)) {
        if (!part_kind_parse(name, &kind)) {
            complain(loading, node, "no such kind", name);
            continue;
        }
        if (word->kinds == 0)
            word->first = kind;
        word->kinds |= (uint64_t)1 << kind;
    }
}

/* The place NAME, and how much a word there counts. */
static void read_place(struct loading *loading, xmlNode *node, const char *name, struct word *word)
{
    const char *weight = attribute(loading, node, "weight");
    size_t i = 0;

    while (i < WORD_PLACE_COUNT && strcmp(word_places[i].name, name) != 0)
        i++;
    if (i == WORD_PLACE_COUNT) {
        complain(loading, node, "no such place for a word", name);
        return;
    }
    word->place = (enum word_place)i;
    word->weight = weight != NULL ? atoi(weight) : word_places[i].weight;
    if (word->weight < 0 || word->weight > WEIGHT_LARGEST)
        complain(loading, node, "weight is not 0 to 100", weight);
}

/* The patterns of NODE, each as a WORD. */
static void add_patterns(struct loading *loading, xmlNode *node, struct word word)
{
    struct library *library = loading->library;
    char *texts = attribute(loading, node, "text"), *whole = attribute(loading, node, "pattern");
    char *rest = NULL;

    if (texts == NULL && whole == NULL)
        complain(loading, node, "attribute missing", "text");
    for (char *text = texts != NULL ? strtok_r(upper(texts), " \t\r\n", &rest) : NULL;
         text != NULL || whole != NULL;
         text = texts != NULL ? strtok_r(NULL, " \t\r\n", &rest) : NULL) {
        word.pattern = text != NULL ? text : upper(whole);
        if (text == NULL)
            whole = NULL;
        library->words = arena_grow(loading->arena, library->words, &library->word_capacity,
                                    library->word_count, sizeof *library->words);
        library->words[library->word_count++] = word;
    }
}

/* <word in kind text...>: one word for each place and blank-separated pattern; a pattern with blanks stands
 * alone in <word pattern="...">. */
static void read_word(struct loading *loading, xmlNode *node)
{
    struct word word = {.role = attribute(loading, node, "role")};
    char *places = arena_copy(loading->arena, required(loading, node, "in")), *rest = NULL;

    read_kinds(loading, node, arena_copy(loading->arena, required(loading, node, "kind")), &word);
    if (attribute(loading, node, "vague") != NULL)
        word.first = PART_UNKNOWN;
    for (char *place = strtok_r(places, " \t\r\n", &rest); place != NULL;
         place = strtok_r(NULL, " \t\r\n", &rest)) {
        read_place(loading, node, place, &word);
        add_patterns(loading, node, word);
    }
}

static void read_root(struct loading *loading, xmlNode *root)
{
    for (xmlNode *node = root->children; node != NULL; node = node->next) {
        if (node->type != XML_ELEMENT_NODE)
            continue;
        if (named(node, "base"))
            read_base(loading, node);
        else if (named(node, "part"))
            read_type(loading, node);
        else if (named(node, "word"))
            read_word(loading, node);
        else
            complain(loading, node, "unknown element", (const char *)node->name);
    }
}

static void read_document(struct loading *loading)
{
    xmlDoc *document = xmlReadFile(loading->path, NULL,
                                   XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING |
                                       XML_PARSE_NOBLANKS | XML_PARSE_COMPACT);
    xmlNode *root = document != NULL ? xmlDocGetRootElement(document) : NULL;

    if (root == NULL)
        complain(loading, NULL, "cannot be read as XML", NULL);
    else if (!named(root, "parts"))
        complain(loading, root, "root element is not parts", (const char *)root->name);
    else
        read_root(loading, root);
    xmlFreeDoc(document);
}

static int is_document(const struct dirent *entry)
{
    const char *dot = strrchr(entry->d_name, '.');

    return dot != NULL && strcmp(dot, ".xml") == 0;
}

/* Reads every document of DIRECTORY, in the order of their names. */
static void read_directory(struct loading *loading, const char *directory)
{
    struct dirent **entries;
    int count = scandir(directory, &entries, is_document, alphasort);

    if (count < 0) {
        loading->path = directory;
        complain(loading, NULL, strerror(errno), NULL);
        return;
    }
    for (int i = 0; i < count; i++) {
        loading->path = arena_print(loading->arena, "%s/%s", directory, entries[i]->d_name);
        read_document(loading);
        free(entries[i]);
    }
    free(entries);
    if (loading->library->type_count == 0 && loading->good)
        complain(loading, NULL, "no parts in it", directory);
}

struct library *library_read(struct arena *arena, struct diags *diags, const char *directory)
{
    struct library *library = arena_alloc(arena, sizeof *library);
    struct loading loading = {
        .arena = arena, .diags = diags, .library = library, .path = directory, .good = true};

    library->types = map_new();
    read_directory(&loading, directory);
    if (loading.good)
        return library;
    library_free(library);
    return NULL;
}

void library_free(struct library *library)
{
    if (library != NULL)
        map_free(library->types);
}

static bool is_valve(enum part_kind kind)
{
    return kind == PART_TRIODE || kind == PART_PENTODE || kind == PART_RECTIFIER_VALVE;
}

const struct type *library_find(const struct library *library, const char *name, size_t length)
{
    char key[NAME_LARGEST];
    const struct type *type;

    if (length == 0 || length >= sizeof key)
        return NULL;
    for (size_t i = 0; i < length; i++)
        key[i] = (char)toupper((unsigned char)name[i]);
    type = map_get_span(library->types, key, length);
    for (size_t i = 0; type == NULL && i < SUFFIX_LETTERS; i++) {
        if (length < 4 || !isupper((unsigned char)key[length - 1]))
            return NULL;
        type = map_get_span(library->types, key, --length);
        if (type != NULL && !is_valve(type->kind))
            return NULL;
    }
    return type;
}

const struct base_pin *type_pin(const struct type *type, const char *number)
{
    for (size_t i = 0; type->base != NULL && i < type->base->pin_count; i++)
        if (strcmp(type->base->pins[i].number, number) == 0)
            return &type->base->pins[i];
    return NULL;
}
