/* Filling in the entries of one linear system. Inline, because nothing is called more often. */
#ifndef PREARC_DEVICE_STAMP_H
#define PREARC_DEVICE_STAMP_H

#include <stdbool.h>
#include <stddef.h>

/* What a device sees and fills in while one linear system of the Newton iteration is set up.
 * Unknowns: node voltages, then one current for each branch unknown a device asks for. The reference
 * node has row STAMP_GROUND, which is dropped. */
struct stamp {
    struct stamp_target *matrix; /* NULL: only the right-hand side is wanted; use stamp_add */
    double *rhs;             /* right-hand side by row */
    const double *guess;     /* present guess of all unknowns, by row */
    double *limits;          /* V each limiting element was last linearised at, from element_rows.limit on */
    double time;             /* s; sources are evaluated at it */
    double step;             /* s: gamma*h of the implicit stage; 0 at an operating point */
    const double *history;   /* energy states at the stage's start: V across a capacitor, A in an inductor */
    double source_scale;     /* 0..1, source stepping */
    double gmin;             /* S, across junctions */
    bool first;              /* first iteration: no limiting against LIMITS */
    bool unlimited;          /* no limiting at all: the solver itself looks how far to go */
    bool limited;            /* set by a device that had to limit its voltage */
};

enum { STAMP_GROUND = -1 };

/* Where stamp_add puts the entries: through ADD if that is given, else, in the order in which they come, into
 * VALUES at SLOTS (recorded before; entries in the reference's row or column do not count). */
struct stamp_target {
    void (*add)(void *context, int row, int column, double value);
    void *context;
    double *values;
    const int *slots;
    size_t next; /* in slots */
};

static inline void stamp_add(struct stamp *stamp, int row, int column, double value)
{
    struct stamp_target *target = stamp->matrix;

    if (target == NULL || row == STAMP_GROUND || column == STAMP_GROUND)
        return;
    if (target->add != NULL)
        target->add(target->context, row, column, value);
    else
        target->values[target->slots[target->next++]] += value;
}

static inline void stamp_rhs(struct stamp *stamp, int row, double value)
{
    if (row != STAMP_GROUND)
        stamp->rhs[row] += value;
}

/* Conductance between two rows. */
static inline void stamp_conductance(struct stamp *stamp, int a, int b, double siemens)
{
    stamp_add(stamp, a, a, siemens);
    stamp_add(stamp, a, b, -siemens);
    stamp_add(stamp, b, a, -siemens);
    stamp_add(stamp, b, b, siemens);
}

/* Current source from row A to row B through the element. */
static inline void stamp_current(struct stamp *stamp, int a, int b, double amps)
{
    stamp_rhs(stamp, a, -amps);
    stamp_rhs(stamp, b, amps);
}

/* Current from row A to row B of SIEMENS times the volts of row PLUS against row MINUS. */
static inline void stamp_transfer(struct stamp *stamp, int a, int b, int plus, int minus,
                                  double siemens)
{
    stamp_add(stamp, a, plus, siemens);
    stamp_add(stamp, a, minus, -siemens);
    stamp_add(stamp, b, plus, -siemens);
    stamp_add(stamp, b, minus, siemens);
}

static inline double stamp_volts(const struct stamp *stamp, int row)
{
    return row == STAMP_GROUND ? 0 : stamp->guess[row];
}

#endif
