#include "whatif/mean_current.h"

#include <math.h>

#include "whatif/output_stage.h"

/* Of the volts: steps for the slopes. */
#define STEP_SHARE 0.01

/* From the tables of operating conditions that makers print for EL84, 6V6GT, 6L6GC, EL34: anodes
 * swing down to 30 to 60 V; screens take a tenth to a quarter of the anodes' current at full
 * output. */
const struct estimate_share estimate_swing = {
    0.85, 0.75, 0.92, "anode-swing-share",
    "the valve's equation is not known; at full output anodes swing down to a tenth or a quarter "
    "of their volts"};
const struct estimate_share estimate_screen = {
    0.15, 0.08, 0.25, "screen-share",
    "the valve's equation is not known; at full output screens take a tenth to a quarter of the "
    "anodes' current"};

/* Share of the idle current's square that adds to the square of the class B current (fitted to
 * twelve printed rows of pairs of EL84, 6V6GT, 6L6GC, EL34, 6550, KT88: -9 to +10 %). */
static const double idle_share = 0.45;
static const double pi = 3.14159265358979323846;

/* Half-waves of mean current MEAN for each side of a pair, a whole wave about it for a single valve. */
static void shape_estimate(struct cycle *cycle, const struct drive *drive, size_t sides)
{
    for (size_t i = 0; i < drive->count; i++)
        for (size_t side = 0; side < sides; side++) {
            double level = side == 0 ? drive->levels[i] : -drive->levels[i];
            double peak = drive->count == 2 ? 2 : pi;
            double factor = sides == 2 ? peak * fmax(0, level) : 1 + level;

            cycle->anode_amps[side][i] = cycle->anode * factor;
            cycle->screen_amps[side][i] = cycle->screen * factor;
        }
}

/* Peak current of a side is its swing over a quarter of the load; its mean 2/pi of that over
 * both sides in a sine, all of it in a square wave. */
static struct cycle estimate(const struct output_stage *stage, struct electrode_volts volts,
                             struct valve_amps idle, const struct drive *drive)
{
    const struct cycle_circuit *circuit = &stage->circuit;
    double valves = (double)stage->valve_count, swing = estimate_swing.value * volts.anode;
    double peak = circuit->side_count == 2 ? 4 * swing / circuit->load_ohms : 0;
    double driven = drive->count == 2 ? peak : 2 / pi * peak, rest = valves * idle.anode;
    struct cycle cycle = {.solved = volts.anode > 0, .cuts_off = circuit->side_count == 2};
    double total = fmax(rest, sqrt(driven * driven + idle_share * rest * rest));

    cycle.anode = total / valves;
    cycle.screen = idle.screen > 0 ? fmax(idle.screen, estimate_screen.value * cycle.anode) : 0;
    cycle.watts = circuit->side_count == 2 ? 2 * swing * swing / circuit->load_ohms
                                           : swing * rest / 2;
    if (drive->count == 2)
        cycle.watts *= 2;
    cycle.anode_watts = fmax(0, volts.anode * cycle.anode - cycle.watts / valves);
    cycle.screen_watts = volts.screen * cycle.screen;
    shape_estimate(&cycle, drive, circuit->side_count);
    return cycle;
}

/* Slopes of the cycle's means by its source volts. */
struct source_slopes {
    struct valve_amps by_anode, by_screen, by_grid;
};

static bool find_slope(const struct cycle_circuit *circuit, const struct drive *drive,
                       struct electrode_volts moved, const struct cycle *from, double step,
                       struct valve_amps *slope)
{
    struct cycle cycle = drive_cycle(circuit, drive, moved);

    slope->anode = (cycle.anode - from->anode) / step;
    slope->screen = (cycle.screen - from->screen) / step;
    return cycle.solved;
}

static bool find_slopes(const struct cycle_circuit *circuit, const struct drive *drive,
                        struct electrode_volts source, const struct cycle *from,
                        struct source_slopes *slopes)
{
    struct electrode_volts anode = source, screen = source, grid = source;
    double step = STEP_SHARE * source.anode;

    anode.anode += step;
    screen.screen += step;
    grid.grid *= 1 + STEP_SHARE;
    return find_slope(circuit, drive, anode, from, step, &slopes->by_anode) &&
           find_slope(circuit, drive, screen, from, step, &slopes->by_screen) &&
           find_slope(circuit, drive, grid, from, STEP_SHARE * source.grid, &slopes->by_grid);
}

/* Solves (1 - S R) x = y, S being the slopes by the source volts and R the ohms between source
 * and electrodes. */
static struct valve_amps through_ohms(const struct source_slopes *slopes,
                                      const struct cycle_ohms *ohms, struct valve_amps y)
{
    const struct valve_amps *a = &slopes->by_anode, *s = &slopes->by_screen;
    double aa = 1 - a->anode * ohms->anode_by_anode - s->anode * ohms->screen_by_anode;
    double as = -a->anode * ohms->anode_by_screen - s->anode * ohms->screen_by_screen;
    double sa = -a->screen * ohms->anode_by_anode - s->screen * ohms->screen_by_anode;
    double ss = 1 - a->screen * ohms->anode_by_screen - s->screen * ohms->screen_by_screen;
    double determinant = aa * ss - as * sa;

    return (struct valve_amps){(ss * y.anode - as * y.screen) / determinant,
                               (aa * y.screen - sa * y.anode) / determinant};
}

/* The tangent by the electrodes' own volts instead of the source's. */
static void turn(struct mean_current *mean, const struct source_slopes *slopes,
                 const struct cycle_ohms *ohms, struct electrode_volts source)
{
    const struct cycle *cycle = &mean->cycle;
    struct valve_amps rest = {
        cycle->anode - slopes->by_anode.anode * source.anode -
            slopes->by_screen.anode * source.screen - slopes->by_grid.anode * source.grid,
        cycle->screen - slopes->by_anode.screen * source.anode -
            slopes->by_screen.screen * source.screen - slopes->by_grid.screen * source.grid};
    struct valve_amps turned[] = {through_ohms(slopes, ohms, rest),
                                  through_ohms(slopes, ohms, slopes->by_anode),
                                  through_ohms(slopes, ohms, slopes->by_screen),
                                  through_ohms(slopes, ohms, slopes->by_grid)};

    mean->anode = (struct mean_tangent){turned[0].anode, turned[1].anode, turned[2].anode,
                                        turned[3].anode};
    mean->screen = (struct mean_tangent){turned[0].screen, turned[1].screen, turned[2].screen,
                                         turned[3].screen};
}

struct mean_current mean_current_find(const struct output_stage *stage,
                                      struct electrode_volts volts, struct valve_amps last,
                                      struct valve_amps idle, bool square)
{
    const struct cycle_circuit *circuit = &stage->circuit;
    struct cycle_ohms ohms = cycle_mean_ohms(circuit);
    struct drive drive;
    struct electrode_volts source = volts;
    struct mean_current mean = {0};
    struct source_slopes slopes;
    double peak;

    drive = square ? drive_square() : drive_sine(1);
    if (stage->estimated) {
        mean.cycle = estimate(stage, volts, idle, &drive);
        mean.solved = mean.cycle.solved;
        mean.anode.amps = mean.cycle.anode;
        mean.screen.amps = mean.cycle.screen;
        return mean;
    }
    source.anode += ohms.anode_by_anode * last.anode + ohms.anode_by_screen * last.screen;
    source.screen += ohms.screen_by_anode * last.anode + ohms.screen_by_screen * last.screen;
    peak = square ? 1 : drive_clipping(circuit, source);
    if (!square)
        drive = drive_sine(peak);
    mean.cycle = drive_cycle(circuit, &drive, source);
    mean.grid_peak = -source.grid * peak;
    mean.solved = mean.cycle.solved && find_slopes(circuit, &drive, source, &mean.cycle, &slopes);
    if (mean.solved)
        turn(&mean, &slopes, &ohms, source);
    return mean;
}

double mean_tangent_amps(const struct mean_tangent *tangent, struct electrode_volts volts)
{
    return tangent->amps + tangent->by_anode * volts.anode + tangent->by_screen * volts.screen +
           tangent->by_grid * volts.grid;
}
