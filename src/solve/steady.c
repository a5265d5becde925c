/* The periodic steady state: the energy states that a period gives back unchanged. Newton's method on the map of
 * one period (shooting), on a coarse grid first; then finer grids until the RMS values no longer depend on it. */
#include "solve/steady.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "solve/anderson.h"
#include "solve/dense.h"
#include "solve/operating_point.h"
#include "solve/period.h"
#include "solve/solution.h"
#include "solve/solve.h"
#include "solve/system.h"

/* Steps a period of the grid of the rough search; those that are compared have FIRST_RATIO times as many, then twice as
 * many each time. */
enum { COARSE_STEPS = 25, FIRST_RATIO = 4, LEVELS = 7, MOST_RATIO = 20 };
/* Above this many states their derivatives cost more than plain periods. */
enum { MOST_SHOT_STATES = 150 };
enum { FIRST_PERIODS = 2, MOST_SHOTS = 60, MOST_CREEPS = 40, MOST_HALVINGS = 14, MOST_MIXES = 300 };
/* So many small moves, each no smaller than half the last, and the stages are solved more precisely. */
enum { MOST_STALLS = 2 };
/* On the third grid and those after. */
enum { MOST_FINE_SHOTS = 10 };

/* Two grids agree when no RMS value differs by more than this share, or V or A. */
#define GRID_SHARE 0.005
#define GRID_VOLTS 1e-3
#define GRID_AMPS 5e-6
#define PEAK_SHARE 0.01
#define LEAST_PEAK_AMPS 1e-3
/* A capacitor or resistor that carries less than the first share of what flows beside it at either end need agree only to the
 * second share of that, unless its watts differ by more than a hundredth of the smallest rating of a resistor, 1/8 W. */
#define LITTLE_SHARE 0.05
#define NEGLIGIBLE_SHARE 1e-3
#define NEGLIGIBLE_WATTS 1e-3
/* The finest grid must agree with the one before to this share at least. */
#define LAST_SHARE 0.02
/* A move by more than this share of a scale may end among other diodes conducting; one by less may reuse the
 * derivatives. */
#define FAR_SHARE 0.5
#define NEAR_SHARE 0.1
/* A move shortened this much does not go among other diodes. */
#define LITTLE_MOVE 0.1
/* Of each stage, against the usual, where the search does not come nearer: what the stages leave open adds up to noise, which the
 * slowest state magnifies by the number of periods it takes to settle. */
#define FINE_PRECISION 1e-5
/* Of the usual tolerance of the search, on the third grid and those after. */
#define FINE_SHARE 0.01
/* Of the coarsest grid, whose own error is larger. */
#define COARSE_TOLERANCE 1e-2
/* A state that moves by less than this share a period stands still for all that matters here. */
#define STILL_SHARE 1e-8
/* Floor of the scale of a state: V, A, or amp-turns. */
#define LEAST_SCALE 1e-2
/* Pivot that stands for a state that keeps what it has. */
#define LEAST_PIVOT 1e-9

struct search {
    struct arena *work;
    const struct network *network;
    struct system *system;
    struct period period;
    double relative;
    bool shooting;         /* derivatives are affordable */
    bool have_factors;     /* of I - sensitivity, perhaps of a coarser grid */
    double *factors;
    size_t *pivots;
    double *move, *scale;  /* state_count */
    size_t periods;
    size_t worst;          /* state that moved most */
    bool stuck;            /* the last period could not be integrated */
};

/* The lowest frequency must divide all others. False, with the blame, if one does not fit. */
static bool check_frequencies(const struct network *network, size_t *ratio,
                              struct solution *solution)
{
    *ratio = 1;
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];
        double multiple = element->figures[2] / network->hertz;

        if (element->device != &device_source || element->figures[1] == 0)
            continue;
        if (!(fabs(multiple - round(multiple)) < 1e-6) || multiple < 0.5 ||
            multiple > MOST_RATIO) {
            solution->status = SOLVE_NOT_CONVERGED;
            solution->blame = element->part->ref;
            return false;
        }
        if ((size_t)round(multiple) > *ratio)
            *ratio = (size_t)round(multiple);
    }
    return true;
}

static struct search search_new(struct arena *work, const struct network *network,
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

static bool run(struct search *search, bool sensitive)
{
    search->periods++;
    search->stuck = !period_run(&search->period, sensitive);
    if (search->stuck)
        return false;
    for (size_t i = 0; i < search->system->state_count; i++)
        search->scale[i] = search->period.largest[i] + LEAST_SCALE;
    return true;
}

/* Largest share of its scale by which a state moved over the period. */
static double residual_share(const struct search *search)
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

static void run_plainly(struct search *search, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (run(search, false))
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
static bool shoot(struct search *search, double tolerance, int most)
{
    double before = INFINITY;
    bool fresh = !search->have_factors;
    int stalls = 0;

    for (int i = 0; i < most; i++) {
        double share, damping;

        if (!run(search, fresh))
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
            run_plainly(search, 1);
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
        if (!run(search, false))
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
static bool creep(struct search *search, double tolerance)
{
    size_t states = search->system->state_count;
    double *from = arena_array(search->work, states, sizeof *from);
    double *move = arena_array(search->work, states, sizeof *move);

    search->system->precision = FINE_PRECISION;
    run_plainly(search, FIRST_PERIODS);
    for (int i = 0; i < MOST_CREEPS; i++) {
        double level;

        if (!run(search, true))
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

/* The same without derivatives. The share a period still moves by must be small against what is asked of the state,
 * because what moves slowly has far to go. */
static bool mix(struct search *search, double tolerance)
{
    struct period *period = &search->period;
    struct anderson anderson = anderson_new(search->work, search->system->state_count);

    for (int i = 0; i < MOST_MIXES; i++) {
        if (!run(search, false))
            return false;
        if (residual_share(search) <= tolerance * 1e-3)
            return true;
        anderson_step(&anderson, period->start, period->end, search->scale);
    }
    return false;
}

static void make_record(struct search *search, size_t steps)
{
    struct record *record = search->period.record;

    record->width = search->network->branch_count - record->first;
    record->steps = steps;
    record->amps = arena_array(search->work, record->width * steps, sizeof *record->amps);
}

/* STEPS a period from now on; the last period run is gathered into GATHER. */
static void set_grid(struct search *search, size_t steps, struct solution *gather)
{
    period_set_steps(&search->period, search->work, steps);
    search->period.gather = gather;
    if (gather != NULL)
        make_record(search, steps);
}

/* Finds the steady state on the present grid. */
static bool settle(struct search *search, double tolerance)
{
    size_t bytes = search->system->state_count * sizeof(double);
    double *kept = arena_alloc(search->work, bytes);

    memcpy(kept, search->period.start, bytes);
    if (search->shooting && shoot(search, tolerance, MOST_SHOTS))
        return true;
    memcpy(search->period.start, kept, bytes);
    if (search->shooting && creep(search, tolerance))
        return true;
    memcpy(search->period.start, kept, bytes);
    search->have_factors = false;
    return mix(search, tolerance);
}

static bool agree(const struct wave *a, const struct wave *b, double share, double least)
{
    return fabs(a->rms - b->rms) <= share * fmax(a->rms, b->rms) + least;
}

/* By node: the largest RMS current of a branch there. */
static double *largest_amps(struct arena *work, const struct network *network,
                            const struct solution *solution)
{
    double *most = arena_array(work, network->node_count, sizeof *most);

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        most[branch->from] = fmax(most[branch->from], solution->branches[i].rms);
        most[branch->to] = fmax(most[branch->to], solution->branches[i].rms);
    }
    return most;
}

/* Whether the currents A and B that two grids gave BRANCH, a damper, a snubber or a stray path, differ by nothing that matters.
 * MOST: by node. When a diode stops conducting, the leakage inductance rings with what lies across it, far above what any
 * grid resolves, but with next to no energy. */
static bool is_negligible(const struct branch *branch, const struct wave *a,
                          const struct wave *b, const double *most)
{
    const struct element *element = branch->element;
    double watts = fabs(a->rms * a->rms - b->rms * b->rms) * element->figures[0];
    double beside;

    if (branch->kind == BRANCH_FUSE ||
        (element->device != &device_capacitor && element->device != &device_resistor) ||
        (element->device == &device_resistor && watts > NEGLIGIBLE_WATTS))
        return false;
    beside = fmin(most[branch->from], most[branch->to]);
    return fmax(a->rms, b->rms) <= LITTLE_SHARE * beside &&
           fabs(a->rms - b->rms) <= NEGLIGIBLE_SHARE * beside;
}

/* Whether two grids gave the same RMS values; else *BLAME is one that differs. */
static bool grids_agree(const struct search *search, const struct solution *coarse,
                        const struct solution *fine, double share, const char **blame)
{
    const struct network *network = search->network;
    const double *most = largest_amps(search->work, network, fine);

    for (size_t i = 0; i < network->node_count; i++)
        if (!agree(&coarse->nodes[i], &fine->nodes[i], share, GRID_VOLTS)) {
            *blame = network->nodes[i].name;
            return false;
        }
    for (size_t i = 0; i < network->branch_count; i++)
        if (!agree(&coarse->branches[i], &fine->branches[i], share, GRID_AMPS) &&
            !is_negligible(&network->branches[i], &coarse->branches[i], &fine->branches[i], most)) {
            *blame = network->branches[i].part->ref;
            return false;
        }
    return true;
}

static struct solution *give_up(struct search *search)
{
    struct solution *solution = solution_new(search->work, search->network);

    solution->status = SOLVE_NOT_CONVERGED;
    solution->blame = search->stuck ? system_row_name(search->system, search->system->worst)
                                    : system_state_name(search->system, search->worst);
    solution->hertz = search->network->hertz;
    solution->periods = search->periods;
    return solution;
}

static struct solution *finish(struct search *search, struct solution *solution)
{
    solution->hertz = search->network->hertz;
    solution->periods = search->periods;
    solution_keep_states(solution, search->system, search->period.start);
    return solution;
}

/* Whether the peaks of the rectified currents agree as well: where a diode meets a capacitor with next to no
 * resistance they need a finer grid than the RMS values. */
static bool peaks_agree(const struct network *network, const struct solution *coarse,
                        const struct solution *fine)
{
    for (size_t i = 0; i < network->branch_count; i++) {
        const struct device *device = network->branches[i].element->device;
        double a = coarse->branches[i].high, b = fine->branches[i].high;

        if ((device == &device_diode || device == &device_valve_diode) &&
            fabs(a - b) > PEAK_SHARE * fmax(fabs(a), fabs(b)) + LEAST_PEAK_AMPS)
            return false;
    }
    return true;
}

/* The steady state on grid LEVEL. Where two grids did not agree, what the tolerance leaves open may be why: the charging current of a
 * reservoir that next to nothing is drawn from depends on far less than 1e-4 of its volts. So it is at least tried. */
static bool settle_level(struct search *search, int level)
{
    if (level >= 2 && search->shooting) {
        search->system->precision = FINE_PRECISION;
        if (shoot(search, FINE_SHARE * search->relative, MOST_FINE_SHOTS))
            return true;
    }
    return settle(search, search->relative);
}

/* Ever finer grids, from STEPS a period, until two agree. */
static struct solution *refine(struct search *search, size_t steps)
{
    struct solution *coarse = NULL, *fine = NULL;
    const char *blame = NULL;

    for (int level = 0; level < LEVELS; level++, steps *= 2) {
        fine = solution_new(search->work, search->network);
        set_grid(search, steps, fine);
        if (!settle_level(search, level))
            return give_up(search);
        if (coarse != NULL && grids_agree(search, coarse, fine, GRID_SHARE, &blame) &&
            peaks_agree(search->network, coarse, fine))
            return finish(search, fine);
        if (level == LEVELS - 1 &&
            grids_agree(search, coarse, fine, LAST_SHARE, &blame))
            return finish(search, fine);
        coarse = fine;
    }
    finish(search, fine);
    fine->status = SOLVE_NOT_CONVERGED;
    fine->blame = blame;
    return fine;
}

/* A rough steady state on a coarse grid; from there the finer ones need few periods. */
static struct solution *search_steady(struct search *search, size_t steps,
                                      const struct solve_options *options)
{
    struct solution *solution;

    set_grid(search, steps, NULL);
    run_plainly(search, FIRST_PERIODS);
    settle(search, COARSE_TOLERANCE);
    if (options->steps == 0)
        return refine(search, FIRST_RATIO * steps);
    solution = solution_new(search->work, search->network);
    set_grid(search, options->steps, solution);
    if (!settle(search, search->relative))
        return give_up(search);
    return finish(search, solution);
}

/* From the operating point, or from the states of another solution. */
static struct solution *solve_periodic(struct arena *arena, struct system *system,
                                       const struct solve_options *options, size_t ratio,
                                       struct record *record)
{
    struct search search = search_new(arena, system->network, system, options->relative);

    search.period.record = record;
    if (system->state_count > 0)
        system_store(system, search.period.start);
    if (options->start != NULL)
        solution_find_states(options->start, system, search.period.start);
    return search_steady(&search, COARSE_STEPS * ratio, options);
}

struct solution *steady_solve(struct arena *arena, const struct network *network,
                              const struct solve_options *options, struct record *record)
{
    struct solution *solution = solution_new(arena, network);
    struct system *system;
    size_t ratio;

    if (!solution_check_size(solution, network) ||
        !check_frequencies(network, &ratio, solution))
        return solution;
    system = system_new(arena, network);
    if (operating_point_find(system))
        solution = solve_periodic(arena, system, options, ratio, record);
    else
        solution_fail(solution, system);
    system_free(system);
    return solution;
}
