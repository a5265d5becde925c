/* Text from a netlist made harmless inside HTML and SVG. */
#ifndef PREARC_STUDY_MARKUP_H
#define PREARC_STUDY_MARKUP_H

#include <stddef.h>

struct text;

/* TEXT with markup characters as entities; control codes, direction marks and stray bytes are spelt out. Good in an element and
 * in an attribute between double quotes. */
void markup_add(struct text *out, const char *text);
/* The same cut to at most COLUMNS columns, with an ellipsis if cut. */
void markup_add_short(struct text *out, const char *text, size_t columns);

#endif
