/* Names one after another, "a, b, c and 9 more": a long list stays readable. */
#ifndef PREARC_REPORT_LISTING_H
#define PREARC_REPORT_LISTING_H

#include <stddef.h>

#include "base/text.h"

struct arena;

enum { LISTING_LONGEST = 12 };

/* Start from `struct listing list = {0};`, end with listing_end. */
struct listing {
    struct text text;
    size_t count;     /* names added, those not shown too */
    const char *join; /* between two names; NULL: ", " */
};

void listing_add(struct listing *list, const char *name);

/* The list as a string in ARENA, NULL if nothing was added; LIST is empty again. */
const char *listing_end(struct listing *list, struct arena *arena);

/* What the word for COUNT things ends in: "" or "s". */
const char *listing_plural(size_t count);

#endif
