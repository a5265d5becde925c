/* A circuit as a SPICE deck: what a deck said comes back as it was. */
#ifndef PREARC_TESTS_FORMATS_DECK_WRITER_H
#define PREARC_TESTS_FORMATS_DECK_WRITER_H

#include <stdio.h>

struct circuit;

void format_write_deck(FILE *out, const struct circuit *circuit);

#endif
