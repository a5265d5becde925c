#include "solve/system.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "solve/condensed.h"
#include "solve/floating.h"
#include "solve/matrix.h"

/* Ties a floating island to the reference, S. */
#define TIE_SIEMENS 1e-9

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
    return element->device == &device_source || element->device == &device_core_inrush ||
           element->device->states(element) > 0;
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
        system->amplifies |= element->device->amplifies;
    }
}

void system_stamp_element(struct system *system, size_t index)
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
        system_stamp_element(system, i);
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
    system->entries = recorder.entries;
    system->slot_count = recorder.count;
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
    system->left = arena_array(arena, system->size, sizeof(double));
    system->trial = arena_array(arena, system->size, sizeof(double));
    system->spare = arena_array(arena, system->size, sizeof(double));
    system->most_work = SYSTEM_MOST_WORK(system->size);
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
    system->precision = 1;
    return system;
}

/* Rows of nodes come first. */
size_t system_node_rows(const struct system *system)
{
    return system->network->node_count - 1;
}

void system_free(struct system *system)
{
    condensed_free(system->condensed);
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
        system_stamp_element(system, system->linear[i]);
    for (size_t i = 0; i < system->tied_count; i++)
        system->base_values[system->tied[i]] += TIE_SIEMENS;
    system->have_factors = false;
    if (system->condensed != NULL)
        condensed_renew(system->condensed);
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
