/* The checks: ISO Schematron files run over the facts document. */
#ifndef PREARC_RULE_RULES_H
#define PREARC_RULE_RULES_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>

#include "base/diag.h"

struct arena;

/* A check's head, for `explain` and reports. */
struct rule {
    const char *id;     /* file name without .sch */
    const char *file;
    const char *title, *why, *fix, *source;
    enum level level;   /* the highest its assertions can give */
    bool skipped;       /* it does not run: see selection.h */
    struct schematron *schema;
};

struct rules {
    struct rule *items; /* sorted by id */
    size_t count;
};

/* Loads the .sch files of each of the COUNT directories; a later one replaces an earlier check
 * of the same id. Errors in a file go to DIAGS with line and column, and the rest is loaded. */
struct rules *rules_load(struct arena *arena, struct diags *diags, const char *const *directories,
                         size_t count);
void rules_free(struct rules *rules);

/* NULL if there is none. */
const struct rule *rules_find(const struct rules *rules, const char *id);

/* Runs every check that is not skipped over FACTS; findings go to DIAGS, their objects and places taken from the
 * facts. */
void rules_run(const struct rules *rules, xmlDoc *facts, struct arena *arena, struct diags *diags);

#endif
