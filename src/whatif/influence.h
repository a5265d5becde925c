/* How far the figures of the sound circuit move when one assumed value goes to the ends of its range. */
#ifndef PREARC_WHATIF_INFLUENCE_H
#define PREARC_WHATIF_INFLUENCE_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct assumption;
struct network;
struct solution;
struct wave;

/* What moves a figure by this share of itself or more, a figure rests on. A third of what anybody would
 * ask about (0.1 %), so that the solver's tolerance of 1e-4 hides nothing: common practice, no source. */
#define INFLUENCE_LEAST 3e-4

/* Whether the value goes into any element of the circuit. The tolerance of the mains, the current density of
 * windings and what a fuse's marking leaves open do not. */
bool influence_enters(const struct assumption *assumption);

struct influence {
    const bool *measured;        /* by assumption: both ends of its range were solved */
    const float *const *nodes;   /* by assumption, then node: largest share any figure of its wave moves by */
    const float *const *branches; /* likewise by branch */
    size_t count;                /* assumptions */
};

/* Solves NETWORK's circuit twice for each of COUNT ASSUMPTIONS of its own. Nothing is measured where
 * HEALTHY was not solved, nor where it would be too much work (see the limits in influence.c); an
 * assumption that cannot be measured, because its range is none or an end of it has no solution, has
 * measured false. All in ARENA. */
struct influence *influence_measure(struct arena *arena, const struct network *network,
                                    const struct solution *healthy,
                                    const struct assumption *assumptions, size_t count);

/* The largest share by which mean, RMS, lowest, highest or the swing of a wave differ. A figure that is
 * next to nothing beside the wave's largest value counts as a part in 1000 of that. */
double influence_between(const struct wave *before, const struct wave *after);

#endif
