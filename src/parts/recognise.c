#include <ctype.h>
#include <stdarg.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"

enum { DOUBT_LARGEST = 1000 };

void part_doubt(struct arena *arena, struct part_info *info, const char *format, ...)
{
    va_list args;
    const char *text;

    if (info->doubt != NULL && strlen(info->doubt) > DOUBT_LARGEST)
        return;
    va_start(args, format);
    text = arena_vprint(arena, format, args);
    va_end(args);
    info->doubt = info->doubt != NULL ? arena_print(arena, "%s; %s", info->doubt, text) : text;
}

static char *lower(struct arena *arena, const char *text)
{
    char *copy = arena_copy(arena, text);

    for (char *c = copy; *c != '\0'; c++)
        *c = (char)tolower((unsigned char)*c);
    return copy;
}

/* Which parts a K line names, by part index. Names in a deck ignore case. */
static const bool *find_coupled(struct arena *arena, const struct circuit *circuit)
{
    bool *coupled = arena_array(arena, circuit->part_count + 1, sizeof *coupled);
    struct map *map;

    if (circuit->coupling_count == 0)
        return coupled;
    map = map_new();
    for (size_t i = 0; i < circuit->part_count; i++)
        map_add(map, lower(arena, circuit->parts[i]->ref), circuit->parts[i]);
    for (size_t i = 0; i < circuit->coupling_count; i++) {
        const struct coupling *coupling = &circuit->couplings[i];

        for (size_t k = 0; k < coupling->inductor_count; k++) {
            const struct part *part = map_get(map, lower(arena, coupling->inductors[k]));

            if (part != NULL)
                coupled[part->index] = true;
        }
    }
    map_free(map);
    return coupled;
}

static bool is_transformer(enum part_kind kind)
{
    return kind == PART_TRANSFORMER || kind == PART_OUTPUT_TRANSFORMER;
}

static void recognise_part(const struct recogniser *recogniser, struct part_info *info)
{
    const struct type *type;

    info->pins = arena_array(recogniser->arena, info->part->pin_count + 1, sizeof *info->pins);
    type = witness_decide(recogniser, info);
    ratings_assign(recogniser, info, type);
    if (is_transformer(info->kind))
        windings_assign(recogniser, info);
    else
        pins_assign(recogniser, info, type);
}

struct parts *parts_recognise(struct arena *arena, struct diags *diags,
                              const struct circuit *circuit, const struct parts_options *options)
{
    struct library *library = options->library != NULL ? options->library
                              : library_read(arena, diags, arena_print(arena, "%s/parts", options->data_dir));
    struct recogniser recogniser = {
        .arena = arena, .circuit = circuit, .library = library, .options = options};
    struct parts *parts;

    if (library == NULL)
        return NULL;
    parts = arena_alloc(arena, sizeof *parts);
    parts->circuit = circuit;
    parts->count = circuit->part_count;
    parts->items = arena_array(arena, circuit->part_count + 1, sizeof *parts->items);
    recogniser.coupled = find_coupled(arena, circuit);
    for (size_t i = 0; i < parts->count; i++) {
        parts->items[i].part = circuit->parts[i];
        recognise_part(&recogniser, &parts->items[i]);
    }
    for (size_t i = 0; i < parts->count; i++)
        if (is_transformer(parts->items[i].kind) && parts->items[i].winding_count == 0)
            windings_find_rest(&recogniser, parts, &parts->items[i]);
    mains_figures(&recogniser, parts);
    if (library != options->library)
        library_free(library);
    return parts;
}
