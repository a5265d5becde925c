/* The circuit before its valves draw, with the mains at the top of its tolerance: what capacitors must
 * stand. */
#ifndef PREARC_WHATIF_HIGH_MAINS_H
#define PREARC_WHATIF_HIGH_MAINS_H

struct arena;
struct network;
struct solution;

/* The steady state of NETWORK with the cathodes cold, those of rectifiers warm, and every source raised by
 * the tolerance that its part has. HEALTHY: that of the network as it is. Nodes and branches have the same
 * numbers. Never NULL; an island that is not solved says so. */
struct solution *high_mains_cold(struct arena *arena, const struct network *network,
                                 const struct solution *healthy);

#endif
