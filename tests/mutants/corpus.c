/* The mutation corpus: every sound circuit named is changed in every way of the tables of hazards, written in every
 * format, read back and checked. One line a mutant on standard output,
 *   mutant RULE FORMAT caught|missed|unread SUBJECT CHANGE OBJECT FOUND
 * and one a finding of a sound circuit, "sound SUBJECT LEVEL RULE OBJECT"; tabs between.
 * Usage: corpus FOLDER PART PARTS STRIDE HAZARDS FILE...: in FOLDER it may write; it takes every HAZARDSth hazard, of
 * each of these every STRIDEth mutant of a circuit, the first included, and of what is left those whose number is PART
 * modulo PARTS. */
#include "config.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/heap.h"
#include "base/source.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "cli.h"
#include "data_dir.h"
#include "formats/formats.h"
#include "mutants/mutants.h"
#include "netlist/reader.h"
#include "parts/library.h"
#include "parts/parts.h"
#include "rule/rules.h"
#include "run.h"

/* Formats, and whether they carry fields and names of pins. */
static const struct format_row {
    const char *name;
    bool whole;
} formats[] = {
    {"deck", true},         {"export-xml", true},     {"export-old", true}, {"export-new", true},
    {"edif-netlist", true}, {"edif-schematic", true}, {"brackets", false},
};
enum { FORMATS = sizeof formats / sizeof *formats };

/* One of so many mutants is judged whole in every format, though it reads as the deck does. */
enum { WHOLE_EVERY = 40 };

struct corpus {
    const char *folder;
    unsigned long part, parts, stride, hazards;
    unsigned long serial, hazard; /* mutants taken, hazards seen */
    unsigned long made;           /* mutants of this hazard */
    struct arena *arena;          /* of the mutant that was started */
    struct arena *words;          /* of the hazard that is being made */
    struct text sound[FORMATS];   /* "LEVEL RULE OBJECT" lines of the subject in each format */
    struct rules *rules;          /* loaded once */
    struct library *library;      /* likewise */
    struct arena *rules_arena, *library_arena;
};

/* What came of a netlist. */
struct outcome_text {
    struct text findings; /* "LEVEL RULE OBJECT" lines, all objects */
    struct text circuit;  /* what prearc read, independent of format */
    bool read;
};

struct drawing *mutant_start(struct corpus *corpus, const struct subject *subject)
{
    arena_free(corpus->arena);
    corpus->arena = arena_new();
    return drawing_copy(subject->drawing, corpus->arena);
}

const char *mutant_text(struct corpus *corpus, const char *format, ...)
{
    char text[2048];
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    return arena_copy(corpus->words, text);
}

/* ---- one netlist ---- */

static int compare_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Values and fields, in an order of their own: the rest of what findings can depend on. */
static void add_described(struct arena *arena, const struct parts *parts, struct text *out)
{
    const struct circuit *circuit = parts->circuit;
    size_t count = 0, capacity = 64;
    const char **lines;

    for (size_t i = 0; i < circuit->part_count; i++)
        capacity += circuit->parts[i]->field_count + 1;
    lines = arena_array(arena, capacity, sizeof *lines);
    for (size_t i = 0; i < circuit->part_count; i++) {
        const struct part *part = circuit->parts[i];

        for (size_t k = 0; k < part->field_count; k++)
            if (strcmp(part->fields[k].key, "value") != 0)
                lines[count++] = arena_print(arena, "%s %s=%s", part->ref, part->fields[k].key, part->fields[k].value);
        lines[count++] = arena_print(arena, "%s is %s", part->ref, part->value != NULL ? part->value : "-");
    }
    qsort(lines, count, sizeof *lines, compare_text);
    for (size_t i = 0; i < count; i++)
        text_print(out, "%s\n", lines[i]);
}

static struct options options_of(const struct corpus *corpus, struct arena *arena, const char *path, const char *bench)
{
    char check[] = "check", word[] = "--bench";
    char *words[] = {check, arena_copy(arena, path), word, bench != NULL ? arena_copy(arena, bench) : NULL};
    struct options options = {.arena = arena, .library = corpus->library};
    struct text why = {0};

    if (!cli_parse(&options, bench != NULL ? 4 : 2, words, &why)) {
        fprintf(stderr, "corpus: %s\n", text_bytes(&why));
        exit(2);
    }
    text_free(&why);
    return options;
}

/* The words of a message, without what ends clauses, and the end of the line. */
static void add_words(const char *message, struct text *out)
{
    text_add(out, " | ");
    for (const char *at = message; *at != '\0';) {
        size_t length = strcspn(at, " \n"), kept = length;

        while (kept > 0 && strchr(".,:;()", at[kept - 1]) != NULL)
            kept--;
        if (length > 0 && at[0] == '(')
            text_print(out, "%.*s ", (int)(kept > 0 ? kept - 1 : 0), at + 1);
        else
            text_print(out, "%.*s ", (int)kept, at);
        at += length + (at[length] != '\0');
    }
    text_add(out, "\n");
}

static void add_findings(const struct diags *diags, struct text *out)
{
    for (size_t i = 0; i < diags->count; i++) {
        const struct diag *diag = &diags->items[i];

        text_print(out, "%s %s", level_name(diag->level), diag->rule != NULL ? diag->rule : "input");
        for (size_t k = 0; k < diag->object_count; k++)
            text_print(out, " %s", diag->objects[k].name);
        add_words(diag->message, out);
    }
}

/* Only as far as the parts. */
static bool read_circuit(const struct corpus *corpus, struct arena *arena, const char *path, struct text *out)
{
    struct diags diags = diags_start(arena);
    struct read_options options = {.data_dir = data_dir_find(arena)};
    struct read_input input = {arena, &diags, source_read(arena, &diags, path), &options};
    struct circuit *circuit = input.source != NULL ? netlist_read(&input) : NULL;
    struct parts_options wanted = {.data_dir = options.data_dir, .library = corpus->library};
    struct parts *parts = NULL;

    if (circuit != NULL && diag_count_input(&diags, LEVEL_ERROR) == 0)
        parts = parts_recognise(arena, &diags, circuit, &wanted);
    if (parts != NULL) {
        parts_dump(parts, out);
        add_described(arena, parts, out);
    }
    if (circuit != NULL)
        circuit_free(circuit);
    return parts != NULL;
}

static void judge(struct corpus *corpus, const char *path, const char *bench, struct outcome_text *outcome)
{
    struct arena *arena = arena_new();
    struct options options = options_of(corpus, arena, path, bench);
    struct run *run = run_new(&options, path);
    const char *why = NULL;

    if (corpus->rules == NULL) {
        struct diags diags;

        corpus->rules_arena = arena_new();
        diags = diags_start(corpus->rules_arena);
        corpus->rules = run_load_rules(corpus->rules_arena, &diags, data_dir_find(arena), &options, &why);
    }
    if (run->rules == NULL)
        run->rules = corpus->rules;
    run_check(run, &options);
    outcome->read = run->facts != NULL && run->refusal == NULL;
    add_findings(&run->diags, &outcome->findings);
    if (run->rules == corpus->rules)
        run->rules = NULL;
    run_free(run);
    arena_free(arena);
}

static bool put(const struct corpus *corpus, const struct circuit *circuit, const char *format, char *path, size_t size)
{
    FILE *file;

    snprintf(path, size, "%s/mutant%lu.%s", corpus->folder, corpus->part, format);
    file = fopen(path, "w");
    if (file == NULL || !format_write(file, format, circuit)) {
        fprintf(stderr, "corpus: cannot write %s\n", path);
        exit(2);
    }
    return fclose(file) == 0;
}

static const char *put_bench(const struct corpus *corpus, const char *text, char *path, size_t size)
{
    FILE *file;

    if (text == NULL)
        return NULL;
    snprintf(path, size, "%s/mutant%lu.bench", corpus->folder, corpus->part);
    file = fopen(path, "w");
    if (file == NULL || fputs(text, file) < 0 || fclose(file) != 0)
        exit(2);
    return path;
}

/* ---- what was found ---- */

/* The line of TEXT from *AT on; NULL past the last. */
static const char *next_line(const char **at, size_t *length)
{
    const char *line = *at;

    if (*line == '\0')
        return NULL;
    *length = strcspn(line, "\n");
    *at = line + *length + (line[*length] == '\n');
    return line;
}

/* A line of RULE that names OBJECT and is unverified if that is wanted, else is not; not among those of SOUND. */
static bool has_finding(const char *findings, const char *sound, const struct mutant *mutant)
{
    char rule[128], object[256], copy[1024];
    size_t length;

    snprintf(rule, sizeof rule, " %s ", mutant->rule);
    snprintf(object, sizeof object, " %s ", mutant->object != NULL ? mutant->object : "");
    for (const char *line; (line = next_line(&findings, &length)) != NULL;) {
        bool unverified = strncmp(line, "unverified", 10) == 0;

        snprintf(copy, sizeof copy, "%.*s", (int)length, line);
        if (strstr(copy, rule) == NULL || unverified != mutant->unverified ||
            (mutant->object != NULL && strstr(strstr(copy, rule) + strlen(rule) - 1, object) == NULL))
            continue;
        snprintf(copy, sizeof copy, "%.*s\n", (int)length, line);
        if (strstr(sound, copy) == NULL)
            return true;
    }
    return false;
}

/* The sound circuit has such a finding, of that level: the mutant would prove nothing. */
static bool is_there_already(const char *sound, const struct mutant *mutant)
{
    return has_finding(sound, "", mutant);
}

static void tell_rules(const char *findings)
{
    size_t length;

    for (const char *line; (line = next_line(&findings, &length)) != NULL;)
        printf("%.*s;", (int)length, line);
    putchar('\n');
}

static void tell(const struct subject *subject, const struct mutant *mutant, size_t format, const char *verdict,
                 const char *findings)
{
    printf("mutant\t%s\t%s\t%s\t%s\t%s\t%s\t", mutant->rule, formats[format].name, verdict, subject->name,
           mutant->change, mutant->object != NULL ? mutant->object : "-");
    if (strcmp(verdict, "caught") == 0)
        putchar('\n');
    else
        tell_rules(findings);
}

/* ---- mutants ---- */

/* CIRCUIT is drawn in FORMAT; what DECK came to holds if it reads as the deck does. */
static void try_format(struct corpus *corpus, const struct subject *subject, const struct mutant *mutant,
                       const struct circuit *circuit, size_t format, struct outcome_text *deck)
{
    struct outcome_text outcome = {0};
    struct arena *arena = arena_new();
    char path[4096], bench_path[4096];
    const char *bench = put_bench(corpus, mutant->bench, bench_path, sizeof bench_path);
    bool alike, first = format == 0;

    put(corpus, circuit, formats[format].name, path, sizeof path);
    outcome.read = read_circuit(corpus, arena, path, &outcome.circuit);
    alike = !first && strcmp(text_bytes(&outcome.circuit), text_bytes(&deck->circuit)) == 0;
    if (outcome.read && (!alike || corpus->serial / corpus->parts % WHOLE_EVERY == 0))
        judge(corpus, path, bench, &outcome);
    if (alike && text_bytes(&outcome.findings)[0] == '\0')
        text_add(&outcome.findings, text_bytes(&deck->findings));
    if (!outcome.read)
        tell(subject, mutant, format, "unread", "");
    else
        tell(subject, mutant, format,
             has_finding(text_bytes(&outcome.findings), text_bytes(&corpus->sound[format]), mutant) ? "caught"
                                                                                                    : "missed",
             text_bytes(&outcome.findings));
    if (first) {
        *deck = outcome;
    } else {
        text_free(&outcome.findings);
        text_free(&outcome.circuit);
    }
    arena_free(arena);
}

void mutant_try(struct corpus *corpus, const struct subject *subject, const struct mutant *mutant)
{
    struct outcome_text deck = {0};
    struct circuit *circuit;

    if (is_there_already(text_bytes(&corpus->sound[0]), mutant) || corpus->made++ % corpus->stride != 0 ||
        corpus->serial++ % corpus->parts != corpus->part)
        return;
    circuit = drawing_circuit(mutant->drawing, corpus->arena);
    for (size_t i = 0; i < FORMATS; i++) {
        bool carried = i == 0 || (!mutant->deck_only && text_bytes(&corpus->sound[i])[0] != '\0' &&
                                  (formats[i].whole || mutant->bare));

        if (carried && !is_there_already(text_bytes(&corpus->sound[i]), mutant))
            try_format(corpus, subject, mutant, circuit, i, &deck);
    }
    text_free(&deck.findings);
    text_free(&deck.circuit);
    circuit_free(circuit);
    fflush(stdout);
}

/* ---- sound circuits ---- */

/* What prearc says of the subject in each format that reads as the deck does, or that is bare. */
static void hear_sound(struct corpus *corpus, const struct subject *subject)
{
    struct arena *arena = arena_new();
    struct circuit *circuit = drawing_circuit(subject->drawing, arena);
    struct text deck = {0};

    for (size_t i = 0; i < FORMATS; i++) {
        struct outcome_text outcome = {0};
        char path[4096];

        put(corpus, circuit, formats[i].name, path, sizeof path);
        outcome.read = read_circuit(corpus, arena, path, &outcome.circuit);
        text_free(&corpus->sound[i]);
        corpus->sound[i] = (struct text){0};
        if (i == 0)
            text_add(&deck, text_bytes(&outcome.circuit));
        if (outcome.read && (!formats[i].whole || strcmp(text_bytes(&deck), text_bytes(&outcome.circuit)) == 0)) {
            if (i == 0 || !formats[i].whole)
                judge(corpus, path, NULL, &outcome);
            else /* the same circuit */
                text_add_span(&outcome.findings, text_bytes(&corpus->sound[0]), corpus->sound[0].length - 1);
            text_add(&corpus->sound[i], text_bytes(&outcome.findings));
            text_add(&corpus->sound[i], "\n");
        } else if (corpus->part == 0) {
            printf("not carried\t%s\t%s\n", subject->name, formats[i].name);
        }
        text_free(&outcome.findings);
        text_free(&outcome.circuit);
    }
    if (corpus->part == 0) {
        const char *at = text_bytes(&corpus->sound[0]);
        size_t length;

        for (const char *line; (line = next_line(&at, &length)) != NULL;)
            if (length > 0)
                printf("sound\t%s\t%.*s\n", subject->name, (int)length, line);
    }
    text_free(&deck);
    circuit_free(circuit);
    arena_free(arena);
}

static void make(struct corpus *corpus, const struct subject *subject, const struct hazard *hazard)
{
    if (corpus->hazard++ % corpus->hazards != 0)
        return;
    corpus->made = 0;
    corpus->words = arena_new();
    hazard->make(corpus, subject);
    arena_free(corpus->words);
}

static void mutate(struct corpus *corpus, const struct subject *subject)
{
    static const struct hazard *const tables[] = {mains_hazards, fuse_hazards, supply_hazards, part_hazards,
                                                  told_hazards, failure_hazards};

    hear_sound(corpus, subject);
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
        for (const struct hazard *hazard = tables[i]; hazard->rule != NULL; hazard++)
            make(corpus, subject, hazard);
}

/* The last two parts of a path, of a demo three. */
static const char *short_name(const char *path)
{
    const char *at = path + strlen(path);
    int parts = strstr(path, "/sound.cir") != NULL ? 3 : 2;

    while (at > path && (at[-1] != '/' || --parts > 0))
        at--;
    return at;
}

static void read_library(struct corpus *corpus)
{
    struct diags diags;

    corpus->library_arena = arena_new();
    diags = diags_start(corpus->library_arena);
    corpus->library = library_read(corpus->library_arena, &diags,
                                   arena_print(corpus->library_arena, "%s/parts", data_dir_find(corpus->library_arena)));
    if (corpus->library == NULL) {
        fputs("corpus: no parts\n", stderr);
        exit(2);
    }
}

static int take(struct corpus *corpus, const char *path)
{
    struct arena *arena = arena_new();
    struct options options = options_of(corpus, arena, path, NULL);
    struct run *run = run_new(&options, path);
    struct subject subject = {.name = short_name(path), .facts = run->facts};
    int status = 2;

    if (run->facts != NULL) {
        subject.drawing = drawing_of(arena, run->circuit);
        subject.xpath = xmlXPathNewContext(run->facts);
        subject.xpath->node = (xmlNode *)run->facts;
        mutate(corpus, &subject);
        xmlXPathFreeContext(subject.xpath);
        status = 0;
    } else {
        fprintf(stderr, "corpus: %s: cannot be read\n", path);
    }
    run_free(run);
    arena_free(arena);
    return status;
}

int main(int argc, char **argv)
{
    struct corpus corpus = {0};
    int status = 0;

    heap_prepare();
    if (argc < 7) {
        fputs("usage: corpus FOLDER PART PARTS STRIDE HAZARDS FILE...\n", stderr);
        return 2;
    }
    corpus.folder = argv[1];
    corpus.part = strtoul(argv[2], NULL, 10);
    corpus.parts = strtoul(argv[3], NULL, 10);
    corpus.stride = strtoul(argv[4], NULL, 10);
    corpus.hazards = strtoul(argv[5], NULL, 10);
    if (corpus.parts == 0 || corpus.stride == 0 || corpus.hazards == 0)
        return 2;
    corpus.arena = arena_new();
    read_library(&corpus);
    for (int i = 6; i < argc && status == 0; i++)
        status = take(&corpus, argv[i]);
    for (size_t i = 0; i < FORMATS; i++)
        text_free(&corpus.sound[i]);
    if (corpus.rules != NULL)
        rules_free(corpus.rules);
    library_free(corpus.library);
    arena_free(corpus.library_arena);
    if (corpus.rules_arena != NULL)
        arena_free(corpus.rules_arena);
    arena_free(corpus.arena);
    return status;
}
