/* The signal's alternating current in what lies between a stage and the capacitors that take it over. */
#ifndef PREARC_WHATIF_SIGNAL_SHARE_H
#define PREARC_WHATIF_SIGNAL_SHARE_H

#include <stddef.h>

struct cycle;
struct network;
struct output_stage;

/* Adds, root sum square, what STAGE in CYCLE of LEVELS sends through each branch to AUDIO, A RMS
 * by branch. */
void signal_share_add(const struct network *network, const struct output_stage *stage,
                      const struct cycle *cycle, size_t levels, double *audio);

#endif
