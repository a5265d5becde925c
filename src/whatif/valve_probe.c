#include "whatif/valve_probe.h"

#include "device/device.h"
#include "device/network.h"

enum { ANODE_ROW, SCREEN_ROW, GRID_ROW, ROWS };

struct slopes {
    double of[ROWS][ROWS];
};

static void add_slope(void *context, int row, int column, double value)
{
    struct slopes *slopes = context;

    slopes->of[row][column] += value;
}

/* What the stamp's tangent gives at the very volts it was taken at. */
static double current_of(const struct slopes *slopes, const double *rhs, const double *volts,
                         int row)
{
    double amps = -rhs[row];

    for (int i = 0; i < ROWS; i++)
        amps += slopes->of[row][i] * volts[i];
    return amps;
}

struct valve_point valve_probe(const struct element *valve, struct electrode_volts volts)
{
    static const int pentode_rows[] = {ANODE_ROW, STAMP_GROUND, SCREEN_ROW, STAMP_GROUND, GRID_ROW};
    static const int triode_rows[] = {ANODE_ROW, STAMP_GROUND, GRID_ROW};
    struct element_rows rows = {.nodes = valve->device == &device_pentode ? pentode_rows : triode_rows,
                                .current = -1, .state = -1, .limit = 0};
    double guess[ROWS] = {volts.anode, volts.screen, volts.grid}, rhs[ROWS] = {0};
    double limits[ELEMENT_LIMITS] = {0};
    struct slopes slopes = {{{0}}};
    struct stamp_target target = {.add = add_slope, .context = &slopes};
    struct stamp stamp = {.matrix = &target, .rhs = rhs, .guess = guess, .limits = limits,
                          .first = true, .unlimited = true};

    valve->device->stamp(valve, &rows, &stamp);
    return (struct valve_point){
        .anode = current_of(&slopes, rhs, guess, ANODE_ROW),
        .anode_by_anode = slopes.of[ANODE_ROW][ANODE_ROW],
        .anode_by_screen = slopes.of[ANODE_ROW][SCREEN_ROW],
        .screen = current_of(&slopes, rhs, guess, SCREEN_ROW),
        .screen_by_anode = slopes.of[SCREEN_ROW][ANODE_ROW],
        .screen_by_screen = slopes.of[SCREEN_ROW][SCREEN_ROW],
    };
}
