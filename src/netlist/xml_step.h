/* The plainest XPath expressions, walked without an XPath machine: most of a dialect's are of this
 * sort and are evaluated for every part and pin. */
#ifndef PREARC_NETLIST_XML_STEP_H
#define PREARC_NETLIST_XML_STEP_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>

struct arena;
struct xml_steps;

/* EXPRESSION as steps: "/", or any number of "..", or ".", then child elements with an optional
 * [@name='text'] each, then at most one attribute; no prefixes. NULL if it is of another sort. */
struct xml_steps *xml_steps_parse(struct arena *arena, const char *expression);

/* Calls VISIT for each node that STEPS leads to from NODE, in document order, until it returns
 * false. *LEFT goes down by one for each node looked at; the walk ends when it reaches 0. */
void xml_steps_walk(const struct xml_steps *steps, const xmlNode *node, unsigned long *left,
                    bool (*visit)(void *context, const xmlNode *node), void *context);

#endif
