/* EDIF 2 0 0 netlists, of both views: netlist and schematic. */
#include "netlist/edif.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"
#include "netlist/sexpr.h"

static int detect(const struct source *source)
{
    return sexpr_starts_with(source, "edif") ? 2 : 0;
}

/* The key of ID. The colon ends the owner's number, whatever ID begins with. */
static const char *make_key(struct edif_file *file, size_t owner, enum edif_kind kind, const char *id)
{
    file->key.length = 0;
    text_print(&file->key, "%c%zx:", (int)kind, owner);
    text_add(&file->key, id);
    return file->key.bytes;
}

static const char *lower_key(struct arena *arena, const char *key)
{
    char *lower = arena_copy(arena, key);

    for (char *at = lower; *at != '\0'; at++)
        *at = (char)tolower((unsigned char)*at);
    return lower;
}

/* Few files spell a name in two ways: the index by names in lower case is made when the first is not found as written,
 * and brought up to date then. */
static void index_lower(struct edif_file *file)
{
    if (file->lower == NULL)
        file->lower = map_new();
    for (; file->lowered < file->entry_count; file->lowered++) {
        const struct edif_entry *entry = &file->entries[file->lowered];

        map_add(file->lower, lower_key(file->scratch, entry->key), entry->value);
    }
}

bool edif_add(struct edif_file *file, size_t owner, enum edif_kind kind, const char *id, void *value)
{
    const char *key = make_key(file, owner, kind, id);

    if (map_get(file->index, key) != NULL)
        return false;
    key = arena_copy(file->scratch, key);
    map_add(file->index, key, value);
    file->entries = arena_grow(file->scratch, file->entries, &file->entry_capacity,
                               file->entry_count, sizeof *file->entries);
    file->entries[file->entry_count++] = (struct edif_entry){key, value};
    return true;
}

void *edif_find(struct edif_file *file, size_t owner, enum edif_kind kind, const char *id)
{
    const char *key = make_key(file, owner, kind, id);
    void *found = map_get(file->index, key);

    if (found != NULL)
        return found;
    index_lower(file);
    for (char *at = file->key.bytes; *at != '\0'; at++)
        *at = (char)tolower((unsigned char)*at);
    return map_get(file->lower, key);
}

/* The character that "_43_" at TEXT stands for, and its length; 0 if it is none. A letter or digit stands for itself. */
static char written_character(const char *text, size_t *length)
{
    char *end;
    long code;

    if (text[0] != '_' || !isdigit((unsigned char)text[1]))
        return 0;
    code = strtol(text + 1, &end, 10);
    if (*end != '_' || code < ' ' || code > '~' || isalnum((int)code) || end - text > 4)
        return 0;
    *length = (size_t)(end - text) + 1;
    return (char)code;
}

const char *edif_called(struct edif_file *file, const struct edif_name *name)
{
    const char *id = name->id != NULL && name->id[0] == '&' && name->id[1] != '\0' ? name->id + 1
                                                                                  : name->id;
    struct text plain = {0};

    if (name->display != NULL)
        return name->display;
    if (id == NULL || strchr(id, '_') == NULL)
        return id;
    while (*id != '\0') {
        size_t length = 1;
        char c = written_character(id, &length);

        text_add_char(&plain, c != 0 ? c : *id);
        id += length;
    }
    id = assembly_text(&file->assembly, text_bytes(&plain), plain.length);
    text_free(&plain);
    return id;
}

static struct circuit *read_edif(const struct read_input *input)
{
    struct edif_file file = {.scratch = arena_new(), .index = map_new()};
    struct circuit *circuit;

    assembly_start(&file.assembly, input, "edif");
    file.assembly.unconnected = UNCONNECTED_BY_NAME;
    edif_gather(&file, input->source);
    file.assembly.circuit->title = file.title;
    if (!file.refused)
        edif_flatten(&file);
    circuit = assembly_finish(&file.assembly);
    map_free(file.index);
    map_free(file.lower);
    text_free(&file.key);
    arena_free(file.scratch);
    return circuit;
}

const struct reader edif_reader = {
    .name = "edif",
    .help = "EDIF 2 0 0 netlists and schematics",
    .detect = detect,
    .read = read_edif,
};
