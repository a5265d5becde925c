/* Parts of which something is not known, and the rails whose current is therefore a lower bound. */
#include "rule/facts_build.h"

#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "parts/parts.h"

/* The refs that gaps of the network are about. */
static struct map *parts_with_gaps(const struct network *network)
{
    struct map *refs = map_new();

    for (size_t i = 0; network->gap_parts != NULL && i < network->gap_count; i++)
        if (network->gap_parts[i] != NULL)
            map_add(refs, network->gap_parts[i], refs);
    return refs;
}

void facts_find_unknown_parts(struct facts_build *build)
{
    const struct parts *parts = build->stages->parts;
    struct map *gaps = parts_with_gaps(build->stages->network);
    const struct part **unknown = arena_array(build->arena, parts->count, sizeof *unknown);

    for (size_t i = 0; i < parts->count; i++) {
        const struct part_info *info = &parts->items[i];

        if (!info->part->not_fitted && (info->kind == PART_UNKNOWN || info->doubt != NULL ||
                                        map_get(gaps, info->part->ref) != NULL))
            unknown[build->unknown_part_count++] = info->part;
    }
    map_free(gaps);
    build->unknown_parts = unknown;
}

static bool is_on(const struct facts_build *build, const struct part *part, const bool *rails,
                  size_t rail_count)
{
    for (size_t i = 0; i < part->pin_count; i++) {
        const struct net *net = part->pins[i].net;
        size_t rail = net != NULL ? build->rail_of_node[net->index] : rail_count;

        if (rail < rail_count && rails[rail])
            return true;
    }
    return false;
}

const char *facts_unknown_loads(const struct facts_build *build, const bool *rails,
                                size_t rail_count)
{
    enum { NAMED_LARGEST = 6 };
    struct text text = {0};
    size_t found = 0;
    const char *list = NULL;

    for (size_t i = 0; i < build->unknown_part_count; i++)
        if (is_on(build, build->unknown_parts[i], rails, rail_count) && found++ < NAMED_LARGEST)
            text_print(&text, "%s%s", found > 1 ? " " : "", build->unknown_parts[i]->ref);
    if (found > NAMED_LARGEST)
        text_print(&text, " and %zu more", found - NAMED_LARGEST);
    if (found > 0)
        list = arena_copy(build->arena, text_bytes(&text));
    text_free(&text);
    return list;
}
