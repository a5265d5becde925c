#include "deck/deck_head.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "circuit/circuit.h"
#include "deck/deck.h"
#include "deck/deck_comment.h"
#include "deck/deck_names.h"
#include "device/device.h"
#include "device/network.h"

static void add_title(struct arena *arena, const struct deck_input *input, struct text *out)
{
    deck_comment(out, "%s%s%s",
                 input->title != NULL ? deck_words(arena, input->title) : "untitled circuit",
                 ": ", input->state);
    deck_comment(out,
                 "Written by %s: the circuit that it solves, element by element, every equation spelled "
                 "out, so that any figure can be computed again. Run it with: ngspice -b FILE",
                 input->program);
    deck_comment(out,
                 "Mains and HT kill. Computed from a netlist: this replaces no measurement, is for "
                 "competent persons only, and where local codes or licensed practice say otherwise, they "
                 "prevail.");
}

static void add_sources(struct arena *arena, const struct network *network, struct text *out)
{
    for (size_t i = 0; i < network->element_count; i++) {
        const struct element *element = network->elements[i];
        const double *figures = element->figures;

        if (element->device == &device_source && figures[1] != 0)
            deck_comment(out, "source %s: %.5g V RMS, %g Hz", deck_words(arena, element->part->ref),
                         fabs(figures[1]) / sqrt(2), figures[2]);
    }
}

static void add_assumptions(struct arena *arena, const struct network *network, struct text *out)
{
    for (size_t i = 0; i < network->assumption_count; i++) {
        const struct assumption *a = &network->assumptions[i];

        deck_comment(out, "assumed: %s %s %.6g (%.6g to %.6g): %s",
                     a->part != NULL ? deck_words(arena, a->part) : "circuit", a->what, a->value, a->low,
                     a->high, a->reason);
    }
}

static void add_gaps(const struct network *network, struct text *out)
{
    for (size_t i = 0; i < network->gap_count; i++)
        deck_comment(out, "left out: %s", network->gaps[i]);
}

static void add_map(struct arena *arena, const struct network *network,
                    const struct deck_names *names, struct text *out)
{
    for (size_t i = 0; i < network->node_count; i++)
        if (strcmp(names->nodes[i], network->nodes[i].name) != 0)
            deck_comment(out, "node %s: %s %s", names->nodes[i],
                         network->nodes[i].net != NULL ? "net" : "inside",
                         deck_words(arena, network->nodes[i].name));
}

void deck_head(struct arena *arena, const struct deck_input *input, const struct deck_names *names,
               struct text *out)
{
    add_title(arena, input, out);
    add_sources(arena, input->network, out);
    add_assumptions(arena, input->network, out);
    add_gaps(input->network, out);
    add_map(arena, input->network, names, out);
}
