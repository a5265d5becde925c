/* ISO Schematron (ISO/IEC 19757-3), the part of it that checks use: schema, title, ns, let,
 * pattern, rule, assert, report, value-of, name, emph, span, p. Query language: XPath 1.0. */
#ifndef PREARC_RULE_SCHEMATRON_H
#define PREARC_RULE_SCHEMATRON_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>

#include "base/diag.h"
#include "base/source.h"

struct arena;
struct expression;

#define SCHEMATRON_NAMESPACE "http://purl.oclc.org/dsdl/schematron"

/* A let: a variable. */
struct schematron_let {
    const char *name;
    struct expression *value;
};

struct schematron_lets {
    struct schematron_let *items;
    size_t count, capacity;
};

/* A piece of an assertion's text: literal, or the string value of an expression. */
struct schematron_piece {
    const char *literal;
    struct expression *value; /* NULL: the literal */
};

struct schematron_assertion {
    bool report;             /* report: found when TEST is true; assert: when it is false */
    struct expression *test;
    enum level level;        /* from @role */
    bool numeric;            /* its test, context or text asks for a number of the facts */
    struct schematron_piece *pieces;
    size_t piece_count, piece_capacity;
    struct place place;
};

struct schematron_rule {
    struct expression *context;
    struct schematron_lets lets;
    struct schematron_assertion *assertions;
    size_t assertion_count, assertion_capacity;
};

struct schematron_pattern {
    struct schematron_lets lets;
    struct schematron_rule *rules;
    size_t rule_count, rule_capacity;
};

struct schematron_namespace {
    const char *prefix, *uri;
};

struct schematron {
    const struct source *source;
    const char *title;            /* NULL if it has none, as the next three */
    const char *why, *fix, *cited; /* its paragraphs of class why, fix and source */
    struct schematron_namespace *namespaces;
    size_t namespace_count, namespace_capacity;
    struct schematron_lets lets;
    struct schematron_pattern *patterns;
    size_t pattern_count, pattern_capacity;
    struct expression **expressions; /* all of them, to be freed */
    size_t expression_count, expression_capacity;
};

/* Reads a schema. What cannot be used is named in DIAGS and left out; NULL if it is not XML or
 * no schema at all. */
struct schematron *schematron_load(struct arena *arena, struct diags *diags,
                                   const struct source *source);
void schematron_free(struct schematron *schema);

/* TEXT with every run of blanks made one and none at the ends, in ARENA. */
const char *schematron_collapsed(struct arena *arena, const char *text);

/* One assertion that did not hold, or a report that did. */
struct schematron_result {
    const struct schematron_assertion *assertion; /* NULL: something could not be evaluated, TEXT
                                                   * says what */
    xmlNode *node;    /* the rule's context; for failures the document */
    const char *text; /* the assertion's text, expressions filled in, blanks collapsed */
};

struct schematron_results {
    struct schematron_result *items;
    size_t count, capacity;
};

/* Runs SCHEMA over DOCUMENT: in each pattern a node is judged by the first rule whose context it
 * matches. Uses and clears the _private of the nodes it matches. Strings live in ARENA. */
void schematron_run(const struct schematron *schema, xmlDoc *document, struct arena *arena,
                    struct schematron_results *results);

#endif
