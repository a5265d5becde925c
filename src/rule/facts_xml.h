/* Elements and attributes of the facts document. */
#ifndef PREARC_RULE_FACTS_XML_H
#define PREARC_RULE_FACTS_XML_H

#include <stdbool.h>

#include <libxml/tree.h>

#include "base/source.h"

/* A new last child. */
xmlNode *fact_element(xmlNode *parent, const char *name);

/* Attributes. Text that is NULL and numbers that are not finite are left out: an absent
 * attribute is not known. */
void fact_text(xmlNode *node, const char *name, const char *text); /* what XML cannot hold:
                                                                    * U+FFFD */
void fact_number(xmlNode *node, const char *name, double number);  /* "%.6g" */
double fact_read_number(xmlNode *node, const char *name);          /* NAN if absent */
void fact_count(xmlNode *node, const char *name, unsigned long long count);
void fact_flag(xmlNode *node, const char *name, bool flag);        /* "yes", "no" */
void fact_place(xmlNode *node, const struct place *place);         /* file, line, column */

#endif
