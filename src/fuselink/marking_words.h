/* The words, letters and sizes that a fuse's marking is made of. */
#ifndef PREARC_FUSELINK_MARKING_WORDS_H
#define PREARC_FUSELINK_MARKING_WORDS_H

#include "fuselink/fuselink.h"

enum word_meaning {
    WORD_SPEED, WORD_BREAKING, WORD_SIZE,
    WORD_LABEL, /* "Fuse": says that it is one, and no more */
    WORD_PLAIN  /* "glass", "mm": says nothing that counts here */
};

struct marking_word {
    const char *text; /* a dash stands for any run of blanks, dashes and underscores, or none */
    enum word_meaning meaning;
    enum fuse_speed speed;
    enum fuse_breaking breaking;
    const char *size;
    bool american;
};

/* The word at *CURSOR in any case, the longest, if it ends there; moves past it. NULL if there is
 * none. */
const struct marking_word *marking_word_scan(const char **cursor);

/* Letters of speed and breaking capacity run together ("T", "FF", "TL", "H"), up to one of each,
 * at *CURSOR; they end before a digit, a mark, a blank or the end. False, nothing changed, if
 * there are none. */
bool marking_letters_scan(const char **cursor, enum fuse_speed *speed,
                          enum fuse_breaking *breaking);

/* "F", "FF", "M", "T", "TT" before an amount ("T315", "T 3.15A"); moves to the amount. */
bool marking_speed_scan(const char **cursor, enum fuse_speed *speed);

/* "5x20", "6,3 x 32 mm" and the like; *SIZE is NULL where the two figures are some other size. */
bool marking_size_scan(const char **cursor, const char **size);

#endif
