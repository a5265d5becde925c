#include "solve/trail.h"

#include <math.h>

#include "base/arena.h"
#include "solve/solve.h"

/* Between the samples along straight lines. */
static double value_at(const struct trail *trail, double seconds)
{
    double place, share;
    size_t before;

    if (trail->count == 0)
        return 0;
    if (trail->hertz <= 0)
        return trail->amps[0];
    place = seconds * trail->hertz;
    place = (place - floor(place)) * (double)trail->count;
    before = (size_t)place;
    share = place - (double)before;
    before %= trail->count; /* sample k is at (k + 1) / count of the period */
    return (1 - share) * trail->amps[(before + trail->count - 1) % trail->count] +
           share * trail->amps[before];
}

/* Samples of TRAIL in a period of HERTZ. */
static size_t samples_in(const struct trail *trail, double hertz)
{
    return trail->hertz > 0 ? (size_t)ceil((double)trail->count * trail->hertz / hertz - 1e-9) : 1;
}

static double slower(double a, double b)
{
    return a > 0 && (b <= 0 || a < b) ? a : b;
}

struct trail trail_add(struct arena *arena, const struct trail *a, const struct trail *b)
{
    struct trail sum = {.hertz = slower(a->hertz, b->hertz), .count = 1};

    if (sum.hertz > 0)
        sum.count = samples_in(a, sum.hertz) > samples_in(b, sum.hertz)
                        ? samples_in(a, sum.hertz) : samples_in(b, sum.hertz);
    sum.amps = arena_array(arena, sum.count, sizeof *sum.amps);
    for (size_t i = 0; i < sum.count; i++) {
        double seconds = sum.hertz > 0 ? (double)(i + 1) / (double)sum.count / sum.hertz : 0;

        sum.amps[i] = value_at(a, seconds) + value_at(b, seconds);
    }
    return sum;
}

struct wave trail_wave(const struct trail *trail)
{
    struct wave wave = {.low = INFINITY, .high = -INFINITY};

    for (size_t i = 0; i < trail->count; i++) {
        wave.mean += trail->amps[i] / (double)trail->count;
        wave.rms += trail->amps[i] * trail->amps[i] / (double)trail->count;
        wave.low = fmin(wave.low, trail->amps[i]);
        wave.high = fmax(wave.high, trail->amps[i]);
    }
    wave.rms = sqrt(wave.rms);
    return trail->count > 0 ? wave : (struct wave){0};
}
