/* Feeds texts to the readers of values: every quantity is a number, and one that is read whole is printed readably. */
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/quantity.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    enum { LIMIT = 8 };
    struct arena *arena = arena_new();
    struct quantity found[LIMIT], one;
    const char *text = arena_copy_span(arena, (const char *)bytes, length);
    char printed[64];

    for (int dialect = QUANTITY_SCHEMATIC; dialect <= QUANTITY_SPICE; dialect++) {
        size_t count = quantity_scan(text, (enum quantity_dialect)dialect, UNIT_OHM, found, LIMIT);

        if (count > LIMIT)
            abort();
        for (size_t i = 0; i < count; i++)
            if (!isfinite(found[i].value))
                abort();
        if (quantity_parse(text, (enum quantity_dialect)dialect, UNIT_FARAD, &one)) {
            if (!isfinite(one.value))
                abort();
            quantity_print(printed, sizeof printed, one.value, one.unit);
        }
    }
    arena_free(arena);
    return 0;
}
