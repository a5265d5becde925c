/* Which nodes a direct current can flow between: nodes that conducting elements tie together, whatever their direction. */
#ifndef PREARC_DEVICE_DIRECT_PATH_H
#define PREARC_DEVICE_DIRECT_PATH_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct network;

/* Of the elements NETWORK has now; node_count entries, a forest of nodes. Capacitors and the coupling between windings
 * do not conduct. */
size_t *direct_paths(struct arena *arena, const struct network *network);
void direct_path_join(size_t *paths, size_t a, size_t b);
bool direct_path_exists(size_t *paths, size_t a, size_t b);

#endif
