/* Walks on plain graphs: vertices are numbers, edges are pairs of them. Nothing here knows what an edge is made of.
 * No function recurses; each takes time in proportion to what it visits. */
#ifndef PREARC_CIRCUIT_GRAPH_H
#define PREARC_CIRCUIT_GRAPH_H

#include <stdbool.h>
#include <stddef.h>

struct arena;

struct graph_edge {
    size_t from, to;
    bool one_way;  /* can be walked FROM -> TO only */
    double length; /* not negative; unit: the caller's */
};

struct graph {
    size_t vertex_count, edge_count;
    const struct graph_edge *edges; /* the caller's; may change its lengths between walks */
    size_t *first;                  /* vertex_count + 1: where each vertex's edges start in links */
    size_t *links;                  /* edge indices; an edge that is a loop is listed once */
};

/* EDGES is kept, not copied; every end must be below VERTEX_COUNT. */
struct graph *graph_new(struct arena *arena, size_t vertex_count, const struct graph_edge *edges,
                        size_t edge_count);

size_t graph_degree(const struct graph *graph, size_t vertex);
/* The end of EDGE that is not VERTEX (VERTEX itself for a loop). */
size_t graph_other(const struct graph *graph, size_t edge, size_t vertex);
/* May EDGE be walked away from VERTEX (BACKWARDS: towards it)? */
bool graph_passes(const struct graph *graph, size_t edge, size_t vertex, bool backwards);

/* Biconnected components of the undirected graph without the edges marked in SKIP (NULL: none). BLOCK gets for every edge
 * its block's number, SIZE_MAX for skipped edges; a loop and a bridge are blocks of their own. Returns how many. */
size_t graph_blocks(struct arena *arena, const struct graph *graph, const bool *skip,
                    size_t *block);

/* Connected pieces of the undirected graph without the edges marked in SKIP. PIECE gets one number per vertex. */
size_t graph_pieces(struct arena *arena, const struct graph *graph, const bool *skip,
                    size_t *piece);

/* A search that is run many times on one graph; it clears only what it touched. */
struct graph_search {
    const struct graph *graph;
    double *distance;   /* by vertex; INFINITY: not reached */
    size_t *arrival;    /* by vertex: the edge it was reached by, SIZE_MAX for the start */
    size_t *reached;    /* the vertices reached, nearest first */
    size_t reached_count;
    bool *settled;
    size_t *touched;
    size_t touched_count;
    struct graph_entry *heap;
    size_t heap_count, heap_capacity;
    struct arena *arena;
};

struct graph_query {
    size_t start;
    size_t target;         /* stop when it is settled; SIZE_MAX: reach everything */
    const bool *skip;      /* by edge: not there, or NULL */
    const size_t *block;   /* by edge, or NULL: only edges whose number is INSIDE are there */
    size_t inside;
    const bool *barred;    /* by vertex: must not be entered (nor left, if it is the start), or NULL */
    bool backwards;        /* walk edges against their direction */
    double limit;          /* settle nothing farther away; 0: no limit */
};

struct graph_search *graph_search_new(struct arena *arena, const struct graph *graph);

/* Shortest directed ways from the start, until the target or the end. Returns the distance of the target
 * (INFINITY: not reached, or none given). The results stay until the next run. */
double graph_search_run(struct graph_search *search, const struct graph_query *query);

#endif
