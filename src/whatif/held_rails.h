/* A fault's direct volts where its steady state was not found. */
#ifndef PREARC_WHATIF_HELD_RAILS_H
#define PREARC_WHATIF_HELD_RAILS_H

struct solution;
struct sweep;

/* The operating point of SWEEP's present changes with the reservoir of every rail that still has its supply held at its mean volts
 * in health, in SCRATCH. Nothing of it says what a fuse carries for its ripple, nor how far a rail sags: it tells what stands
 * where when one rail is lost, and what at most still flows. Becomes SWEEP's faulted network. */
const struct solution *held_rails_solve(struct sweep *sweep);

#endif
