/* What parts are asked to stand: elements `stress` of the facts. */
#ifndef PREARC_RULE_FACTS_STRESS_H
#define PREARC_RULE_FACTS_STRESS_H

#include <stddef.h>

#include <libxml/tree.h>

struct facts_build;
struct fault_view;
struct normal_use;

/* Children of a fault's element. */
void facts_add_stresses(const struct facts_build *build, xmlNode *parent, const struct fault_view *view);

/* What gives way before VIEW's fault is cleared, and how soon: "T1.HT within 12 s, R4 within 3 s"; NULL:
 * nothing is known to, or it is not known when the fault is cleared. Notes what that rests on. */
const char *facts_cooked(const struct facts_build *build, const struct fault_view *view);

/* Idle, full signal and high mains; solves the last. NULL: the sound circuit was not solved. */
struct normal_use *facts_normal_use(const struct facts_build *build);

/* Children of a part's element: what BRANCH of it is asked to stand in normal use. */
void facts_add_use(const struct facts_build *build, xmlNode *parent, const struct normal_use *use,
                   size_t branch);

#endif
