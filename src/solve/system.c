#include "solve/system.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "solve/floating.h"
#include "solve/matrix.h"

/* Ties a floating island to the reference, S. */
#define TIE_SIEMENS 1e-9

enum { MOST_ITERATIONS = 60, ANEW_AFTER = 12 };
/* Newton stops when no unknown moves by more than this: relative, V or A. */
#define RELATIVE_MOVE 1e-5
#define LEAST_VOLTS 1e-6
#define LEAST_AMPS 1e-8
/* Factors are kept while no value moves by more than this share, S or 1. */
#define KEPT_SHARE 0.01
#define KEPT_SIEMENS 1e-9

/* Recording of the pattern. */
struct recorder {
    struct arena *arena;
    struct matrix_entry *entries;
    size_t count, capacity;
};

static void record(void *context, int row, int column, double value)
{
    struct recorder *recorder = context;

    (void)value;
    recorder->entries = arena_grow(recorder->arena, recorder->entries, &recorder->capacity,
                                   recorder->count, sizeof *recorder->entries);
    recorder->entries[recorder->count++] = (struct matrix_entry){row, column};
}

static void number_nodes(struct arena *arena, struct system *system)
{
    const struct network *network = system->network;

    system->node_rows = arena_array(arena, network->node_count, sizeof *system->node_rows);
    for (size_t i = 0; i < network->node_count; i++)
        system->node_rows[i] = i == network->ground ? STAMP_GROUND : (int)system->size++;
}

static void number_element(struct arena *arena, struct system *system, size_t index)
{
    const struct element *element = system->network->elements[index];
    int *nodes = arena_array(arena, element->node_count, sizeof *nodes);
    size_t unknowns = element->device->unknowns(element);
    size_t states = element->device->states(element);

    for (size_t i = 0; i < element->node_count; i++)
        nodes[i] = system->node_rows[element->nodes[i]];
    system->rows[index] = (struct element_rows){
        .nodes = nodes,
        .current = unknowns > 0 ? (int)system->size : -1,
        .state = states > 0 ? (int)system->state_count : -1,
        .limit = (int)(ELEMENT_LIMITS * index),
    };
    system->size += unknowns;
    system->state_count += states;
}

/* Whether a linear element adds to the right-hand side. */
static bool is_driven(const struct element *element)
{
    return element->device == &device_source || element->device->states(element) > 0;
}

static void mark_volts(struct arena *arena, struct system *system)
{
    system->is_volts = arena_array(arena, system->state_count, sizeof *system->is_volts);
    for (size_t i = 0; i < system->network->element_count; i++)
        if (system->network->elements[i]->device == &device_capacitor)
            system->is_volts[system->rows[i].state] = true;
}

static void sort_elements(struct arena *arena, struct system *system)
{
    size_t count = system->network->element_count;

    system->linear = arena_array(arena, count, sizeof *system->linear);
    system->driven = arena_array(arena, count, sizeof *system->driven);
    system->nonlinear = arena_array(arena, count, sizeof *system->nonlinear);
    for (size_t i = 0; i < count; i++) {
        const struct element *element = system->network->elements[i];

        if (!element->device->linear)
            system->nonlinear[system->nonlinear_count++] = i;
        else
            system->linear[system->linear_count++] = i;
        if (element->device->linear && is_driven(element))
            system->driven[system->driven_count++] = i;
    }
}

static void stamp_element(struct system *system, size_t index)
{
    const struct element *element = system->network->elements[index];

    system->target.next = system->first_slots[index];
    element->device->stamp(element, &system->rows[index], &system->stamp);
}

/* Stamps every element once to learn the pattern; then the ties. */
static void record_pattern(struct arena *arena, struct system *system)
{
    const struct network *network = system->network;
    struct recorder recorder = {.arena = arena};
    size_t *nodes = arena_array(arena, network->node_count, sizeof *nodes);

    system->first_slots = arena_array(arena, network->element_count + 1, sizeof(size_t));
    system->target = (struct stamp_target){.add = record, .context = &recorder};
    system->stamp.matrix = &system->target;
    for (size_t i = 0; i < network->element_count; i++) {
        system->first_slots[i] = recorder.count;
        stamp_element(system, i);
    }
    system->first_slots[network->element_count] = recorder.count;
    system->tied_count = floating_nodes(arena, network, nodes);
    for (size_t i = 0; i < system->tied_count; i++) {
        int row = system->node_rows[nodes[i]];

        record(&recorder, row, row, 0);
    }
    system->slots = arena_array(arena, recorder.count, sizeof *system->slots);
    system->matrix = matrix_new(arena, system->size, recorder.entries, recorder.count,
                                system->slots);
    system->tied = system->slots + (recorder.count - system->tied_count);
}

struct system *system_new(struct arena *arena, const struct network *network)
{
    struct system *system = arena_alloc(arena, sizeof *system);
    size_t values;

    system->network = network;
    number_nodes(arena, system);
    system->rows = arena_array(arena, network->element_count, sizeof *system->rows);
    for (size_t i = 0; i < network->element_count; i++)
        number_element(arena, system, i);
    mark_volts(arena, system);
    sort_elements(arena, system);
    system->x = arena_array(arena, system->size, sizeof(double));
    system->rhs = arena_array(arena, system->size, sizeof(double));
    system->base_rhs = arena_array(arena, system->size, sizeof(double));
    system->residual = arena_array(arena, system->size, sizeof(double));
    system->spare = arena_array(arena, system->size, sizeof(double));
    system->stamp = (struct stamp){
        .rhs = system->rhs,
        .guess = system->x,
        .limits = arena_array(arena, ELEMENT_LIMITS * network->element_count, sizeof(double)),
        .history = arena_array(arena, system->state_count, sizeof(double)),
        .source_scale = 1,
        .gmin = SYSTEM_GMIN,
        .first = true,
    };
    record_pattern(arena, system);
    values = matrix_value_count(system->matrix);
    system->base_values = arena_array(arena, values, sizeof(double));
    system->factored = arena_array(arena, values, sizeof(double));
    system->worst = -1;
    return system;
}

void system_free(struct system *system)
{
    matrix_free(system->matrix);
}

void system_set_step(struct system *system, double step)
{
    size_t values = matrix_value_count(system->matrix);

    memset(system->base_values, 0, values * sizeof(double));
    system->target = (struct stamp_target){.values = system->base_values, .slots = system->slots};
    system->stamp.matrix = &system->target;
    system->stamp.step = step;
    for (size_t i = 0; i < system->linear_count; i++)
        stamp_element(system, system->linear[i]);
    for (size_t i = 0; i < system->tied_count; i++)
        system->base_values[system->tied[i]] += TIE_SIEMENS;
    system->have_factors = false;
}

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
        stamp_element(system, system->nonlinear[i]);
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

            if (move > KEPT_SHARE * fabs(values[place]) + KEPT_SIEMENS)
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

/* Adds the step to x; true if no unknown moved by more than the tolerance. WORST is the one that moved most. */
static bool take_step(struct system *system)
{
    size_t node_rows = system->network->node_count - 1;
    double most = 0;

    system->worst = -1;
    for (size_t i = 0; i < system->size; i++) {
        double least = i < node_rows ? LEAST_VOLTS : LEAST_AMPS;
        double move = fabs(system->residual[i]);

        system->x[i] += system->residual[i];
        move /= RELATIVE_MOVE * fabs(system->x[i]) + least;
        if (!(move <= most)) { /* NaN too */
            most = move;
            system->worst = (int)i;
        }
        if (isnan(move))
            return false;
    }
    return most <= 1;
}

bool system_solve(struct system *system, double time, const double *history)
{
    bool settled;

    system->stamp.time = time;
    if (history != NULL)
        system->stamp.history = history;
    system->singular = false;
    set_base_rhs(system);
    for (int i = 0; i < MOST_ITERATIONS; i++) {
        system->work += (double)system->size;
        if (system->work > SYSTEM_MOST_WORK(system->size))
            return false;
        linearise(system);
        if (!factor(system, i >= ANEW_AFTER))
            return false;
        matrix_residual(system->matrix, system->x, system->rhs, system->residual);
        matrix_solve(system->matrix, system->residual, 1);
        settled = take_step(system);
        if (system->worst >= 0 && !isfinite(system->x[system->worst]))
            return false;
        if ((settled && !system->stamp.limited) || system->nonlinear_count == 0)
            return true;
    }
    return false;
}

void system_store(const struct system *system, double *states)
{
    for (size_t i = 0; i < system->driven_count; i++) {
        size_t index = system->driven[i];
        const struct element *element = system->network->elements[index];

        if (element->device->store != NULL)
            element->device->store(element, &system->rows[index], system->x, states);
    }
}

void system_amps(struct system *system, const double *history, double *amps)
{
    system->stamp.history = history;
    for (size_t i = 0; i < system->network->element_count; i++) {
        const struct element *element = system->network->elements[i];

        element->device->amps(element, &system->rows[i], &system->stamp,
                              amps + element->first_branch);
    }
}

/* The rows an element touches, RANK counting terminals, then unknowns; false past the last. */
static bool touched_row(const struct system *system, size_t index, size_t rank, int *row)
{
    const struct element *element = system->network->elements[index];

    if (rank < element->node_count)
        *row = system->rows[index].nodes[rank];
    else
        *row = system->rows[index].current + (int)(rank - element->node_count);
    return rank < element->node_count + element->device->unknowns(element);
}

/* A row among the terminals before RANK as well: it counts once. */
static bool seen_before(const struct system *system, size_t index, size_t rank, int row)
{
    int other;

    for (size_t i = 0; i < rank; i++)
        if (touched_row(system, index, i, &other) && other == row)
            return true;
    return false;
}

static void add_link(struct arena *arena, struct link **links, size_t *count, size_t *capacity,
                     struct link link)
{
    *links = arena_grow(arena, *links, capacity, *count, sizeof **links);
    (*links)[(*count)++] = link;
}

/* Unit states and unknowns one at a time show what an element makes of them. */
struct probe {
    double *history, *unknowns, *states, *rhs;
    size_t injection_capacity, extraction_capacity;
};

static void probe_injections(struct system *system, struct arena *arena, struct probe *probe,
                             size_t index, int state)
{
    const struct element *element = system->network->elements[index];
    int row;

    probe->history[state] = 1;
    element->device->stamp(element, &system->rows[index], &system->stamp);
    for (size_t rank = 0; touched_row(system, index, rank, &row); rank++) {
        if (row == STAMP_GROUND || probe->rhs[row] == 0)
            continue;
        add_link(arena, &system->injections, &system->injection_count,
                 &probe->injection_capacity, (struct link){state, row, probe->rhs[row]});
        probe->rhs[row] = 0;
    }
    probe->history[state] = 0;
}

static void probe_extractions(struct system *system, struct arena *arena, struct probe *probe,
                              size_t index)
{
    const struct element *element = system->network->elements[index];
    int state = system->rows[index].state, row;

    for (size_t rank = 0; touched_row(system, index, rank, &row); rank++) {
        if (row == STAMP_GROUND || seen_before(system, index, rank, row))
            continue;
        probe->unknowns[row] = 1;
        element->device->store(element, &system->rows[index], probe->unknowns, probe->states);
        for (int s = state; s < state + (int)element->device->states(element); s++)
            if (probe->states[s] != 0)
                add_link(arena, &system->extractions, &system->extraction_count,
                         &probe->extraction_capacity, (struct link){s, row, probe->states[s]});
        probe->unknowns[row] = 0;
    }
}

void system_link(struct system *system, struct arena *arena)
{
    struct stamp kept = system->stamp;
    struct probe probe = {
        .history = arena_array(arena, system->state_count, sizeof(double)),
        .states = arena_array(arena, system->state_count, sizeof(double)),
        .unknowns = arena_array(arena, system->size, sizeof(double)),
        .rhs = arena_array(arena, system->size, sizeof(double)),
    };

    system->injections = system->extractions = NULL;
    system->injection_count = system->extraction_count = 0;
    system->stamp.matrix = NULL;
    system->stamp.rhs = probe.rhs;
    system->stamp.history = probe.history;
    for (size_t i = 0; i < system->driven_count; i++) {
        size_t index = system->driven[i];
        const struct element *element = system->network->elements[index];
        size_t states = element->device->states(element);

        for (size_t s = 0; s < states; s++)
            probe_injections(system, arena, &probe, index,
                             system->rows[index].state + (int)s);
        if (states > 0)
            probe_extractions(system, arena, &probe, index);
    }
    system->stamp = kept;
}

const char *system_row_name(const struct system *system, int row)
{
    const struct network *network = system->network;

    for (size_t i = 0; i < network->node_count && row >= 0; i++)
        if (system->node_rows[i] == row)
            return network->nodes[i].name;
    for (size_t i = 0; i < network->element_count && row >= 0; i++) {
        const struct element *element = network->elements[i];
        int first = system->rows[i].current;

        if (first >= 0 && row >= first &&
            row < first + (int)element->device->unknowns(element))
            return element->part->ref;
    }
    return NULL;
}

const char *system_state_name(const struct system *system, size_t state)
{
    for (size_t i = 0; i < system->network->element_count; i++) {
        const struct element *element = system->network->elements[i];
        int first = system->rows[i].state;

        if (first < 0 || (int)state < first ||
            (int)state >= first + (int)element->device->states(element))
            continue;
        if (element->device == &device_capacitor &&
            element->nodes[0] != system->network->ground)
            return system->network->nodes[element->nodes[0]].name;
        return element->part->ref;
    }
    return NULL;
}
