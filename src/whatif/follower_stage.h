/* Transistor output stages: pairs of power transistors between two supplies that drive a loudspeaker. */
#ifndef PREARC_WHATIF_FOLLOWER_STAGE_H
#define PREARC_WHATIF_FOLLOWER_STAGE_H

#include <stdbool.h>
#include <stddef.h>

#include "whatif/audio_path.h"

struct arena;
struct network;
struct part;
struct solution;
struct stage_notes;
struct trace;

/* One of the transistors. */
struct follower {
    const struct part *part;
    bool upper;               /* between output and the upper supply */
    size_t branch;            /* network branch of its main current; SIZE_MAX: it has none */
    size_t supply;            /* node of its terminal on the supply's side */
    struct audio_path path;   /* from there to where the supply is still */
};

struct follower_stage {
    const char *id;            /* "stage2" */
    const struct part *speaker;
    struct follower *followers;
    size_t count;
    size_t plus, minus;        /* nodes of the supplies, at the transistors */
    size_t back;               /* node that the loudspeaker returns to */
    bool coupled;              /* through a capacitor: both half-waves come from one supply */
    double speaker_ohms, series_ohms; /* ohm: load; emitter resistors, fuses and wiring in series with it */
    double drop_volts;         /* V that the stage stays below its supplies */
    double idle;               /* A, sum of the upper ones without a signal */
    struct audio_path speaker_path; /* from the first upper one to the loudspeaker */
};

struct follower_stages {
    struct follower_stage *items;
    size_t count, capacity;
    const struct part **bridged; /* loudspeakers between two outputs: not computed */
    size_t bridged_count, bridged_capacity;
};

/* FIRST: how many stages have an id already. */
struct follower_stages follower_stages_find(struct arena *arena, const struct network *network,
                                            const struct trace *trace,
                                            const struct solution *healthy, size_t first,
                                            struct stage_notes *notes);

/* Adds to NETWORK, a copy, what the stage draws more than without a signal. SQUARE: the wave, else a sine. */
void follower_stage_load(struct network *network, const struct follower_stage *stage, bool square);

/* Under a signal, at the volts of SOLUTION. */
struct follower_signal {
    double peak_volts, peak_amps; /* at the loudspeaker */
    double amps;                  /* A, mean from each supply */
    double watts;                 /* W into the loudspeaker */
    double heat_watts;            /* W, mean heat of one transistor */
};
struct follower_signal follower_stage_signal(const struct follower_stage *stage,
                                             const struct solution *solution, bool square);

/* Adds, root sum square, the signal's alternating current in each branch to AUDIO, A RMS. */
void follower_stage_share(const struct follower_stage *stage,
                          const struct follower_signal *signal, bool square, double *audio);

#endif
