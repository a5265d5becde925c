/* Condensing a system, once a step. */
#include "solve/condensing.h"

#include <math.h>
#include <string.h>

#include "solve/matrix.h"
#include "solve/system.h"

/* A row condensed out with more than this sensitivity hangs on nothing, V/V or S. */
#define MOST_RESPONSE 1e9

/* VALUE at ROW, in column COLUMN of RESPONSE or of TOP, whichever has the row. */
static void put(struct condensed *condensed, double *top, size_t top_column, size_t column, int row,
                double value)
{
    int place = condensed->place[row];

    if (place >= 0)
        top[top_column * condensed->active_count + (size_t)place] += value;
    else
        condensed->response[column * condensed->passive_count + (size_t)(-1 - place)] += value;
}

/* The right-hand sides: columns of active rows, then states, then drives. */
static void set_columns(struct condensed *condensed)
{
    const struct system *system = condensed->system;
    size_t active = condensed->active_count, states = condensed->state_count;
    size_t drives = condensed->drive_count;

    memset(condensed->response, 0,
           condensed->passive_count * (active + states + drives) * sizeof(double));
    memset(condensed->base, 0, active * active * sizeof(double));
    memset(condensed->by_state, 0, active * states * sizeof(double));
    memset(condensed->by_drive, 0, active * drives * sizeof(double));
    for (size_t i = 0; i < condensed->coupling_in.count; i++) {
        const struct piece *piece = &condensed->coupling_in.items[i];

        condensed->response[(size_t)piece->column * condensed->passive_count +
                            (size_t)piece->row] -= system->base_values[piece->value];
    }
    for (size_t i = 0; i < condensed->active_pieces.count; i++) {
        const struct piece *piece = &condensed->active_pieces.items[i];

        condensed->base[(size_t)piece->column * active + (size_t)piece->row] +=
            system->base_values[piece->value];
    }
    for (size_t i = 0; i < system->injection_count; i++) {
        const struct link *link = &system->injections[i];

        put(condensed, condensed->by_state, (size_t)link->state, active + (size_t)link->state,
            link->row, link->value);
    }
    for (size_t i = 0; i < drives; i++)
        put(condensed, condensed->by_drive, i, active + states + i, condensed->drives[i], 1);
}

static bool solve_columns(struct condensed *condensed)
{
    const struct system *system = condensed->system;
    size_t wide = condensed->active_count + condensed->state_count + condensed->drive_count;
    double *values = matrix_values(condensed->matrix), most = 0;

    memset(values, 0, matrix_value_count(condensed->matrix) * sizeof *values);
    for (size_t i = 0; i < condensed->passive_pieces.count; i++)
        values[condensed->matrix_slots[i]] +=
            system->base_values[condensed->passive_pieces.items[i].value];
    if (!matrix_factor(condensed->matrix, false))
        return false;
    matrix_solve(condensed->matrix, condensed->response, wide);
    for (size_t i = 0; i < condensed->passive_count * condensed->active_count; i++)
        if (!(fabs(condensed->response[i]) <= most))
            most = fabs(condensed->response[i]);
    return most <= MOST_RESPONSE;
}

/* What column COLUMN of RESPONSE leaves of the currents at the active rows: SIGN times that is added to TO. */
static void couple(const struct condensed *condensed, size_t column, double sign, double *to)
{
    const double *response = &condensed->response[column * condensed->passive_count];

    for (size_t i = 0; i < condensed->coupling_out.count; i++) {
        const struct piece *piece = &condensed->coupling_out.items[i];

        to[piece->row] +=
            sign * condensed->system->base_values[piece->value] * response[piece->column];
    }
}

/* What column COLUMN of RESPONSE makes of the energy states is added to TO. */
static void extract(const struct condensed *condensed, size_t column, double *to)
{
    const double *response = &condensed->response[column * condensed->passive_count];
    const struct system *system = condensed->system;

    for (size_t i = 0; i < system->extraction_count; i++) {
        const struct link *link = &system->extractions[i];
        int place = condensed->place[link->row];

        if (place < 0)
            to[link->state] += link->value * response[-1 - place];
    }
}

static void close_columns(struct condensed *condensed)
{
    const struct system *system = condensed->system;
    size_t active = condensed->active_count, states = condensed->state_count;
    size_t drives = condensed->drive_count;

    memset(condensed->new_by_active, 0, states * active * sizeof(double));
    memset(condensed->new_by_state, 0, states * states * sizeof(double));
    memset(condensed->new_by_drive, 0, states * drives * sizeof(double));
    for (size_t c = 0; c < active; c++) {
        couple(condensed, c, 1, &condensed->base[c * active]);
        extract(condensed, c, &condensed->new_by_active[c * states]);
    }
    for (size_t c = 0; c < states; c++) {
        couple(condensed, active + c, -1, &condensed->by_state[c * active]);
        extract(condensed, active + c, &condensed->new_by_state[c * states]);
    }
    for (size_t c = 0; c < drives; c++) {
        couple(condensed, active + states + c, -1, &condensed->by_drive[c * active]);
        extract(condensed, active + states + c, &condensed->new_by_drive[c * states]);
    }
    for (size_t i = 0; i < system->extraction_count; i++) {
        const struct link *link = &system->extractions[i];
        int place = condensed->place[link->row];

        if (place >= 0)
            condensed->new_by_active[(size_t)place * states + (size_t)link->state] += link->value;
    }
}

void condense(struct condensed *condensed)
{
    condensed->fresh = true;
    condensed->step = condensed->system->stamp.step;
    condensed->have_factors = false;
    system_link(condensed->system, condensed->arena);
    set_columns(condensed);
    condensed->usable = condensed->step > 0 && solve_columns(condensed);
    if (condensed->usable)
        close_columns(condensed);
}
