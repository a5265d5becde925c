/* The parts of a deck that are left out: .control ... .endc and the like. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "base/diag.h"
#include "netlist/spice_deck.h"

struct block {
    const char *from, *until;
    bool tell; /* parts may stand inside: say so */
};

static const struct block blocks[] = {
    {".control", ".endc", false},  {".data", ".enddata", false}, {".if", ".endif", true},
    {".prot", ".unprot", true},    {".protect", ".unprotect", true},
    {".alter", ".end", true},
};

static bool is_card(const struct spice_line *line, const char *name)
{
    size_t length = strlen(name);

    return strncasecmp(line->text, name, length) == 0 &&
           !isalnum((unsigned char)line->text[length]);
}

bool spice_skip_starts(struct spice_deck *deck, const struct spice_line *line, const char *name)
{
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++) {
        size_t length = strlen(blocks[i].from);

        if (strncasecmp(name, blocks[i].from, length) != 0 || isalnum((unsigned char)name[length]))
            continue;
        deck->skip = (struct spice_skip){.from = blocks[i].from, .until = blocks[i].until,
                                         .line = line, .depth = 1};
        if (blocks[i].tell)
            diag_input(deck->diags, LEVEL_WARNING, spice_place(line, 0), line->text,
                       "lines that always hold",
                       "what stands between %s and %s is not read and not checked",
                       blocks[i].from, blocks[i].until);
        return true;
    }
    return false;
}

bool spice_skips(struct spice_deck *deck, const struct spice_line *line)
{
    struct spice_skip *skip = &deck->skip;

    if (skip->until == NULL)
        return false;
    if (is_card(line, skip->until)) {
        if (skip->depth > 0)
            skip->depth--;
        if (skip->depth == 0)
            skip->until = NULL;
    } else if (strcmp(skip->from, ".if") == 0 && is_card(line, skip->from)) {
        skip->depth++; /* the only one that nests */
    }
    return true;
}

void spice_skip_ends_with_deck(struct spice_deck *deck)
{
    if (deck->skip.until == NULL || strcmp(deck->skip.until, ".end") == 0)
        return;
    diag_input(deck->diags, LEVEL_ERROR, spice_place(deck->skip.line, 0), deck->skip.line->text,
               deck->skip.until, "%s has no %s: all after it is left out", deck->skip.from,
               deck->skip.until);
}
