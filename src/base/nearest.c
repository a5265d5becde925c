#include "base/nearest.h"

#include <ctype.h>
#include <string.h>

enum { LONGEST = 64 };

struct nearest nearest_start(const char *word, size_t length)
{
    return (struct nearest){.word = word, .length = length < LONGEST ? length : LONGEST};
}

static size_t least(size_t a, size_t b, size_t c)
{
    size_t smaller = a < b ? a : b;

    return smaller < c ? smaller : c;
}

/* Levenshtein's distance (Soviet Physics Doklady 10, 1966), a row at a time. */
static size_t distance(const char *a, size_t a_length, const char *b, size_t b_length)
{
    size_t row[LONGEST + 1];

    for (size_t k = 0; k <= b_length; k++)
        row[k] = k;
    for (size_t i = 0; i < a_length; i++) {
        size_t diagonal = row[0];

        row[0] = i + 1;
        for (size_t k = 0; k < b_length; k++) {
            size_t changed = tolower((unsigned char)a[i]) != tolower((unsigned char)b[k]);
            size_t above = row[k + 1];

            row[k + 1] = least(above + 1, row[k] + 1, diagonal + changed);
            diagonal = above;
        }
    }
    return row[b_length];
}

void nearest_offer(struct nearest *nearest, const char *name)
{
    size_t length = strlen(name);
    size_t found = distance(nearest->word, nearest->length, name,
                            length < LONGEST ? length : LONGEST);

    if (nearest->name == NULL || found < nearest->distance) {
        nearest->name = name;
        nearest->distance = found;
    }
}
