#include "base/map.h"

#include <string.h>

#include "base/arena.h"

#define uthash_malloc(size) memory_alloc(size)
#include <uthash.h>

struct entry {
    const char *key;
    void *value;
    UT_hash_handle hh;
};

struct map {
    struct entry *entries; /* uthash head */
    struct arena *arena;   /* holds the entries */
};

struct map *map_new(void)
{
    struct map *map = memory_alloc(sizeof *map);

    map->entries = NULL;
    map->arena = arena_new();
    return map;
}

void map_free(struct map *map)
{
    if (map == NULL)
        return;
    HASH_CLEAR(hh, map->entries);
    arena_free(map->arena);
    free(map);
}

static struct entry *find(const struct map *map, const char *key, size_t length)
{
    struct entry *found;

    HASH_FIND(hh, map->entries, key, length, found);
    return found;
}

bool map_add(struct map *map, const char *key, void *value)
{
    struct entry *entry;
    size_t length = strlen(key);
    unsigned hash;

    HASH_VALUE(key, length, hash);
    HASH_FIND_BYHASHVALUE(hh, map->entries, key, length, hash, entry);
    if (entry != NULL)
        return false;
    entry = arena_alloc(map->arena, sizeof *entry);
    entry->key = key;
    entry->value = value;
    HASH_ADD_KEYPTR_BYHASHVALUE(hh, map->entries, entry->key, length, hash, entry);
    return true;
}

void *map_get_span(const struct map *map, const char *key, size_t length)
{
    struct entry *found = find(map, key, length);

    return found != NULL ? found->value : NULL;
}

void *map_get(const struct map *map, const char *key)
{
    return map_get_span(map, key, strlen(key));
}
