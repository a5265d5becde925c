/* Feeds bytes to one netlist reader, which the build names: READER, such as edif_reader. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);
    const char *rules = getenv("PREARC_DATA_DIR");
    struct read_options options = {.data_dir = rules != NULL ? rules : "rules"};
    const struct source *source =
        source_from_bytes(arena, "fuzz", arena_copy_span(arena, (const char *)bytes, length), length);
    struct read_input input = {arena, &diags, source, &options};
    struct circuit *circuit = READER.read(&input);

    if ((circuit == NULL || circuit->net_count == 0) && diag_count_input(&diags, LEVEL_NOTE) == 0)
        abort(); /* nothing read and nothing said */
    for (size_t i = 0; circuit != NULL && i < circuit->net_count; i++)
        for (size_t k = 0; k < circuit->nets[i]->pin_count; k++)
            if (circuit->nets[i]->pins[k]->net != circuit->nets[i])
                abort();
    READER.detect(source);
    circuit_free(circuit);
    arena_free(arena);
    return 0;
}
