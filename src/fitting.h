/* What --fitted says is in the fuse holders, held against the netlist; every fuse's resistance. */
#ifndef PREARC_FITTING_H
#define PREARC_FITTING_H

#include <stddef.h>

struct arena;
struct fitted;
struct parts;

/* Why the COUNT markings of FITTED do not go with PARTS: a reference that is not a fuse of the
 * netlist. NULL: all do. */
const char *fitting_refusal(struct arena *arena, const struct parts *parts,
                            const struct fitted *fitted, size_t count);

/* Gives each fuse whose resistance the netlist does not tell the cold resistance typical of its
 * marking (the fitted one if told, else as drawn). */
void fitting_resistances(struct arena *arena, struct parts *parts, const struct fitted *fitted,
                         size_t count);

#endif
