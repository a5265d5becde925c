#include "whatif/fuse_state.h"

#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "device/network.h"
#include "parts/parts.h"

static const char *fitted_marking(const char *ref, const struct fitted *fitted, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(fitted[i].ref, ref) == 0)
            return fitted[i].marking;
    return NULL;
}

/* A link in the holder is judged by what is printed on it, whatever the drawing says. */
static struct fuse_state state_of(const struct branch *branch, const struct part_info *info,
                                  const char *fitted)
{
    struct fuse_state state = {.branch = branch->index, .drawn = info->marking, .fitted = fitted};
    const char *judged = fitted != NULL ? fitted : info->marking;

    if (judged != NULL && marking_parse(judged, &state.marking) && state.marking.rated)
        state.gates = gates_for(&state.marking, &state.assumed);
    state.known = state.gates != NULL;
    return state;
}

void fuse_state_list(struct arena *arena, const struct network *network,
                     const struct fitted *fitted, size_t fitted_count, struct whatif *whatif)
{
    size_t capacity = 0;

    for (size_t i = 0; i < network->branch_count; i++) {
        const struct branch *branch = &network->branches[i];

        if (branch->kind != BRANCH_FUSE)
            continue;
        whatif->fuses = arena_grow(arena, whatif->fuses, &capacity, whatif->fuse_count,
                                   sizeof *whatif->fuses);
        whatif->fuses[whatif->fuse_count++] =
            state_of(branch, &network->parts->items[branch->part->index],
                     fitted_marking(branch->part->ref, fitted, fitted_count));
    }
}
