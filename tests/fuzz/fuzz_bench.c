/* Feeds bytes to the reader of bench files, and what was read to a small circuit: J1, F1 and R1 in a ring. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "bench/bench.h"
#include "circuit/circuit.h"
#include "netlist/reader.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

static const char ring[] = "(export (version D) (components (comp (ref J1) (value C14)) (comp (ref F1) (value T1A)) "
                           "(comp (ref R1) (value 4k7))) (nets (net (code 1) (name ht) (node (ref J1) (pin 1)) "
                           "(node (ref F1) (pin 1))) (net (code 2) (name b) (node (ref F1) (pin 2)) (node (ref R1) "
                           "(pin 1))) (net (code 3) (name gnd) (node (ref R1) (pin 2)) (node (ref J1) (pin 2)))))";

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);
    struct read_options options = {.data_dir = "rules"};
    struct read_input input = {
        arena, &diags, source_from_bytes(arena, "ring", ring, sizeof ring - 1), &options};
    struct circuit *circuit = export_reader.read(&input);
    struct bench *bench = bench_new(arena, &diags);

    bench_read(bench, source_from_bytes(arena, "fuzz", arena_copy_span(arena, (const char *)bytes, length), length));
    bench_amend(bench, circuit);
    for (size_t i = 0; i < bench->count; i++)
        for (size_t k = 0; k < bench->items[i]->value_count; k++)
            if (*bench->items[i]->values[k].text == '\0')
                abort(); /* a value is never empty */
    bench_free(bench);
    circuit_free(circuit);
    arena_free(arena);
    return 0;
}
