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
#include "solve/system.h"
#include "solve/warming.h"

#define TWO_PI 6.283185307179586
/* Period of a network without AC sources, s. */
#define IDLE_PERIOD 0.02

/* STEPS a period. In the first one they start FIRST_FRACTION as long and double after every ALIKE_STEPS, because a capacitor that
 * meets the crest of the mains may charge in microseconds. */
enum { STEPS = 96, FIRST_FRACTION = 256, ALIKE_STEPS = 4 };
/* Periods integrated before any is skipped, and between skips; and in all. */
enum { FIRST_PERIODS = 6, BETWEEN_PERIODS = 2, MOST_PERIODS = 1500, MOST_SKIPPED = 200 };
#define MOST_SECONDS 120.0
/* A skip moves no state by more than MOST_MOVE of the largest it has been, and no warming figure by more than MOST_WARMING of
 * itself or LEAST_WARMING of its range; within WARM_SHARE of what it is in use it is warm. A state whose move from one period to
 * the next is less than LITTLE_MOVE does not hold up a skip, and one that moves by less than SETTLED_MOVE has settled. */
#define MOST_MOVE 0.1
#define MOST_WARMING 0.08
#define LEAST_WARMING 0.005
#define WARM_SHARE 0.002
#define LITTLE_MOVE 2e-3
#define SETTLED_MOVE 1e-4
/* Share of the largest energy, below which a state's course does not hold up a skip. */
#define LITTLE_ENERGY 1e-3
/* Moves of two periods whose ratio lies in between are one slow course; the ratio changes little over CURVED_SHARE of the
 * periods that the course takes. */
#define LEAST_RATIO 0.7
#define MOST_RATIO 1.05
#define CURVED_SHARE 0.3
/* The same where no more than LUKEWARM_SHARE of a figure's range is left to go. */
#define LUKEWARM_SHARE 0.03
#define STRAIGHT_SHARE 1.0
/* Floor of a state's scale: V, A, or amp-turns. */
#define LEAST_SCALE 1e-2

struct run {
    struct arena *arena;          /* for the points */
    const struct start_up_options *options;
    struct network *network;      /* of the excerpt; its elements are its own */
    struct system *system;
    struct period period;
    struct warming *warmings;     /* elements of the excerpt */
    size_t warming_count;
    struct surge **surges;        /* those of the excerpt */
    size_t *branches;             /* of the excerpt, by surge */
    size_t surge_count;
    double *amps;                 /* workspace: branches of one element */
    double *last;                 /* by surge: amps at the end of the last step */
    double *square, *square_before; /* by surge: A2s of the last period and of the one before */
    double *scale;                /* by state: largest magnitude so far */
    double *capacity;             /* by state: F or H, of which it stores CAPACITY STATE^2 / 2; INFINITY: not looked at */
    double most_energy;           /* of one state so far: its CAPACITY STATE^2 */
    double *move, *move_before;   /* by state: over the last period and the one before */
    double offset;                /* s, of the sources' time at switch-on */
    double now;                   /* s since switch-on */
    size_t periods, since_skip;
    size_t skipped;               /* periods of a skip whose I2t is still to be counted */
};

static void add_point(struct run *run, struct surge *surge, double seconds, double i2t)
{
    surge->points = arena_grow(run->arena, surge->points, &surge->point_capacity,
                               surge->point_count, sizeof *surge->points);
    surge->points[surge->point_count++] = (struct surge_point){seconds, i2t};
}

static double total_i2t(const struct surge *surge)
{
    return surge->point_count > 0 ? surge->points[surge->point_count - 1].i2t : 0;
}

static double amps_of(struct run *run, size_t branch)
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
static void note_step(struct run *run, double time, double h)
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
static void warm(struct run *run)
{
    double middle = run->now + run->period.seconds / 2;

    for (size_t i = 0; i < run->warming_count; i++)
        run->network->elements[run->warmings[i].element]->figures[0] =
            warming_at(&run->warmings[i], middle);
}

/* A step of H, or what is left of the period. */
static bool take(struct run *run, double *done, double h, bool anew)
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

static bool take_first_period(struct run *run)
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

static bool take_later_period(struct run *run)
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
static void count_skip(struct run *run, const size_t *first_points, const double *before)
{
    for (size_t i = 0; i < run->surge_count && run->skipped > 0; i++) {
        struct surge *surge = run->surges[i];
        double more = (double)run->skipped * (before[i] + run->square[i]) / 2;

        for (size_t p = first_points[i]; p < surge->point_count; p++)
            surge->points[p].i2t += more;
    }
    run->skipped = 0;
}

static void note_states(struct run *run, const double *start)
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
static bool integrate(struct run *run, double *start, size_t *first_points)
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

/* Whether the last two moves of state I are one slow course. */
static bool is_slow(const struct run *run, size_t i)
{
    double ratio = run->move[i] / run->move_before[i];

    return ratio >= LEAST_RATIO && ratio <= MOST_RATIO;
}

/* Whether state I matters to no more than a thousandth: it moves little, or what it stores is little (a coupling capacitor). */
static bool is_minor(const struct run *run, size_t i)
{
    double scale = run->scale[i];

    return (fabs(run->move[i]) < LITTLE_MOVE * scale &&
            fabs(run->move_before[i]) < LITTLE_MOVE * scale) ||
           run->capacity[i] * scale * scale < LITTLE_ENERGY * run->most_energy;
}

/* Periods that state I allows to skip. */
static double state_allows(const struct run *run, size_t i)
{
    double share = fabs(run->move[i]) / run->scale[i];
    double ratio = run->move[i] / run->move_before[i];

    if (is_minor(run, i))
        return MOST_SKIPPED;
    return is_slow(run, i) ? fmin(MOST_MOVE / share, CURVED_SHARE / fmax(fabs(1 - ratio), 1e-9)) : 0;
}

static bool is_warm(const struct warming *warming, double t)
{
    return warming->hot == warming->cold || warming_left(warming, t) <= WARM_SHARE;
}

static double warming_allows(const struct run *run, const struct warming *warming)
{
    double now = warming_at(warming, run->now), periods = MOST_SKIPPED;
    double most = fmax(MOST_WARMING * fabs(now),
                       LEAST_WARMING * fmax(fabs(warming->cold), fabs(warming->hot)));

    if (warming->course == WARMING_EXPONENTIAL && !is_warm(warming, run->now))
        periods = (warming_left(warming, run->now) > LUKEWARM_SHARE ? CURVED_SHARE : STRAIGHT_SHARE) *
                  warming->seconds / run->period.seconds;
    periods = fmin(periods, MOST_SKIPPED);
    while (periods >= 1 &&
           fabs(warming_at(warming, run->now + periods * run->period.seconds) - now) > most)
        periods /= 2;
    return periods;
}

static double longest(const struct start_up_options *options)
{
    return options->seconds > 0 ? options->seconds : MOST_SECONDS;
}

/* Periods that may be skipped now; one must be left to end on. */
static size_t periods_to_skip(const struct run *run)
{
    double left = (longest(run->options) - run->now) / run->period.seconds;
    double least = fmin(MOST_SKIPPED, round(left) - 1);

    if (run->periods < FIRST_PERIODS || run->since_skip < BETWEEN_PERIODS)
        return 0;
    for (size_t i = 0; i < run->system->state_count && least >= 1; i++)
        least = fmin(least, state_allows(run, i));
    for (size_t i = 0; i < run->warming_count && least >= 1; i++)
        least = fmin(least, warming_allows(run, &run->warmings[i]));
    return least >= 1 ? (size_t)least : 0;
}

/* Every state that moves slowly goes on geometrically for COUNT periods; the others are held. */
static void skip(struct run *run, size_t count)
{
    for (size_t i = 0; i < run->system->state_count; i++) {
        double ratio = fmin(1, run->move[i] / run->move_before[i]), sum = (double)count;
        double most = MOST_MOVE * run->scale[i];

        if (!is_slow(run, i))
            continue;
        if (1 - ratio > 1e-9)
            sum = ratio * (1 - pow(ratio, (double)count)) / (1 - ratio);
        run->period.now[i] += fmax(-most, fmin(most, run->move[i] * sum));
    }
    run->now += (double)count * run->period.seconds;
    run->skipped = count;
    run->since_skip = 0;
    for (size_t i = 0; i < run->surge_count; i++)
        add_point(run, run->surges[i], run->now, total_i2t(run->surges[i]));
}

/* Nothing changes any more. */
static bool is_settled(const struct run *run)
{
    if (run->periods < FIRST_PERIODS || run->since_skip < BETWEEN_PERIODS)
        return false;
    for (size_t i = 0; i < run->warming_count; i++)
        if (!is_warm(&run->warmings[i], run->now))
            return false;
    for (size_t i = 0; i < run->system->state_count; i++)
        if (fabs(run->move[i]) > SETTLED_MOVE * run->scale[i] && !is_minor(run, i))
            return false;
    return true;
}

/* False: a period could not be integrated. */
static bool follow(struct run *run)
{
    double *start = arena_array(run->arena, run->system->state_count, sizeof *start);
    size_t *first_points = arena_array(run->arena, run->surge_count, sizeof *first_points);

    while (run->now < longest(run->options) * (1 - 1e-9) && run->periods < MOST_PERIODS) {
        size_t count;

        if (!integrate(run, start, first_points))
            return false;
        if (is_settled(run))
            break;
        count = periods_to_skip(run);
        if (count > 0 && run->options->until_smooth)
            break;
        if (count > 0)
            skip(run, count);
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
static void set_offset(struct run *run)
{
    double hertz = 0, phase = first_phase(run->network, &hertz), turns;

    if (!(hertz > 0))
        return;
    turns = (run->options->angle - phase) / TWO_PI;
    run->offset = (turns - floor(turns)) / hertz;
}

static void allocate(struct run *run, struct arena *work)
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

static void finish(struct run *run, bool done)
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

static void run_excerpt(struct run *run, struct arena *work)
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
static void find_warmings(struct run *run, struct arena *work, const struct islands *islands,
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

static void find_surges(struct run *run, struct arena *work, const struct islands *islands,
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
    struct run run = {.arena = arena, .options = options, .network = excerpt.network};
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
