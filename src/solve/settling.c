/* One period after the other on a coarse grid: how long it takes matters here, not what flows meanwhile. */
#include "solve/settling.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "device/network.h"
#include "solve/period.h"
#include "solve/solution.h"
#include "solve/solve.h"
#include "solve/system.h"

enum { STEPS = 100 };
#define DIRECT_PERIOD 0.02 /* s */

/* So many times the work of a search for the steady state, at most. */
#define MOST_WORKS 10

/* States of less than this share of the largest of their kind are compared with that. */
#define LEAST_SHARE 1e-3

struct settling {
    struct system *system;
    bool *counts;         /* by state: not those of filters, which only follow others, ripple and all */
    struct period period;
    const double *target; /* energy states of the steady state */
};

/* The largest state of a kind: volts of capacitors, or currents. */
static double largest(const struct settling *settling, bool volts)
{
    const struct system *system = settling->system;
    double most = 0;

    for (size_t i = 0; i < system->state_count; i++)
        if (system->is_volts[i] == volts)
            most = fmax(most, fmax(fabs(settling->target[i]), settling->period.largest[i]));
    return most;
}

/* Whether the end of the last period is within SHARE of the steady state, and hardly moves. */
static bool is_there(const struct settling *settling, double share)
{
    const struct period *period = &settling->period;
    double floors[2] = {LEAST_SHARE * largest(settling, false),
                        LEAST_SHARE * largest(settling, true)};

    for (size_t i = 0; i < settling->system->state_count; i++) {
        double scale = fmax(fabs(settling->target[i]), period->largest[i]);

        scale = fmax(scale, floors[settling->system->is_volts[i]]);
        if (settling->counts[i] && !(fabs(period->end[i] - settling->target[i]) <= share * scale &&
                                     fabs(period->end[i] - period->start[i]) <= SETTLING_MOVE * scale))
            return false;
    }
    return true;
}

static bool *counting(struct arena *arena, const struct system *system)
{
    const struct network *network = system->network;
    bool *counts = arena_array(arena, system->state_count, sizeof *counts);

    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        for (size_t s = 0; s < element->device->states(element); s++)
            counts[system->rows[i].state + (int)s] = element->device != &device_mean_filter;
    }
    return counts;
}

static bool run(struct settling *settling, double share, double most_seconds, double *seconds)
{
    struct period *period = &settling->period;
    size_t bytes = settling->system->state_count * sizeof(double);
    double left = MOST_WORKS * SYSTEM_MOST_WORK(settling->system->size);

    for (size_t n = 1; (double)n * period->seconds <= most_seconds && left > 0; n++) {
        settling->system->work = 0; /* the limit is that of all periods together */
        if (!period_run(period, false))
            return false;
        left -= settling->system->work;
        if (is_there(settling, share)) {
            *seconds = (double)n * period->seconds;
            return true;
        }
        memcpy(period->start, period->end, bytes);
    }
    return false;
}

bool settling_from_rest(const struct network *network, const struct solution *settled, double share,
                        double most_seconds, double *seconds)
{
    struct arena *arena;
    struct settling settling;
    double *target;
    bool there;

    if (settled->status != SOLVE_OK || network->element_count == 0)
        return false;
    arena = arena_new();
    settling.system = system_new(arena, network);
    settling.period = period_new(arena, settling.system,
                                 network->hertz > 0 ? 1 / network->hertz : DIRECT_PERIOD, false);
    period_set_steps(&settling.period, arena, STEPS);
    target = arena_array(arena, settling.system->state_count, sizeof *target);
    solution_find_states(settled, settling.system, target);
    settling.target = target;
    settling.counts = counting(arena, settling.system);
    there = run(&settling, share, most_seconds, seconds);
    system_free(settling.system);
    arena_free(arena);
    return there;
}
