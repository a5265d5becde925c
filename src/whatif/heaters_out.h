/* Valves that go cold with a fuse open. */
#ifndef PREARC_WHATIF_HEATERS_OUT_H
#define PREARC_WHATIF_HEATERS_OUT_H

struct fault;
struct sweep;

/* If valves have lost their heaters in SWEEP's solution of FAULT, an open fuse, solves again with these drawing nothing. */
void heaters_out_follow(struct sweep *sweep, const struct fault *fault);

#endif
