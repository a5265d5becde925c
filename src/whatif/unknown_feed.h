/* What the solver could not know: what sources of unknown volts feed. */
#ifndef PREARC_WHATIF_UNKNOWN_FEED_H
#define PREARC_WHATIF_UNKNOWN_FEED_H

struct network;
struct solution;
struct trace;

/* A winding or feed whose volts are not known is left out of the equations, so that what it feeds comes out dead. Marks the nodes and
 * branches of HEALTHY that this concerns as not solved: its rails and what current from them reaches, unless a source that is known
 * feeds them too; and the fuses of the mains where the primary itself is not known. */
void unknown_feed_mark(const struct network *network, const struct trace *trace, struct solution *healthy);

#endif
