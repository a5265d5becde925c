/* Findings from what a check reports of the facts: their objects and places. */
#ifndef PREARC_RULE_FINDING_H
#define PREARC_RULE_FINDING_H

#include <libxml/tree.h>

#include "base/diag.h"

struct arena;
struct rule;
struct schematron_result;

/* Parts and nets of a facts document by name. */
struct finding_index;

struct finding_index *finding_index_new(struct arena *arena, xmlDoc *facts);
void finding_index_free(struct finding_index *index);

/* Adds RESULT of RULE to DIAGS. Its first object is what the rule's context is about:
 *   fuse, part, jack: @ref; net: @name; rail: @name, else @id; source, fault: @id; mains: @part;
 *   conductor, through: @fuse; carrier, load, stress, assumption: @part; gap: @part, else @net;
 *   node, protects, contact, measured: @net; acceptance: @name (of a rail), else @part, else @net; rectifier: @rail.
 * After it come, while there is room, the nets and parts that the context or its children name: a
 * fault's net and carriers, the nets that a fuse protects, a rail's nodes.
 * A finding whose test, context or text makes numbers of attributes, "number(@amps)", speaks of computed
 * figures: it lists what they rest on, by the attribute rests-on of the context or of what the context is in.
 * Its place is the context's @file, @line, @column, else those of the part or net it names. */
void finding_add(struct finding_index *index, const struct rule *rule,
                 const struct schematron_result *result, struct diags *diags);

#endif
