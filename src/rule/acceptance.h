/* Findings that somebody accepted at the bench: told in the facts, marked in the findings. */
#ifndef PREARC_RULE_ACCEPTANCE_H
#define PREARC_RULE_ACCEPTANCE_H

#include <stdbool.h>

#include <libxml/tree.h>

struct arena;
struct bench;
struct diags;
struct rules;

/* There is an acceptance among the statements. */
bool acceptance_wanted(const struct bench *bench);

/* Adds an element acceptance to FACTS for every such statement, whose state tells what became of it:
 *   matched, unmatched (no finding fits), expired (before TODAY, "YYYY-MM-DD"), skipped (its check does
 *   not run).
 * Runs RULES over FACTS for it. A rule that there is not is an input error. */
void acceptance_judge(struct arena *arena, struct bench *bench, const struct rules *rules,
                      xmlDoc *facts, const char *today);

/* Marks the findings in DIAGS, made from FACTS, that an acceptance is about which acceptance_judge found
 * matched. */
void acceptance_mark(const struct bench *bench, xmlDoc *facts, struct diags *diags);

#endif
