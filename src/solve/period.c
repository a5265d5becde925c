/* The method: a two-stage singly diagonally implicit Runge-Kutta method of order 2, L-stable and stiffly accurate
 * (Alexander, SIAM J. Numer. Anal. 14 (1977), 1006-1021, from memory). With gamma = 1 - 1/sqrt 2, stage 1 is a
 * backward Euler step of gamma h from the states x0, and stage 2 one of gamma h from x0 + (1 - gamma)/gamma (x1 - x0),
 * so one matrix serves both. */
#include "solve/period.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "device/network.h"
#include "solve/condensed.h"
#include "solve/matrix.h"
#include "solve/solution.h"
#include "solve/system.h"

#define GAMMA 0.2928932188134524
#define CARRY ((1 - GAMMA) / GAMMA)

/* A step that does not converge is divided into so many. */
enum { DIVISION = 16 };

struct period period_new(struct arena *arena, struct system *system, double seconds,
                         bool sensitive)
{
    size_t states = system->state_count;
    struct period period = {.system = system, .seconds = seconds};

    system->condensed = condensed_new(arena, system);
    period.start = arena_array(arena, states, sizeof(double));
    period.end = arena_array(arena, states, sizeof(double));
    period.largest = arena_array(arena, states, sizeof(double));
    period.now = arena_array(arena, states, sizeof(double));
    period.middle = arena_array(arena, states, sizeof(double));
    period.history = arena_array(arena, states, sizeof(double));
    period.amps = arena_array(arena, system->network->branch_count, sizeof(double));
    if (!sensitive)
        return period;
    period.sensitivity = arena_array(arena, states * states, sizeof(double));
    period.before = arena_array(arena, states * states, sizeof(double));
    period.between = arena_array(arena, states * states, sizeof(double));
    period.columns = arena_array(arena, states * system->size, sizeof(double));
    return period;
}

/* OUT = A0 + CARRY (A1 - A0), COUNT of them. */
static void carry(const double *a0, const double *a1, double *out, size_t count)
{
    for (size_t i = 0; i < count; i++)
        out[i] = a0[i] + CARRY * (a1[i] - a0[i]);
}

/* What a stage makes of the derivative of its history. HISTORY and OUT: state_count squared; may be the same. */
static void differentiate_stage(struct period *period, const double *history, double *out)
{
    const struct system *system = period->system;
    size_t states = system->state_count, size = system->size;
    double *columns = period->columns;

    memset(columns, 0, states * size * sizeof(double));
    for (size_t i = 0; i < system->injection_count; i++) {
        const struct link *link = &system->injections[i];

        for (size_t c = 0; c < states; c++)
            columns[c * size + (size_t)link->row] +=
                link->value * history[c * states + (size_t)link->state];
    }
    matrix_solve(system->matrix, columns, states);
    period->system->work += (double)(states * size) / 4;
    memset(out, 0, states * states * sizeof(double));
    for (size_t i = 0; i < system->extraction_count; i++) {
        const struct link *link = &system->extractions[i];

        for (size_t c = 0; c < states; c++)
            out[c * states + (size_t)link->state] +=
                link->value * columns[c * size + (size_t)link->row];
    }
}

/* One stage from HISTORY into STATES, condensed where that serves. */
static bool solve_stage(struct period *period, double time, const double *history, double *states)
{
    struct system *system = period->system;

    period->condensed = system->condensed != NULL &&
                        condensed_solve(system->condensed, time, history, states);
    if (period->condensed)
        return true;
    if (!system_solve(system, time, history))
        return false;
    system_store(system, states);
    return true;
}

static void differentiate(struct period *period, const double *history, double *out)
{
    if (period->condensed)
        condensed_differentiate(period->system->condensed, history, out);
    else
        differentiate_stage(period, history, out);
}

void period_complete(struct period *period)
{
    if (period->condensed)
        condensed_complete(period->system->condensed);
}

void period_complete_row(struct period *period, int row)
{
    if (period->condensed && row != STAMP_GROUND)
        condensed_complete_row(period->system->condensed, row);
}

/* One step of H seconds from NOW at TIME; NOW becomes the end and HISTORY that of its last stage. */
static bool take_step(struct period *period, double time, double h, bool sensitive)
{
    size_t states = period->system->state_count;

    if (!solve_stage(period, time + GAMMA * h, period->now, period->middle))
        return false;
    if (sensitive)
        differentiate(period, period->sensitivity, period->between);
    carry(period->now, period->middle, period->history, states);
    if (!solve_stage(period, time + h, period->history, period->now))
        return false;
    if (sensitive) {
        carry(period->sensitivity, period->between, period->before, states * states);
        differentiate(period, period->before, period->sensitivity);
    }
    return true;
}

static void set_step(struct system *system, double h)
{
    system_set_step(system, GAMMA * h);
}

void period_set_step(struct period *period, double h)
{
    set_step(period->system, h);
}

void period_set_steps(struct period *period, struct arena *arena, size_t steps)
{
    period->steps = steps;
    set_step(period->system, period->seconds / (double)steps);
    if (period->sensitivity != NULL)
        system_link(period->system, arena);
}

/* The same in DIVISION parts. Their share of the sensitivity is left out: it only speeds the search. */
static bool take_divided_step(struct period *period, double time, double h)
{
    bool done = true;

    set_step(period->system, h / DIVISION);
    for (int i = 0; i < DIVISION && done; i++)
        done = take_step(period, time + i * h / DIVISION, h / DIVISION, false);
    return done;
}

static void note_largest(struct period *period)
{
    for (size_t i = 0; i < period->system->state_count; i++)
        if (fabs(period->now[i]) > period->largest[i])
            period->largest[i] = fabs(period->now[i]);
}

static void clear_sensitivity(struct period *period)
{
    size_t states = period->system->state_count;

    memset(period->sensitivity, 0, states * states * sizeof(double));
    for (size_t i = 0; i < states; i++)
        period->sensitivity[i * states + i] = 1;
}

static void gather(struct period *period, size_t number)
{
    struct record *record = period->record;

    if (period->gather == NULL)
        return;
    period_complete(period);
    solution_add(period->gather, period->system, period->history, period->amps);
    if (record != NULL && record->width > 0)
        memcpy(record->amps + number * record->width, period->amps + record->first,
               record->width * sizeof(double));
}

/* As take_step, and if that fails in parts: *DIVIDED, and the step is left set to theirs. */
static bool take_any_step(struct period *period, double time, double h, bool sensitive,
                          bool *divided)
{
    struct system *system = period->system;

    memcpy(period->end, period->now, system->state_count * sizeof(double));
    memcpy(system->spare, system->x, system->size * sizeof(double));
    *divided = !take_step(period, time, h, sensitive);
    if (!*divided)
        return true;
    memcpy(period->now, period->end, system->state_count * sizeof(double));
    memcpy(system->x, system->spare, system->size * sizeof(double));
    return take_divided_step(period, time, h);
}

bool period_step(struct period *period, double time, double h)
{
    bool divided, done = take_any_step(period, time, h, false, &divided);

    if (divided)
        set_step(period->system, h);
    return done;
}

/* Step NUMBER of the period, divided if need be. */
static bool advance(struct period *period, size_t number, bool sensitive)
{
    struct system *system = period->system;
    double h = period->seconds / (double)period->steps, time = (double)number * h;
    bool divided, done = take_any_step(period, time, h, sensitive, &divided);

    if (done && !divided) {
        gather(period, number);
        return true;
    }
    if (done) /* before the step changes, to which the history belongs */
        gather(period, number);
    set_step(system, h);
    return done;
}

bool period_run(struct period *period, bool sensitive)
{
    struct system *system = period->system;
    size_t bytes = system->state_count * sizeof(double);

    memcpy(period->now, period->start, bytes);
    memset(period->largest, 0, bytes);
    note_largest(period);
    if (sensitive)
        clear_sensitivity(period);
    if (period->gather != NULL)
        solution_start(period->gather, system);
    for (size_t i = 0; i < period->steps; i++) {
        if (!advance(period, i, sensitive))
            return false;
        note_largest(period);
    }
    memcpy(period->end, period->now, bytes);
    if (period->gather != NULL)
        solution_end(period->gather, system, period->steps);
    return true;
}
