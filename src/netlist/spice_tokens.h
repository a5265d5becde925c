/* The words of a SPICE card: nodes and values in order, and name=value settings. */
#ifndef PREARC_NETLIST_SPICE_TOKENS_H
#define PREARC_NETLIST_SPICE_TOKENS_H

#include <stdbool.h>
#include <stddef.h>

struct arena;
struct spice_line;

struct spice_token {
    const char *name; /* of name=value; NULL for a word that stands alone */
    const char *text; /* the word or the value, without "..." around it */
    size_t offset;    /* bytes into the line, of its first character */
    size_t value;     /* of the value's first character; == offset for a word */
    size_t end;       /* after its last character */
    bool quoted;      /* was "..." */
};

struct spice_tokens {
    struct spice_token *items;
    size_t count, capacity;
    bool unclosed;      /* a bracket or quote is never closed */
    size_t unclosed_at; /* bytes into the line */
};

/* Splits bytes FROM to TO of LINE at blanks and commas; (...), {...}, [...], '...' and "..." stay
 * whole; blanks around '=' are allowed; a comma inside a setting's value belongs to it. */
struct spice_tokens spice_tokenise(struct arena *arena, const struct spice_line *line, size_t from,
                                   size_t to);

/* The word that starts at byte FROM, up to a blank: commas inside stay ("2,2k"). */
const char *spice_word(struct arena *arena, const struct spice_line *line, size_t from);

#endif
