#include "solve/condensed.h"

#include <math.h>
#include <string.h>

#include "device/network.h"
#include "solve/condensing.h"
#include "solve/dense.h"
#include "solve/system.h"

/* Plain steps of Newton's method before the whole system is solved, with its search along each step. */
enum { MOST_ITERATIONS = 8 };
/* Pivot that stands for none. */
#define LEAST_PIVOT 1e-300
/* Work of an iteration against that of the whole system. */
#define WORK_SHARE 0.25

void condensed_renew(struct condensed *condensed)
{
    condensed->fresh = false;
}

/* OUT += the COLUMNS columns of A, ROWS long, times X. */
static void add_product(const double *a, size_t rows, size_t columns, const double *x, double *out)
{
    dense_add_product(a, rows, rows, columns, x, out);
}

static void set_given(struct condensed *condensed, const double *history)
{
    struct system *system = condensed->system;

    for (size_t i = 0; i < condensed->drive_count; i++)
        system->base_rhs[condensed->drives[i]] = 0;
    system->stamp.matrix = NULL;
    system->stamp.rhs = system->base_rhs;
    for (size_t i = 0; i < condensed->source_count; i++) {
        size_t index = condensed->sources[i];
        const struct element *element = system->network->elements[index];

        element->device->stamp(element, &system->rows[index], &system->stamp);
    }
    for (size_t i = 0; i < condensed->drive_count; i++)
        condensed->drive[i] = system->base_rhs[condensed->drives[i]];
    memset(condensed->given, 0, condensed->active_count * sizeof(double));
    add_product(condensed->by_state, condensed->active_count, condensed->state_count, history,
                condensed->given);
    add_product(condensed->by_drive, condensed->active_count, condensed->drive_count,
                condensed->drive, condensed->given);
}

/* The nonlinear elements at x: their entries into nonlinear, their right-hand sides into rest. */
static void linearise(struct condensed *condensed)
{
    struct system *system = condensed->system;
    struct stamp_target kept = system->target;

    for (size_t i = 0; i < condensed->place_count; i++)
        condensed->nonlinear[condensed->places[i]] = 0;
    for (size_t i = 0; i < condensed->active_count; i++)
        system->rhs[condensed->active[i]] = 0;
    system->target =
        (struct stamp_target){.values = condensed->nonlinear, .slots = condensed->slots};
    system->stamp.matrix = &system->target;
    system->stamp.rhs = system->rhs;
    system->stamp.limited = system->stamp.unlimited = false;
    for (size_t i = 0; i < system->nonlinear_count; i++)
        system_stamp_element(system, system->nonlinear[i]);
    system->stamp.first = false;
    system->target = kept;
    for (size_t i = 0; i < condensed->active_count; i++)
        condensed->rest[i] = system->rhs[condensed->active[i]];
}

static bool factors_serve(const struct condensed *condensed)
{
    double precision = condensed->system->precision;

    for (size_t i = 0; i < condensed->place_count && condensed->have_factors; i++) {
        int place = condensed->places[i];
        double now = condensed->nonlinear[place];

        if (fabs(now - condensed->factored_at[place]) >
            precision * (SYSTEM_KEPT_SHARE * fabs(now + condensed->base[place]) +
                         SYSTEM_KEPT_SIEMENS))
            return false;
    }
    return condensed->have_factors;
}

static void factor(struct condensed *condensed)
{
    size_t active = condensed->active_count;

    memcpy(condensed->factors, condensed->base, active * active * sizeof(double));
    for (size_t i = 0; i < condensed->place_count; i++) {
        int place = condensed->places[i];

        condensed->factors[place] += condensed->nonlinear[place];
        condensed->factored_at[place] = condensed->nonlinear[place];
    }
    dense_factor(condensed->factors, active, condensed->pivots, LEAST_PIVOT);
    condensed->have_factors = true;
}

/* What is left of the equations of the active rows. */
static void find_residual(struct condensed *condensed)
{
    size_t active = condensed->active_count;

    for (size_t i = 0; i < active; i++) {
        condensed->rest[i] += condensed->given[i];
        condensed->solved[i] = condensed->system->x[condensed->active[i]];
    }
    for (size_t c = 0; c < active; c++)
        condensed->minus[c] = -condensed->solved[c];
    add_product(condensed->base, active, active, condensed->minus, condensed->rest);
    for (size_t i = 0; i < condensed->place_count; i++) {
        size_t place = (size_t)condensed->places[i];

        condensed->rest[place % active] -=
            condensed->nonlinear[place] * condensed->solved[place / active];
    }
}

/* Adds the step to x. False: not a number. *SETTLED: no row moved by more than the tolerance. */
static bool take_step(struct condensed *condensed, bool *settled)
{
    struct system *system = condensed->system;
    double most = 0;

    for (size_t i = 0; i < condensed->active_count; i++) {
        int row = condensed->active[i];
        double move = condensed->rest[i];

        condensed->solved[i] += move;
        if (!isfinite(condensed->solved[i]))
            return false;
        system->x[row] = condensed->solved[i];
        most = fmax(most, fabs(move) / system_tolerance(system, row));
    }
    *settled = most <= 1;
    return true;
}

/* OUT += the COLUMNS columns of RESPONSE from FIRST on times X, in the rows that are no node's. */
static void add_currents(const struct condensed *condensed, size_t first, size_t columns,
                         const double *x, double *out)
{
    size_t passive = condensed->passive_count, skip = condensed->first_current;

    dense_add_product(&condensed->response[first * passive + skip], passive, passive - skip, columns,
                      x, out + skip);
}

/* Whether the last step moved every current by less than any tolerance. */
static bool currents_hardly_moved(struct condensed *condensed)
{
    size_t passive = condensed->passive_count, first = condensed->first_current;

    memset(condensed->moves + first, 0, (passive - first) * sizeof(double));
    add_currents(condensed, 0, condensed->active_count, condensed->rest, condensed->moves);
    for (size_t r = first; r < passive; r++)
        if (!(fabs(condensed->moves[r]) <= system_least_current_move(condensed->system)))
            return false;
    return true;
}

/* Whether the last step moved no current by more than the tolerance: behind little resistance a current moves much where the
 * volts hardly do. */
static bool currents_settled(struct condensed *condensed)
{
    size_t active = condensed->active_count, states = condensed->state_count;
    struct system *system = condensed->system;

    if (currents_hardly_moved(condensed))
        return true;
    memset(condensed->currents, 0, condensed->passive_count * sizeof(double));
    add_currents(condensed, 0, active, condensed->solved, condensed->currents);
    add_currents(condensed, active, states, condensed->history, condensed->currents);
    add_currents(condensed, active + states, condensed->drive_count, condensed->drive,
                 condensed->currents);
    for (size_t r = condensed->first_current; r < condensed->passive_count; r++) {
        int row = condensed->passive[r];

        system->x[row] = condensed->currents[r];
        if (!(fabs(condensed->moves[r]) <= system_tolerance(system, row)))
            return false;
    }
    return true;
}

static bool iterate(struct condensed *condensed)
{
    struct system *system = condensed->system;
    bool settled = false;

    for (int i = 0; i < MOST_ITERATIONS; i++) {
        system->work += WORK_SHARE * (double)system->size;
        linearise(condensed);
        if (!factors_serve(condensed))
            factor(condensed);
        find_residual(condensed);
        dense_solve(condensed->factors, condensed->active_count, condensed->pivots,
                    condensed->rest);
        if (!take_step(condensed, &settled))
            return false;
        if (system->nonlinear_count == 0 ||
            (settled && !system->stamp.limited && currents_settled(condensed)))
            return true;
    }
    return false;
}

bool condensed_solve(struct condensed *condensed, double time, const double *history,
                     double *states)
{
    struct system *system = condensed->system;

    condensed->pending = false;
    if (!condensed->fresh)
        condense(condensed);
    if (!condensed->usable || system->work > system->most_work)
        return false;
    system->stamp.time = time;
    system->stamp.history = history;
    condensed->history = history;
    set_given(condensed, history);
    if (!iterate(condensed))
        return false;
    condensed->pending = true;
    memset(states, 0, condensed->state_count * sizeof(double));
    add_product(condensed->new_by_state, condensed->state_count, condensed->state_count, history,
                states);
    add_product(condensed->new_by_drive, condensed->state_count, condensed->drive_count,
                condensed->drive, states);
    add_product(condensed->new_by_active, condensed->state_count, condensed->active_count,
                condensed->solved, states);
    return true;
}

void condensed_complete_row(struct condensed *condensed, int row)
{
    size_t passive = condensed->passive_count, active = condensed->active_count;
    const double *at;
    double value = 0;

    if (!condensed->pending || condensed->place[row] >= 0)
        return;
    at = &condensed->response[-1 - condensed->place[row]];
    for (size_t c = 0; c < active; c++, at += passive)
        value += *at * condensed->solved[c];
    for (size_t c = 0; c < condensed->state_count; c++, at += passive)
        value += *at * condensed->history[c];
    for (size_t c = 0; c < condensed->drive_count; c++, at += passive)
        value += *at * condensed->drive[c];
    condensed->system->x[row] = value;
}

void condensed_complete(struct condensed *condensed)
{
    size_t passive = condensed->passive_count, active = condensed->active_count;
    double *out = condensed->system->left;

    if (!condensed->pending)
        return;
    condensed->pending = false;
    memset(out, 0, passive * sizeof(double));
    add_product(condensed->response, passive, active, condensed->solved, out);
    add_product(&condensed->response[active * passive], passive, condensed->state_count,
                condensed->history, out);
    add_product(&condensed->response[(active + condensed->state_count) * passive], passive,
                condensed->drive_count, condensed->drive, out);
    for (size_t i = 0; i < passive; i++)
        condensed->system->x[condensed->passive[i]] = out[i];
}

void condensed_differentiate(struct condensed *condensed, const double *history, double *out)
{
    size_t active = condensed->active_count, states = condensed->state_count;
    double *by_state = condensed->scratch, *map = condensed->map;

    memcpy(by_state, condensed->by_state, active * states * sizeof(double));
    memcpy(map, condensed->new_by_state, states * states * sizeof(double));
    for (size_t c = 0; c < states; c++) {
        dense_solve(condensed->factors, active, condensed->pivots, &by_state[c * active]);
        add_product(condensed->new_by_active, states, active, &by_state[c * active],
                    &map[c * states]);
    }
    for (size_t c = 0; c < states; c++) {
        double *column = &condensed->column[0];

        memcpy(column, &history[c * states], states * sizeof(double));
        memset(&out[c * states], 0, states * sizeof(double));
        add_product(map, states, states, column, &out[c * states]);
    }
    condensed->system->work += (double)(states * condensed->system->size) / 4;
}
