/* Figures of elements that change while they warm after switch-on. */
#ifndef PREARC_SOLVE_WARMING_H
#define PREARC_SOLVE_WARMING_H

#include <stddef.h>

/* How a figure gets from what it is cold to what it is in use. */
enum warming_course {
    WARMING_EXPONENTIAL, /* hot + (cold - hot) exp(-(t - delay)/seconds) */
    WARMING_LINEAR       /* straight from cold to hot in SECONDS */
};

/* figures[0] of ELEMENT (its index in the network) while it warms. */
struct warming {
    size_t element;
    enum warming_course course;
    double cold, hot;      /* in the unit of the figure */
    double delay, seconds; /* s: cold until DELAY; SECONDS is more than 0 */
};

/* The figure T seconds after switch-on. */
double warming_at(const struct warming *warming, double t);
/* How far it is then from what it is in use, as a share of the larger of the two figures. */
double warming_left(const struct warming *warming, double t);

#endif
