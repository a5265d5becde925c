/* Which rows of a system are condensed out, found once. */
#include "solve/condensed.h"

#include "base/arena.h"
#include "device/network.h"
#include "solve/condensing.h"
#include "solve/matrix.h"
#include "solve/system.h"

/* Beyond these the dense products cost more than sparse factors. */
enum { MOST_ACTIVE = 12, MOST_STATES = 150, MOST_ROWS = 1500 };

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
    condensed->minus = arena_array(arena, active, sizeof(double));
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
