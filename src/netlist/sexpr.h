/* Nested lists as text, `(word atom "string" (...))`, read token by token: nothing here recurses. */
#ifndef PREARC_NETLIST_SEXPR_H
#define PREARC_NETLIST_SEXPR_H

#include <stdbool.h>
#include <stddef.h>

#include "base/source.h"
#include "base/text.h"

struct arena;
struct diags;

/* Lists inside lists; bytes of one atom or string; lists and atoms of one file. */
enum { SEXPR_DEEPEST = 256, SEXPR_TEXT_LONGEST = 64 * 1024, SEXPR_TOKENS_MOST = 50 * 1000 * 1000 };

/* How a string says what cannot stand in it. */
enum sexpr_strings {
    SEXPR_BACKSLASH, /* backslash and a letter; a quote may be doubled */
    SEXPR_PERCENT    /* %34%; line ends in a string are layout */
};

enum sexpr_event { SEXPR_OPEN, SEXPR_ATOM, SEXPR_CLOSE, SEXPR_END };

struct sexpr {
    const struct source *source;
    struct diags *diags;
    enum sexpr_strings strings;
    size_t at;             /* bytes */
    size_t counted;        /* bytes for which line and column are known */
    unsigned line, column; /* of byte COUNTED */
    size_t depth, tokens;
    bool stopped;          /* a limit was met: END follows */
    struct place open[SEXPR_DEEPEST]; /* of the lists that are open */
    struct text buffer;
    /* What was read last. */
    const char *text; /* OPEN: the word after the parenthesis, "" if there is none; ATOM: as it means.
                       * Not NUL-terminated, gone at the next call. */
    size_t length;    /* bytes */
    bool quoted;
    struct place place;
};

/* Starts at the beginning of SOURCE. End with sexpr_end. */
void sexpr_start(struct sexpr *sexpr, const struct source *source, struct diags *diags,
                 enum sexpr_strings strings);
void sexpr_end(struct sexpr *sexpr);

/* The next token. What is wrong goes to the diagnostics: a string or lists that the file ends in (the
 * lists are closed all the same), a parenthesis too many (left out), a limit (reading ends there). After
 * the outermost list is closed comes END; what follows it is not read. */
enum sexpr_event sexpr_next(struct sexpr *sexpr);

/* The line PLACE is in, for a diagnostic; NULL if there is none. Lines far into a large file are slow to
 * find: for diagnostics only. */
const char *sexpr_excerpt(struct arena *arena, struct place place);

/* True if SOURCE starts with a parenthesis and WORD, in any case of letters. */
bool sexpr_starts_with(const struct source *source, const char *word);

#endif
