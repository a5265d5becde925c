#include "whatif/drive_cycle.h"

#include <math.h>

#include "solve/dense.h"

/* Unknowns at one level: the swing of the primary, V, and the volts of each side's screens. */
enum { SWING, SCREENS, UNKNOWNS = SCREENS + 2, MOST_STEPS = 60 };

/* V: unknowns this close are found. */
#define SETTLED_VOLTS 1e-6
/* Where the anode's swing grows by less than this share of the most that it grows by elsewhere,
 * the anode is at its knee and the wave begins to be flat. With a quarter the mean currents of
 * the rows that makers print (tests/whatif/check_full_signal.c) are met best, and so is the
 * output of the one whose anodes reach their knee first: 99 W for 100 W printed. */
#define CLIPPING_GAIN 0.25
enum { CLIPPING_STEPS = 24 };
/* A valve at less than this share of its peak current is cut off. */
#define CUT_OFF_SHARE 0.01

static const double pi = 3.14159265358979323846;

struct drive drive_sine(double peak)
{
    struct drive drive = {.count = DRIVE_LEVELS_LARGEST};
    double count = (double)drive.count;

    for (size_t i = 0; i < drive.count; i++)
        drive.levels[i] = peak * sin(pi * (((double)i + 0.5) / count - 0.5));
    return drive;
}

struct drive drive_square(void)
{
    return (struct drive){.levels = {-1, 1}, .count = 2};
}

/* Volts of the primary's swing for each ampere of the difference between the sides. In push-pull
 * each half has a quarter of the ohms between anodes. */
static double swing_ohms(const struct cycle_circuit *circuit)
{
    return circuit->side_count > 1 ? circuit->load_ohms / 4 : circuit->load_ohms;
}

struct cycle_ohms cycle_mean_ohms(const struct cycle_circuit *circuit)
{
    double valves = circuit->sides[0].valves, swing = 0;
    struct cycle_ohms ohms = {0};

    if (circuit->side_count > 1)
        valves += circuit->sides[1].valves;
    else
        swing = circuit->load_ohms * valves;
    ohms.anode_by_anode = swing;
    ohms.anode_by_screen = circuit->tap * swing;
    ohms.screen_by_anode = circuit->tap * swing;
    ohms.screen_by_screen = circuit->screen_ohms + circuit->common_ohms * valves +
                            circuit->tap * circuit->tap * swing;
    return ohms;
}

/* One level being solved. */
struct level {
    const struct cycle_circuit *circuit;
    struct electrode_volts source;
    double drive;               /* V of the first side's grid above its mean */
    double at[UNKNOWNS];
    struct valve_point points[2];
    double residual[UNKNOWNS], slopes[UNKNOWNS * UNKNOWNS]; /* by column */
};

static double sign_of(size_t side)
{
    return side == 0 ? 1 : -1;
}

static struct electrode_volts side_volts(const struct level *level, size_t side)
{
    return (struct electrode_volts){
        .anode = level->source.anode - sign_of(side) * level->at[SWING],
        .screen = level->at[SCREENS + side],
        .grid = level->source.grid + sign_of(side) * level->drive,
    };
}

static void add_slope(struct level *level, size_t row, size_t column, double value)
{
    level->slopes[column * UNKNOWNS + row] += value;
}

/* What side FROM draws, in the equation of the swing and in those of the screens. */
static void add_side(struct level *level, size_t from)
{
    const struct cycle_circuit *circuit = level->circuit;
    const struct valve_point *point = &level->points[from];
    double valves = circuit->sides[from].valves, sign = sign_of(from), tap = circuit->tap;
    double ohms = swing_ohms(circuit) * valves;

    level->residual[SWING] -= sign * ohms * (point->anode + tap * point->screen);
    add_slope(level, SWING, SWING, ohms * (point->anode_by_anode + tap * point->screen_by_anode));
    add_slope(level, SWING, SCREENS + from,
              -sign * ohms * (point->anode_by_screen + tap * point->screen_by_screen));
    for (size_t side = 0; side < circuit->side_count; side++) {
        double shared = circuit->common_ohms * valves + (side == from ? circuit->screen_ohms : 0);

        level->residual[SCREENS + side] += shared * point->screen;
        add_slope(level, SCREENS + side, SWING, -sign * shared * point->screen_by_anode);
        add_slope(level, SCREENS + side, SCREENS + from, shared * point->screen_by_screen);
    }
}

static void set_up(struct level *level)
{
    for (size_t i = 0; i < UNKNOWNS * UNKNOWNS; i++)
        level->slopes[i] = 0;
    level->residual[SWING] = level->at[SWING];
    add_slope(level, SWING, SWING, 1);
    for (size_t side = 0; side < 2; side++) {
        double swing = sign_of(side) * level->circuit->tap;

        level->residual[SCREENS + side] =
            level->at[SCREENS + side] - level->source.screen + swing * level->at[SWING];
        add_slope(level, SCREENS + side, SCREENS + side, 1);
        add_slope(level, SCREENS + side, SWING, swing);
    }
    for (size_t side = 0; side < level->circuit->side_count; side++) {
        level->points[side] =
            valve_probe(level->circuit->sides[side].valve, side_volts(level, side));
        add_side(level, side);
    }
}

/* Moves the unknowns by STEP, but never more than half of the way to where an electrode had no volts. */
static void move(struct level *level, const double *step)
{
    double share = 1;

    for (size_t side = 0; side < level->circuit->side_count; side++) {
        struct electrode_volts before = side_volts(level, side);
        double anode = -sign_of(side) * step[SWING], screen = step[SCREENS + side];

        if (anode * share < -before.anode / 2)
            share = before.anode / 2 / -anode;
        if (screen * share < -before.screen / 2)
            share = before.screen / 2 / -screen;
    }
    for (size_t i = 0; i < UNKNOWNS; i++)
        level->at[i] += share * step[i];
}

/* From where the level before ended. */
static bool solve_level(struct level *level)
{
    for (int i = 0; i < MOST_STEPS; i++) {
        double largest = 0, step[UNKNOWNS];
        size_t pivots[UNKNOWNS];

        set_up(level);
        for (size_t k = 0; k < UNKNOWNS; k++)
            step[k] = -level->residual[k];
        dense_factor(level->slopes, UNKNOWNS, pivots, 1e-12);
        dense_solve(level->slopes, UNKNOWNS, pivots, step);
        for (size_t k = 0; k < UNKNOWNS; k++)
            largest = fmax(largest, fabs(step[k]));
        if (!isfinite(largest))
            return false;
        if (largest < SETTLED_VOLTS)
            return true;
        move(level, step);
    }
    return false;
}

/* Sums over the levels so far, of which the swing's variance is wanted. */
struct sums {
    double swing, square, anode, screen, anode_watts, screen_watts;
};

static void add_level(const struct level *level, size_t index, struct cycle *cycle,
                      struct sums *sums)
{
    const struct cycle_circuit *circuit = level->circuit;

    sums->swing += level->at[SWING];
    sums->square += level->at[SWING] * level->at[SWING];
    for (size_t side = 0; side < circuit->side_count; side++) {
        const struct valve_point *point = &level->points[side];
        struct electrode_volts volts = side_volts(level, side);

        cycle->anode_amps[side][index] = point->anode;
        cycle->screen_amps[side][index] = point->screen;
        sums->anode += point->anode;
        sums->screen += point->screen;
        sums->anode_watts += point->anode * volts.anode;
        sums->screen_watts += point->screen * volts.screen;
    }
}

static bool is_cut_off(const struct cycle *cycle, size_t sides, size_t levels)
{
    for (size_t side = 0; side < sides; side++) {
        double least = INFINITY, most = 0;

        for (size_t i = 0; i < levels; i++) {
            least = fmin(least, cycle->anode_amps[side][i]);
            most = fmax(most, cycle->anode_amps[side][i]);
        }
        if (least < CUT_OFF_SHARE * most)
            return true;
    }
    return false;
}

static void finish(struct cycle *cycle, const struct cycle_circuit *circuit,
                   const struct sums *sums, size_t levels)
{
    double count = (double)levels, each = count * (double)circuit->side_count;
    double mean = sums->swing / count;

    cycle->solved = true;
    cycle->anode = sums->anode / each;
    cycle->screen = sums->screen / each;
    cycle->anode_watts = sums->anode_watts / each;
    cycle->screen_watts = sums->screen_watts / each;
    cycle->watts = fmax(0, sums->square / count - mean * mean) / swing_ohms(circuit);
    cycle->cuts_off = is_cut_off(cycle, circuit->side_count, levels);
}

double drive_clipping(const struct cycle_circuit *circuit, struct electrode_volts source)
{
    struct level level = {.circuit = circuit, .source = source,
                          .at = {0, source.screen, source.screen}};
    double before = 0, largest = 0, last_gain = 0;

    if (!(source.anode > 0) || !(source.grid < 0) || !(circuit->load_ohms > 0))
        return 1;
    for (int i = 0; i <= CLIPPING_STEPS; i++) {
        double gain;

        level.drive = -source.grid * i / CLIPPING_STEPS;
        if (!solve_level(&level))
            return 1;
        gain = level.at[SWING] - before;
        before = level.at[SWING];
        if (i == 0)
            continue;
        if (gain < CLIPPING_GAIN * largest)
            return (i - 0.5 - (CLIPPING_GAIN * largest - gain) / (last_gain - gain)) /
                   CLIPPING_STEPS;
        largest = fmax(largest, gain);
        last_gain = gain;
    }
    return 1;
}

struct cycle drive_cycle(const struct cycle_circuit *circuit, const struct drive *drive,
                         struct electrode_volts source)
{
    struct cycle cycle = {0};
    struct level level = {.circuit = circuit, .source = source,
                          .at = {0, source.screen, source.screen}};
    struct sums sums = {0};

    if (!(source.anode > 0) || !(source.grid < 0) || !(circuit->load_ohms > 0))
        return cycle;
    for (size_t i = 0; i < drive->count; i++) {
        level.drive = -source.grid * drive->levels[i];
        if (!solve_level(&level))
            return cycle;
        add_level(&level, i, &cycle, &sums);
    }
    finish(&cycle, circuit, &sums, drive->count);
    return cycle;
}
