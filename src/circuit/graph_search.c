/* Shortest ways through a graph (Dijkstra), with a binary heap. */
#include "circuit/graph.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"

struct graph_entry {
    double distance;
    size_t vertex;
};

struct graph_search *graph_search_new(struct arena *arena, const struct graph *graph)
{
    struct graph_search *search = arena_alloc(arena, sizeof *search);
    size_t count = graph->vertex_count + 1;

    search->graph = graph;
    search->arena = arena;
    search->distance = arena_array(arena, count, sizeof *search->distance);
    search->arrival = arena_array(arena, count, sizeof *search->arrival);
    search->reached = arena_array(arena, count, sizeof *search->reached);
    search->settled = arena_array(arena, count, sizeof *search->settled);
    search->touched = arena_array(arena, count, sizeof *search->touched);
    for (size_t v = 0; v < count; v++) {
        search->distance[v] = INFINITY;
        search->arrival[v] = SIZE_MAX;
    }
    return search;
}

static void clear_search(struct graph_search *search)
{
    for (size_t i = 0; i < search->touched_count; i++) {
        size_t vertex = search->touched[i];

        search->distance[vertex] = INFINITY;
        search->arrival[vertex] = SIZE_MAX;
        search->settled[vertex] = false;
    }
    search->touched_count = search->reached_count = search->heap_count = 0;
}

/* Nearer first, then the lower number: two runs walk the same way. */
static bool before(const struct graph_entry *a, const struct graph_entry *b)
{
    return a->distance < b->distance || (a->distance == b->distance && a->vertex < b->vertex);
}

static void heap_push(struct graph_search *search, struct graph_entry entry)
{
    size_t at = search->heap_count++;

    search->heap = arena_grow(search->arena, search->heap, &search->heap_capacity, at,
                              sizeof *search->heap);
    while (at > 0 && before(&entry, &search->heap[(at - 1) / 2])) {
        search->heap[at] = search->heap[(at - 1) / 2];
        at = (at - 1) / 2;
    }
    search->heap[at] = entry;
}

static struct graph_entry heap_pop(struct graph_search *search)
{
    struct graph_entry top = search->heap[0], last = search->heap[--search->heap_count];
    size_t at = 0, child;

    while ((child = 2 * at + 1) < search->heap_count) {
        if (child + 1 < search->heap_count &&
            before(&search->heap[child + 1], &search->heap[child]))
            child++;
        if (!before(&search->heap[child], &last))
            break;
        search->heap[at] = search->heap[child];
        at = child;
    }
    search->heap[at] = last;
    return top;
}

static void offer(struct graph_search *search, size_t vertex, double distance, size_t edge)
{
    if (distance >= search->distance[vertex])
        return;
    if (isinf(search->distance[vertex]))
        search->touched[search->touched_count++] = vertex;
    search->distance[vertex] = distance;
    search->arrival[vertex] = edge;
    heap_push(search, (struct graph_entry){distance, vertex});
}

static void leave(struct graph_search *search, const struct graph_query *query, size_t vertex)
{
    const struct graph *graph = search->graph;

    for (size_t i = graph->first[vertex]; i < graph->first[vertex + 1]; i++) {
        size_t edge = graph->links[i], other = graph_other(graph, edge, vertex);
        double distance = search->distance[vertex] + graph->edges[edge].length;

        if ((query->skip != NULL && query->skip[edge]) ||
            (query->block != NULL && query->block[edge] != query->inside) || search->settled[other] ||
            (query->barred != NULL && query->barred[other]) ||
            !graph_passes(graph, edge, vertex, query->backwards))
            continue;
        if (query->limit <= 0 || distance <= query->limit)
            offer(search, other, distance, edge);
    }
}

double graph_search_run(struct graph_search *search, const struct graph_query *query)
{
    clear_search(search);
    if (query->barred != NULL && query->barred[query->start])
        return INFINITY;
    offer(search, query->start, 0, SIZE_MAX);
    while (search->heap_count > 0) {
        size_t vertex = heap_pop(search).vertex;

        if (search->settled[vertex])
            continue;
        search->settled[vertex] = true;
        search->reached[search->reached_count++] = vertex;
        if (vertex == query->target)
            return search->distance[vertex];
        leave(search, query, vertex);
    }
    return INFINITY;
}
