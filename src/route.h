/* The way current takes from a source to a node, in order of parts. */
#ifndef PREARC_ROUTE_H
#define PREARC_ROUTE_H

#include <stddef.h>

struct arena;
struct trace;

/* "winding HT of T1 > F2 > D1 > R5 > B2": from the source of RAIL to NODE by the fewest parts,
 * without going through the rail's return. NULL if there is no such way. */
const char *route_from_source(struct arena *arena, const struct trace *trace, size_t rail,
                              size_t node);

/* The same from each pole of the source that feeds the transformer of SOURCE to its primary, as
 * "J1 > F1 > S1 > T1 and J1 > T1"; NULL if that is not known. */
const char *route_from_feeder(struct arena *arena, const struct trace *trace, size_t source);

/* "winding HT of T1", "inlet J1", "battery B1". */
const char *route_source_name(struct arena *arena, const struct trace *trace, size_t source);

#endif
