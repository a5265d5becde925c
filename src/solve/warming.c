#include "solve/warming.h"

#include <math.h>

double warming_at(const struct warming *warming, double t)
{
    double share = fmax(0, t - warming->delay) / warming->seconds;

    if (warming->course == WARMING_LINEAR)
        return warming->cold + (warming->hot - warming->cold) * fmin(1, share);
    return warming->hot + (warming->cold - warming->hot) * exp(-share);
}

double warming_left(const struct warming *warming, double t)
{
    return fabs(warming_at(warming, t) - warming->hot) /
           fmax(fabs(warming->hot), fabs(warming->cold));
}
