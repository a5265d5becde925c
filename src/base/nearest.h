/* The name that somebody who mistyped one most likely meant. */
#ifndef PREARC_BASE_NEAREST_H
#define PREARC_BASE_NEAREST_H

#include <stddef.h>

struct nearest {
    const char *word;
    size_t length;    /* bytes of word that count */
    const char *name; /* the nearest offered so far, NULL before the first */
    size_t distance;  /* single-letter changes from word to name, ignoring case */
};

/* WORD's first LENGTH bytes, of which at most 64 are looked at; it must outlive the struct. */
struct nearest nearest_start(const char *word, size_t length);
/* Keeps NAME if it is nearer than the one kept; it must outlive the struct. */
void nearest_offer(struct nearest *nearest, const char *name);

#endif
