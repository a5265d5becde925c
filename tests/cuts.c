/* Cuts a netlist after every byte, and damages every byte, and runs each through the whole pipeline: no signal, no hang.
 * Usage: cuts FILE STEP [NETLIST] (only every STEP-th byte; 1: all of them; with NETLIST, FILE is a bench file) */
#include "config.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/arena.h"
#include "base/heap.h"
#include "base/text.h"
#include "cli.h"
#include "data_dir.h"
#include "parts/library.h"
#include "rule/rules.h"
#include "run.h"

/* The alarm ends a run that takes longer than this, s, and with it the test. */
enum { PATIENCE = 60 };

/* The library and the checks, which no damaged byte changes, are read once. */
static struct rules *read_once(struct options *options)
{
    struct diags diags = diags_start(options->arena);
    const char *data_dir = data_dir_find(options->arena), *why = NULL;
    struct rules *rules = run_load_rules(options->arena, &diags, data_dir, options, &why);

    options->library = library_read(options->arena, &diags, arena_print(options->arena, "%s/parts", data_dir));
    if (rules == NULL || options->library == NULL) {
        fprintf(stderr, "cuts: no checks or no parts: %s\n", why != NULL ? why : "");
        exit(2);
    }
    return rules;
}

static void run_bytes(const struct options *options, struct rules *rules, const char *path, const char *bytes,
                      size_t length)
{
    FILE *file = fopen(path, "wb");
    struct run *run;

    if (file == NULL || fwrite(bytes, 1, length, file) != length || fclose(file) != 0) {
        perror(path);
        exit(2);
    }
    alarm(PATIENCE);
    run = run_new(options, options->operands[0]);
    if (run->rules == NULL)
        run->rules = rules;
    run_check(run, options);
    if (run->rules == rules)
        run->rules = NULL; /* kept */
    run_free(run);
}

static size_t slurp(const char *path, char **bytes)
{
    struct text text = {0};
    FILE *file = fopen(path, "rb");
    int c;

    if (file == NULL) {
        perror(path);
        exit(2);
    }
    while ((c = getc(file)) != EOF)
        text_add_char(&text, (char)c);
    fclose(file);
    *bytes = text.bytes;
    return text.length;
}

int main(int argc, char **argv)
{
    struct options options = {.arena = arena_new()};
    struct text why = {0};
    char name[] = P_tmpdir "/prearc-cuts-XXXXXX", check[] = "check", *bytes;
    char bench[] = "--bench", *words[] = {check, argc == 4 ? argv[3] : name, bench, name};
    size_t length, step, runs = 0;
    struct rules *rules;

    heap_prepare();
    if (argc < 3 || argc > 4 || (step = strtoul(argv[2], NULL, 10)) == 0 || mkstemp(name) < 0 ||
        !cli_parse(&options, argc == 4 ? 4 : 2, words, &why)) {
        fprintf(stderr, "usage: cuts FILE STEP [NETLIST] %s\n", text_bytes(&why));
        return 2;
    }
    rules = read_once(&options);
    length = slurp(argv[1], &bytes);
    for (size_t i = 0; i <= length; i += step, runs++)
        run_bytes(&options, rules, name, bytes, i);
    for (size_t i = 0; i < length; i += step, runs++) {
        char saved = bytes[i];

        bytes[i] = (char)(saved ^ (1 << (i % 8)));
        run_bytes(&options, rules, name, bytes, length);
        bytes[i] = saved;
    }
    unlink(name);
    free(bytes);
    rules_free(rules);
    library_free(options.library);
    arena_free(options.arena);
    printf("%s: %zu damaged copies went through\n", argv[1], runs);
    return 0;
}
