/* What credibly fails: each once, whatever part it is seen from. */
#ifndef PREARC_WHATIF_CANDIDATES_H
#define PREARC_WHATIF_CANDIDATES_H

struct sweep;

/* Fills SWEEP's whatif->faults with what is to be tried, not solved: shorts of every rail node that is not behind a
 * dropper, of every diode of a rectifier, of windings and of output transformers' primaries to frame, of power valves'
 * anodes and screens to their cathodes, of the capacitors before their grids, of regulators and of output transistors; and
 * every fuse open. Two of the same two nodes are one fault, about the parts of both. */
void candidates_list(struct sweep *sweep);

#endif
