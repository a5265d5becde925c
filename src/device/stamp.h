/* Filling in the entries of one linear system. Inline, because nothing is called more often. Included by device.h. */
#ifndef PREARC_DEVICE_STAMP_H
#define PREARC_DEVICE_STAMP_H

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
