/* Things that belong together, each pointing to another of its set; the root is the one of least index. */
#ifndef PREARC_NETLIST_BOARDS_FOREST_H
#define PREARC_NETLIST_BOARDS_FOREST_H

#include <stddef.h>

size_t forest_root(const size_t *parents, size_t at);
void forest_join(size_t *parents, size_t a, size_t b);

#endif
