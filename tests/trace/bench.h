/* Circuits for tests, written as text, one element a line:
 *   V1 plus minus PEAK        sine source, 50 Hz      B1 plus minus VOLTS    DC source
 *   T1 winding start end VOLTS OHMS   a section       U1 anode cathode       rectifier valve
 *   D1 anode cathode          F1 a b [OHMS]           S1 a b                 closed contact
 *   R1 a b OHMS   C1 a b FARADS   L1 a b HENRIES OHMS   I1 plus minus AMPS   a load
 * Node "0" is ground. Sections of one winding have the same name and follow each other. */
#ifndef PREARC_TESTS_TRACE_BENCH_H
#define PREARC_TESTS_TRACE_BENCH_H

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "check_prearc.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "trace/trace.h"

enum { BENCH_SECTIONS = 512, BENCH_WORDS = 8 };

struct bench_section {
    const char *ref, *winding;
    size_t nodes[2];
    double volts, ohms;
};

struct bench {
    struct arena *arena;
    struct network *network;
    struct trace *trace;
    struct bench_section *sections;
    size_t section_count, part_count;
};

static inline size_t bench_node(struct bench *bench, const char *name)
{
    for (size_t i = 0; i < bench->network->node_count; i++)
        if (strcmp(bench->network->nodes[i].name, name) == 0)
            return i;
    return network_add_node(bench->network, arena_copy(bench->arena, name), NULL);
}

static inline struct part *bench_part(struct bench *bench, const char *ref)
{
    struct part *part = arena_alloc(bench->arena, sizeof *part);

    part->ref = arena_copy(bench->arena, ref);
    part->index = bench->part_count++;
    return part;
}

struct bench_row {
    char letter;
    const struct device *device;
    enum branch_kind kind;
    bool one_way;
};

static inline const struct bench_row *bench_find_row(char letter)
{
    static const struct bench_row rows[] = {
        {'V', &device_source, BRANCH_SOURCE, false},
        {'B', &device_source, BRANCH_SOURCE, false},
        {'U', &device_valve_diode, BRANCH_RECTIFIER, true},
        {'D', &device_diode, BRANCH_RECTIFIER, true},
        {'F', &device_resistor, BRANCH_FUSE, false},
        {'S', &device_resistor, BRANCH_CONTACT, false},
        {'R', &device_resistor, BRANCH_RESISTANCE, false},
        {'C', &device_capacitor, BRANCH_CAPACITANCE, false},
        {'L', &device_inductor, BRANCH_INDUCTANCE, false},
        {'I', &device_load, BRANCH_LOAD, true},
    };

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].letter == letter)
            return &rows[i];
    ck_abort_msg("no element begins with %c", letter);
    return NULL;
}

static inline void bench_figures(struct element *element, char letter, double first, double second)
{
    double *figures = element->figures;

    figures[0] = first;
    figures[1] = second;
    if (letter == 'V') {
        figures[0] = 0;
        figures[1] = first;
        figures[2] = 50;
        figures[4] = 0.5;
    } else if (letter == 'B') {
        figures[1] = 0;
        figures[4] = 0.5;
    } else if (letter == 'D') {
        figures[0] = 7e-9;
        figures[1] = 1.8;
        figures[2] = 0.034;
    } else if (letter == 'U') {
        figures[0] = 1e-3;
        figures[1] = 0;
    } else if (letter == 'I') {
        figures[1] = 10;
    } else if (letter == 'S' || (letter == 'F' && first <= 0)) {
        figures[0] = 0.05;
    }
}

static inline void bench_section_line(struct bench *bench, char words[][32])
{
    struct bench_section *section = &bench->sections[bench->section_count++];

    ck_assert_uint_lt(bench->section_count, BENCH_SECTIONS);
    section->ref = arena_copy(bench->arena, words[0]);
    section->winding = arena_copy(bench->arena, words[1]);
    section->nodes[0] = bench_node(bench, words[2]);
    section->nodes[1] = bench_node(bench, words[3]);
    section->volts = atof(words[4]);
    section->ohms = atof(words[5]);
}

static inline void bench_line(struct bench *bench, const char *line)
{
    char words[BENCH_WORDS][32] = {{0}};
    size_t nodes[2];
    struct element *element;
    const struct bench_row *row;

    if (sscanf(line, "%31s %31s %31s %31s %31s %31s", words[0], words[1], words[2], words[3],
               words[4], words[5]) < 3)
        return;
    if (words[0][0] == 'T') {
        bench_section_line(bench, words);
        return;
    }
    row = bench_find_row(words[0][0]);
    nodes[0] = bench_node(bench, words[1]);
    nodes[1] = bench_node(bench, words[2]);
    element = network_add_element(bench->network, row->device, bench_part(bench, words[0]), nodes,
                                  2);
    bench_figures(element, row->letter, atof(words[3]), atof(words[4]));
    network_add_branch(bench->network, element, nodes[0], nodes[1], row->kind, row->one_way);
}

/* The magnetising current is some milliamperes of a 230 V winding. */
static inline void bench_core(struct bench *bench, size_t first, size_t count)
{
    struct arena *arena = bench->arena;
    size_t *nodes = arena_array(arena, 2 * count, sizeof *nodes), winding = 0;
    double *turns = arena_array(arena, count, sizeof *turns);
    double *ohms = arena_array(arena, count, sizeof *ohms);
    struct section *sections = arena_array(arena, count, sizeof *sections);
    struct part *part = bench_part(bench, bench->sections[first].ref);
    struct element *element;

    for (size_t i = 0; i < count; i++) {
        const struct bench_section *section = &bench->sections[first + i];

        winding += i > 0 && strcmp(section->winding, section[-1].winding) != 0;
        sections[i].winding = winding;
        memcpy(&nodes[2 * i], section->nodes, sizeof section->nodes);
        turns[i] = section->volts;
        ohms[i] = section->ohms;
    }
    element = network_add_element(bench->network, &device_transformer, part, nodes, 2 * count);
    element->section_count = count;
    element->turns = turns;
    element->ohms = ohms;
    element->figures[0] = 20;
    for (size_t i = 0; i < count; i++)
        network_add_branch(bench->network, element, nodes[2 * i], nodes[2 * i + 1],
                           BRANCH_WINDING, false)
            ->section = &sections[i];
}

static inline void bench_cores(struct bench *bench)
{
    size_t first = 0;

    for (size_t i = 1; i <= bench->section_count; i++)
        if (i == bench->section_count ||
            strcmp(bench->sections[i].ref, bench->sections[first].ref) != 0) {
            bench_core(bench, first, i - first);
            first = i;
        }
}

/* Builds and traces TEXT; free with bench_free. */
static inline struct bench bench_read(const char *text)
{
    struct bench bench = {.arena = arena_new()};
    const char *end;

    bench.network = arena_alloc(bench.arena, sizeof *bench.network);
    bench.network->arena = bench.arena;
    bench.network->hertz = 50;
    bench.sections = arena_array(bench.arena, BENCH_SECTIONS, sizeof *bench.sections);
    bench.network->ground = bench_node(&bench, "0");
    for (const char *line = text; *line != '\0'; line = *end != '\0' ? end + 1 : end) {
        end = line + strcspn(line, "\n");
        bench_line(&bench, arena_copy_span(bench.arena, line, (size_t)(end - line)));
    }
    bench_cores(&bench);
    bench.trace = trace_network(bench.arena, bench.network);
    return bench;
}

static inline void bench_free(struct bench *bench)
{
    arena_free(bench->arena);
}

static inline size_t bench_branch(const struct bench *bench, const char *ref)
{
    for (size_t i = 0; i < bench->network->branch_count; i++)
        if (strcmp(bench->network->branches[i].part->ref, ref) == 0)
            return i;
    ck_abort_msg("no part %s", ref);
    return 0;
}

/* The rail that has NODE (as a node or fed); the one whose output it is first. */
static inline size_t bench_rail(struct bench *bench, const char *node)
{
    size_t index = bench_node(bench, node), found = SIZE_MAX;

    for (size_t i = 0; i < bench->trace->rail_count; i++) {
        const struct rail *rail = &bench->trace->rails[i];

        if (rail->output == index)
            return i;
        for (size_t k = 0; k < rail->fed_count && found == SIZE_MAX; k++)
            if (rail->fed[k] == index)
                found = i;
    }
    ck_assert_msg(found != SIZE_MAX, "no rail feeds %s", node);
    return found;
}

/* What the list of covers says of FUSE and NODE, and the same asked anew. */
static inline enum coverage bench_coverage(struct bench *bench, const char *fuse, const char *node)
{
    size_t branch = bench_branch(bench, fuse), index = bench_node(bench, node);
    size_t rail = bench_rail(bench, node);
    enum coverage coverage = COVERAGE_NONE;

    for (size_t i = 0; i < bench->trace->cover_count; i++) {
        const struct cover *cover = &bench->trace->covers[i];

        if (!cover->upstream && cover->fuse == branch && cover->node == index &&
            cover->rail == rail)
            coverage = cover->coverage;
    }
    ck_assert_int_eq(coverage, trace_coverage(bench->trace, branch, rail, index));
    return coverage;
}

/* Whether FUSE covers NODE through a transformer, and how far. */
static inline enum coverage bench_upstream(struct bench *bench, const char *fuse, const char *node)
{
    size_t branch = bench_branch(bench, fuse), index = bench_node(bench, node);

    for (size_t i = 0; i < bench->trace->cover_count; i++) {
        const struct cover *cover = &bench->trace->covers[i];

        if (cover->upstream && cover->fuse == branch && cover->node == index)
            return cover->coverage;
    }
    return COVERAGE_NONE;
}

static inline enum protection bench_protection(struct bench *bench, const char *node)
{
    return bench->trace->protections[bench_node(bench, node)];
}

static inline const struct rectifier *bench_rectifier(struct bench *bench, const char *node)
{
    size_t rectifier = bench->trace->rails[bench_rail(bench, node)].rectifier;

    ck_assert_msg(rectifier != SIZE_MAX, "the rail of %s has no rectifier", node);
    return &bench->trace->rectifiers[rectifier];
}

#define assert_coverage(bench, fuse, node, want)                                                   \
    ck_assert_msg(bench_coverage(bench, fuse, node) == (want), "%s %s: %d", fuse, node,            \
                  (int)bench_coverage(bench, fuse, node))

#endif
