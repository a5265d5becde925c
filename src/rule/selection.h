/* Which checks run: --only and --skip. */
#ifndef PREARC_RULE_SELECTION_H
#define PREARC_RULE_SELECTION_H

#include <stddef.h>

#include <libxml/tree.h>

struct arena;
struct rules;

/* Marks the rules that do not run: those not among ONLY (if it has any) and those among SKIP. Why that
 * cannot be, or NULL. */
const char *rules_select(struct arena *arena, struct rules *rules, const char *const *only,
                         size_t only_count, const char *const *skip, size_t skip_count);

/* Elements skipped at the end of FACTS. */
void rules_tell_skipped(const struct rules *rules, xmlDoc *facts);

/* The id of RULES nearest to WORD. */
const char *rules_nearest(const struct rules *rules, const char *word);

#endif
