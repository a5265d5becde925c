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

/* The key of ID, in lower case for the second look. */
static const char *make_key(struct edif_file *file, size_t owner, int kind, const char *id,
                            bool lower)
{
    struct text *key = &file->key;
    size_t start;

    key->length = 0;
    text_print(key, "%zx%c", owner, lower ? toupper(kind) : kind);
    start = key->length;
    text_add(key, id);
    for (size_t i = start; lower && i < key->length; i++)
        key->bytes[i] = (char)tolower((unsigned char)key->bytes[i]);
    return key->bytes;
}

bool edif_add(struct edif_file *file, size_t owner, enum edif_kind kind, const char *id, void *value)
{
    const char *key = make_key(file, owner, (int)kind, id, false);

    if (!map_add(file->index, arena_copy(file->scratch, key), value))
        return false;
    key = make_key(file, owner, (int)kind, id, true);
    map_add(file->index, arena_copy(file->scratch, key), value);
    return true;
}

void *edif_find(struct edif_file *file, size_t owner, enum edif_kind kind, const char *id)
{
    void *found = map_get(file->index, make_key(file, owner, (int)kind, id, false));

    return found != NULL ? found
                         : map_get(file->index, make_key(file, owner, (int)kind, id, true));
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
