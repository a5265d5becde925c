#include "rule/schematron.h"

#include "base/arena.h"
#include "base/text.h"
#include "rule/expression.h"

struct run {
    struct arena *arena;
    struct scope *scope;
    struct schematron_results *results;
    xmlDoc *document;
};

/* The nodes that one rule of a pattern judges. */
struct matched {
    xmlNode **nodes;
    size_t count;
};

static void add_result(struct run *run, const struct schematron_assertion *assertion, xmlNode *node,
                       const char *text)
{
    struct schematron_results *results = run->results;

    results->items = arena_grow(run->arena, results->items, &results->capacity, results->count,
                                sizeof *results->items);
    results->items[results->count++] =
        (struct schematron_result){.assertion = assertion, .node = node, .text = text};
}

/* Something could not be evaluated: it must not pass in silence. */
static void add_failure(struct run *run)
{
    const char *why = scope_error(run->scope);

    add_result(run, NULL, (xmlNode *)run->document, why != NULL ? why : "unknown");
}

static void set_lets(struct run *run, const struct schematron_lets *lets, xmlNode *node)
{
    for (size_t i = 0; i < lets->count; i++)
        if (!scope_set(run->scope, lets->items[i].name, lets->items[i].value, node))
            add_failure(run);
}

static void unset_lets(struct run *run, const struct schematron_lets *lets)
{
    for (size_t i = 0; i < lets->count; i++)
        scope_unset(run->scope, lets->items[i].name);
}

static const char *assertion_text(struct run *run, const struct schematron_assertion *assertion,
                                  xmlNode *node)
{
    struct text text = {0};
    const char *result;

    for (size_t i = 0; i < assertion->piece_count; i++) {
        const struct schematron_piece *piece = &assertion->pieces[i];
        const char *filled = piece->literal;

        if (piece->value != NULL && !scope_string(run->scope, piece->value, node, &filled)) {
            add_failure(run);
            filled = "?";
        }
        text_add(&text, filled);
    }
    result = schematron_collapsed(run->arena, text_bytes(&text));
    text_free(&text);
    return result;
}

static void judge(struct run *run, const struct schematron_rule *rule, xmlNode *node)
{
    set_lets(run, &rule->lets, node);
    for (size_t i = 0; i < rule->assertion_count; i++) {
        const struct schematron_assertion *assertion = &rule->assertions[i];
        bool holds;

        if (!scope_boolean(run->scope, assertion->test, node, &holds))
            add_failure(run);
        else if (holds == assertion->report)
            add_result(run, assertion, node, assertion_text(run, assertion, node));
    }
    unset_lets(run, &rule->lets);
}

/* Takes the nodes of RULE that no earlier rule of the pattern has; each is marked through its
 * _private. */
static struct matched match(struct run *run, const struct schematron_rule *rule)
{
    struct matched matched = {0};
    size_t kept = 0;

    if (!scope_nodes(run->scope, rule->context, &matched.nodes, &matched.count)) {
        add_failure(run);
        return (struct matched){0};
    }
    for (size_t i = 0; i < matched.count; i++) {
        xmlNode *node = matched.nodes[i];

        if (node->_private != NULL)
            continue;
        node->_private = run;
        matched.nodes[kept++] = node;
    }
    matched.count = kept;
    return matched;
}

static void run_pattern(struct run *run, const struct schematron_pattern *pattern)
{
    struct matched *matched = arena_array(run->arena, pattern->rule_count, sizeof *matched);

    set_lets(run, &pattern->lets, (xmlNode *)run->document);
    for (size_t i = 0; i < pattern->rule_count; i++)
        matched[i] = match(run, &pattern->rules[i]);
    for (size_t i = 0; i < pattern->rule_count; i++) {
        for (size_t j = 0; j < matched[i].count; j++) {
            matched[i].nodes[j]->_private = NULL;
            judge(run, &pattern->rules[i], matched[i].nodes[j]);
        }
    }
    unset_lets(run, &pattern->lets);
}

void schematron_run(const struct schematron *schema, xmlDoc *document, struct arena *arena,
                    struct schematron_results *results)
{
    struct run run = {
        .arena = arena,
        .scope = scope_new(arena, document),
        .results = results,
        .document = document,
    };

    for (size_t i = 0; i < schema->namespace_count; i++)
        scope_set_namespace(run.scope, schema->namespaces[i].prefix, schema->namespaces[i].uri);
    set_lets(&run, &schema->lets, (xmlNode *)document);
    for (size_t i = 0; i < schema->pattern_count; i++)
        run_pattern(&run, &schema->patterns[i]);
    scope_free(run.scope);
}
