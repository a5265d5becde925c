/* The transient after switch-on. The first periods are integrated step by step. Then what still changes (reservoirs behind
 * droppers, the offset of a magnetising current, heaters) changes little from one period to the next, and periods are skipped:
 * every state goes on as the last two periods show, geometrically, and the mean square of a current is taken to change in a
 * straight line meanwhile (projective integration: C. W. Gear and I. G. Kevrekidis, SIAM J. Sci. Comput. 24 (2003),
 * 1091-1106, from memory). */
#include "solve/start_up.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/excerpt.h"
#include "solve/island.h"
#include "solve/period.h"
#include "solve/solution.h"
#include "solve/start_up_skip.h"
#include "solve/system.h"
#include "solve/warming.h"

#define TWO_PI 6.283185307179586
/* Period of a network without AC sources, s. */
#define IDLE_PERIOD 0.02

/* STEPS a period. In the first one they start FIRST_FRACTION as long and double after every ALIKE_STEPS, because a capacitor that
 * meets the crest of the mains may charge in microseconds. */
enum { STEPS = 96, FIRST_FRACTION = 256, ALIKE_STEPS = 4 };
/* Periods integrated in all, and s. */
enum { MOST_PERIODS = 1500 };
#define MOST_SECONDS 120.0
/* Floor of a state's scale: V, A, or amp-turns. */
#define LEAST_SCALE 1e-2

static void add_point(struct start_up *run, struct surge *surge, double seconds, double i2t)
{
    surge->points = arena_grow(run->arena, surge->points, &surge->point_capacity,
                               surge->point_count, sizeof *surge->points);
    surge->points[surge->point_count++] = (struct surge_point){seconds, i2t};
}

static double total_i2t(const struct surge *surge)
{
    return surge->point_count > 0 ? surge->points[surge->point_count - 1].i2t : 0;
}

static double amps_of(struct start_up *run, size_t branch)
{
    const struct branch *at = &run->network->branches[branch];
    const struct element *element = at->element;
    const struct element_rows *rows = &run->system->rows[element->index];

    for (size_t k = 0; k < element->node_count; k++)
        period_complete_row(&run->period, rows->nodes[k]);
    element->device->amps(element, rows, &run->system->stamp, run->amps);
    return run->amps[at->slot];
}

/* Trapezoids of the squared current. Nothing is known of the current at the very start but where it goes at once. */
static void note_step(struct start_up *run, double time, double h)
{
    for (size_t i = 0; i < run->surge_count; i++) {
        struct surge *surge = run->surges[i];
        double amps = amps_of(run, run->branches[i]);
        double before = surge->point_count > 1 ? run->last[i] : amps;
        double more = h * (amps * amps + amps * before + before * before) / 3;

        run->square[i] += more;
        surge->peak = fmax(surge->peak, fabs(amps));
        add_point(run, surge, time + h, total_i2t(surge) + more);
        run->last[i] = amps;
    }
}

/* Figures as they are in the middle of the coming period. */
static void warm(struct start_up *run)
{
    double middle = run->now + run->period.seconds / 2;

    for (size_t i = 0; i < run->warming_count; i++)
        run->network->elements[run->warmings[i].element]->figures[0] =
            warming_at(&run->warmings[i], middle);
}

/* A step of H, or what is left of the period. */
static bool take(struct start_up *run, double *done, double h, bool anew)
{
    double left = run->period.seconds - *done;
    bool last = h > left * (1 - 1e-9);

    if (last)
        h = left;
    if (anew || last)
        period_set_step(&run->period, h);
    if (!period_step(&run->period, run->offset + *done, h))
        return false;
    note_step(run, run->now + *done, h);
    *done = h == left ? run->period.seconds : *done + h;
    return true;
}

static bool take_first_period(struct start_up *run)
{
    double done = 0, step = run->period.seconds / STEPS, h = step / FIRST_FRACTION;

    for (int i = 0; done < run->period.seconds; i++) {
        bool grows = i > 0 && i % ALIKE_STEPS == 0 && h < step;

        if (grows)
            h = fmin(step, 2 * h);
        if (!take(run, &done, h, grows || i == 0))
            return false;
    }
    return true;
}

static bool take_later_period(struct start_up *run)
{
    double h = run->period.seconds / STEPS;

    period_set_step(&run->period, h);
    for (int i = 0; i < STEPS; i++) {
        if (!period_step(&run->period, run->offset + i * h, h))
            return false;
        note_step(run, run->now + i * h, h);
    }
    return true;
}

/* The I2t of the skip before the last period, now that its end is known: it comes before all points of that period. */
static void count_skip(struct start_up *run, const size_t *first_points, const double *before)
{
    for (size_t i = 0; i < run->surge_count && run->skipped > 0; i++) {
        struct surge *surge = run->surges[i];
        double more = (double)run->skipped * (before[i] + run->square[i]) / 2;

        for (size_t p = first_points[i]; p < surge->point_count; p++)
            surge->points[p].i2t += more;
    }
    run->skipped = 0;
}

static void note_states(struct start_up *run, const double *start)
{
    for (size_t i = 0; i < run->system->state_count; i++) {
        run->scale[i] = fmax(run->scale[i], fabs(run->period.now[i]));
        run->move_before[i] = run->move[i];
        run->move[i] = run->period.now[i] - start[i];
        if (isfinite(run->capacity[i]))
            run->most_energy =
                fmax(run->most_energy, run->capacity[i] * run->scale[i] * run->scale[i]);
    }
}

/* One period in full. */
static bool integrate(struct start_up *run, double *start, size_t *first_points)
{
    bool done;

    memcpy(start, run->period.now, run->system->state_count * sizeof *start);
    for (size_t i = 0; i < run->surge_count; i++) {
        first_points[i] = run->surges[i]->point_count - (run->skipped > 0);
        run->square_before[i] = run->square[i];
        run->square[i] = 0;
    }
    warm(run);
    done = run->periods == 0 ? take_first_period(run) : take_later_period(run);
    if (!done)
        return false;
    count_skip(run, first_points, run->square_before);
    note_states(run, start);
    run->now += run->period.seconds;
    run->periods++;
    run->since_skip++;
    return true;
}

/* Skips COUNT periods; their I2t is counted when the next one is known. */
static void leap(struct start_up *run, size_t count)
{
    start_up_skip(run, count);
    for (size_t i = 0; i < run->surge_count; i++)
        add_point(run, run->surges[i], run->now, total_i2t(run->surges[i]));
}

/* False: a period could not be integrated. */
static bool follow(struct start_up *run)
{
    double *start = arena_array(run->arena, run->system->state_count, sizeof *start);
    size_t *first_points = arena_array(run->arena, run->surge_count, sizeof *first_points);

    while (run->now < run->longest * (1 - 1e-9) && run->periods < MOST_PERIODS) {
        size_t count;

        if (!integrate(run, start, first_points))
            return false;
        if (start_up_settled(run))
            break;
        count = start_up_may_skip(run);
        if (count > 0 && run->options->until_smooth)
            break;
        if (count > 0)
            leap(run, count);
    }
    if (run->skipped > 0)
        return integrate(run, start, first_points);
    return true;
}

static double first_phase(const struct network *network, double *hertz)
{
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];

        if (element->device == &device_source && element->figures[1] != 0) {
            *hertz = element->figures[2];
            return element->figures[3];
        }
    }
    return 0;
}

/* Where in its period the first source is when its sine has the angle that is asked for. */
static void set_offset(struct start_up *run)
{
    double hertz = 0, phase = first_phase(run->network, &hertz), turns;

    if (!(hertz > 0))
        return;
    turns = (run->options->angle - phase) / TWO_PI;
    run->offset = (turns - floor(turns)) / hertz;
}

static void allocate(struct start_up *run, struct arena *work)
{
    size_t states = run->system->state_count;

    run->amps = arena_array(work, run->network->branch_count, sizeof(double));
    run->last = arena_array(work, run->surge_count, sizeof(double));
    run->square = arena_array(work, run->surge_count, sizeof(double));
    run->square_before = arena_array(work, run->surge_count, sizeof(double));
    run->scale = arena_array(work, states, sizeof(double));
    run->move = arena_array(work, states, sizeof(double));
    run->move_before = arena_array(work, states, sizeof(double));
    run->capacity = arena_array(work, states, sizeof(double));
    for (size_t i = 0; i < states; i++) {
        run->scale[i] = LEAST_SCALE;
        run->capacity[i] = INFINITY;
    }
    for (size_t i = 0; i < run->network->element_count; i++) {
        const struct element *element = run->network->elements[i];

        if (element->device == &device_capacitor || element->device == &device_inductor)
            run->capacity[run->system->rows[i].state] = element->figures[0];
    }
}

static void finish(struct start_up *run, bool done)
{
    for (size_t i = 0; i < run->surge_count; i++) {
        struct surge *surge = run->surges[i];

        surge->settled_square = run->square[i] / run->period.seconds;
        if (done && isfinite(surge->peak) && isfinite(total_i2t(surge)))
            continue;
        surge->status = run->system->singular ? SOLVE_SINGULAR : SOLVE_NOT_CONVERGED;
        surge->blame = system_row_name(run->system, run->system->worst);
    }
}

static void run_excerpt(struct start_up *run, struct arena *work)
{
    double hertz = run->network->hertz;

    run->system = system_new(work, run->network);
    run->period = period_new(work, run->system, hertz > 0 ? 1 / hertz : IDLE_PERIOD, false);
    allocate(run, work);
    set_offset(run);
    for (size_t i = 0; i < run->surge_count; i++)
        add_point(run, run->surges[i], 0, 0);
    finish(run, follow(run));
    system_free(run->system);
}

/* The warmings of the elements of an island, numbered as in its excerpt. */
static void find_warmings(struct start_up *run, struct arena *work, const struct islands *islands,
                          size_t island)
{
    size_t first = islands->first[island], end = islands->first[island + 1];

    run->warmings = arena_array(work, run->options->warming_count, sizeof *run->warmings);
    for (size_t i = 0; i < run->options->warming_count; i++) {
        const struct warming *warming = &run->options->warmings[i];

        for (size_t e = first; e < end && islands->of_element[warming->element] == island; e++)
            if (islands->elements[e] == warming->element) {
                run->warmings[run->warming_count] = *warming;
                run->warmings[run->warming_count++].element = e - first;
            }
    }
}

static size_t island_of(const struct islands *islands, size_t branch)
{
    return islands->of_element[islands->network->branches[branch].element->index];
}

static void find_surges(struct start_up *run, struct arena *work, const struct islands *islands,
                        size_t island, const struct excerpt *excerpt, struct surge *surges,
                        size_t surge_count)
{
    run->surges = arena_array(work, surge_count, sizeof *run->surges);
    run->branches = arena_array(work, surge_count, sizeof *run->branches);
    for (size_t i = 0; i < surge_count; i++)
        for (size_t b = 0;
             b < excerpt->own_branches && island_of(islands, surges[i].branch) == island; b++)
            if (excerpt->branches[b] == surges[i].branch) {
                run->surges[run->surge_count] = &surges[i];
                run->branches[run->surge_count++] = b;
            }
}

static void run_island(struct arena *arena, const struct islands *islands, size_t island,
                       const struct start_up_options *options, struct surge *surges,
                       size_t surge_count)
{
    struct arena *work = arena_new();
    struct excerpt excerpt = excerpt_new(
        work, islands, &(struct excerpt_wish){.islands = &island, .island_count = 1});
    struct start_up run = {.arena = arena, .options = options, .network = excerpt.network,
                           .longest = options->seconds > 0 ? options->seconds : MOST_SECONDS};
    struct solution size;

    find_surges(&run, work, islands, island, &excerpt, surges, surge_count);
    find_warmings(&run, work, islands, island);
    if (!solution_check_size(&size, excerpt.network))
        for (size_t i = 0; i < run.surge_count; i++)
            run.surges[i]->status = SOLVE_TOO_LARGE;
    else
        run_excerpt(&run, work);
    arena_free(work);
}

void start_up_run(struct arena *arena, const struct network *network,
                  const struct start_up_options *options, struct surge *surges,
                  size_t surge_count)
{
    struct arena *work = arena_new();
    struct islands islands = islands_find(work, network);
    bool *wanted = arena_array(work, islands.count, sizeof *wanted);

    for (size_t i = 0; i < surge_count; i++) {
        size_t island = island_of(&islands, surges[i].branch);

        if (island != SIZE_MAX)
            wanted[island] = true;
    }
    for (size_t i = 0; i < islands.count; i++)
        if (wanted[i])
            run_island(arena, &islands, i, options, surges, surge_count);
    arena_free(work);
}
