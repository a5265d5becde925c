/* What parts are asked to stand. */
#include "whatif/stress.h"

#include <math.h>
#include <stdint.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"
#include "device/network.h"
#include "parts/parts.h"
#include "solve/solve.h"
#include "whatif/stress_kinds.h"

static const struct stress_row {
    const char *name;
    double trifle; /* SI: of unknown limit it is told only above */
} rows[STRESS_WHAT_COUNT] = {
    [STRESS_SURGE] = {"surge-amps", 0.1},
    [STRESS_SURGE_I2T] = {"surge-i2t", INFINITY}, /* beside the surge no news */
    [STRESS_AVERAGE] = {"average-amps", 0.1},
    [STRESS_REVERSE] = {"reverse-volts", 10},
    [STRESS_PEAK_ANODE] = {"peak-anode-amps", 0.1},
    [STRESS_WINDING] = {"winding-amps", 0.1},
    [STRESS_CHOKE] = {"choke-amps", 0.05},
    [STRESS_DISSIPATION] = {"dissipation", 0.125}, /* the smallest usual rating with wires */
    [STRESS_ANODE] = {"anode-watts", 1},
    [STRESS_SCREEN] = {"screen-watts", 0.5},
    [STRESS_COLLECTOR] = {"collector-watts", 0.2},
    [STRESS_VOLTS] = {"working-volts", 10},
    [STRESS_REVERSED] = {"reversed-volts", INFINITY}, /* its limit is always known */
    [STRESS_RIPPLE] = {"ripple-amps", INFINITY},      /* few ratings are told, and none of film capacitors */
};

const char *stress_what_name(enum stress_what what)
{
    return rows[what].name;
}

const char *stress_verdict_name(enum stress_verdict verdict)
{
    static const char *const names[] = {
        [STRESS_WITHIN] = "within", [STRESS_NOT_KNOWN] = "unknown", [STRESS_EXCEEDED] = "exceeded"};

    return names[verdict];
}

void stress_add(struct stressed *stressed, enum stress_what what, double value, double limit,
                struct withstand withstands, const char *source)
{
    const struct stress_case *at = stressed->at;
    struct stress *stress = &stressed->stresses[stressed->count++];

    *stress = (struct stress){.branch = stressed->branch->index, .what = what, .value = value,
                              .limit = limit, .withstands = withstands, .source = source};
    if (isnan(limit) || isnan(value)) {
        stress->withstands = withstand_not_said;
        stress->verdict = STRESS_NOT_KNOWN;
    } else if (value <= limit) {
        stress->withstands = withstand_for_ever;
    } else if (isnan(withstands.seconds)) {
        stress->verdict = STRESS_NOT_KNOWN;
    } else if (at->seconds > withstands.seconds) {
        stress->verdict = STRESS_EXCEEDED;
        stress->sure = at->seconds > withstands.high;
    }
}

const char *stress_source(const struct stressed *stressed, const struct figure *limit, const char *need,
                          const char *law)
{
    if (limit == NULL)
        return need;
    return limit->why == NULL ? law : arena_print(stressed->arena, "%s; %s", limit->why, law);
}

double stress_watts(const struct stressed *stressed)
{
    return (stressed->from->mean - stressed->to->mean) * stressed->amps->mean;
}

static void dispatch(struct stressed *stressed)
{
    switch (stressed->branch->kind) {
    case BRANCH_RECTIFIER:
        stress_rectifier(stressed);
        return;
    case BRANCH_WINDING:
        stress_winding(stressed);
        return;
    case BRANCH_INDUCTANCE:
        stress_choke(stressed);
        return;
    case BRANCH_RESISTANCE:
        stress_resistor(stressed);
        return;
    case BRANCH_CAPACITANCE:
        stress_capacitor(stressed);
        return;
    case BRANCH_LOAD:
        stress_load(stressed);
        return;
    case BRANCH_FUSE:
    case BRANCH_CONTACT:
    case BRANCH_SOURCE:
    case BRANCH_KIND_COUNT:
        return;
    }
}

size_t stress_of_branch(struct arena *arena, const struct stress_case *at, size_t index,
                        struct stress stresses[STRESSES_OF_BRANCH])
{
    const struct branch *here = &at->solved->branches[index];
    size_t whole = at->branches != NULL ? at->branches[index] : index;
    struct stressed stressed = {.arena = arena,
                                .at = at,
                                .branch = &at->whole->branches[whole],
                                .amps = &at->solution->branches[index],
                                .from = &at->solution->nodes[here->from],
                                .to = &at->solution->nodes[here->to],
                                .stresses = stresses};

    if (!at->solution->branch_solved[index])
        return 0;
    stressed.info = &at->whole->parts->items[stressed.branch->part->index];
    dispatch(&stressed);
    return stressed.count;
}

/* ---- what suffers ---- */

/* A figure is markedly more than in health above this multiple of it, and worth telling above this share of
 * its limit. */
static const double more_multiple = 1.2, worth_share = 0.5;

static bool suffers(const struct stress *stress, const struct stress *before)
{
    if (!(stress->value > 0) || stress->value <= more_multiple * fabs(before->value))
        return false;
    if (stress->verdict == STRESS_EXCEEDED)
        return true;
    return isnan(stress->limit) ? stress->value > rows[stress->what].trifle
                                : stress->value > worth_share * stress->limit;
}

/* What is found: kept in one arena, looked for in another. */
struct list {
    struct arena *arena, *scratch;
    struct stress *items;
    size_t count, capacity;
};

static void keep(struct list *list, const struct stress *stress)
{
    list->items =
        arena_grow(list->arena, list->items, &list->capacity, list->count, sizeof *list->items);
    list->items[list->count] = *stress;
    list->items[list->count++].source = arena_copy(list->arena, stress->source);
}

static void look_at(struct list *list, const struct stress_case *at,
                    const struct stress_case *health, size_t index)
{
    struct stress now[STRESSES_OF_BRANCH], before[STRESSES_OF_BRANCH];
    size_t whole = at->branches != NULL ? at->branches[index] : index;
    size_t count = stress_of_branch(list->scratch, at, index, now);

    if (count == 0 || stress_of_branch(list->scratch, health, whole, before) != count)
        return;
    for (size_t i = 0; i < count; i++)
        if (suffers(&now[i], &before[i]))
            keep(list, &now[i]);
}

/* ---- valves of told current ---- */

/* Share of its volts by which a grid must have risen, and that must be left of the anode's, for the current
 * that is told of its valve to mean nothing. */
static const double grid_risen = 0.25, anode_left = 0.5;

static const char told_current[] = "its current is told, not computed, and its grid has risen; leave the "
                                   "field idlecurrent out to have it computed";

/* The branch of the anode of section UNIT, if its current is told; NULL: it is not. */
static const struct branch *told_anode(const struct network *whole, const struct part_info *info,
                                       size_t unit)
{
    const struct pin *anode = part_role_pin(info, PIN_ANODE, unit);

    for (size_t i = 0; anode != NULL && anode->net != NULL && i < whole->branch_count; i++) {
        const struct branch *branch = &whole->branches[i];

        if (branch->part == info->part && branch->from == anode->net->index &&
            branch->element->device == &device_load)
            return branch;
    }
    return NULL;
}

/* Volts are left at the anode, or it lies where nothing has changed. */
static bool has_volts(const struct stress_case *at, const struct solution *healthy, size_t anode)
{
    for (size_t i = 0; i < at->solved->node_count; i++)
        if ((at->nodes != NULL ? at->nodes[i] : i) == anode)
            return at->solution->nodes[i].mean > anode_left * healthy->nodes[anode].mean;
    return true;
}

/* The grids on NET have risen: what is told of a valve's current no longer holds, and how much it is nobody
 * knows. */
static void doubt_valves_on(struct list *list, const struct stress_case *at,
                            const struct solution *healthy, const struct net *net)
{
    for (size_t i = 0; i < net->pin_count; i++) {
        const struct pin *pin = net->pins[i];
        const struct part_info *info = &at->whole->parts->items[pin->part->index];
        const struct pin_info *role = &info->pins[pin - pin->part->pins];
        const struct branch *branch;

        if (role->role != PIN_GRID || (info->kind != PART_TRIODE && info->kind != PART_PENTODE))
            continue;
        branch = told_anode(at->whole, info, role->unit);
        if (branch != NULL && has_volts(at, healthy, branch->from))
            keep(list, &(struct stress){.branch = branch->index, .what = STRESS_ANODE, .value = NAN,
                                        .limit = part_figure_value(info, FIGURE_ANODE_WATTS, NAN),
                                        .withstands = withstand_not_said,
                                        .verdict = STRESS_NOT_KNOWN, .source = told_current});
    }
}

static void doubt_valves(struct list *list, const struct stress_case *at,
                         const struct solution *healthy)
{
    for (size_t i = 0; i < at->solved->node_count; i++) {
        size_t whole = at->nodes != NULL ? at->nodes[i] : i;
        const struct net *net = whole < at->whole->node_count ? at->whole->nodes[whole].net : NULL;

        if (net != NULL && at->solution->node_solved[i] && healthy->node_solved[whole] &&
            at->solution->nodes[i].mean - healthy->nodes[whole].mean >
                fmax(1, grid_risen * fabs(healthy->nodes[whole].mean)))
            doubt_valves_on(list, at, healthy, net);
    }
}

struct stress *stress_find(struct arena *arena, const struct stress_case *at,
                           const struct solution *healthy, size_t *count)
{
    struct list list = {.arena = arena, .scratch = arena_new()};
    struct stress_case health = {.whole = at->whole, .solved = at->whole, .solution = healthy,
                                 .seconds = at->seconds};

    for (size_t i = 0; i < at->branch_count; i++)
        look_at(&list, at, &health, i);
    doubt_valves(&list, at, healthy);
    arena_free(list.scratch);
    *count = list.count;
    return list.items;
}
