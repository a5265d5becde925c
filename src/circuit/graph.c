#include "circuit/graph.h"

#include <stdint.h>
#include <string.h>

#include "base/arena.h"

static void count_links(struct graph *graph)
{
    for (size_t i = 0; i < graph->edge_count; i++) {
        const struct graph_edge *edge = &graph->edges[i];

        graph->first[edge->from + 1]++;
        if (edge->to != edge->from)
            graph->first[edge->to + 1]++;
    }
    for (size_t v = 0; v < graph->vertex_count; v++)
        graph->first[v + 1] += graph->first[v];
}

static void fill_links(struct arena *arena, struct graph *graph)
{
    size_t *next = arena_array(arena, graph->vertex_count + 1, sizeof *next);

    memcpy(next, graph->first, (graph->vertex_count + 1) * sizeof *next);
    for (size_t i = 0; i < graph->edge_count; i++) {
        const struct graph_edge *edge = &graph->edges[i];

        graph->links[next[edge->from]++] = i;
        if (edge->to != edge->from)
            graph->links[next[edge->to]++] = i;
    }
}

struct graph *graph_new(struct arena *arena, size_t vertex_count, const struct graph_edge *edges,
                        size_t edge_count)
{
    struct graph *graph = arena_alloc(arena, sizeof *graph);

    graph->vertex_count = vertex_count;
    graph->edge_count = edge_count;
    graph->edges = edges;
    graph->first = arena_array(arena, vertex_count + 1, sizeof *graph->first);
    graph->links = arena_array(arena, 2 * edge_count + 1, sizeof *graph->links);
    count_links(graph);
    fill_links(arena, graph);
    return graph;
}

size_t graph_degree(const struct graph *graph, size_t vertex)
{
    return graph->first[vertex + 1] - graph->first[vertex];
}

size_t graph_other(const struct graph *graph, size_t edge, size_t vertex)
{
    return graph->edges[edge].from == vertex ? graph->edges[edge].to : graph->edges[edge].from;
}

bool graph_passes(const struct graph *graph, size_t edge, size_t vertex, bool backwards)
{
    const struct graph_edge *e = &graph->edges[edge];

    return !e->one_way || (backwards ? e->to : e->from) == vertex;
}

/* The depth-first walk of graph_blocks: Tarjan's algorithm with its own stacks. */
struct blocks {
    const struct graph *graph;
    const bool *skip;
    size_t *block, *order, *low, *next; /* by edge; by vertex three times */
    size_t *path, *entry;               /* vertices on the way down and the edge each was entered by */
    size_t depth;
    size_t *pending;                    /* edges not yet given to a block */
    size_t pending_count;
    bool *walked;                       /* by edge */
    size_t clock, count;
};

static struct blocks start_blocks(struct arena *arena, const struct graph *graph, const bool *skip,
                                  size_t *block)
{
    size_t vertices = graph->vertex_count + 1, edges = graph->edge_count + 1;

    return (struct blocks){
        .graph = graph, .skip = skip, .block = block,
        .order = arena_array(arena, vertices, sizeof(size_t)),
        .low = arena_array(arena, vertices, sizeof(size_t)),
        .next = arena_array(arena, vertices, sizeof(size_t)),
        .path = arena_array(arena, vertices, sizeof(size_t)),
        .entry = arena_array(arena, vertices, sizeof(size_t)),
        .pending = arena_array(arena, edges, sizeof(size_t)),
        .walked = arena_array(arena, edges, sizeof(bool)),
    };
}

static void go_down(struct blocks *blocks, size_t vertex, size_t edge)
{
    blocks->order[vertex] = blocks->low[vertex] = ++blocks->clock;
    blocks->next[vertex] = blocks->graph->first[vertex];
    blocks->path[blocks->depth] = vertex;
    blocks->entry[blocks->depth++] = edge;
}

/* All edges walked since EDGE, EDGE included, are one block. */
static void close_block(struct blocks *blocks, size_t edge)
{
    size_t popped;

    do {
        popped = blocks->pending[--blocks->pending_count];
        blocks->block[popped] = blocks->count;
    } while (popped != edge);
    blocks->count++;
}

static void go_up(struct blocks *blocks)
{
    size_t vertex = blocks->path[--blocks->depth], edge = blocks->entry[blocks->depth], above;

    if (blocks->depth == 0)
        return;
    above = blocks->path[blocks->depth - 1];
    if (blocks->low[vertex] < blocks->low[above])
        blocks->low[above] = blocks->low[vertex];
    if (blocks->low[vertex] >= blocks->order[above])
        close_block(blocks, edge);
}

static void walk_edge(struct blocks *blocks, size_t vertex, size_t edge)
{
    size_t other = graph_other(blocks->graph, edge, vertex);

    if (blocks->walked[edge] || (blocks->skip != NULL && blocks->skip[edge]))
        return;
    blocks->walked[edge] = true;
    if (other == vertex) {
        blocks->block[edge] = blocks->count++;
        return;
    }
    blocks->pending[blocks->pending_count++] = edge;
    if (blocks->order[other] == 0)
        go_down(blocks, other, edge);
    else if (blocks->order[other] < blocks->low[vertex])
        blocks->low[vertex] = blocks->order[other];
}

size_t graph_blocks(struct arena *arena, const struct graph *graph, const bool *skip,
                    size_t *block)
{
    struct blocks blocks = start_blocks(arena, graph, skip, block);

    for (size_t i = 0; i < graph->edge_count; i++)
        block[i] = SIZE_MAX;
    for (size_t root = 0; root < graph->vertex_count; root++) {
        if (blocks.order[root] != 0)
            continue;
        go_down(&blocks, root, SIZE_MAX);
        while (blocks.depth > 0) {
            size_t vertex = blocks.path[blocks.depth - 1];

            if (blocks.next[vertex] < graph->first[vertex + 1])
                walk_edge(&blocks, vertex, graph->links[blocks.next[vertex]++]);
            else
                go_up(&blocks);
        }
    }
    return blocks.count;
}

static void fill_piece(const struct graph *graph, const bool *skip, size_t *piece, size_t *queue,
                       size_t root, size_t number)
{
    size_t head = 0, tail = 0;

    piece[root] = number;
    queue[tail++] = root;
    while (head < tail) {
        size_t vertex = queue[head++];

        for (size_t i = graph->first[vertex]; i < graph->first[vertex + 1]; i++) {
            size_t edge = graph->links[i], other = graph_other(graph, edge, vertex);

            if ((skip != NULL && skip[edge]) || piece[other] != SIZE_MAX)
                continue;
            piece[other] = number;
            queue[tail++] = other;
        }
    }
}

size_t graph_pieces(struct arena *arena, const struct graph *graph, const bool *skip,
                    size_t *piece)
{
    size_t *queue = arena_array(arena, graph->vertex_count + 1, sizeof *queue), count = 0;

    for (size_t v = 0; v < graph->vertex_count; v++)
        piece[v] = SIZE_MAX;
    for (size_t v = 0; v < graph->vertex_count; v++)
        if (piece[v] == SIZE_MAX)
            fill_piece(graph, skip, piece, queue, v, count++);
    return count;
}
