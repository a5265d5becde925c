#include "netlist/boards.h"

#include <ctype.h>
#include <string.h>

#include "base/arena.h"
#include "base/forest.h"
#include "base/map.h"

const char *boards_key(struct arena *arena, const char *text, size_t length)
{
    char *key = arena_copy_span(arena, text, length);

    for (char *c = key; *c != '\0'; c++)
        *c = strchr(" \t,;=(){}[]'\"", *c) != NULL ? '_' : (char)toupper((unsigned char)*c);
    return key;
}

/* PATH's last DEPTH parts without the ending: "x/preamp". */
static const char *tail(struct arena *arena, const char *path, size_t depth)
{
    const char *end = path + strlen(path), *start = end, *dot;

    while (start > path && (start[-1] != '/' || --depth > 0))
        start--;
    if (strcmp(start, "<stdin>") == 0)
        return "stdin";
    dot = strrchr(start, '.');
    if (dot != NULL && dot > start && strchr(dot, '/') == NULL)
        end = dot;
    return arena_copy_span(arena, start, (size_t)(end - start));
}

/* Gives each board that shares its name with another one DEPTH parts of its path; true if any did. */
static bool lengthen(struct boards *boards, size_t depth)
{
    struct map *names = map_new();
    const char **keys = arena_array(boards->arena, boards->count, sizeof *keys);
    bool *shared = arena_array(boards->arena, boards->count, sizeof *shared);
    bool any = false;

    for (size_t i = 0; i < boards->count; i++) {
        struct board *other;

        if (boards->items[i].name == NULL)
            continue;
        keys[i] = boards_key(boards->arena, boards->items[i].name, strlen(boards->items[i].name));
        other = map_get(names, keys[i]);
        if (other != NULL)
            any = shared[i] = shared[other - boards->items] = true;
        map_add(names, keys[i], &boards->items[i]);
    }
    for (size_t i = 0; i < boards->count; i++)
        if (shared[i])
            boards->items[i].name = tail(boards->arena, boards->items[i].source->name, depth);
    map_free(names);
    return any;
}

/* The second of what has one KEY, and all after it, are NAME#2 and so on. */
static void number_copy(struct arena *arena, struct map *counts, const char *key, struct board *board,
                        const char *name)
{
    size_t *count = map_get(counts, key);

    if (count == NULL) {
        count = arena_alloc(arena, sizeof *count);
        map_add(counts, key, count);
    }
    if (++*count > 1)
        board->name = arena_print(arena, "%s#%zu", name, *count);
}

/* Names of boards, a file given twice left out; then of those that were left out. */
static void name_boards(struct boards *boards)
{
    enum { DEPTH_MOST = 8 };
    struct map *firsts = map_new(), *paths = map_new(), *names = map_new();
    size_t depth = 2;

    for (size_t i = 0; i < boards->count; i++)
        if (boards->items[i].source != NULL && map_add(firsts, boards->items[i].source->name, &boards->items[i]))
            boards->items[i].name = tail(boards->arena, boards->items[i].source->name, 1);
    while (depth <= DEPTH_MOST && lengthen(boards, depth))
        depth++;
    for (size_t i = 0; i < boards->count; i++) {
        struct board *board = &boards->items[i];
        const struct board *first = board->source != NULL ? map_get(firsts, board->source->name) : NULL;

        if (first == board)
            number_copy(boards->arena, names, boards_key(boards->arena, board->name, strlen(board->name)), board,
                        board->name);
        if (first != NULL)
            number_copy(boards->arena, paths, board->source->name, board, first->name);
    }
    map_free(firsts);
    map_free(paths);
    map_free(names);
}

void boards_find(struct boards *boards)
{
    size_t *parents = forest_new(boards->arena, boards->count);

    if (boards->count > 1) { /* a file alone refers to nothing */
        name_boards(boards);
        boards_find_wires(boards, parents);
    }
    for (size_t i = 0; i < boards->count; i++)
        boards->items[i].group = forest_root(parents, i);
}
