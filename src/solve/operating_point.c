#include "solve/operating_point.h"

#include <string.h>

#include "base/arena.h"
#include "device/network.h"
#include "solve/solution.h"
#include "solve/solve.h"
#include "solve/system.h"

static void restart(struct system *system)
{
    memset(system->x, 0, system->size * sizeof(double));
    system->stamp.first = true;
    system->stamp.source_scale = 1;
    system->stamp.gmin = SYSTEM_GMIN;
}

/* Junctions bridged by a large conductance at first, which is then taken away by decades. */
static bool step_gmin(struct system *system)
{
    restart(system);
    for (double gmin = 1e-1; gmin > SYSTEM_GMIN; gmin /= 10) {
        system->stamp.gmin = gmin;
        if (!system_solve(system, 0, NULL))
            break;
    }
    system->stamp.gmin = SYSTEM_GMIN;
    return system_solve(system, 0, NULL);
}

/* Sources raised from nothing, in steps that shrink when one fails. */
static bool step_sources(struct system *system, double *kept)
{
    double reached = 0, step = 0.1;

    restart(system);
    while (reached < 1 && step > 1e-5) {
        memcpy(kept, system->x, system->size * sizeof(double));
        system->stamp.source_scale = reached + step < 1 ? reached + step : 1;
        if (system_solve(system, 0, NULL)) {
            reached = system->stamp.source_scale;
            step *= 2;
        } else {
            memcpy(system->x, kept, system->size * sizeof(double));
            step /= 4;
        }
    }
    system->stamp.source_scale = 1;
    return reached >= 1;
}

bool operating_point_find(struct system *system)
{
    system_set_step(system, 0);
    restart(system);
    if (system_solve(system, 0, NULL))
        return true;
    if (system->singular)
        return false;
    if (step_gmin(system))
        return true;
    return step_sources(system, system->spare);
}

struct solution *operating_point_solve(struct arena *arena, const struct network *network)
{
    struct solution *solution = solution_new(arena, network);
    struct system *system;

    if (!solution_check_size(solution, network))
        return solution;
    system = system_new(arena, network);
    if (operating_point_find(system))
        solution_hold(solution, system);
    else
        solution_fail(solution, system);
    system_free(system);
    return solution;
}
