#include "rule/selection.h"

#include <stdbool.h>
#include <string.h>

#include "base/arena.h"
#include "base/nearest.h"
#include "rule/facts_xml.h"
#include "rule/rules.h"

const char *rules_nearest(const struct rules *rules, const char *word)
{
    struct nearest nearest = nearest_start(word, strlen(word));

    for (size_t i = 0; i < rules->count; i++)
        nearest_offer(&nearest, rules->items[i].id);
    return nearest.name;
}

static bool is_among(const char *id, const char *const *ids, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(ids[i], id) == 0)
            return true;
    return false;
}

static const char *unknown(struct arena *arena, const struct rules *rules, const char *option,
                           const char *const *ids, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (rules_find(rules, ids[i]) == NULL)
            return arena_print(arena, "%s: there is no check %.100s; the nearest is %s", option,
                               ids[i], rules_nearest(rules, ids[i]));
    return NULL;
}

const char *rules_select(struct arena *arena, struct rules *rules, const char *const *only,
                         size_t only_count, const char *const *skip, size_t skip_count)
{
    const char *why = unknown(arena, rules, "--only", only, only_count);
    size_t left = 0;

    if (why == NULL)
        why = unknown(arena, rules, "--skip", skip, skip_count);
    for (size_t i = 0; i < rules->count; i++) {
        struct rule *rule = &rules->items[i];

        rule->skipped = (only_count > 0 && !is_among(rule->id, only, only_count)) ||
                        is_among(rule->id, skip, skip_count);
        left += !rule->skipped;
    }
    if (why == NULL && left == 0)
        why = "--only and --skip leave no check to run";
    return why;
}

void rules_tell_skipped(const struct rules *rules, xmlDoc *facts)
{
    for (size_t i = 0; i < rules->count; i++)
        if (rules->items[i].skipped)
            fact_text(fact_element(xmlDocGetRootElement(facts), "skipped"), "rule",
                      rules->items[i].id);
}
