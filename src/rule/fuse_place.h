/* What the place of a fuse in the circuit asks of its link, from the stages' results. */
#ifndef PREARC_RULE_FUSE_PLACE_H
#define PREARC_RULE_FUSE_PLACE_H

#include <libxml/tree.h>

#include "fuselink/recommend.h"
#include "rule/facts_build.h"

struct fault_view;
struct fuse_view;

struct fuse_place {
    struct fuse_need need;
    const struct fault_view **faults; /* of need.faults, same order */
    size_t unjudged;       /* shorts of its zone whose current is not known */
    const struct fault_view *
        *upstream; /* shorts that no fuse of their own clears and that it stands upstream of */
    const double *upstream_amps;        /* RMS through it in each */
    size_t upstream_count;
    bool known; /* false: in the protective earth, bridged or protecting nothing: nothing to be asked */
};

/* NODE is the fuse's element, with what the stages say of it: @placement, @idle-amps and, where they are
 * known,
 * @full-amps, @clipped-amps, @switch-on-i2t and @switch-on-seconds. */
struct fuse_place fuse_place_find(const struct facts_build *build, xmlNode *node,
                                  const struct fuse_view *view);

#endif
