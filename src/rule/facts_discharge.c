#include "rule/facts_discharge.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"
#include "device/device.h"
#include "rule/facts_build.h"
#include "solve/solve.h"
#include "trace/trace.h"

/* Class ES1 for DC, V: IEC 62368-1 table 4. */
static const double safe_volts = 60;
/* s: the first step, how far it is looked ahead, and the share of the time gone that each step takes. */
static const double first_step = 1e-3, a_day = 86400, step_share = 0.02;
/* Larger pieces of circuit are left alone. */
enum { MOST_NODES = 400 };
static const double least_ohms = 1e-3;

/* The piece of circuit that hangs on a rail by what conducts, its return apart, as a matrix of conductances. */
struct piece {
    const struct network *network;
    const struct rail *rail;
    size_t *local;       /* by node: its row, SIZE_MAX: not in the piece */
    size_t *nodes;       /* by row */
    size_t count;
    bool *kept;          /* by row: a node of the rail, or one with a capacitor */
    double *siemens;     /* count squared, row by row; the return is left out */
    double *farads;      /* likewise */
    bool grounded;       /* something leads to the return */
};

/* Ohms of a way that direct current takes with the plug out; NAN: none. */
static double way_ohms(const struct branch *branch)
{
    const struct element *element = branch->element;

    if (branch->kind == BRANCH_KIND_COUNT || branch->one_way)
        return NAN;
    if (element->device == &device_resistor)
        return fmax(element->figures[0], least_ohms);
    if (element->device == &device_inductor)
        return fmax(element->figures[1], least_ohms);
    if (element->device == &device_transformer || element->device == &device_coupled)
        return fmax(element->ohms != NULL ? element->ohms[branch->slot] : 0, least_ohms);
    return NAN;
}

/* What hangs on a rail by such a capacitor holds part of its charge, as in a doubler or where two are in series, F. Smaller
 * ones couple signals. Common practice, no source. */
static const double store_farads = 1e-6;

static bool is_store(const struct branch *branch)
{
    return branch->kind == BRANCH_CAPACITANCE && branch->element->figures[0] >= store_farads;
}

static void take_node(struct piece *piece, size_t node)
{
    if (node == piece->rail->back || piece->local[node] != SIZE_MAX || piece->count == MOST_NODES)
        return;
    piece->local[node] = piece->count;
    piece->nodes[piece->count++] = node;
}

/* Everything that conducting ways and large capacitors reach from the rail's nodes without going through its return. */
static void grow(struct piece *piece)
{
    size_t before;

    for (size_t i = 0; i < piece->rail->node_count; i++)
        take_node(piece, piece->rail->nodes[i].node);
    do {
        before = piece->count;
        for (size_t i = 0; i < piece->network->branch_count; i++) {
            const struct branch *branch = &piece->network->branches[i];

            if (isnan(way_ohms(branch)) && !is_store(branch))
                continue;
            if (piece->local[branch->from] != SIZE_MAX)
                take_node(piece, branch->to);
            if (piece->local[branch->to] != SIZE_MAX)
                take_node(piece, branch->from);
        }
    } while (piece->count > before);
}

/* VALUE between two nodes into MATRIX. False: neither is the piece's, or one is of another piece. */
static bool join(const struct piece *piece, double *matrix, size_t a, size_t b, double value)
{
    size_t row = piece->local[a], column = piece->local[b], count = piece->count;
    bool a_back = a == piece->rail->back, b_back = b == piece->rail->back;

    if ((row == SIZE_MAX && !a_back) || (column == SIZE_MAX && !b_back) || (a_back && b_back))
        return false;
    if (!a_back)
        matrix[row * count + row] += value;
    if (!b_back)
        matrix[column * count + column] += value;
    if (!a_back && !b_back) {
        matrix[row * count + column] -= value;
        matrix[column * count + row] -= value;
    }
    return true;
}

static void keep(struct piece *piece, size_t node)
{
    if (piece->local[node] != SIZE_MAX)
        piece->kept[piece->local[node]] = true;
}

static void fill(struct piece *piece)
{
    for (size_t i = 0; i < piece->network->branch_count; i++) {
        const struct branch *branch = &piece->network->branches[i];
        double ohms = way_ohms(branch);

        if (!isnan(ohms) && join(piece, piece->siemens, branch->from, branch->to, 1 / ohms))
            piece->grounded |= branch->from == piece->rail->back || branch->to == piece->rail->back;
        if (branch->kind == BRANCH_CAPACITANCE &&
            join(piece, piece->farads, branch->from, branch->to, branch->element->figures[0])) {
            keep(piece, branch->from);
            keep(piece, branch->to);
        }
    }
    for (size_t i = 0; i < piece->rail->node_count; i++)
        keep(piece, piece->rail->nodes[i].node);
}

static struct piece piece_new(struct arena *work, const struct network *network, const struct rail *rail)
{
    struct piece piece = {.network = network, .rail = rail};

    piece.local = arena_array(work, network->node_count, sizeof *piece.local);
    for (size_t i = 0; i < network->node_count; i++)
        piece.local[i] = SIZE_MAX;
    piece.nodes = arena_array(work, MOST_NODES, sizeof *piece.nodes);
    grow(&piece);
    piece.kept = arena_array(work, piece.count, sizeof *piece.kept);
    piece.siemens = arena_array(work, piece.count * piece.count, sizeof *piece.siemens);
    piece.farads = arena_array(work, piece.count * piece.count, sizeof *piece.farads);
    fill(&piece);
    return piece;
}

/* Takes ROW out of the matrix of conductances: what it joined is joined directly (star-mesh transformation). */
static void eliminate(double *siemens, size_t count, size_t row)
{
    double pivot = siemens[row * count + row];

    for (size_t i = 0; i < count && pivot > 0; i++)
        for (size_t j = 0; j < count && i != row; j++)
            if (j != row)
                siemens[i * count + j] -= siemens[i * count + row] * siemens[row * count + j] / pivot;
    for (size_t i = 0; i < count; i++)
        siemens[i * count + row] = siemens[row * count + i] = 0;
}

/* Only the kept nodes' rows, moved together; the piece then has no others. */
static void shrink(struct piece *piece)
{
    size_t count = piece->count, kept = 0;

    for (size_t i = 0; i < count; i++)
        if (!piece->kept[i])
            eliminate(piece->siemens, count, i);
    for (size_t i = 0; i < count; i++)
        kept += piece->kept[i];
    for (size_t i = 0, row = 0; i < count; i++) {
        piece->local[piece->nodes[i]] = piece->kept[i] ? row : SIZE_MAX;
        for (size_t j = 0, column = 0; j < count && piece->kept[i]; j++) {
            if (!piece->kept[j])
                continue;
            piece->siemens[row * kept + column] = piece->siemens[i * count + j];
            piece->farads[row * kept + column++] = piece->farads[i * count + j];
        }
        if (piece->kept[i])
            piece->nodes[row++] = piece->nodes[i];
    }
    piece->count = kept;
}

/* Solves A x = x in place; A, symmetric and positive, is overwritten. A pivot of nothing stands for a node that keeps its volts. */
static void solve(double *a, size_t count, double *x)
{
    for (size_t p = 0; p < count; p++)
        for (size_t i = p + 1; i < count && a[p * count + p] > 0; i++) {
            double factor = a[i * count + p] / a[p * count + p];

            for (size_t j = p; j < count && factor != 0; j++)
                a[i * count + j] -= factor * a[p * count + j];
            x[i] -= factor * x[p];
        }
    for (size_t p = count; p-- > 0;) {
        for (size_t j = p + 1; j < count; j++)
            x[p] -= a[p * count + j] * x[j];
        x[p] = a[p * count + p] > 0 ? x[p] / a[p * count + p] : 0;
    }
}

/* What 1 A into the output makes of it. */
static double settled_ohms(struct arena *work, const struct piece *piece)
{
    size_t count = piece->count, row = piece->local[piece->rail->output];
    double *a = arena_array(work, count * count, sizeof *a), *x = arena_array(work, count, sizeof *x);

    if (!piece->grounded || row == SIZE_MAX)
        return INFINITY;
    memcpy(a, piece->siemens, count * count * sizeof *a);
    x[row] = 1;
    solve(a, count, x);
    return x[row];
}

/* One implicit step: (G + C/h) v = C/h v before. */
static void step(const struct piece *piece, double h, double *a, double *v, double *next)
{
    size_t count = piece->count;

    for (size_t i = 0; i < count; i++) {
        next[i] = 0;
        for (size_t j = 0; j < count; j++) {
            next[i] += piece->farads[i * count + j] / h * v[j];
            a[i * count + j] = piece->siemens[i * count + j] + piece->farads[i * count + j] / h;
        }
    }
    solve(a, count, next);
    memcpy(v, next, count * sizeof *v);
}

/* Notes the nodes of the rail that are safe at TIME and were not, or no longer are. Returns how many are not. */
static size_t note(const struct piece *piece, const double *v, double time, double *seconds)
{
    size_t unsafe = 0;

    for (size_t i = 0; i < piece->rail->node_count; i++) {
        size_t row = piece->local[piece->rail->nodes[i].node];
        bool safe = row == SIZE_MAX || fabs(v[row]) < safe_volts;

        if (!safe)
            seconds[i] = INFINITY;
        else if (isinf(seconds[i]))
            seconds[i] = time;
        unsafe += !safe;
    }
    return unsafe;
}

static void run_down(struct arena *work, const struct piece *piece, const struct solution *healthy, double *seconds)
{
    size_t count = piece->count;
    double *a = arena_array(work, count * count, sizeof *a);
    double *v = arena_array(work, count, sizeof *v), *next = arena_array(work, count, sizeof *next);
    size_t unsafe;

    for (size_t i = 0; i < count; i++)
        v[i] = healthy->nodes[piece->nodes[i]].mean - healthy->nodes[piece->rail->back].mean;
    unsafe = note(piece, v, 0, seconds);
    for (double time = 0, h = first_step; unsafe > 0 && time < a_day; h = fmax(first_step, step_share * time)) {
        time += h;
        step(piece, h, a, v, next);
        unsafe = note(piece, v, time, seconds);
    }
}

struct discharge facts_discharge(const struct facts_build *build, const struct rail *rail)
{
    struct discharge result = {.ohms = NAN};
    struct arena *work = arena_new();
    struct piece piece = piece_new(work, build->stages->network, rail);
    bool known = piece.count < MOST_NODES;

    result.seconds = arena_array(build->arena, rail->node_count, sizeof *result.seconds);
    for (size_t i = 0; i < rail->node_count; i++)
        result.seconds[i] = known && facts_solved(build) ? 0 : NAN;
    if (known) {
        shrink(&piece);
        result.ohms = settled_ohms(work, &piece);
        if (facts_solved(build))
            run_down(work, &piece, build->stages->healthy, result.seconds);
    }
    arena_free(work);
    return result;
}
