/* Output stages: power valves on the primary of an output transformer. */
#ifndef PREARC_WHATIF_OUTPUT_STAGE_H
#define PREARC_WHATIF_OUTPUT_STAGE_H

#include <stdbool.h>
#include <stddef.h>

#include "whatif/audio_path.h"
#include "whatif/drive_cycle.h"
#include "whatif/stage_valve.h"

struct arena;
struct assumption;
struct network;
struct part;
struct solution;
struct trace;

enum stage_kind { STAGE_SINGLE_ENDED, STAGE_PUSH_PULL };
enum stage_screens { SCREENS_OWN, SCREENS_ULTRA_LINEAR, SCREENS_TRIODE };

struct output_stage {
    const char *id;                /* "stage1" */
    enum stage_kind kind;
    enum stage_screens screens;
    const struct part *transformer;
    struct stage_valve *valves;
    size_t valve_count;
    size_t feed;                   /* node that feeds the primary */
    struct audio_path feed_path;
    struct cycle_circuit circuit;  /* sides' equations are those of the first valve of each */
    /* the equation of a valve is not known: its currents are estimated by hand */
    bool estimated;
};

/* Values taken for lack of better ones. */
struct stage_notes {
    struct arena *arena;
    struct assumption *assumptions;
    size_t assumption_count, assumption_capacity;
};

/* Keeps the assumption; returns its value. */
double stage_notes_assume(struct stage_notes *notes, const struct assumption *assumption);

struct output_stages {
    struct output_stage *items;
    size_t count, capacity;
};

/* In the order of the transformers. HEALTHY is the steady state, whose idle currents and volts
 * the valves without an equation in the network are fitted to. */
struct output_stages output_stages_find(struct arena *arena, const struct network *network,
                                        const struct trace *trace,
                                        const struct solution *healthy,
                                        struct stage_notes *notes);

const char *stage_kind_name(enum stage_kind kind);       /* "single-ended", "push-pull" */
const char *stage_screens_name(enum stage_screens screens); /* "own-supply", "ultra-linear", "triode" */

#endif
