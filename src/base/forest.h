/* Sets that are joined two at a time (union and find); an item is a number. */
#ifndef PREARC_BASE_FOREST_H
#define PREARC_BASE_FOREST_H

#include <stdbool.h>
#include <stddef.h>

struct arena;

/* By item its parent: COUNT items, each in a set of its own. */
size_t *forest_new(struct arena *arena, size_t count);
/* What stands for the item's set: its lowest item. Shortens the way there, so that many questions take little more time than they
 * are many. */
size_t forest_root(size_t *parents, size_t item);
void forest_join(size_t *parents, size_t a, size_t b);
bool forest_joined(size_t *parents, size_t a, size_t b);

#endif
