#include "rule/rules.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/source.h"
#include "rule/finding.h"
#include "rule/schematron.h"

struct loading {
    struct arena *arena;
    struct diags *diags;
    struct rules *rules;
    size_t capacity;
};

static const char suffix[] = ".sch";

static bool is_check_file(const char *name)
{
    size_t length = strlen(name);

    return *name != '.' && length > strlen(suffix) &&
           strcmp(name + length - strlen(suffix), suffix) == 0;
}

static int compare_names(const void *left, const void *right)
{
    return strcmp(*(const char *const *)left, *(const char *const *)right);
}

/* The names of the check files in DIRECTORY, sorted; how many in *COUNT. */
static const char **check_files(struct loading *loading, const char *directory, size_t *count)
{
    DIR *stream = opendir(directory);
    const char **names = NULL;
    size_t capacity = 0;
    const struct dirent *entry;

    *count = 0;
    if (stream == NULL) {
        diag_input(loading->diags, LEVEL_ERROR, (struct place){0}, directory,
                   "a directory of .sch files", "cannot read the checks: %s", strerror(errno));
        return NULL;
    }
    while ((entry = readdir(stream)) != NULL) {
        if (!is_check_file(entry->d_name))
            continue;
        names = arena_grow(loading->arena, names, &capacity, *count, sizeof *names);
        names[(*count)++] = arena_copy(loading->arena, entry->d_name);
    }
    closedir(stream);
    if (*count > 1)
        qsort(names, *count, sizeof *names, compare_names);
    return names;
}

/* The highest level that an assertion of SCHEMA can give. */
static enum level highest_level(const struct schematron *schema)
{
    enum level level = LEVEL_NOTE;

    for (size_t p = 0; p < schema->pattern_count; p++) {
        const struct schematron_pattern *pattern = &schema->patterns[p];

        for (size_t r = 0; r < pattern->rule_count; r++)
            for (size_t a = 0; a < pattern->rules[r].assertion_count; a++)
                if (pattern->rules[r].assertions[a].level > level)
                    level = pattern->rules[r].assertions[a].level;
    }
    return level;
}

static const char *or_empty(const char *text)
{
    return text != NULL ? text : "";
}

/* Puts RULE in the place of the one with its id, or at the end. */
static void keep(struct loading *loading, const struct rule *rule)
{
    struct rules *rules = loading->rules;
    struct rule *old = (struct rule *)rules_find(rules, rule->id);

    if (old != NULL) {
        schematron_free(old->schema);
        *old = *rule;
        return;
    }
    rules->items = arena_grow(loading->arena, rules->items, &loading->capacity, rules->count,
                              sizeof *rules->items);
    rules->items[rules->count++] = *rule;
}

static void load_file(struct loading *loading, const char *directory, const char *name)
{
    const char *path = arena_print(loading->arena, "%s/%s", directory, name);
    const struct source *source = source_read(loading->arena, loading->diags, path);
    struct schematron *schema =
        source != NULL ? schematron_load(loading->arena, loading->diags, source) : NULL;
    struct rule rule = {.file = path, .schema = schema};

    if (schema == NULL)
        return;
    rule.id = arena_copy_span(loading->arena, name, strlen(name) - strlen(suffix));
    rule.title = or_empty(schema->title);
    rule.why = or_empty(schema->why);
    rule.fix = or_empty(schema->fix);
    rule.source = or_empty(schema->cited);
    rule.level = highest_level(schema);
    keep(loading, &rule);
}

static int compare_ids(const void *left, const void *right)
{
    return strcmp(((const struct rule *)left)->id, ((const struct rule *)right)->id);
}

struct rules *rules_load(struct arena *arena, struct diags *diags, const char *const *directories,
                         size_t count)
{
    struct loading loading = {.arena = arena, .diags = diags};

    loading.rules = arena_alloc(arena, sizeof *loading.rules);
    for (size_t i = 0; i < count; i++) {
        size_t files;
        const char **names = check_files(&loading, directories[i], &files);

        for (size_t j = 0; j < files; j++)
            load_file(&loading, directories[i], names[j]);
    }
    if (loading.rules->count > 1)
        qsort(loading.rules->items, loading.rules->count, sizeof *loading.rules->items,
              compare_ids);
    return loading.rules;
}

void rules_free(struct rules *rules)
{
    for (size_t i = 0; rules != NULL && i < rules->count; i++)
        schematron_free(rules->items[i].schema);
}

const struct rule *rules_find(const struct rules *rules, const char *id)
{
    for (size_t i = 0; i < rules->count; i++)
        if (strcmp(rules->items[i].id, id) == 0)
            return &rules->items[i];
    return NULL;
}

void rules_run(const struct rules *rules, xmlDoc *facts, struct arena *arena, struct diags *diags)
{
    struct finding_index *index = finding_index_new(arena, facts);

    for (size_t i = 0; i < rules->count; i++) {
        struct schematron_results results = {0};

        if (rules->items[i].skipped)
            continue;
        schematron_run(rules->items[i].schema, facts, arena, &results);
        for (size_t j = 0; j < results.count; j++)
            finding_add(index, &rules->items[i], &results.items[j], diags);
    }
    finding_index_free(index);
}
