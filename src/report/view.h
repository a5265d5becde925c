/* Reading the facts document. An absent attribute means: not known. */
#ifndef PREARC_REPORT_VIEW_H
#define PREARC_REPORT_VIEW_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>

#include "base/quantity.h"

struct arena;
struct map;

/* The first child ELEMENT of PARENT (which may be NULL), and the next of the same name after NODE;
 * NULL: none. */
const xmlNode *view_first(const xmlNode *parent, const char *element);
const xmlNode *view_following(const xmlNode *node);
size_t view_count(const xmlNode *parent, const char *element);
/* The children ELEMENT of PARENT by their attribute KEY, whose texts are in ARENA; the first of several of the same. The caller
 * frees the map. */
struct map *view_map(struct arena *arena, const xmlNode *parent, const char *element, const char *key);

/* Fuses in a current path and those in none. */
size_t view_fuse_count(const xmlNode *facts);
/* Whether PART is a fuse that no current path goes through: it has no fuse element. FUSES are those that have one,
 * by reference. */
bool view_is_lost_fuse(const xmlNode *part, const struct map *fuses);

/* Attribute NAME of NODE, copied into ARENA; NULL if absent or empty. */
const char *view_text(struct arena *arena, const xmlNode *node, const char *name);
bool view_is(const xmlNode *node, const char *name, const char *value);
/* False, *VALUE unchanged, if absent or not a finite number. */
bool view_number(const xmlNode *node, const char *name, double *value);
/* The number with its unit ("315 mA"); "?" if not known. */
const char *view_quantity(struct arena *arena, const xmlNode *node, const char *name,
                          enum unit unit);

#endif
