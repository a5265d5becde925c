/* Every fuse's resistance, by what is said to be in its holder or is drawn. */
#ifndef PREARC_FITTING_H
#define PREARC_FITTING_H

#include <stddef.h>

struct arena;
struct fitted;
struct parts;

/* Gives each fuse whose resistance the netlist does not tell the cold resistance typical of its
 * marking (the fitted one if told, else as drawn). */
void fitting_resistances(struct arena *arena, struct parts *parts, const struct fitted *fitted,
                         size_t count);

#endif
