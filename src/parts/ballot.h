/* The votes of what is known of a part, for the kinds it may be of. */
#ifndef PREARC_PARTS_BALLOT_H
#define PREARC_PARTS_BALLOT_H

#include "parts/recogniser.h"

enum { BALLOTS_LARGEST = 16, WEIGHT_KIND_FIELD = 1000, TYPE_SOURCES = 3 };

#define KIND_BIT(kind) ((uint64_t)1 << (kind))

/* One witness's vote, for any of KINDS; FIRST is the kind it names by itself, or PART_UNKNOWN. */
struct ballot {
    uint64_t kinds;
    enum part_kind first;
    int weight;
    const char *place, *text;
};

struct count {
    const struct recogniser *recogniser;
    const struct part *part;
    struct ballot ballots[BALLOTS_LARGEST];
    size_t ballot_count;
    const struct type *types[TYPE_SOURCES]; /* by field, value, symbol */
    const char *type_texts[TYPE_SOURCES];
    const char *type_word; /* a type number the library has no figures of */
};

/* Asks every witness of the part COUNT is for; INFO gets a doubt where a field cannot be read. */
void ballots_collect(struct count *count, struct part_info *info);

/* True if SPECIAL is one of GENERAL: a zener is a diode. */
bool kind_is_general(enum part_kind general, enum part_kind special);

#endif
