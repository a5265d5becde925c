#include "whatif/signal_share.h"

#include <math.h>

#include "base/arena.h"
#include "device/network.h"
#include "whatif/output_stage.h"

/* By branch: A at each level, NULL where none of the stage's paths goes. */
struct waves {
    struct arena *arena;
    double **of_branch;
    size_t levels;
};

/* In which sense a current flows does not matter as long as all of a branch agree, which they do
 * on the way from a supply to the electrodes. */
static void add_path(struct waves *waves, const struct audio_path *path, const double *amps)
{
    for (size_t i = 0; path->found && i < path->count; i++) {
        double **wave = &waves->of_branch[path->branches[i]];

        if (*wave == NULL)
            *wave = arena_array(waves->arena, waves->levels, sizeof **wave);
        for (size_t k = 0; k < waves->levels; k++)
            (*wave)[k] += amps[k];
    }
}

static void add_valve(struct waves *waves, const struct network *network,
                      const struct output_stage *stage, const struct stage_valve *valve,
                      const struct cycle *cycle)
{
    const double *anode = cycle->anode_amps[valve->side], *screen = cycle->screen_amps[valve->side];
    double both[DRIVE_LEVELS_LARGEST];

    for (size_t k = 0; k < waves->levels; k++)
        both[k] = anode[k] + screen[k];
    add_path(waves, &valve->cathode_path, both);
    add_path(waves, &valve->screen_path, screen);
    add_path(waves, &valve->anode_path, anode);
    if (valve->screen_path.found && valve->screen_path.end == network->branches[valve->anode].from)
        add_path(waves, &valve->anode_path, screen);
    if (valve->screen_path.found &&
        (stage->circuit.tap > 0 || valve->screen_path.end == stage->feed))
        add_path(waves, &stage->feed_path, both);
    else
        add_path(waves, &stage->feed_path, anode);
}

/* RMS of what alternates. */
static double alternating(const double *amps, size_t levels)
{
    double sum = 0, square = 0, count = (double)levels;

    for (size_t i = 0; i < levels; i++) {
        sum += amps[i];
        square += amps[i] * amps[i];
    }
    return sqrt(fmax(0, square / count - sum * sum / (count * count)));
}

void signal_share_add(const struct network *network, const struct output_stage *stage,
                      const struct cycle *cycle, size_t levels, double *audio)
{
    struct waves waves = {.arena = arena_new(), .levels = levels};

    waves.of_branch = arena_array(waves.arena, network->branch_count, sizeof *waves.of_branch);
    for (size_t v = 0; v < stage->valve_count; v++)
        add_valve(&waves, network, stage, &stage->valves[v], cycle);
    for (size_t i = 0; i < network->branch_count; i++)
        if (waves.of_branch[i] != NULL)
            audio[i] = hypot(audio[i], alternating(waves.of_branch[i], levels));
    arena_free(waves.arena);
}
