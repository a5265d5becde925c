/* A marking said to be in a fuse holder, whatever the drawing says. */
#ifndef PREARC_BENCH_FITTED_H
#define PREARC_BENCH_FITTED_H

struct fitted {
    const char *ref, *marking;
};

#endif
