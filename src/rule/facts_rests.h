/* Which assumptions a figure of the facts rests on. */
#ifndef PREARC_RULE_FACTS_RESTS_H
#define PREARC_RULE_FACTS_RESTS_H

#include <libxml/tree.h>

struct facts_build;
struct fault;
struct rail;
struct rectifier;
struct trace_source;

/* Finds, once the assumptions are gathered, how far each reaches: how much it moves the volts of nodes and
 * the currents of branches where that can be measured (whatif/influence.h), else the islands that its part
 * lies in. */
struct facts_rests *facts_rests_new(const struct facts_build *build);
void facts_rests_free(struct facts_rests *rests);

/* What an element's figures are computed from, noted before facts_rests_write puts the ids of the
 * assumptions they rest on, largest influence first, into its attribute rests-on, and forgets them. */
void facts_rests_node(const struct facts_build *build, size_t node);     /* volts of a node */
void facts_rests_branch(const struct facts_build *build, size_t branch); /* current of a branch */
/* What is assumed as WHAT of PART (a ref; NULL: of any). */
void facts_rests_named(const struct facts_build *build, const char *part, const char *what);
void facts_rests_part(const struct facts_build *build, const char *part); /* whatever is assumed of it */
void facts_rests_source(const struct facts_build *build, const struct trace_source *source); /* as rated */
void facts_rests_rectifier(const struct facts_build *build, const struct rectifier *rectifier);
void facts_rests_rail(const struct facts_build *build, const struct rail *rail);
/* Nothing is measured while the circuit is switched on: whatever hangs together with BRANCH. */
void facts_rests_surroundings(const struct facts_build *build, size_t branch);
/* Nothing is measured in a fault: whatever hangs together with the shorted nodes, what limits the fault
 * first, then what moves the volts of the node most while it is sound. */
void facts_rests_fault(const struct facts_build *build, const struct fault *fault);
void facts_rests_write(const struct facts_build *build, xmlNode *node);

#endif
