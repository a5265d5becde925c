/* Every fuse of the circuit with the marking it is judged by. */
#ifndef PREARC_WHATIF_FUSE_STATE_H
#define PREARC_WHATIF_FUSE_STATE_H

#include "whatif/whatif.h"

/* Fills whatif->fuses, in the order of their branches. */
void fuse_state_list(struct arena *arena, const struct network *network,
                     const struct fitted *fitted, size_t fitted_count, struct whatif *whatif);

#endif
