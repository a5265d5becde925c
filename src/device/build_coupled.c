/* Inductors that K lines couple: all that hang together are one element. */
#include "device/build.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/device.h"

/* One group and its coefficients, COUNT squared; 0 where no K line says anything. */
struct group {
    const struct part_info **members;
    double *coefficients;
    size_t count;
};

static const struct part_info *inductor(const struct builder *builder, const char *ref)
{
    const struct part *part = circuit_find_part(builder->circuit, ref);
    const struct part_info *info = part != NULL ? &builder->parts->items[part->index] : NULL;
    size_t ends[2];

    if (info == NULL || info->part->not_fitted ||
        part_figure_value(info, FIGURE_HENRIES, 0) <= 0 || !build_ends(info, ends))
        return NULL;
    return info;
}

static bool mentions(const struct coupling *coupling, const struct part_info *info)
{
    for (size_t i = 0; i < coupling->inductor_count; i++)
        if (strcmp(coupling->inductors[i], info->part->ref) == 0)
            return true;
    return false;
}

/* Adds the inductors of COUPLING that are not in the group yet. */
static void join(struct builder *builder, struct group *group, const struct coupling *coupling)
{
    for (size_t i = 0; i < coupling->inductor_count; i++) {
        const struct part_info *info = inductor(builder, coupling->inductors[i]);

        if (info == NULL || builder->coupled[info->part->index])
            continue;
        builder->coupled[info->part->index] = true;
        group->members[group->count++] = info;
    }
}

/* Everything that hangs together with INFO. */
static struct group gather(struct builder *builder, const struct part_info *info)
{
    const struct circuit *circuit = builder->circuit;
    struct group group = {0};

    group.members = arena_array(builder->network->arena, circuit->part_count,
                                sizeof *group.members);
    group.members[group.count++] = info;
    builder->coupled[info->part->index] = true;
    for (size_t next = 0; next < group.count; next++)
        for (size_t i = 0; i < circuit->coupling_count; i++)
            if (mentions(&circuit->couplings[i], group.members[next]))
                join(builder, &group, &circuit->couplings[i]);
    return group;
}

static void read_coefficients(struct builder *builder, struct group *group)
{
    size_t n = group->count;

    group->coefficients = arena_array(builder->network->arena, n * n, sizeof(double));
    for (size_t i = 0; i < n; i++)
        group->coefficients[i * n + i] = 1;
    for (size_t c = 0; c < builder->circuit->coupling_count; c++) {
        const struct coupling *coupling = &builder->circuit->couplings[c];

        for (size_t i = 0; i < n; i++)
            for (size_t k = 0; k < n; k++)
                if (i != k && mentions(coupling, group->members[i]) &&
                    mentions(coupling, group->members[k]))
                    group->coefficients[i * n + k] = coupling->coefficient;
    }
}

/* Whether no set of currents stores negative energy: Cholesky on a copy. */
static bool is_passive(struct arena *arena, const struct group *group)
{
    size_t n = group->count;
    double *rest = arena_array(arena, n * n, sizeof *rest);

    memcpy(rest, group->coefficients, n * n * sizeof *rest);
    for (size_t p = 0; p < n; p++) {
        double pivot = rest[p * n + p];

        if (pivot < -1e-9)
            return false;
        for (size_t i = p + 1; i < n; i++) {
            if (pivot <= 1e-9) {
                if (fabs(rest[i * n + p]) > 1e-6)
                    return false;
                continue;
            }
            for (size_t k = p + 1; k < n; k++)
                rest[i * n + k] -= rest[i * n + p] * rest[p * n + k] / pivot;
        }
    }
    return true;
}

/* Pairs that no K line names, but that share a core through others: the product of the coefficients on the way. */
static void complete(struct group *group, double share)
{
    size_t n = group->count;
    double *k = group->coefficients;

    for (size_t via = 0; via < n; via++)
        for (size_t i = 0; i < n; i++)
            for (size_t j = 0; j < n; j++)
                if (i != j && k[i * n + j] == 0)
                    k[i * n + j] = share * k[i * n + via] * k[via * n + j];
}

static void add_group(struct builder *builder, const struct group *group)
{
    struct arena *arena = builder->network->arena;
    size_t n = group->count, *nodes = arena_array(arena, 2 * n, sizeof *nodes);
    double *ohms = arena_array(arena, n, sizeof *ohms);
    struct element *element;

    for (size_t i = 0; i < n; i++) {
        build_ends(group->members[i], &nodes[2 * i]);
        ohms[i] = part_figure_value(group->members[i], FIGURE_OHMS, 0);
    }
    element = network_add_element(builder->network, &device_coupled, group->members[0]->part,
                                  nodes, 2 * n);
    element->section_count = n;
    element->ohms = ohms;
    element->matrix = arena_array(arena, n * n, sizeof(double));
    for (size_t i = 0; i < n * n; i++)
        element->matrix[i] = group->coefficients[i] *
                             sqrt(part_figure_value(group->members[i / n], FIGURE_HENRIES, 0) *
                                  part_figure_value(group->members[i % n], FIGURE_HENRIES, 0));
    for (size_t i = 0; i < n; i++)
        network_add_branch(builder->network, element, nodes[2 * i], nodes[2 * i + 1],
                           BRANCH_WINDING, false)
            ->part = group->members[i]->part;
}

void build_coupled(struct builder *builder, const struct part_info *info)
{
    struct group group;

    if (builder->coupled[info->part->index])
        return;
    if (inductor(builder, info->part->ref) == NULL) {
        build_inductor(builder, info);
        return;
    }
    group = gather(builder, info);
    read_coefficients(builder, &group);
    if (!is_passive(builder->network->arena, &group)) {
        complete(&group, build_assume(builder, info, "coupling", 1, 0, 1,
                                      "the K lines leave pairs out that share the core; their coupling is "
                                      "this times the product of those on the way"));
    }
    if (is_passive(builder->network->arena, &group)) {
        add_group(builder, &group);
        return;
    }
    build_gap(builder, info, "its couplings contradict each other; taken as not coupled");
    for (size_t i = 0; i < group.count; i++)
        build_inductor(builder, group.members[i]);
}
