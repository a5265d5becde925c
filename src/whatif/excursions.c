#include "whatif/excursions.h"

#include "base/arena.h"
#include "base/crew.h"
#include "whatif/full_signal.h"
#include "whatif/switch_on.h"

struct search {
    const struct network *network;
    const struct trace *trace;
    const struct solution *healthy;
    const struct whatif *whatif;
    struct arena *arenas[2];
    struct excursions found;
};

static void find(void *context, size_t index)
{
    struct search *search = context;
    struct arena *arena = search->arenas[index] = arena_new();

    if (index == 0)
        search->found.full = full_signal_find(arena, search->network, search->trace, search->healthy);
    else
        search->found.switch_on =
            switch_on_run(arena, search->network, search->trace, search->healthy, search->whatif);
}

struct excursions excursions_find(struct arena *arena, const struct network *network, const struct trace *trace,
                                  const struct solution *healthy, const struct whatif *whatif)
{
    struct search search = {.network = network, .trace = trace, .healthy = healthy, .whatif = whatif};

    crew_run(2, find, &search);
    for (size_t i = 0; i < 2; i++)
        arena_join(arena, search.arenas[i]);
    return search.found;
}
