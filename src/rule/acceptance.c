#include "rule/acceptance.h"

#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "base/diag.h"
#include "bench/bench.h"
#include "rule/facts_xml.h"
#include "rule/rules.h"
#include "rule/selection.h"

static const char own_rules[] = "acceptance-";

/* The statement is an acceptance that holds so far. */
static bool is_acceptance(const struct statement *statement)
{
    return statement->word == BENCH_ACCEPT && !statement->refused;
}

bool acceptance_wanted(const struct bench *bench)
{
    for (size_t i = 0; i < bench->count; i++)
        if (is_acceptance(bench->items[i]))
            return true;
    return false;
}

static bool attribute_is(const xmlNode *node, const char *name, const char *value)
{
    xmlChar *got = xmlGetNoNsProp((xmlNode *)node, (const xmlChar *)name);
    bool same = got != NULL && strcasecmp((const char *)got, value) == 0;

    xmlFree(got);
    return same;
}

static const xmlNode *find(const xmlNode *facts, const char *element, const char *name,
                           const char *value)
{
    for (const xmlNode *at = facts->children; at != NULL; at = at->next)
        if (at->type == XML_ELEMENT_NODE && strcmp((const char *)at->name, element) == 0 &&
            attribute_is(at, name, value))
            return at;
    return NULL;
}

/* The source ID is the part REF. */
static bool is_source_of(const xmlNode *facts, const char *id, const char *ref)
{
    const xmlNode *source = find(facts, "source", "id", id);

    return source != NULL && attribute_is(source, "part", ref);
}

/* RAIL (its name, or its id) is fed by the part REF. */
static bool feeds(const xmlNode *facts, const char *rail, const char *ref)
{
    const xmlNode *node = find(facts, "rail", "name", rail);
    xmlChar *source;
    bool same;

    if (node == NULL)
        node = find(facts, "rail", "id", rail);
    source = node != NULL ? xmlGetNoNsProp((xmlNode *)node, (const xmlChar *)"source") : NULL;
    same = source != NULL && is_source_of(facts, (const char *)source, ref);
    xmlFree(source);
    return same;
}

/* A part is what the finding stands for, or what feeds the rail or is the source that it stands for. */
static bool is_about_part(const xmlNode *facts, const struct diag_object *object, const char *ref)
{
    if (strcmp(object->kind, "part") == 0)
        return strcasecmp(object->name, ref) == 0;
    if (strcmp(object->kind, "rail") == 0)
        return feeds(facts, object->name, ref);
    return strcmp(object->kind, "source") == 0 &&
           (strcasecmp(object->name, ref) == 0 || is_source_of(facts, object->name, ref));
}

static bool is_about(const xmlNode *facts, const struct diag *diag,
                     const struct statement *statement)
{
    static const char *const kinds[] = {"net", "rail"};
    const char *part = statement_text(statement, "part");
    const struct diag_object *object = diag->object_count > 0 ? diag->objects : NULL;

    if (part != NULL && (object == NULL || !is_about_part(facts, object, part)))
        return false;
    for (size_t i = 0; i < 2; i++) {
        const char *name = statement_text(statement, kinds[i]);

        if (name != NULL && (object == NULL || strcmp(object->kind, kinds[i]) != 0 ||
                             strcasecmp(object->name, name) != 0))
            return false;
    }
    return object == NULL || part != NULL || statement_text(statement, "net") != NULL ||
           statement_text(statement, "rail") != NULL;
}

/* Whoever accepts a warning has not accepted an error. */
static bool is_within(const struct diag *diag, const struct statement *statement)
{
    const char *text = statement_text(statement, "level");
    enum level level = LEVEL_ERROR;

    return text == NULL || !level_parse(text, &level) || diag->level <= level;
}

static bool fits(const xmlNode *facts, const struct diag *diag, const struct statement *statement)
{
    return diag->rule != NULL && strcmp(diag->rule, statement_text(statement, "rule")) == 0 &&
           is_within(diag, statement) && is_about(facts, diag, statement);
}

static bool is_matched(const xmlNode *facts, const struct diags *found,
                       const struct statement *statement)
{
    for (size_t i = 0; i < found->count; i++)
        if (fits(facts, &found->items[i], statement))
            return true;
    return false;
}

static bool is_expired(const struct statement *statement, const char *today)
{
    const char *until = statement_text(statement, "until");

    return until != NULL && strcmp(until, today) < 0;
}

static void refuse(struct bench *bench, struct statement *statement, const struct rules *rules)
{
    const struct bench_value *rule = statement_value(statement, "rule");
    bool own = strncmp(rule->text, own_rules, strlen(own_rules)) == 0;

    statement->refused = true;
    if (own)
        diag_input(bench->diags, LEVEL_ERROR, rule->place, rule->text, NULL,
                   "what a bench file accepts wrongly cannot be accepted");
    else
        diag_input(bench->diags, LEVEL_ERROR, rule->place, rule->text, NULL,
                   "there is no check %.100s; the nearest is %s", rule->text,
                   rules_nearest(rules, rule->text));
}

static void tell(const struct statement *statement, xmlNode *facts, const char *state,
                 const char *today)
{
    xmlNode *node = fact_element(facts, "acceptance");

    fact_text(node, "rule", statement_text(statement, "rule"));
    fact_text(node, "part", statement_text(statement, "part"));
    fact_text(node, "net", statement_text(statement, "net"));
    fact_text(node, "name", statement_text(statement, "rail"));
    fact_text(node, "level", statement_text(statement, "level"));
    fact_text(node, "reason", statement_text(statement, "reason"));
    fact_text(node, "until", statement_text(statement, "until"));
    fact_text(node, "today", today);
    fact_text(node, "state", state);
    fact_place(node, &statement->place);
}

static void judge(struct bench *bench, struct statement *statement, const struct rules *rules,
                  const struct diags *found, xmlNode *facts, const char *today)
{
    const char *id = statement_text(statement, "rule"), *state = "unmatched";
    const struct rule *rule = rules_find(rules, id);

    if (rule == NULL || strncmp(id, own_rules, strlen(own_rules)) == 0) {
        refuse(bench, statement, rules);
        return;
    }
    if (is_expired(statement, today)) {
        state = "expired";
    } else if (rule->skipped) {
        state = "skipped";
    } else if (is_matched(facts, found, statement)) {
        state = "matched";
        statement->applied = true;
    }
    tell(statement, facts, state, today);
}

void acceptance_judge(struct arena *arena, struct bench *bench, const struct rules *rules,
                      xmlDoc *facts, const char *today)
{
    struct diags found = diags_start(arena);

    rules_run(rules, facts, arena, &found);
    for (size_t i = 0; i < bench->count; i++)
        if (is_acceptance(bench->items[i]))
            judge(bench, bench->items[i], rules, &found, xmlDocGetRootElement(facts), today);
}

static void mark(const struct statement *statement, const xmlNode *facts, struct diags *diags)
{
    for (size_t i = 0; i < diags->count; i++) {
        struct diag *diag = &diags->items[i];

        if (!fits(facts, diag, statement))
            continue;
        diag->accepted = statement_text(statement, "reason");
        diag->accepted_until = statement_text(statement, "until");
        diag->accepted_at = statement->place;
    }
}

void acceptance_mark(const struct bench *bench, xmlDoc *facts, struct diags *diags)
{
    const xmlNode *root = xmlDocGetRootElement(facts);

    for (size_t i = 0; i < bench->count; i++)
        if (is_acceptance(bench->items[i]) && bench->items[i]->applied)
            mark(bench->items[i], root, diags);
}
