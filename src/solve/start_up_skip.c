/* Which periods after switch-on are skipped, and what comes of the states meanwhile. */
#include "solve/start_up_skip.h"

#include <math.h>

#include "solve/period.h"
#include "solve/system.h"
#include "solve/warming.h"

/* Periods integrated before any is skipped, and between skips; most that are skipped at once. */
enum { FIRST_PERIODS = 6, BETWEEN_PERIODS = 2, MOST_SKIPPED = 200 };
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

/* Whether the last two moves of state I are one slow course. */
static bool is_slow(const struct start_up *run, size_t i)
{
    double ratio = run->move[i] / run->move_before[i];

    return ratio >= LEAST_RATIO && ratio <= MOST_RATIO;
}

/* Whether state I matters to no more than a thousandth: it moves little, or what it stores is little (a coupling capacitor). */
static bool is_minor(const struct start_up *run, size_t i)
{
    double scale = run->scale[i];

    return (fabs(run->move[i]) < LITTLE_MOVE * scale &&
            fabs(run->move_before[i]) < LITTLE_MOVE * scale) ||
           run->capacity[i] * scale * scale < LITTLE_ENERGY * run->most_energy;
}

/* Periods that state I allows to skip. */
static double state_allows(const struct start_up *run, size_t i)
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

static double warming_allows(const struct start_up *run, const struct warming *warming)
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

size_t start_up_may_skip(const struct start_up *run)
{
    double left = (run->longest - run->now) / run->period.seconds;
    double least = fmin(MOST_SKIPPED, round(left) - 1);

    if (run->periods < FIRST_PERIODS || run->since_skip < BETWEEN_PERIODS)
        return 0;
    for (size_t i = 0; i < run->system->state_count && least >= 1; i++)
        least = fmin(least, state_allows(run, i));
    for (size_t i = 0; i < run->warming_count && least >= 1; i++)
        least = fmin(least, warming_allows(run, &run->warmings[i]));
    return least >= 1 ? (size_t)least : 0;
}

void start_up_skip(struct start_up *run, size_t count)
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
}

bool start_up_settled(const struct start_up *run)
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
