/* A map from strings to pointers; the keys are not copied and must outlive the map. */
#ifndef PREARC_BASE_MAP_H
#define PREARC_BASE_MAP_H

#include <stdbool.h>
#include <stddef.h>

struct map;

struct map *map_new(void);
void map_free(struct map *map);

/* Adds KEY; false, and nothing changed, if it is there already. */
bool map_add(struct map *map, const char *key, void *value);

/* NULL if not there. */
void *map_get(const struct map *map, const char *key);
void *map_get_span(const struct map *map, const char *key, size_t length);

#endif
