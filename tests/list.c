/* What the tests compare: one line a finding, or the circuit as recognised; or every form of one run, in files PREFIX.findings,
 * .facts.xml, .sarif and .json.
 * Usage: list findings|circuit|PREFIX. FILE... [--fitted REF=MARKING] [--rules DIR] ... (PREFIX ends in a dot) */
#include "config.h"

#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "cli.h"
#include "parts/parts.h"
#include "report/report.h"
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

/* TEXT, which is emptied, as a file; false: it could not be written. */
static bool put(const char *prefix, const char *ending, struct text *text)
{
    char path[4096];
    FILE *file;
    bool good;

    snprintf(path, sizeof path, "%s%s", prefix, ending);
    file = fopen(path, "w");
    good = file != NULL && fwrite(text_bytes(text), 1, text->length, file) == text->length;
    if (file != NULL && fclose(file) != 0)
        good = false;
    text_free(text);
    *text = (struct text){0};
    return good;
}

static bool put_all(const struct run *run, const char *prefix)
{
    struct report_input report = run_report(run, false);
    struct text text = {0};
    xmlChar *bytes = NULL;
    int length = 0;
    bool good;

    add_findings(&run->diags, &text);
    good = put(prefix, "findings", &text);
    sarif_writer.write(&report, 1, &text);
    good = put(prefix, "sarif", &text) && good;
    json_writer.write(&report, 1, &text);
    good = put(prefix, "json", &text) && good;
    if (run->facts == NULL)
        return good;
    xmlDocDumpFormatMemoryEnc(run->facts, &bytes, &length, "UTF-8", 1);
    text_add_span(&text, (const char *)bytes, (size_t)length);
    xmlFree(bytes);
    return put(prefix, "facts.xml", &text) && good;
}

int main(int argc, char **argv)
{
    char check[] = "check", *words[64] = {check};
    struct options options = {0};
    struct text text = {0};
    struct run *run;
    int status = 0;

    if (argc < 3) {
        fputs("usage: list findings|circuit|PREFIX. FILE... [options of prearc check]\n", stderr);
        return 2;
    }
    options.arena = arena_new();
    for (int i = 2; i < argc && i < 64; i++)
        words[i - 1] = argv[i];
    if (!cli_parse(&options, argc - 1 < 64 ? argc - 1 : 64, words, &text)) {
        fprintf(stderr, "list: %s\n", text_bytes(&text));
        return 2;
    }
    run = run_one(&options, options.operands, options.operand_count);
    if (run == NULL)
        return 2;
    if (strcmp(argv[1], "circuit") == 0) {
        if (run->parts != NULL)
            parts_dump(run->parts, &text);
    } else {
        run_check(run, &options);
        if (argv[1][strlen(argv[1]) - 1] == '.')
            status = put_all(run, argv[1]) ? 0 : 1;
        else
            add_findings(&run->diags, &text);
    }
    fputs(text_bytes(&text), stdout);
    text_free(&text);
    run_free(run);
    arena_free(options.arena);
    return status;
}
