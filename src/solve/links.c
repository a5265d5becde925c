/* Which states enter which equations, and which unknowns make which states. */
#include "solve/system.h"

#include "base/arena.h"
#include "device/network.h"

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
