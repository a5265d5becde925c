/* Whether two grids gave the same solution. */
#ifndef PREARC_SOLVE_GRIDS_H
#define PREARC_SOLVE_GRIDS_H

#include <stdbool.h>

struct arena;
struct network;
struct solution;

/* Whether two grids gave the same RMS values to SHARE of the larger; else *BLAME is one that differs. */
bool grids_agree(struct arena *work, const struct network *network,
                 const struct solution *coarse, const struct solution *fine, double share,
                 const char **blame);
/* Whether the peaks of the rectified currents agree as well: where a diode meets a capacitor with next to no
 * resistance they need a finer grid than the RMS values. */
bool grids_peaks_agree(const struct network *network, const struct solution *coarse,
                       const struct solution *fine);

#endif
