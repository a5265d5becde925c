/* The way of the signal's current, from an electrode to the first node that is still at audio frequencies. */
#ifndef PREARC_WHATIF_AUDIO_PATH_H
#define PREARC_WHATIF_AUDIO_PATH_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct network;
struct trace;

/* Resistors, fuses, contacts and chokes as a graph, and the nodes where the signal's current is
 * taken over. */
struct audio_net {
    const struct network *network;
    const struct graph *graph;
    struct graph_search *search;
    const size_t *branch_of; /* by edge of the graph */
    bool *still;             /* by node: smoothed by a capacitor, held by a source, or a return */
};

/* A capacitor as large as this, F, smooths a supply and bypasses a cathode: from 160 ohm down at
 * 100 Hz. The smallest smoothing capacitors of valve amplifiers are of 4 to 8 uF; with less the
 * fuse ahead is taken to carry the signal's current too. Common practice, no source. */
#define AUDIO_STILL_FARADS 4e-6

/* COUPLING: capacitors of so many farads or more are ways of no resistance; 0: none is. */
struct audio_net audio_net_new(struct arena *arena, const struct network *network,
                               const struct trace *trace, double coupling);

struct audio_path {
    bool found;
    size_t end;       /* the node it ends at */
    double ohms;
    size_t *branches; /* from there to the start */
    size_t count;
};

/* From node START to the nearest (by ohms, at most LIMIT) node of STOPS. */
struct audio_path audio_path_find(struct arena *arena, const struct audio_net *net, size_t start,
                                  const bool *stops, double limit);
/* From START to END, no farther than LIMIT and not through BARRED nodes. */
struct audio_path audio_path_between(struct arena *arena, const struct audio_net *net,
                                     size_t start, size_t end, const bool *barred, double limit);

#endif
