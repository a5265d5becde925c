/* The periodic steady state: the energy states that a period gives back unchanged. Newton's method on the map of
 * one period (shooting), on a coarse grid first; then finer grids until the RMS values no longer depend on it. */
#include "solve/steady.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/anderson.h"
#include "solve/grids.h"
#include "solve/operating_point.h"
#include "solve/period.h"
#include "solve/search.h"
#include "solve/solution.h"
#include "solve/solve.h"
#include "solve/system.h"

/* Steps a period of the grid of the rough search; those that are compared have FIRST_RATIO times as many, then twice as
 * many each time. */
enum { COARSE_STEPS = 25, FIRST_RATIO = 4, LEVELS = 7, MOST_RATIO = 20 };
enum { FIRST_PERIODS = 2, MOST_SHOTS = 60, MOST_MIXES = 300 };
/* On the third grid and those after. */
enum { MOST_FINE_SHOTS = 10 };

/* Two grids agree when no RMS value differs by more than this share. */
#define GRID_SHARE 0.005
/* The finest grid must agree with the one before to this share at least. */
#define LAST_SHARE 0.02
/* Of the usual tolerance of the search, on the third grid and those after. */
#define FINE_SHARE 0.01
/* Of the coarsest grid, whose own error is larger. */
#define COARSE_TOLERANCE 1e-2

/* The lowest frequency must divide all others. False, with the blame, if one does not fit. */
static bool check_frequencies(const struct network *network, size_t *ratio,
                              struct solution *solution)
{
    *ratio = 1;
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];
        double multiple = element->figures[2] / network->hertz;

        if (element->device != &device_source || element->figures[1] == 0)
            continue;
        if (!(fabs(multiple - round(multiple)) < 1e-6) || multiple < 0.5 ||
            multiple > MOST_RATIO) {
            solution->status = SOLVE_NOT_CONVERGED;
            solution->blame = element->part->ref;
            return false;
        }
        if ((size_t)round(multiple) > *ratio)
            *ratio = (size_t)round(multiple);
    }
    return true;
}

/* The same without derivatives. The share a period still moves by must be small against what is asked of the state,
 * because what moves slowly has far to go. */
static bool mix(struct search *search, double tolerance)
{
    struct period *period = &search->period;
    struct anderson anderson = anderson_new(search->work, search->system->state_count);

    for (int i = 0; i < MOST_MIXES; i++) {
        if (!search_run(search, false))
            return false;
        if (search_residual(search) <= tolerance * 1e-3)
            return true;
        anderson_step(&anderson, period->start, period->end, search->scale);
    }
    return false;
}

static void make_record(struct search *search, size_t steps)
{
    struct record *record = search->period.record;

    record->width = search->network->branch_count - record->first;
    record->steps = steps;
    record->amps = arena_array(search->work, record->width * steps, sizeof *record->amps);
}

/* STEPS a period from now on; the last period run is gathered into GATHER. */
static void set_grid(struct search *search, size_t steps, struct solution *gather)
{
    period_set_steps(&search->period, search->work, steps);
    search->period.gather = gather;
    if (gather != NULL)
        make_record(search, steps);
}

/* Where a search sets out from. */
struct outset {
    double *start, *guess;
};

static struct outset keep_outset(const struct search *search)
{
    const struct system *system = search->system;
    struct outset outset = {arena_alloc(search->work, system->state_count * sizeof(double)),
                            arena_alloc(search->work, system->size * sizeof(double))};

    memcpy(outset.start, search->period.start, system->state_count * sizeof(double));
    memcpy(outset.guess, system->x, system->size * sizeof(double));
    return outset;
}

/* The guess too: a search that ran away leaves one from which no stage can be solved. */
static void go_back(struct search *search, const struct outset *outset)
{
    struct system *system = search->system;

    memcpy(search->period.start, outset->start, system->state_count * sizeof(double));
    memcpy(system->x, outset->guess, system->size * sizeof(double));
    system->stamp.first = true;
    system->have_factors = false;
}

/* Finds the steady state on the present grid. */
static bool settle(struct search *search, double tolerance)
{
    struct outset outset = keep_outset(search);
    bool found;

    if (search->shooting && search_shoot(search, tolerance, MOST_SHOTS))
        return true;
    go_back(search, &outset);
    if (search->shooting && search_creep(search, tolerance))
        return true;
    go_back(search, &outset);
    search->have_factors = false;
    found = mix(search, tolerance);
    if (!found)
        go_back(search, &outset);
    return found;
}

static struct solution *give_up(struct search *search)
{
    struct solution *solution = solution_new(search->work, search->network);

    solution->status = SOLVE_NOT_CONVERGED;
    solution->blame = search->stuck ? system_row_name(search->system, search->system->worst)
                                    : system_state_name(search->system, search->worst);
    solution->hertz = search->network->hertz;
    solution->periods = search->periods;
    return solution;
}

static struct solution *finish(struct search *search, struct solution *solution)
{
    solution->hertz = search->network->hertz;
    solution->periods = search->periods;
    solution_keep_states(solution, search->system, search->period.start);
    return solution;
}

/* The steady state on grid LEVEL. Where two grids did not agree, what the tolerance leaves open may be why: the charging current of a
 * reservoir that next to nothing is drawn from depends on far less than 1e-4 of its volts. So it is at least tried. */
static bool settle_level(struct search *search, int level)
{
    if (level >= 2 && search->shooting) {
        search->system->precision = FINE_PRECISION;
        if (search_shoot(search, FINE_SHARE * search->relative, MOST_FINE_SHOTS))
            return true;
    }
    return settle(search, search->relative);
}

static bool agree(const struct search *search, const struct solution *coarse,
                  const struct solution *fine, double share, const char **blame)
{
    return coarse != NULL &&
           grids_agree(search->work, search->network, coarse, fine, share, blame);
}

/* Ever finer grids, from STEPS a period, until two agree. */
static struct solution *refine(struct search *search, size_t steps)
{
    struct solution *coarse = NULL, *fine = NULL;
    const char *blame = NULL;

    for (int level = 0; level < LEVELS; level++, steps *= 2) {
        fine = solution_new(search->work, search->network);
        set_grid(search, steps, fine);
        if (!settle_level(search, level))
            return give_up(search);
        if (agree(search, coarse, fine, GRID_SHARE, &blame) &&
            grids_peaks_agree(search->network, coarse, fine))
            return finish(search, fine);
        if (level == LEVELS - 1 && agree(search, coarse, fine, LAST_SHARE, &blame))
            return finish(search, fine);
        coarse = fine;
    }
    finish(search, fine);
    fine->status = SOLVE_NOT_CONVERGED;
    fine->blame = blame;
    return fine;
}

/* A rough steady state on a coarse grid; from there the finer ones need few periods. */
static struct solution *search_steady(struct search *search, size_t steps,
                                      const struct solve_options *options)
{
    struct solution *solution;

    set_grid(search, steps, NULL);
    search_run_plainly(search, FIRST_PERIODS);
    settle(search, COARSE_TOLERANCE);
    if (options->steps == 0)
        return refine(search, FIRST_RATIO * steps);
    solution = solution_new(search->work, search->network);
    set_grid(search, options->steps, solution);
    if (!settle(search, search->relative))
        return give_up(search);
    return finish(search, solution);
}

/* From the operating point, or from the states of another solution. */
static struct solution *solve_periodic(struct arena *arena, struct system *system,
                                       const struct solve_options *options, size_t ratio,
                                       struct record *record)
{
    struct search search = search_new(arena, system->network, system, options->relative);

    search.period.record = record;
    if (system->state_count > 0)
        system_store(system, search.period.start);
    if (options->start != NULL)
        solution_find_states(options->start, system, search.period.start);
    return search_steady(&search, COARSE_STEPS * ratio, options);
}

struct solution *steady_solve(struct arena *arena, const struct network *network,
                              const struct solve_options *options, struct record *record)
{
    struct solution *solution = solution_new(arena, network);
    struct system *system;
    size_t ratio;

    if (!solution_check_size(solution, network) ||
        !check_frequencies(network, &ratio, solution))
        return solution;
    system = system_new(arena, network);
    if (options->effort > 0)
        system->most_work *= options->effort;
    if (operating_point_find(system))
        solution = solve_periodic(arena, system, options, ratio, record);
    else
        solution_fail(solution, system);
    system_free(system);
    return solution;
}
