/* XPath 1.0 expressions: the only place that knows libxml2's XPath. */
#ifndef PREARC_RULE_EXPRESSION_H
#define PREARC_RULE_EXPRESSION_H

#include <stdbool.h>
#include <stddef.h>

#include <libxml/tree.h>

struct arena;

/* A compiled expression. */
struct expression;

/* What expressions are evaluated in: a document, namespaces, variables. */
struct scope;

/* Compiles TEXT. NULL if it is not XPath 1.0; *ERROR then gets why, in the arena of SCOPE, which may be freed
 * before. Free with expression_free. */
struct expression *expression_compile(struct scope *scope, const char *text, const char **error);

/* Compiles TEXT as a rule's context: a pattern whose alternatives ("a | b/c") are looked for
 * anywhere in the document. Evaluates once to every node that matches. */
struct expression *expression_compile_context(struct scope *scope, const char *text,
                                              const char **error);
void expression_free(struct expression *expression);

struct scope *scope_new(struct arena *arena, xmlDoc *document);
void scope_free(struct scope *scope);
void scope_set_namespace(struct scope *scope, const char *prefix, const char *uri);

/* Sets variable NAME to the value of EXPRESSION at NODE; false if that fails. */
bool scope_set(struct scope *scope, const char *name, const struct expression *expression,
               xmlNode *node);
void scope_unset(struct scope *scope, const char *name);

/* The last failure in words, in the scope's arena; NULL if there was none since the last call. */
const char *scope_error(struct scope *scope);

/* Evaluations at NODE (the document itself: (xmlNode *)document). False on failure, *OUT
 * unchanged. Strings and arrays live in the scope's arena. */
bool scope_boolean(struct scope *scope, const struct expression *expression, xmlNode *node,
                   bool *out);
bool scope_string(struct scope *scope, const struct expression *expression, xmlNode *node,
                  const char **out);
bool scope_nodes(struct scope *scope, const struct expression *expression, xmlNode **out[],
                 size_t *count);

#endif
