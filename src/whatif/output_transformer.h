/* Output transformers: where their primaries lie, and the load that they put on the valves. */
#ifndef PREARC_WHATIF_OUTPUT_TRANSFORMER_H
#define PREARC_WHATIF_OUTPUT_TRANSFORMER_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct network;
struct part;

/* One winding section between two nodes; START is in phase with every other section's START. */
struct wound {
    size_t start, end;
    double turns; /* relative */
};

struct output_transformer {
    const struct part *part;  /* of coupled inductors the first */
    struct wound *sections;
    size_t section_count;
    bool turns_known;         /* else all sections have the same */
    double primary_ohms;      /* as stated, of the whole primary; 0: not stated */
    double secondary_ohms;    /* as stated with it; 0: not stated */
    double ratio;             /* of turns, primary to secondary, as stated; 0: not stated */
};

struct output_transformers {
    struct output_transformer *items;
    size_t count;
    size_t *of_node; /* index in items of the first that has a section at the node; SIZE_MAX: none */
};

/* Every output transformer that the parts stage recognised, and every group of coupled inductors. */
struct output_transformers output_transformers_find(struct arena *arena,
                                                    const struct network *network);

/* Relative turns between ORIGIN and every node of the sections that hang together with it,
 * counted towards START; NAN elsewhere. network->node_count entries. */
double *output_transformer_turns(struct arena *arena, const struct network *network,
                                 const struct output_transformer *transformer, size_t origin);

/* What is connected to the windings that do not hang together with the primary (TURNS is not NAN
 * there), seen by PRIMARY turns of it, ohm: a loudspeaker, a resistor. 0: nothing is. ASSUMED is
 * set if the loudspeaker does not tell its ohms. */
double output_transformer_reflected(const struct network *network,
                                    const struct output_transformer *transformer,
                                    const double *turns, double primary, bool *assumed);

#endif
