/* The facts document: one XML document, the only thing rules and reports see. */
#ifndef PREARC_RULE_FACTS_H
#define PREARC_RULE_FACTS_H

#include <libxml/tree.h>

struct bench;
struct circuit;
struct full_signal;
struct network;
struct parts;
struct solution;
struct switch_on;
struct trace;
struct whatif;

/* Version of the document's form: an interface. */
#define FACTS_VERSION "1"

struct findings_of_stages {
    const struct circuit *circuit;
    const struct parts *parts;
    const struct network *network;
    const struct trace *trace;
    const struct solution *healthy; /* steady state of the sound circuit */
    const struct whatif *whatif;
    const struct bench *bench;      /* NULL: nothing is known from the bench */
    const struct full_signal *full; /* NULL: not looked for */
    const struct switch_on *switch_on; /* NULL: not computed */
};

/* The caller frees it with xmlFreeDoc. Elements carry @line and @file of their place in the
 * input where they have one. */
xmlDoc *facts_build(const struct findings_of_stages *stages);

#endif
