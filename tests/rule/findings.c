/* Prints what prearc's own engine finds in facts documents: "FILE<TAB>rule<TAB>object<TAB>level"
 * lines. Usage: findings CHECKS FACTS... */
#include <stdio.h>

#include <libxml/parser.h>

#include "base/arena.h"
#include "base/diag.h"
#include "rule/rules.h"

static int print_findings(struct arena *arena, const struct rules *rules, const char *file)
{
    struct diags found = diags_start(arena);
    xmlDoc *facts = xmlReadFile(file, NULL, XML_PARSE_NONET);

    if (facts == NULL)
        return 1;
    rules_run(rules, facts, arena, &found);
    for (size_t i = 0; i < found.count; i++)
        printf("%s\t%s\t%s\t%s\n", file, found.items[i].rule,
               found.items[i].object_count > 0 ? found.items[i].objects[0].name : "-",
               level_name(found.items[i].level));
    xmlFreeDoc(facts);
    return 0;
}

int main(int argc, char **argv)
{
    struct arena *arena = arena_new();
    struct diags errors = diags_start(arena);
    const char *checks = argc > 1 ? argv[1] : "rules/checks";
    struct rules *rules = rules_load(arena, &errors, &checks, 1);
    int status = errors.count > 0 || rules->count == 0;

    for (int i = 2; i < argc; i++)
        status |= print_findings(arena, rules, argv[i]);
    rules_free(rules);
    arena_free(arena);
    return status;
}
