/* Newton's method for one stage. Diodes bend sharply, and a plain step may jump from one set of conducting diodes to
 * another for ever. All nonlinear elements are passive two-terminal elements whose current rises with their volts, and the
 * linear rest is reciprocal, so that the solution is where a convex function (the co-content) is least: a step that
 * stops where the slope along it vanishes always comes nearer (damped Newton's method on a convex function). */
#include "solve/system.h"

#include <float.h>
#include <math.h>
#include <string.h>

#include "device/network.h"
#include "solve/descent.h"
#include "solve/matrix.h"

/* Steps are plain at first, because nearly always a few suffice; then they are searched along. */
enum { MOST_ITERATIONS = 150, SEARCH_AFTER = 8, DAMP_AFTER = 50, DAMP_ROUND = 8 };
/* Newton stops when no unknown moves by more than this: relative, V or A. */
#define RELATIVE_MOVE 1e-5
#define LEAST_VOLTS 1e-6
#define LEAST_AMPS 1e-8
/* An equation is met when what is left of it is no more than the rounding of its own terms and a residue far below what a
 * blocking junction lets through (SYSTEM_GMIN): A at a node, V or amp-turns elsewhere. */
#define ROUNDING (4 * DBL_EPSILON)
#define LEFT_AMPS 1e-13
#define LEFT_VOLTS 1e-9

/* The right-hand side of the linear elements, which no iteration changes. */
static void set_base_rhs(struct system *system)
{
    memset(system->base_rhs, 0, system->size * sizeof(double));
    system->stamp.matrix = NULL;
    system->stamp.rhs = system->base_rhs;
    for (size_t i = 0; i < system->driven_count; i++) {
        size_t index = system->driven[i];
        const struct element *element = system->network->elements[index];

        element->device->stamp(element, &system->rows[index], &system->stamp);
    }
    system->stamp.rhs = system->rhs;
    system->stamp.matrix = &system->target;
}

/* Matrix and right-hand side linearised at x. */
static void linearise(struct system *system)
{
    double *values = matrix_values(system->matrix);

    memcpy(values, system->base_values, matrix_value_count(system->matrix) * sizeof(double));
    memcpy(system->rhs, system->base_rhs, system->size * sizeof(double));
    system->target.values = values;
    system->stamp.limited = false;
    for (size_t i = 0; i < system->nonlinear_count; i++)
        system_stamp_element(system, system->nonlinear[i]);
    system->stamp.first = false;
}

/* Whether the last factors are near enough to the present values. */
static bool factors_serve(const struct system *system)
{
    const double *values = matrix_values(system->matrix);

    if (!system->have_factors)
        return false;
    for (size_t i = 0; i < system->nonlinear_count; i++) {
        size_t slot = system->first_slots[system->nonlinear[i]];
        size_t end = system->first_slots[system->nonlinear[i] + 1];

        for (; slot < end; slot++) {
            int place = system->slots[slot];
            double move = fabs(values[place] - system->factored[place]);

            if (move > system->precision * (SYSTEM_KEPT_SHARE * fabs(values[place]) + SYSTEM_KEPT_SIEMENS))
                return false;
        }
    }
    return true;
}

static bool factor(struct system *system, bool anew)
{
    if (!anew && factors_serve(system))
        return true;
    if (!matrix_factor(system->matrix, anew)) {
        system->worst = matrix_singular_column(system->matrix);
        system->singular = true;
        system->have_factors = false;
        return false;
    }
    memcpy(system->factored, matrix_values(system->matrix),
           matrix_value_count(system->matrix) * sizeof(double));
    system->have_factors = true;
    return true;
}

static double tolerance(double precision, double x, double least)
{
    return precision * (RELATIVE_MOVE * fabs(x) + least);
}

double system_tolerance(const struct system *system, int row)
{
    return tolerance(system->precision, system->x[row],
                     (size_t)row < system_node_rows(system) ? LEAST_VOLTS : LEAST_AMPS);
}

double system_least_current_move(const struct system *system)
{
    return system->precision * LEAST_AMPS;
}

/* Adds SHARE of the step to x; true if no unknown would move by more than the tolerance. WORST is the one that moves
 * most. */
static bool take_step(struct system *system, double share)
{
    size_t size = system->size, node_rows = system_node_rows(system);
    const double *step = system->residual;
    double most = 0, precision = system->precision, *x = system->x;

    system->worst = -1;
    for (size_t i = 0; i < size; i++) {
        double least = i < node_rows ? LEAST_VOLTS : LEAST_AMPS, move;

        x[i] += share * step[i];
        move = fabs(step[i]) / tolerance(precision, x[i], least);
        if (!(move <= most)) { /* NaN too */
            most = move;
            system->worst = (int)i;
        }
        if (isnan(move))
            return false;
    }
    return most <= 1;
}

/* Whether x meets every equation as well as the arithmetic can tell. A node that next to nothing holds (a winding while all
 * its diodes block) may move at random by more than the tolerance. */
static bool is_met(struct system *system)
{
    size_t node_rows = system_node_rows(system);

    matrix_magnitude(system->matrix, system->x, system->rhs, system->left);
    for (size_t i = 0; i < system->size; i++) {
        double least = i < node_rows ? LEFT_AMPS : LEFT_VOLTS;

        if (!(fabs(system->residual[i]) <= ROUNDING * system->left[i] + least))
            return false;
    }
    return true;
}

/* What amplifies has no co-content, so steps are not searched along; where they go to and fro, half of most is taken. */
static double damped_share(int iteration)
{
    return iteration >= DAMP_AFTER && iteration % DAMP_ROUND != 0 ? 0.5 : 1;
}

/* One step of Newton's method; true if x is settled. FAILED: there is none. */
static bool iterate(struct system *system, int iteration, bool *failed)
{
    bool late = iteration >= SEARCH_AFTER, search = late && !system->amplifies, settled;
    double share = system->amplifies ? damped_share(iteration) : 1;

    system->stamp.unlimited = search;
    linearise(system);
    *failed = !factor(system, late);
    if (*failed)
        return false;
    matrix_residual(system->matrix, matrix_values(system->matrix), system->x, system->rhs,
                    system->residual);
    if (late && !system->stamp.limited && is_met(system))
        return true;
    matrix_solve(system->matrix, system->residual, 1);
    if (search)
        share = descent_share(system);
    settled = take_step(system, share);
    *failed = system->worst >= 0 && !isfinite(system->x[system->worst]);
    return system->nonlinear_count == 0 || (settled && share == 1 && !system->stamp.limited);
}

bool system_solve(struct system *system, double time, const double *history)
{
    bool failed = false;

    system->stamp.time = time;
    if (history != NULL)
        system->stamp.history = history;
    system->singular = false;
    set_base_rhs(system);
    for (int i = 0; i < MOST_ITERATIONS; i++) {
        system->work += (double)system->size;
        if (system->work > system->most_work)
            return false;
        if (iterate(system, i, &failed))
            return !failed;
        if (failed)
            return false;
    }
    return false;
}
