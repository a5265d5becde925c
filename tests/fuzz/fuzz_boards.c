/* Feeds bytes to what joins several netlists: a chassis deck, a line "----", then a board in any format. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/source.h"
#include "circuit/circuit.h"
#include "netlist/boards.h"
#include "netlist/reader.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

enum { FILES = 2 };

static const char border[] = "\n----\n";

/* Where the second file begins, and the first one's LENGTH: the whole, twice, if there is no border. */
static size_t split(const char *text, size_t length, size_t *first)
{
    const char *at = strstr(text, border);

    *first = at != NULL ? (size_t)(at - text) : length;
    return at != NULL ? *first + sizeof border - 1 : 0;
}

/* Every pin of CIRCUIT is on the net that lists it. */
static void check(const struct circuit *circuit)
{
    for (size_t i = 0; circuit != NULL && i < circuit->net_count; i++)
        for (size_t k = 0; k < circuit->nets[i]->pin_count; k++)
            if (circuit->nets[i]->pins[k]->net != circuit->nets[i])
                abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct arena *arena = arena_new();
    const char *rules = getenv("PREARC_DATA_DIR"), *text = arena_copy_span(arena, (const char *)bytes, length);
    struct read_options options = {.data_dir = rules != NULL ? rules : "rules"};
    struct diags diags[FILES] = {diags_start(arena), diags_start(arena)};
    struct board items[FILES] = {{0}, {0}};
    struct boards boards = {.arena = arena, .items = items, .count = FILES};
    size_t first, second = split(text, length, &first);
    const struct source *sources[FILES] = {source_from_bytes(arena, "chassis.cir", text, first),
                                           source_from_bytes(arena, "board.net", text + second, length - second)};
    struct circuit *joined = NULL;

    for (size_t i = 0; i < FILES; i++) {
        struct read_input input = {arena, &diags[i], sources[i], &options};

        items[i] = (struct board){.circuit = netlist_read(&input), .source = sources[i], .diags = &diags[i]};
    }
    boards_find(&boards);
    if (items[1].group == 0 && items[0].circuit != NULL && items[1].circuit != NULL) {
        joined = boards_join(arena, &boards, 0);
        check(joined);
    }
    circuit_free(joined);
    for (size_t i = 0; i < FILES; i++)
        circuit_free(items[i].circuit);
    arena_free(arena);
    return 0;
}
