#include "solve/search.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "device/network.h"
#include "solve/dense.h"
#include "solve/system.h"

/* Above this many states their derivatives cost more than plain periods. */
enum { MOST_SHOT_STATES = 150 };
/* So many small moves, each no smaller than half the last, and the stages are solved more precisely. */
enum { MOST_STALLS = 2 };
enum { FIRST_PERIODS = 2, MOST_CREEPS = 40, MOST_HALVINGS = 14 };

/* A move by more than this share of a scale may end among other diodes conducting; one by less may reuse the
 * derivatives. */
#define FAR_SHARE 0.5
#define NEAR_SHARE 0.1
/* A move shortened this much does not go among other diodes. */
#define LITTLE_MOVE 0.1
/* A state that moves by less than this share a period stands still for all that matters here. */
#define STILL_SHARE 1e-8
/* Floor of the scale of a state: V, A, or amp-turns. */
#define LEAST_SCALE 1e-2
/* Pivot that stands for a state that keeps what it has. */
#define LEAST_PIVOT 1e-9

struct search search_new(struct arena *work, const struct network *network,
                         struct system *system, double relative)
{
    size_t states = system->state_count;
    struct search search = {.work = work, .network = network, .system = system};

    search.relative = relative > 0 ? relative : 1e-4;
    search.shooting = states <= MOST_SHOT_STATES;
    search.period = period_new(work, system, 1 / network->hertz, search.shooting);
    search.move = arena_array(work, states, sizeof(double));
    search.scale = arena_array(work, states, sizeof(double));
    if (search.shooting) {
        search.factors = arena_array(work, states * states, sizeof(double));
        search.pivots = arena_array(work, states, sizeof *search.pivots);
    }
    return search;
}

bool search_run(struct search *search, bool sensitive)
{
    search->periods++;
    search->stuck = !period_run(&search->period, sensitive);
    if (search->stuck)
        return false;
    for (size_t i = 0; i < search->system->state_count; i++)
        search->scale[i] = search->period.largest[i] + LEAST_SCALE;
    return true;
}

double search_residual(const struct search *search)
{
    const struct period *period = &search->period;
    double most = 0;

    for (size_t i = 0; i < search->system->state_count; i++)
        most = fmax(most, fabs(period->end[i] - period->start[i]) / search->scale[i]);
    return most;
}

static void factor_map(struct search *search)
{
    size_t states = search->system->state_count;

    for (size_t i = 0; i < states * states; i++)
        search->factors[i] = -search->period.sensitivity[i];
    for (size_t i = 0; i < states; i++)
        search->factors[i * states + i] += 1;
    dense_factor(search->factors, states, search->pivots, LEAST_PIVOT);
    search->have_factors = true;
}

/* Newton's move of the start, (I - M)^-1 (end - start), into move; returns its largest share of a scale. States that
 * stand still do not count: what they would do in 10^8 periods is nobody's concern. */
static double find_move(struct search *search)
{
    const struct period *period = &search->period;
    size_t states = search->system->state_count;
    double most = 0;

    for (size_t i = 0; i < states; i++)
        search->move[i] = period->end[i] - period->start[i];
    dense_solve(search->factors, states, search->pivots, search->move);
    for (size_t i = 0; i < states; i++) {
        double residual = fabs(period->end[i] - period->start[i]);
        double share = fabs(search->move[i]) / search->scale[i];

        if (residual > STILL_SHARE * search->scale[i] && !(share <= most)) {
            most = share;
            search->worst = i;
        }
    }
    return most;
}

/* The largest volts on a capacitor in the last period. */
static double largest_volts(const struct search *search)
{
    double most = LEAST_SCALE;

    for (size_t i = 0; i < search->system->state_count; i++)
        if (search->system->is_volts[i])
            most = fmax(most, search->scale[i]);
    return most;
}

/* Moves the start. What a period says of a far move is not to be trusted: no capacitor moves by more than the
 * largest volts there are, and none changes sign before it was seen empty. */
static void move_start(struct search *search, double damping)
{
    double *start = search->period.start, most = largest_volts(search);

    for (size_t i = 0; i < search->system->state_count; i++) {
        double move = damping * search->move[i];

        if (search->system->is_volts[i]) {
            move = fmax(-most, fmin(most, move));
            if (start[i] * (start[i] + move) < 0 && fabs(move) > search->scale[i] / 2)
                move = -start[i];
        }
        start[i] += move;
    }
}

void search_run_plainly(struct search *search, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (search_run(search, false))
            memcpy(search->period.start, search->period.end,
                   search->system->state_count * sizeof(double));
}

/* Newton's method may go to and fro between sets of conducting diodes for ever, or, from a reservoir that no diode reaches
 * any more, always jump far past the place where one just does. A shortened move now and then, ever shorter, ends that: it
 * starts afresh from a point between. */
static double damping_of(int shot, double share)
{
    static const double shares[] = {0.5, 0.3, 0.7, 0.15};

    if (shot % 3 != 2 || shot < 5 || (share <= NEAR_SHARE && shot < 12))
        return 1;
    return shot % 2 == 1 ? shares[shot / 6 % 4] : ldexp(1, -shot / 6 - 1);
}

/* Goes to where the last move leads, but for states that stand still: theirs means nothing. The next grid starts there. */
static void finish_move(struct search *search, double tolerance)
{
    for (size_t i = 0; i < search->system->state_count; i++)
        if (fabs(search->move[i]) <= tolerance * search->scale[i])
            search->period.start[i] += search->move[i];
}

/* Shooting at the present grid until the move is below TOLERANCE. On success the last period run started within
 * that of the steady state. */
bool search_shoot(struct search *search, double tolerance, int most)
{
    double before = INFINITY;
    bool fresh = !search->have_factors;
    int stalls = 0;

    for (int i = 0; i < most; i++) {
        double share, damping;

        if (!search_run(search, fresh))
            return false;
        if (fresh)
            factor_map(search);
        share = find_move(search);
        if (share <= tolerance) {
            finish_move(search, tolerance);
            return true;
        }
        if (isnan(share))
            return false;
        damping = damping_of(i, share);
        move_start(search, damping);
        if (share > FAR_SHARE && damping > LITTLE_MOVE)
            search_run_plainly(search, 1);
        fresh = share > NEAR_SHARE || share > before / 4;
        stalls += share <= NEAR_SHARE && share > before / 2;
        if (stalls >= MOST_STALLS)
            search->system->precision = FINE_PRECISION;
        before = share;
    }
    return false;
}

/* Newton's move from FROM, shortened until what the derivatives there make of the next residual has become less (the natural
 * level function: P. Deuflhard, Newton Methods for Nonlinear Problems, section 3.3, from memory). The start is left there. */
static bool shorten_move(struct search *search, const double *from, const double *move,
                         double level, double tolerance)
{
    size_t bytes = search->system->state_count * sizeof(double);
    double best = INFINITY, best_share = 0, share = level > 1 ? 1 / level : 1;
    double *scale = arena_alloc(search->work, bytes);

    memcpy(scale, search->scale, bytes);
    for (int i = 0; i <= MOST_HALVINGS; i++, share /= 2) {
        double next;

        if (i == MOST_HALVINGS)
            share = best_share;
        memcpy(search->period.start, from, bytes);
        memcpy(search->move, move, bytes);
        move_start(search, share);
        if (i == MOST_HALVINGS)
            break;
        if (!search_run(search, false))
            continue;
        memcpy(search->scale, scale, bytes);
        next = find_move(search);
        if (next <= (1 - share / 4) * level || next <= tolerance)
            return true;
        if (next < best) {
            best = next;
            best_share = share;
        }
    }
    return best_share > 0;
}

/* Shooting with moves that are never longer than brings it nearer: slow, but neither does it go to and fro between sets of
 * conducting diodes, nor jump past the volts at which a reservoir is just reached. */
bool search_creep(struct search *search, double tolerance)
{
    size_t states = search->system->state_count;
    double *from = arena_array(search->work, states, sizeof *from);
    double *move = arena_array(search->work, states, sizeof *move);

    search->system->precision = FINE_PRECISION;
    search_run_plainly(search, FIRST_PERIODS);
    for (int i = 0; i < MOST_CREEPS; i++) {
        double level;

        if (!search_run(search, true))
            return false;
        factor_map(search);
        level = find_move(search);
        if (level <= tolerance) {
            finish_move(search, tolerance);
            return true;
        }
        memcpy(from, search->period.start, states * sizeof *from);
        memcpy(move, search->move, states * sizeof *move);
        if (!shorten_move(search, from, move, level, tolerance))
            return false;
    }
    return false;
}
