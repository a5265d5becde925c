/* What the tests compare: one line a finding, or the circuit as recognised; or every form of one run, in files PREFIX.findings,
 * .facts.xml, .sarif and .json.
 * Usage: list circuit FILE, or list findings|PREFIX. FILE... [--fitted REF=MARKING] [--rules DIR] ... (PREFIX ends in a dot)
 * Several scripts of one "make check" ask for the same netlist of the source tree. $PREARC_SOLVED is a folder, emptied before
 * each, that keeps every form of what was solved, by the words of the command line: who comes first solves, the others wait. */
#include "config.h"

#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/arena.h"
#include "base/heap.h"
#include "base/source.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "cli.h"
#include "data_dir.h"
#include "netlist/reader.h"
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

/* ---- what is kept ---- */

static const char *const endings[] = {"findings", "sarif", "json", "facts.xml"};
enum { ENDINGS = sizeof endings / sizeof *endings };

/* WORD as an absolute path of the source tree; NULL: it is none, and what is there may change. */
static const char *in_sources(struct arena *arena, const char *word)
{
    const char *top = getenv("top_srcdir");
    char root[PATH_MAX], path[PATH_MAX];

    if (top == NULL || realpath(top, root) == NULL || realpath(word, path) == NULL ||
        strncmp(path, root, strlen(root)) != 0 || path[strlen(root)] != '/' ||
        strncmp(path + strlen(root), "/.build/", 8) == 0)
        return NULL;
    return arena_copy(arena, path + strlen(root) + 1);
}

/* Where what these words ask for is kept, "FOLDER/netlists%amp.cir.", NULL: nowhere, for there is no folder, or an option but
 * --bench, or a file that may change. */
static const char *kept_prefix(struct arena *arena, int count, char *const *words)
{
    const char *folder = getenv("PREARC_SOLVED"), *today = getenv("SOURCE_DATE_EPOCH");
    char *name = arena_print(arena, "%s", today != NULL ? today : "");

    for (int i = 0; i < count && folder != NULL; i++) {
        const char *path = strcmp(words[i], "--bench") == 0 ? "bench" : in_sources(arena, words[i]);

        if (path == NULL)
            return NULL;
        name = arena_print(arena, "%s+%s", name, path);
    }
    for (char *at = name; *at != '\0'; at++)
        if (*at == '/')
            *at = '%';
    return folder != NULL && strlen(name) < NAME_MAX - 16 ? arena_print(arena, "%s/%s.", folder, name) : NULL;
}

static void copy_file(const char *from, const char *to)
{
    char block[1 << 16];
    size_t length;
    FILE *in = fopen(from, "r"), *out = in != NULL ? fopen(to, "w") : NULL;

    while (out != NULL && (length = fread(block, 1, sizeof block, in)) > 0)
        fwrite(block, 1, length, out);
    if (out != NULL && fclose(out) != 0)
        remove(to);
    if (in != NULL)
        fclose(in);
}

/* What is kept goes to where WANTED says. */
static void hand_out(struct arena *arena, const char *kept, const char *wanted)
{
    if (strcmp(wanted, "findings") == 0) {
        copy_file(arena_print(arena, "%sfindings", kept), "/dev/stdout");
        return;
    }
    for (size_t i = 0; i < ENDINGS; i++) {
        const char *from = arena_print(arena, "%s%s", kept, endings[i]);
        const char *to = arena_print(arena, "%s%s", wanted, endings[i]);

        remove(to);
        copy_file(from, to);
    }
}

/* ---- one run ---- */

static struct run *run_of(struct options *options, int count, char *const *operands)
{
    char check[] = "check", *words[64] = {check};
    struct text text = {0};

    for (int i = 0; i < count && i < 63; i++)
        words[i + 1] = operands[i];
    if (!cli_parse(options, count + 1 < 64 ? count + 1 : 64, words, &text)) {
        fprintf(stderr, "list: %s\n", text_bytes(&text));
        return NULL;
    }
    return run_one(options, options->operands, options->operand_count);
}

/* The status of the program. Two that solve the same wait for each other. */
static int keep(struct options *options, const char *kept, int count, char *const *operands)
{
    const char *done = arena_print(options->arena, "%sdone", kept);
    int lock = open(arena_print(options->arena, "%slock", kept), O_CREAT | O_RDWR, 0666), status = 0;

    if (lock < 0 || flock(lock, LOCK_EX) != 0)
        return 2;
    if (access(done, F_OK) != 0) {
        struct run *run = run_of(options, count, operands);

        status = run == NULL ? 2 : 0;
        if (run != NULL) {
            run_check(run, options);
            status = put_all(run, kept) ? 0 : 1;
            run_free(run);
        }
        if (status == 0)
            status = close(open(done, O_CREAT | O_WRONLY, 0666)) == 0 ? 0 : 2;
    }
    close(lock);
    return status;
}

static int show(struct options *options, const char *wanted, int count, char *const *operands)
{
    struct run *run = run_of(options, count, operands);
    struct text text = {0};
    int status = 0;

    if (run == NULL)
        return 2;
    run_check(run, options);
    if (wanted[strlen(wanted) - 1] == '.')
        status = put_all(run, wanted) ? 0 : 1;
    else
        add_findings(&run->diags, &text);
    fputs(text_bytes(&text), stdout);
    text_free(&text);
    run_free(run);
    return status;
}

/* The circuit of one netlist as recognised: nothing is solved. */
static int show_circuit(struct arena *arena, const char *path)
{
    struct diags diags = diags_start(arena);
    struct read_options options = {.data_dir = data_dir_find(arena)};
    struct read_input input = {arena, &diags, source_read(arena, &diags, path), &options};
    struct circuit *circuit = input.source != NULL ? netlist_read(&input) : NULL;
    struct parts_options wanted = {.data_dir = options.data_dir};
    struct parts *parts = circuit != NULL ? parts_recognise(arena, &diags, circuit, &wanted) : NULL;
    struct text text = {0};

    if (parts != NULL)
        parts_dump(parts, &text);
    fputs(text_bytes(&text), stdout);
    text_free(&text);
    if (circuit != NULL)
        circuit_free(circuit);
    return 0;
}

int main(int argc, char **argv)
{
    struct options options = {0};
    const char *kept;
    int status;

    heap_prepare();
    if (argc < 3) {
        fputs("usage: list circuit FILE, or list findings|PREFIX. FILE... [options of prearc check]\n", stderr);
        return 2;
    }
    options.arena = arena_new();
    kept = kept_prefix(options.arena, argc - 2, argv + 2);
    if (strcmp(argv[1], "circuit") == 0) {
        status = show_circuit(options.arena, argv[2]);
    } else if (kept == NULL) {
        status = show(&options, argv[1], argc - 2, argv + 2);
    } else {
        status = keep(&options, kept, argc - 2, argv + 2);
        if (status == 0)
            hand_out(options.arena, kept, argv[1]);
    }
    arena_free(options.arena);
    return status;
}
