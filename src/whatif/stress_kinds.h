/* Inside of stress_of_branch: the kinds of parts. */
#ifndef PREARC_WHATIF_STRESS_KINDS_H
#define PREARC_WHATIF_STRESS_KINDS_H

#include <stddef.h>

#include "whatif/stress.h"

struct figure;
struct wave;

/* One branch as it is solved. */
struct stressed {
    struct arena *arena;
    const struct stress_case *at;
    const struct branch *branch;   /* of the whole */
    const struct part_info *info;
    const struct wave *amps;       /* FROM to TO */
    const struct wave *from, *to;  /* V against ground */
    struct stress *stresses;
    size_t count;
};

/* Adds one; the verdict follows from it. */
void stress_add(struct stressed *stressed, enum stress_what what, double value, double limit,
                struct withstand withstands, const char *source);
/* "LIMIT_SOURCE; LAW", of a figure that may be NULL: then what is to be given. */
const char *stress_source(const struct stressed *stressed, const struct figure *limit, const char *need,
                          const char *law);
/* W: product of the means. */
double stress_watts(const struct stressed *stressed);

void stress_rectifier(struct stressed *stressed);
void stress_winding(struct stressed *stressed);
void stress_choke(struct stressed *stressed);
void stress_resistor(struct stressed *stressed);
void stress_capacitor(struct stressed *stressed);
/* Valves, transistors. */
void stress_load(struct stressed *stressed);

#endif
