/* The XML reader: any vocabulary for which there is a dialect file. */
#include <dirent.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"
#include "netlist/xml_dialect.h"
#include "netlist/xml_document.h"
#include "netlist/xml_path.h"
#include "netlist/xml_reading.h"

/* Paths of dialect files. */
struct paths {
    const char **items;
    size_t count, capacity;
};

/* Looking for the dialect that knows a document. */
struct search {
    const struct read_input *input;
    const struct xml_document *document;
    const char *names; /* of the dialects tried */
};

static int detect(const struct source *source)
{
    const char *text = source->text, *end = text + source->length;

    if (source->length >= 3 && memcmp(source->raw, "\xEF\xBB\xBF", 3) == 0 &&
        strcmp(source->encoding, "ISO-8859-1") == 0)
        text += strlen("\xC3\xAF\xC2\xBB\xC2\xBF"); /* the mark, read as Latin-1 */
    while (text < end && (*text == ' ' || *text == '\t' || *text == '\r' || *text == '\n'))
        text++;
    return text < end && *text == '<' ? 2 : 0;
}

static void add_path(struct arena *arena, struct paths *paths, const char *path)
{
    paths->items = arena_grow(arena, paths->items, &paths->capacity, paths->count,
                              sizeof *paths->items);
    paths->items[paths->count++] = path;
}

static int compare_paths(const void *left, const void *right)
{
    return strcmp(*(const char *const *)left, *(const char *const *)right);
}

static bool is_xml_file(const char *name)
{
    size_t length = strlen(name);

    return name[0] != '.' && length > 4 && strcmp(name + length - 4, ".xml") == 0;
}

/* The *.xml of the data directory's dialects, sorted. */
static struct paths list_dialects(const struct read_input *input)
{
    struct arena *arena = input->arena;
    const char *folder = arena_print(arena, "%s/dialects", input->options->data_dir);
    DIR *directory = opendir(folder);
    struct paths paths = {0};

    for (struct dirent *entry; directory != NULL && (entry = readdir(directory)) != NULL;)
        if (is_xml_file(entry->d_name))
            add_path(arena, &paths, arena_print(arena, "%s/%s", folder, entry->d_name));
    if (directory != NULL)
        closedir(directory);
    if (paths.count > 1)
        qsort(paths.items, paths.count, sizeof *paths.items, compare_paths);
    if (paths.count == 0)
        diag_input(input->diags, LEVEL_WARNING, (struct place){.source = input->source}, NULL,
                   "dialect files *.xml", "there are no dialects in %s", folder);
    return paths;
}

/* The dialect in the file PATH if it knows the document, else NULL. */
static struct xml_dialect *try_dialect(struct search *search, const char *path)
{
    const struct read_input *input = search->input;
    const struct source *source = source_read(input->arena, input->diags, path);
    struct xml_dialect *dialect =
        source != NULL ? xml_dialect_load(input->arena, input->diags, source) : NULL;

    if (dialect == NULL)
        return NULL;
    search->names = arena_print(input->arena, "%s%s%s", search->names,
                                *search->names != '\0' ? ", " : "", dialect->name);
    xml_paths_enter(dialect->paths, search->document->tree, input->source->raw_length);
    if (xml_path_test(dialect->detect, (const xmlNode *)search->document->tree))
        return dialect;
    xml_dialect_free(dialect);
    return NULL;
}

/* The user's dialect first, then those of the data directory in the order of their names. */
static struct xml_dialect *find_dialect(struct search *search)
{
    const struct read_input *input = search->input;
    const xmlNode *root = xmlDocGetRootElement(search->document->tree);
    struct place place = xml_document_place(search->document, root);
    const char *own = input->options->dialect_file;
    struct xml_dialect *dialect = own != NULL ? try_dialect(search, own) : NULL;
    struct paths paths;

    if (dialect != NULL)
        return dialect;
    if (own != NULL)
        diag_input(input->diags, LEVEL_WARNING, place, xml_document_excerpt(input->arena, root),
                   "a file that its <detect> is true for", "the dialect %s does not know this file",
                   own);
    paths = list_dialects(input);
    for (size_t i = 0; dialect == NULL && i < paths.count; i++)
        dialect = try_dialect(search, paths.items[i]);
    if (dialect == NULL)
        diag_input(input->diags, LEVEL_ERROR, place, xml_document_excerpt(input->arena, root),
                   arena_print(input->arena,
                               "a netlist in one of the dialects %s; for another, "
                               "write a dialect file",
                               *search->names != '\0' ? search->names : "(none found)"),
                   "no dialect knows an XML file with the root element <%s>",
                   (const char *)root->name);
    return dialect;
}

static void free_indexes(struct xml_reading *reading)
{
    for (size_t i = 0; i < reading->dialect->table_count; i++)
        map_free(reading->indexes[i]);
}

static struct circuit *read_as(const struct read_input *input, const struct xml_document *document,
                               const struct xml_dialect *dialect)
{
    struct xml_reading reading = {.input = input, .document = document, .dialect = dialect};
    struct circuit *circuit = circuit_new(input->arena, input->source);

    circuit->format = arena_print(input->arena, "xml %s", dialect->name);
    reading.circuit = circuit;
    reading.scratch = arena_new();
    reading.components = map_new();
    reading.indexes = arena_array(reading.scratch, dialect->table_count, sizeof *reading.indexes);
    circuit->title = xml_choices_value(&reading, &dialect->title,
                                       (const xmlNode *)document->tree, NULL, NULL);
    xml_components_read(&reading);
    xml_connections_read(&reading);
    circuit_finish(circuit);
    free_indexes(&reading);
    map_free(reading.components);
    arena_free(reading.scratch);
    return circuit;
}

static struct circuit *read_xml(const struct read_input *input)
{
    struct xml_document document;
    struct search search = {.input = input, .document = &document, .names = ""};
    struct circuit *circuit = NULL;
    struct xml_dialect *dialect;

    if (!xml_document_open(&document, input->source, input->diags))
        return NULL;
    dialect = find_dialect(&search);
    if (dialect != NULL)
        circuit = read_as(input, &document, dialect);
    xml_dialect_free(dialect);
    xml_document_close(&document);
    return circuit;
}

const struct reader xml_reader = {
    .name = "xml",
    .help = "XML netlists, each vocabulary read by a dialect file in rules/dialects",
    .detect = detect,
    .read = read_xml,
};
