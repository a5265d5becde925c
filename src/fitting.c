#include "fitting.h"

#include <stdbool.h>
#include <strings.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "fuselink/fuselink.h"
#include "parts/parts.h"
#include "whatif/whatif.h"

static const char *marking_of(const struct part_info *info, const struct fitted *fitted,
                              size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcasecmp(fitted[i].ref, info->part->ref) == 0)
            return fitted[i].marking;
    return info->marking;
}

static void set_resistance(struct arena *arena, struct part_info *info, const char *text)
{
    struct marking marking = {0};
    bool known = text != NULL && marking_parse(text, &marking) && marking.rated;
    double ohms = marking_cold_ohms(&marking);

    if (known)
        part_set_figure(arena, info, FIGURE_OHMS, ohms, ohms / 2, ohms * 2, FIGURE_FROM_LIBRARY,
                        "typical cold resistance of the marking; makers differ by about two");
    else
        part_set_figure(arena, info, FIGURE_OHMS, ohms, 0, 10 * ohms, FIGURE_ASSUMED,
                        "the rating is not known");
}

void fitting_resistances(struct arena *arena, struct parts *parts, const struct fitted *fitted,
                         size_t count)
{
    for (size_t i = 0; i < parts->count; i++) {
        struct part_info *info = &parts->items[i];

        if (info->kind == PART_FUSE && part_figure(info, FIGURE_OHMS) == NULL)
            set_resistance(arena, info, marking_of(info, fitted, count));
    }
}
