/* Feeds bytes to the reader of dialect files: a dialect, or at least one diagnostic. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "netlist/xml_dialect.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);
    const char *copy = arena_copy_span(arena, (const char *)bytes, length);
    struct xml_dialect *dialect =
        xml_dialect_load(arena, &diags, source_from_bytes(arena, "fuzz", copy, length));

    if (dialect == NULL && diag_count_input(&diags, LEVEL_NOTE) == 0)
        abort();
    xml_dialect_free(dialect);
    arena_free(arena);
    return 0;
}
