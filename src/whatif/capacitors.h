/* Capacitors that an open fuse leaves with more volts than they are made for, or with a charge that nothing takes away. */
#ifndef PREARC_WHATIF_CAPACITORS_H
#define PREARC_WHATIF_CAPACITORS_H

struct fault;
struct sweep;

/* Adds to FAULT, an open fuse, what SWEEP's solution holds of it. */
void capacitors_look(struct sweep *sweep, struct fault *fault);

#endif
