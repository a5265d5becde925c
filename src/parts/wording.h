/* Words in the free texts of a netlist: values, symbol names, references. */
#ifndef PREARC_PARTS_WORDING_H
#define PREARC_PARTS_WORDING_H

#include <stdbool.h>
#include <stddef.h>

#include "parts/library.h"

/* More of a text than this is not looked at. */
enum { WORDING_LARGEST = 256 };

/* A text made ready for matching: upper case, decoration dropped. */
struct wording {
    char text[WORDING_LARGEST];
    size_t length;
    bool begins[256]; /* by byte: the text or one of its words begins so */
};

/* TEXT may be NULL. For symbols ("F_Small-amp-rescue", "fuse-2.sym") use wording_symbol(). */
/* The character at TEXT without accent and in upper case into *OUT, at most 4 bytes (as many as were read, or fewer);
 * returns how many bytes were read and *LENGTH written. Latin; Cyrillic, which becomes Latin; others stay as they are. */
size_t wording_fold(const char *text, char *out, size_t *length);
/* All of TEXT so, in place. */
char *wording_fold_all(char *text);

void wording_start(struct wording *wording, const char *text);
void wording_symbol(struct wording *wording, const char *text);

/* True if PATTERN (upper case; '#' a digit, '?' any one character, '*' any run) is the LENGTH bytes
 * at TEXT. */
bool pattern_matches(const char *pattern, const char *text, size_t length);

/* True if PATTERN fits the whole text or, unless it begins with '=', one of its words. *WORD,
 * *LENGTH: which. */
bool wording_has(const struct wording *wording, const char *pattern, const char **word,
                 size_t *length);

/* The heaviest word of PLACE that is in the text, the first of equals; NULL if none is. */
const struct word *wording_best(const struct library *library, enum word_place place,
                                const struct wording *wording, const char **word, size_t *length);

/* The first word of PLACE, in the library's order, that is in the text; NULL if none is. */
const struct word *wording_first(const struct library *library, enum word_place place,
                                 const struct wording *wording);

/* The first type number in the text; *WORD, *LENGTH: as it stands there. NULL if there is none. */
const struct type *wording_type(const struct library *library, const struct wording *wording,
                                const char **word, size_t *length);

#endif
