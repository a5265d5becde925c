#include "solve/solution.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/solve.h"
#include "solve/system.h"

/* Larger circuits are no amplifiers. */
enum { MOST_NODES = 20000, MOST_ELEMENTS = 50000 };

struct solution *solution_new(struct arena *arena, const struct network *network)
{
    struct solution *solution = arena_alloc(arena, sizeof *solution);

    solution->nodes = arena_array(arena, network->node_count, sizeof *solution->nodes);
    solution->branches = arena_array(arena, network->branch_count, sizeof *solution->branches);
    solution->node_solved = arena_array(arena, network->node_count, sizeof(bool));
    solution->branch_solved = arena_array(arena, network->branch_count, sizeof(bool));
    memset(solution->node_solved, true, network->node_count * sizeof(bool));
    memset(solution->branch_solved, true, network->branch_count * sizeof(bool));
    solution->charge = arena_array(arena, network->branch_count, sizeof *solution->charge);
    solution->state_count = network->branch_count;
    return solution;
}

bool solution_check_size(struct solution *solution, const struct network *network)
{
    if (network->node_count > 0 && network->node_count <= MOST_NODES &&
        network->element_count <= MOST_ELEMENTS)
        return true;
    solution->status = SOLVE_TOO_LARGE;
    return false;
}

void solution_fail(struct solution *solution, const struct system *system)
{
    solution->status = system->singular ? SOLVE_SINGULAR : SOLVE_NOT_CONVERGED;
    solution->blame = system_row_name(system, system->worst);
}

static void clear_wave(struct wave *wave)
{
    *wave = (struct wave){.low = INFINITY, .high = -INFINITY};
}

static void add_wave(struct wave *wave, double value)
{
    wave->mean += value;
    wave->rms += value * value;
    wave->low = value < wave->low ? value : wave->low;
    wave->high = value > wave->high ? value : wave->high;
}

static void end_wave(struct wave *wave, size_t steps)
{
    wave->mean /= (double)steps;
    wave->rms = sqrt(wave->rms / (double)steps);
}

void solution_start(struct solution *solution, const struct system *system)
{
    for (size_t i = 0; i < system->network->node_count; i++)
        clear_wave(&solution->nodes[i]);
    for (size_t i = 0; i < system->network->branch_count; i++)
        clear_wave(&solution->branches[i]);
}

/* Equal steps over a whole period: the trapezoid rule is the plain mean. */
void solution_add(struct solution *solution, struct system *system, const double *history,
                  double *amps)
{
    const struct network *network = system->network;

    system_amps(system, history, amps);
    for (size_t i = 0; i < network->node_count; i++)
        add_wave(&solution->nodes[i], stamp_volts(&system->stamp, system->node_rows[i]));
    for (size_t i = 0; i < network->branch_count; i++)
        add_wave(&solution->branches[i], amps[i]);
}

void solution_end(struct solution *solution, const struct system *system, size_t steps)
{
    for (size_t i = 0; i < system->network->node_count; i++)
        end_wave(&solution->nodes[i], steps);
    for (size_t i = 0; i < system->network->branch_count; i++)
        end_wave(&solution->branches[i], steps);
}

static void hold_wave(struct wave *wave, double value)
{
    *wave = (struct wave){.mean = value, .rms = fabs(value), .low = value, .high = value};
}

void solution_hold(struct solution *solution, struct system *system)
{
    const struct network *network = system->network;
    struct arena *work = arena_new();
    double *amps = arena_array(work, network->branch_count, sizeof *amps);
    double *states = arena_array(work, system->state_count, sizeof *states);

    system_store(system, states);
    system_amps(system, states, amps);
    for (size_t i = 0; i < network->node_count; i++)
        hold_wave(&solution->nodes[i], stamp_volts(&system->stamp, system->node_rows[i]));
    for (size_t i = 0; i < network->branch_count; i++)
        hold_wave(&solution->branches[i], amps[i]);
    solution_keep_states(solution, system, states);
    arena_free(work);
}

void solution_keep_states(struct solution *solution, const struct system *system,
                          const double *states)
{
    for (size_t i = 0; i < system->network->element_count; i++) {
        const struct element *element = system->network->elements[i];
        size_t count = element->device->states(element);

        for (size_t s = 0; s < count && s < element->branch_count; s++)
            solution->charge[element->first_branch + s] =
                states[system->rows[i].state + (int)s];
    }
}

void solution_find_states(const struct solution *start, const struct system *system,
                          double *states)
{
    for (size_t i = 0; i < system->network->element_count; i++) {
        const struct element *element = system->network->elements[i];
        size_t count = element->device->states(element);

        for (size_t s = 0; s < count && element->first_branch + s < start->state_count; s++)
            states[system->rows[i].state + (int)s] = start->charge[element->first_branch + s];
    }
}
