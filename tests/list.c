/* What the tests compare: one line a finding, or the circuit as recognised.
 * Usage: list findings|circuit FILE [--fitted REF=MARKING] [--rules DIR] ... */
#include "config.h"

#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "cli.h"
#include "parts/parts.h"
#include "run.h"

static void add_findings(const struct diags *diags, struct text *out)
{
    for (size_t i = 0; i < diags->count; i++) {
        const struct diag *diag = &diags->items[i];

        if (diag->rule == NULL)
            text_print(out, "%s\tinput\t%u\n", level_name(diag->level), diag->place.line);
        else
            text_print(out, "%s\t%s\t%s\n", level_name(diag->level), diag->rule,
                       diag->object_count > 0 ? diag->objects[0].name : "-");
    }
}

int main(int argc, char **argv)
{
    char check[] = "check", *words[64] = {check};
    struct options options = {0};
    struct text text = {0};
    struct run *run;

    if (argc < 3) {
        fputs("usage: list findings|circuit FILE [options of prearc check]\n", stderr);
        return 2;
    }
    options.arena = arena_new();
    for (int i = 2; i < argc && i < 64; i++)
        words[i - 1] = argv[i];
    if (!cli_parse(&options, argc - 1 < 64 ? argc - 1 : 64, words, &text)) {
        fprintf(stderr, "list: %s\n", text_bytes(&text));
        return 2;
    }
    run = run_new(&options, argv[2]);
    if (strcmp(argv[1], "circuit") == 0) {
        if (run->parts != NULL)
            parts_dump(run->parts, &text);
    } else {
        run_check(run, &options);
        add_findings(&run->diags, &text);
    }
    fputs(text_bytes(&text), stdout);
    text_free(&text);
    run_free(run);
    arena_free(options.arena);
    return 0;
}
