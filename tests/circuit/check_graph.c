#include "check_prearc.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "circuit/graph.h"

enum { VERTICES = 8, EDGES = 14, GRAPHS = 400 };

static struct arena *arena;

static void setup(void)
{
    arena = arena_new();
}

static void teardown(void)
{
    arena_free(arena);
}

static unsigned draw(unsigned *state, unsigned below)
{
    *state = *state * 1103515245u + 12345u;
    return (*state >> 16) % below;
}

static void draw_edges(unsigned *state, struct graph_edge *edges, size_t count)
{
    for (size_t i = 0; i < count; i++)
        edges[i] = (struct graph_edge){draw(state, VERTICES), draw(state, VERTICES),
                                       draw(state, 2) == 0, draw(state, 5)};
}

/* Is there a way from A to B over undirected edges that uses neither vertex BARRED nor edge WITHOUT? */
static bool joined(const struct graph_edge *edges, size_t count, size_t a, size_t b, size_t barred,
                   size_t without)
{
    bool seen[VERTICES] = {false}, changed = true;

    seen[a] = true;
    while (changed) {
        changed = false;
        for (size_t i = 0; i < count; i++) {
            size_t from = edges[i].from, to = edges[i].to;

            if (i == without || from == barred || to == barred || seen[from] == seen[to])
                continue;
            seen[from] = seen[to] = changed = true;
        }
    }
    return seen[b];
}

/* Two edges lie on one simple cycle: tried by every choice of a vertex to take out. Menger: edges (a b) and (c d) are in
 * one block if no single vertex other than a shared one parts them and neither is a bridge to the other. */
static bool in_one_block(const struct graph_edge *edges, size_t count, size_t e, size_t f)
{
    if (edges[e].from == edges[e].to || edges[f].from == edges[f].to)
        return e == f;
    if (e == f)
        return true;
    for (size_t v = 0; v < VERTICES; v++) {
        size_t a = edges[e].from != v ? edges[e].from : edges[e].to;
        size_t b = edges[f].from != v ? edges[f].from : edges[f].to;

        if (!joined(edges, count, a, b, v, SIZE_MAX))
            return false;
    }
    return joined(edges, count, edges[e].from, edges[e].to, SIZE_MAX, e) &&
           joined(edges, count, edges[f].from, edges[f].to, SIZE_MAX, f);
}

START_TEST(blocks_agree_with_brute_force)
{
    unsigned state = 7;

    for (size_t n = 0; n < GRAPHS; n++) {
        struct graph_edge edges[EDGES];
        size_t block[EDGES], count = 2 + draw(&state, EDGES - 2);
        struct graph *graph;

        draw_edges(&state, edges, count);
        graph = graph_new(arena, VERTICES, edges, count);
        graph_blocks(arena, graph, NULL, block);
        for (size_t e = 0; e < count; e++)
            for (size_t f = 0; f < count; f++)
                ck_assert_msg((block[e] == block[f]) == in_one_block(edges, count, e, f),
                              "graph %zu, edges %zu and %zu", n, e, f);
    }
}
END_TEST

START_TEST(skipped_edges_have_no_block)
{
    struct graph_edge edges[] = {{0, 1, false, 1}, {1, 2, false, 1}, {2, 0, false, 1}};
    bool skip[] = {false, false, true};
    size_t block[3];

    ck_assert_uint_eq(graph_blocks(arena, graph_new(arena, 3, edges, 3), skip, block), 2);
    ck_assert_uint_ne(block[0], block[1]);
    ck_assert_uint_eq(block[2], SIZE_MAX);
}
END_TEST

START_TEST(pieces_are_counted)
{
    struct graph_edge edges[] = {{0, 1, true, 1}, {3, 2, true, 1}};
    bool skip[] = {false, true};
    size_t piece[4];
    struct graph *graph = graph_new(arena, 4, edges, 2);

    ck_assert_uint_eq(graph_pieces(arena, graph, NULL, piece), 2);
    ck_assert_uint_eq(piece[0], piece[1]);
    ck_assert_uint_eq(piece[2], piece[3]);
    ck_assert_uint_eq(graph_pieces(arena, graph, skip, piece), 3);
}
END_TEST

/* All shortest directed distances, by relaxing every edge as often as there are vertices. */
static void relax(const struct graph_edge *edges, size_t count, size_t start, double *distance)
{
    for (size_t v = 0; v < VERTICES; v++)
        distance[v] = v == start ? 0 : INFINITY;
    for (size_t round = 0; round < VERTICES; round++)
        for (size_t i = 0; i < count; i++) {
            const struct graph_edge *e = &edges[i];

            distance[e->to] = fmin(distance[e->to], distance[e->from] + e->length);
            if (!e->one_way)
                distance[e->from] = fmin(distance[e->from], distance[e->to] + e->length);
        }
}

START_TEST(search_agrees_with_relaxation)
{
    unsigned state = 11;

    for (size_t n = 0; n < GRAPHS; n++) {
        struct graph_edge edges[EDGES];
        size_t count = 1 + draw(&state, EDGES - 1), start = draw(&state, VERTICES);
        double want[VERTICES];
        struct graph_search *search;

        draw_edges(&state, edges, count);
        search = graph_search_new(arena, graph_new(arena, VERTICES, edges, count));
        for (int run = 0; run < 2; run++, start = (start + 1) % VERTICES) {
            relax(edges, count, start, want);
            graph_search_run(search, &(struct graph_query){.start = start, .target = SIZE_MAX});
            for (size_t v = 0; v < VERTICES; v++)
                ck_assert(search->distance[v] == want[v]);
        }
    }
}
END_TEST

START_TEST(search_keeps_off_bars_and_walks_backwards)
{
    struct graph_edge edges[] = {{0, 1, true, 1}, {1, 2, true, 1}, {0, 3, true, 5}, {3, 2, true, 5}};
    bool barred[] = {false, true, false, false};
    struct graph_search *search = graph_search_new(arena, graph_new(arena, 4, edges, 4));
    struct graph_query query = {.start = 0, .target = 2};

    ck_assert(graph_search_run(search, &query) == 2);
    query.barred = barred;
    ck_assert(graph_search_run(search, &query) == 10);
    query.limit = 9;
    ck_assert(isinf(graph_search_run(search, &query)));
    query = (struct graph_query){.start = 2, .target = 0, .backwards = true};
    ck_assert(graph_search_run(search, &query) == 2);
    query.backwards = false;
    ck_assert(isinf(graph_search_run(search, &query)));
}
END_TEST

/* A chain of 200,000 edges: nothing may recurse. */
START_TEST(long_chain)
{
    enum { LENGTH = 200000 };
    struct graph_edge *edges = arena_array(arena, LENGTH, sizeof *edges);
    size_t *block = arena_array(arena, LENGTH, sizeof *block);
    struct graph *graph;

    for (size_t i = 0; i < LENGTH; i++)
        edges[i] = (struct graph_edge){i, i + 1, false, 1};
    graph = graph_new(arena, LENGTH + 1, edges, LENGTH);
    ck_assert_uint_eq(graph_blocks(arena, graph, NULL, block), LENGTH);
    ck_assert(graph_search_run(graph_search_new(arena, graph),
                               &(struct graph_query){.start = 0, .target = LENGTH}) == LENGTH);
}
END_TEST

Suite *check_graph_suite(void);

Suite *check_graph_suite(void)
{
    Suite *suite = suite_create("graph");
    TCase *tests = tcase_create("walks");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, blocks_agree_with_brute_force);
    tcase_add_test(tests, skipped_edges_have_no_block);
    tcase_add_test(tests, pieces_are_counted);
    tcase_add_test(tests, search_agrees_with_relaxation);
    tcase_add_test(tests, search_keeps_off_bars_and_walks_backwards);
    tcase_add_test(tests, long_chain);
    suite_add_tcase(suite, tests);
    return suite;
}
