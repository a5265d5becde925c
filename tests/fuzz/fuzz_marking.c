/* Feeds texts to the reader of fuse markings: what it reads is printed and reads as the same again. */
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/arena.h"
#include "fuselink/fuselink.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct arena *arena = arena_new();
    struct marking marking = {0}, again = {0};
    char printed[64];

    if (marking_parse(arena_copy_span(arena, (const char *)bytes, length), &marking) && marking.rated) {
        if (!isfinite(marking.amps) || marking.amps <= 0)
            abort();
        marking_print(&marking, printed, sizeof printed);
        if (!marking_parse(printed, &again) || !again.rated ||
            fabs(again.amps - marking.amps) > 0.01 * marking.amps)
            abort();
    }
    arena_free(arena);
    return 0;
}
