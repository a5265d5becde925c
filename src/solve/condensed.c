#include "solve/condensed.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "device/network.h"
#include "solve/dense.h"
#include "solve/matrix.h"
#include "solve/system.h"

/* Beyond these the dense products cost more than sparse factors. */
enum { MOST_ACTIVE = 12, MOST_STATES = 150, MOST_ROWS = 1500 };
/* Plain steps of Newton's method before the whole system is solved, with its search along each step. */
enum { MOST_ITERATIONS = 8 };
/* A row condensed out with more than this sensitivity hangs on nothing, V/V or S. */
#define MOST_RESPONSE 1e9
/* Pivot that stands for none. */
#define LEAST_PIVOT 1e-300
/* Work of an iteration against that of the whole system. */
#define WORK_SHARE 0.25

/* An entry of the whole matrix and where it goes: row and column count within active or passive rows. */
struct piece {
    int value;       /* in base_values */
    int row, column;
};

struct pieces {
    struct piece *items;
    size_t count, capacity;
};

struct condensed {
    struct arena *arena;
    struct system *system;
    size_t active_count, passive_count, state_count, drive_count;
    int *active, *passive;      /* rows */
    int *place;                 /* by row: its number among the active ones, or -1 - that among the passive ones */
    int *drives;                /* rows that sources without energy states drive */
    size_t *sources;            /* their elements */
    size_t source_count;
    size_t first_current;       /* passive rows from this one on are no node's: currents, mostly */
    struct pieces passive_pieces, coupling_in, coupling_out, active_pieces; /* PP, PA, AP, AA */
    struct matrix *matrix;      /* of the passive rows */
    int *matrix_slots;          /* by passive piece */
    double *response;           /* passive rows: what active rows (negative), states, drives make of them, a column each */
    double *base;               /* active squared: the linear part seen from there */
    double *by_state, *by_drive; /* active rows a column */
    double *new_by_state, *new_by_drive, *new_by_active; /* states, a column each */
    int *slots;                 /* by slot of the system: place in an active square; only those of nonlinear elements count */
    int *places;                /* the distinct ones */
    size_t place_count;
    double *nonlinear, *factored_at, *factors; /* active squared */
    size_t *pivots;
    double *given, *rest, *drive, *solved; /* active, active, drives, active */
    double *currents, *moves;   /* passive rows, of which those that are no node's are used */
    double *scratch;            /* active rows, a column each state */
    double *map, *column;       /* states squared; states */
    const double *history;
    bool fresh;                 /* condensed for the present step */
    bool usable, have_factors, pending;
    double step;
};

/* ---- which rows, once ---- */

static bool is_ideal(const struct element *element)
{
    return element->device == &device_source && element->figures[4] == 0;
}

static void activate(struct condensed *condensed, bool *is_active, int row)
{
    if (row == STAMP_GROUND || is_active[row])
        return;
    is_active[row] = true;
    condensed->active_count++;
}

static void activate_element(struct condensed *condensed, bool *is_active, size_t index)
{
    const struct system *system = condensed->system;
    const struct element *element = system->network->elements[index];

    for (size_t k = 0; k < element->node_count && element->device != &device_source; k++)
        activate(condensed, is_active, system->rows[index].nodes[k]);
    for (size_t u = 0; u < element->device->unknowns(element); u++)
        activate(condensed, is_active, system->rows[index].current + (int)u);
}

/* Rows of nonlinear elements, and the currents of ideal sources: between two active nodes nothing else would determine them. */
static void sort_rows(struct arena *arena, struct condensed *condensed)
{
    const struct system *system = condensed->system;
    bool *is_active = arena_array(arena, system->size, sizeof *is_active);
    size_t active = 0, passive = 0;

    for (size_t i = 0; i < system->nonlinear_count; i++)
        activate_element(condensed, is_active, system->nonlinear[i]);
    for (size_t i = 0; i < system->network->element_count; i++)
        if (is_ideal(system->network->elements[i]))
            activate_element(condensed, is_active, i);
    condensed->passive_count = system->size - condensed->active_count;
    condensed->active = arena_array(arena, condensed->active_count, sizeof(int));
    condensed->passive = arena_array(arena, condensed->passive_count, sizeof(int));
    condensed->place = arena_array(arena, system->size, sizeof(int));
    for (size_t r = 0; r < system->size; r++)
        if (is_active[r]) {
            condensed->place[r] = (int)active;
            condensed->active[active++] = (int)r;
        } else {
            condensed->place[r] = -1 - (int)passive;
            condensed->passive[passive++] = (int)r;
            condensed->first_current += r < system_node_rows(system);
        }
}

static void add_drive(struct condensed *condensed, int row)
{
    for (size_t i = 0; i < condensed->drive_count; i++)
        if (condensed->drives[i] == row)
            return;
    if (row != STAMP_GROUND)
        condensed->drives[condensed->drive_count++] = row;
}

static void find_drives(struct arena *arena, struct condensed *condensed)
{
    const struct system *system = condensed->system;

    condensed->drives = arena_array(arena, 2 * system->driven_count, sizeof(int));
    condensed->sources = arena_array(arena, system->driven_count, sizeof(size_t));
    for (size_t i = 0; i < system->driven_count; i++) {
        size_t index = system->driven[i];
        const struct element *element = system->network->elements[index];

        if (element->device->states(element) > 0)
            continue;
        condensed->sources[condensed->source_count++] = index;
        if (element->device == &device_source)
            add_drive(condensed, system->rows[index].current);
        else
            for (size_t k = 0; k < 2; k++)
                add_drive(condensed, system->rows[index].nodes[k]);
    }
}

static void add_piece(struct arena *arena, struct pieces *pieces, int value, int row, int column)
{
    pieces->items = arena_grow(arena, pieces->items, &pieces->capacity, pieces->count,
                               sizeof *pieces->items);
    pieces->items[pieces->count++] = (struct piece){value, row, column};
}

static int number(int place)
{
    return place >= 0 ? place : -1 - place;
}

/* Every distinct entry of the whole matrix into its quarter. */
static void sort_entries(struct arena *arena, struct condensed *condensed)
{
    const struct system *system = condensed->system;
    bool *seen = arena_array(arena, matrix_value_count(system->matrix), sizeof *seen);

    for (size_t s = 0; s < system->slot_count; s++) {
        int value = system->slots[s];
        int row = condensed->place[system->entries[s].row];
        int column = condensed->place[system->entries[s].column];
        struct pieces *pieces = row >= 0 ? (column >= 0 ? &condensed->active_pieces
                                                        : &condensed->coupling_out)
                                         : (column >= 0 ? &condensed->coupling_in
                                                        : &condensed->passive_pieces);

        if (!seen[value])
            add_piece(arena, pieces, value, number(row), number(column));
        seen[value] = true;
    }
}

static void make_matrix(struct arena *arena, struct condensed *condensed)
{
    size_t count = condensed->passive_pieces.count;
    struct matrix_entry *entries = arena_array(arena, count, sizeof *entries);

    for (size_t i = 0; i < count; i++)
        entries[i] = (struct matrix_entry){condensed->passive_pieces.items[i].row,
                                           condensed->passive_pieces.items[i].column};
    condensed->matrix_slots = arena_array(arena, count, sizeof(int));
    condensed->matrix =
        matrix_new(arena, condensed->passive_count, entries, count, condensed->matrix_slots);
}

/* Where the entries of nonlinear elements go in a square of the active rows. */
static void place_slots(struct arena *arena, struct condensed *condensed)
{
    const struct system *system = condensed->system;
    size_t active = condensed->active_count;
    bool *seen = arena_array(arena, active * active, sizeof *seen);

    condensed->slots = arena_array(arena, system->slot_count, sizeof(int));
    condensed->places = arena_array(arena, active * active, sizeof(int));
    for (size_t i = 0; i < system->nonlinear_count; i++) {
        size_t end = system->first_slots[system->nonlinear[i] + 1];

        for (size_t s = system->first_slots[system->nonlinear[i]]; s < end; s++) {
            int place = condensed->place[system->entries[s].column] * (int)active +
                        condensed->place[system->entries[s].row];

            condensed->slots[s] = place;
            if (!seen[place])
                condensed->places[condensed->place_count++] = place;
            seen[place] = true;
        }
    }
}

static void allocate(struct arena *arena, struct condensed *condensed)
{
    size_t active = condensed->active_count, states = condensed->state_count;
    size_t drives = condensed->drive_count, wide = active + states + drives;

    condensed->response =
        arena_array(arena, condensed->passive_count * wide, sizeof(double));
    condensed->base = arena_array(arena, active * active, sizeof(double));
    condensed->by_state = arena_array(arena, active * states, sizeof(double));
    condensed->by_drive = arena_array(arena, active * drives, sizeof(double));
    condensed->new_by_state = arena_array(arena, states * states, sizeof(double));
    condensed->new_by_drive = arena_array(arena, states * drives, sizeof(double));
    condensed->new_by_active = arena_array(arena, states * active, sizeof(double));
    condensed->nonlinear = arena_array(arena, active * active, sizeof(double));
    condensed->factored_at = arena_array(arena, active * active, sizeof(double));
    condensed->factors = arena_array(arena, active * active, sizeof(double));
    condensed->pivots = arena_array(arena, active, sizeof(size_t));
    condensed->given = arena_array(arena, active, sizeof(double));
    condensed->rest = arena_array(arena, active, sizeof(double));
    condensed->solved = arena_array(arena, active, sizeof(double));
    condensed->drive = arena_array(arena, drives, sizeof(double));
    condensed->currents = arena_array(arena, condensed->passive_count, sizeof(double));
    condensed->moves = arena_array(arena, condensed->passive_count, sizeof(double));
    condensed->scratch = arena_array(arena, states * active, sizeof(double));
    condensed->map = arena_array(arena, states * states, sizeof(double));
    condensed->column = arena_array(arena, states, sizeof(double));
}

struct condensed *condensed_new(struct arena *arena, struct system *system)
{
    struct condensed *condensed;

    if (system->state_count > MOST_STATES || system->size > MOST_ROWS)
        return NULL;
    condensed = arena_alloc(arena, sizeof *condensed);
    condensed->arena = arena;
    condensed->system = system;
    condensed->state_count = system->state_count;
    sort_rows(arena, condensed);
    if (condensed->active_count > MOST_ACTIVE || condensed->passive_count == 0)
        return NULL;
    find_drives(arena, condensed);
    sort_entries(arena, condensed);
    make_matrix(arena, condensed);
    place_slots(arena, condensed);
    allocate(arena, condensed);
    return condensed;
}

void condensed_free(struct condensed *condensed)
{
    if (condensed != NULL && condensed->matrix != NULL)
        matrix_free(condensed->matrix);
}

/* ---- condensing, once a step ---- */

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

static void condense(struct condensed *condensed)
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

void condensed_renew(struct condensed *condensed)
{
    condensed->fresh = false;
}

/* ---- a stage ---- */

/* OUT += the COLUMNS columns of A, ROWS long, times X. */
static void add_product(const double *a, size_t rows, size_t columns, const double *x, double *out)
{
    for (size_t c = 0; c < columns; c++)
        for (size_t r = 0; r < rows; r++)
            out[r] += a[c * rows + r] * x[c];
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
        for (size_t r = 0; r < active; r++)
            condensed->rest[r] -= condensed->base[c * active + r] * condensed->solved[c];
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
    size_t passive = condensed->passive_count;

    for (size_t c = 0; c < columns; c++)
        for (size_t r = condensed->first_current; r < passive; r++)
            out[r] += condensed->response[(first + c) * passive + r] * x[c];
}

/* Whether the last step moved no current by more than the tolerance: behind little resistance a current moves much where the
 * volts hardly do. */
static bool currents_settled(struct condensed *condensed)
{
    size_t active = condensed->active_count, states = condensed->state_count;
    struct system *system = condensed->system;

    memset(condensed->currents, 0, condensed->passive_count * sizeof(double));
    memset(condensed->moves, 0, condensed->passive_count * sizeof(double));
    add_currents(condensed, 0, active, condensed->rest, condensed->moves);
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
    if (!condensed->usable || system->work > SYSTEM_MOST_WORK(system->size))
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
