/* Writes a netlist, read by prearc's own readers, in another format, with the quirks of the programs that write it.
 * Usage: write FORMAT FILE [RULES] >OUT; an unknown FORMAT, such as "none", only reads. */
#include "config.h"

#include <stdio.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "circuit/circuit.h"
#include "formats/formats.h"
#include "netlist/reader.h"

int main(int argc, char **argv)
{
    struct arena *arena = arena_new();
    struct diags diags = diags_start(arena);
    struct read_options options = {.data_dir = argc == 4 ? argv[3] : "rules"};
    const struct source *source = argc >= 3 ? source_read(arena, &diags, argv[2]) : NULL;
    struct read_input input = {arena, &diags, source, &options};
    struct circuit *circuit = source != NULL ? netlist_read(&input) : NULL;

    for (size_t i = 0; i < diags.count; i++)
        fprintf(stderr, "%u:%u: %s\n", diags.items[i].place.line, diags.items[i].place.column,
                diags.items[i].message);
    if (circuit == NULL) {
        fprintf(stderr, "usage: write FORMAT FILE [RULES]\n");
        return 2;
    }
    format_write(stdout, argv[1], circuit);
    fprintf(stderr, "%zu parts, %zu nets\n", circuit->part_count, circuit->net_count);
    circuit_free(circuit);
    arena_free(arena);
    return 0;
}
