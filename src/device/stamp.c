#include "device/device.h"

void stamp_add(struct stamp *stamp, int row, int column, double value)
{
    struct stamp_target *target = stamp->matrix;

    if (target == NULL || row == STAMP_GROUND || column == STAMP_GROUND)
        return;
    if (target->add != NULL)
        target->add(target->context, row, column, value);
    else
        target->values[target->slots[target->next++]] += value;
}

void stamp_rhs(struct stamp *stamp, int row, double value)
{
    if (row != STAMP_GROUND)
        stamp->rhs[row] += value;
}

void stamp_conductance(struct stamp *stamp, int a, int b, double siemens)
{
    stamp_add(stamp, a, a, siemens);
    stamp_add(stamp, a, b, -siemens);
    stamp_add(stamp, b, a, -siemens);
    stamp_add(stamp, b, b, siemens);
}

void stamp_current(struct stamp *stamp, int a, int b, double amps)
{
    stamp_rhs(stamp, a, -amps);
    stamp_rhs(stamp, b, amps);
}

void stamp_transfer(struct stamp *stamp, int a, int b, int plus, int minus, double siemens)
{
    stamp_add(stamp, a, plus, siemens);
    stamp_add(stamp, a, minus, -siemens);
    stamp_add(stamp, b, plus, -siemens);
    stamp_add(stamp, b, minus, siemens);
}

double stamp_volts(const struct stamp *stamp, int row)
{
    return row == STAMP_GROUND ? 0 : stamp->guess[row];
}
