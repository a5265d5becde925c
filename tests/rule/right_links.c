/* Fits into each of many generated supplies the links that are recommended for it, until that changes nothing
 * any more (a link's own resistance counts in the next one's shorts): then no fuse among them is called too
 * large or too small. Prints how many; fails on the first that does not hold. */
#include "config.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <libxml/tree.h>

#include "base/arena.h"
#include "base/text.h"
#include "cli.h"
#include "run.h"
#include "solve/solve.h"
#include "trace/generate.h"

enum { SUPPLIES = 100, SANITIZED = 10, WORDS = 8, FUSES = 32, SECTIONS = 8, ROUNDS = 5 };

/* ---- a supply of generate.h as a SPICE deck ---- */

struct winding {
    char name[8], pins[64], volts[64], ohms[64];
    unsigned first, count;
};

struct deck {
    struct text parts, pins;
    struct winding windings[SECTIONS];
    unsigned winding_count, pin_count;
};

static void append(char *to, size_t size, const char *what)
{
    strncat(to, what, size - strlen(to) - 1);
}

/* A section "T1 NAME START END VOLTS OHMS"; those of a winding follow each other and share a pin. */
static void add_section(struct deck *deck, char *const *words)
{
    struct winding *winding = deck->winding_count > 0 ? &deck->windings[deck->winding_count - 1] : NULL;

    if (winding == NULL || strcmp(winding->name, words[1]) != 0) {
        winding = &deck->windings[deck->winding_count++];
        snprintf(winding->name, sizeof winding->name, "%s", words[1]);
        winding->first = ++deck->pin_count;
        text_print(&deck->pins, " %s", words[2]);
    }
    deck->pin_count++;
    text_print(&deck->pins, " %s", words[3]);
    append(winding->volts, sizeof winding->volts, winding->count > 0 ? "-0-" : "");
    append(winding->volts, sizeof winding->volts, words[4]);
    append(winding->ohms, sizeof winding->ohms, winding->count > 0 ? "+" : "");
    append(winding->ohms, sizeof winding->ohms, words[5]);
    winding->count++;
}

static void add_transformer(struct deck *deck)
{
    text_print(&deck->parts, "XT1%s PT windings=\"", text_bytes(&deck->pins));
    for (unsigned w = 0; w < deck->winding_count; w++) {
        const struct winding *winding = &deck->windings[w];

        text_print(&deck->parts, "%s%s %u", w > 0 ? "; " : "", w == 0 ? "primary" : w == 1 ? "HT" : "HT2",
                   winding->first);
        for (unsigned i = 1; i <= winding->count; i++)
            text_print(&deck->parts, "-%u", winding->first + i);
        text_print(&deck->parts, " %sV %sR", winding->volts, winding->ohms);
    }
    text_add(&deck->parts, "\"\n");
}

static void add_part(struct deck *deck, char *const *words)
{
    const char *ref = words[0], *a = words[1], *b = words[2], *value = words[3];

    switch (ref[0]) {
    case 'V': text_print(&deck->parts, "XJ1 %s %s 0 C14\n", a, b); break;
    case 'T': add_section(deck, words); break;
    case 'F': text_print(&deck->parts, "X%s %s %s FUSE\n", ref, a, b); break;
    case 'S': text_print(&deck->parts, "X%s %s %s SWITCH state=closed\n", ref, a, b); break;
    case 'L':
        text_print(&deck->parts, "X%s %s %s CHOKE value=%sH ohms=%s\n", ref, a, b, value, words[4]);
        break;
    case 'D':
    case 'U': text_print(&deck->parts, "D%s %s %s 1N4007\n", ref, a, b); break;
    default: text_print(&deck->parts, "%s %s %s %s\n", ref, a, b, value); break;
    }
}

static struct text deck_of(unsigned seed)
{
    struct text supply = generate_supply(seed), text = {0};
    struct deck deck = {0};
    char *line_at = NULL, *copy = strdup(text_bytes(&supply));

    for (char *line = strtok_r(copy, "\n", &line_at); line != NULL; line = strtok_r(NULL, "\n", &line_at)) {
        char none[] = "", *words[WORDS] = {none, none, none, none, none, none, none, none}, *word_at = NULL;
        size_t count = 0;

        for (char *word = strtok_r(line, " ", &word_at); word != NULL && count < WORDS;
             word = strtok_r(NULL, " ", &word_at))
            words[count++] = word;
        add_part(&deck, words);
    }
    add_transformer(&deck);
    text_print(&text, "supply %u\n.subckt C14 L N E\n.ends\n%s.end\n", seed, text_bytes(&deck.parts));
    free(copy);
    text_free(&supply);
    text_free(&deck.parts);
    text_free(&deck.pins);
    return text;
}

/* ---- its runs ---- */

struct links {
    char words[FUSES][64]; /* "F1=T315mAL250V" */
    size_t count;
};

struct tally {
    size_t supplies, fitted, refitted, none, unsolved;
};

static struct run *run_with(struct arena *arena, const char *path, struct links *links)
{
    struct options *options = arena_alloc(arena, sizeof *options);
    char check[] = "check", option[] = "--fitted", *words[2 * FUSES + 2] = {check};
    char *file = arena_copy(arena, path);
    struct text why = {0};
    int count = 1;
    struct run *run;

    options->arena = arena;
    words[count++] = file;
    for (size_t i = 0; i < links->count; i++) {
        words[count++] = option;
        words[count++] = links->words[i];
    }
    if (!cli_parse(options, count, words, &why)) {
        printf("FAIL %s\n", text_bytes(&why));
        exit(1);
    }
    run = run_new(options, path);
    run_check(run, options);
    if (run->facts == NULL) {
        printf("FAIL %s: no facts: %s\n", path, run->refusal != NULL ? run->refusal : "");
        exit(1);
    }
    return run;
}

static struct links recommended(const struct run *run, struct tally *tally)
{
    struct links links = {.count = 0};

    for (xmlNode *at = xmlDocGetRootElement(run->facts)->children; at != NULL; at = at->next) {
        xmlChar *ref = xmlGetProp(at, (const xmlChar *)"ref");
        xmlChar *marking = xmlGetProp(at, (const xmlChar *)"recommended");

        if (marking != NULL && links.count < FUSES)
            snprintf(links.words[links.count++], sizeof links.words[0], "%s=%s", (char *)ref,
                     (char *)marking);
        else if (tally != NULL && xmlHasProp(at, (const xmlChar *)"no-recommendation") != NULL)
            tally->none++;
        xmlFree(ref);
        xmlFree(marking);
    }
    return links;
}

static int is_fitted(const struct links *links, const char *ref)
{
    for (size_t i = 0; i < links->count; i++)
        if (strncmp(links->words[i], ref, strlen(ref)) == 0 && links->words[i][strlen(ref)] == '=')
            return 1;
    return 0;
}

/* No error or warning of the two checks about a fuse that has the right link. */
static int is_content(const struct run *run, const struct links *links, unsigned seed)
{
    for (size_t i = 0; i < run->diags.count; i++) {
        const struct diag *diag = &run->diags.items[i];

        if (diag->rule == NULL || (diag->level != LEVEL_ERROR && diag->level != LEVEL_WARNING) ||
            (strcmp(diag->rule, "fuse-oversized") != 0 && strcmp(diag->rule, "fuse-undersized") != 0) ||
            diag->object_count == 0 || !is_fitted(links, diag->objects[0].name))
            continue;
        printf("FAIL supply %u: %s %s: %s\n", seed, diag->rule, diag->objects[0].name, diag->message);
        return 0;
    }
    return 1;
}

static int are_same(const struct links *a, const struct links *b)
{
    int same = a->count == b->count;

    for (size_t i = 0; same && i < a->count; i++)
        same = strcmp(a->words[i], b->words[i]) == 0;
    return same;
}

/* Fits what is recommended for PATH until it stays; false if it does not, or if a check objects to it. */
static int settles(const char *path, unsigned seed, struct tally *tally)
{
    struct arena *arena = arena_new();
    struct links links = {.count = 0}, fitted;
    int good = 0, stays = 0;

    for (int round = 0; round < ROUNDS && !stays; round++) {
        struct run *run;

        fitted = links;
        run = run_with(arena, path, &fitted);
        links = recommended(run, round == 0 ? tally : NULL);
        tally->unsolved += run->healthy == NULL || run->healthy->status != SOLVE_OK;
        tally->refitted += round > 1;
        stays = round > 0 && are_same(&links, &fitted);
        good = stays && is_content(run, &fitted, seed);
        run_free(run);
    }
    tally->fitted += links.count;
    tally->supplies++;
    for (size_t i = 0; !stays && i < links.count; i++)
        printf("FAIL supply %u: %s after %s\n", seed, links.words[i], fitted.words[i]);
    arena_free(arena);
    return good;
}

static int check_supply(unsigned seed, const char *path, struct tally *tally)
{
    struct text text = deck_of(seed);
    FILE *file = fopen(path, "w");
    int written = file != NULL && fputs(text_bytes(&text), file) >= 0 && fclose(file) == 0;

    text_free(&text);
    return written && settles(path, seed, tally);
}

/* The sound demo: each of its three fuses has a right link. */
static int check_demo(const char *top)
{
    struct tally tally = {0};
    char path[4096];

    snprintf(path, sizeof path, "%s/netlists/heronsgate-40/spice/sound.cir", top);
    if (settles(path, 0, &tally) && tally.fitted == 3)
        return 1;
    printf("FAIL %s: %zu of 3 fuses have a right link\n", path, tally.fitted);
    return 0;
}

static void set_data_dir(const char *top)
{
    char path[4096];

    snprintf(path, sizeof path, "%s/rules", top);
    setenv("PREARC_DATA", path, 1);
}

int main(void)
{
    unsigned supplies = getenv("PREARC_SANITIZED") != NULL ? SANITIZED : SUPPLIES;
    const char *top = getenv("top_srcdir");
    char path[] = "right-links-XXXXXX";
    struct tally tally = {0};
    int good, descriptor = mkstemp(path);

    if (descriptor < 0 || top == NULL) {
        puts("FAIL no temporary file, or no top_srcdir in the environment");
        return 1;
    }
    close(descriptor);
    set_data_dir(top);
    good = check_demo(top);
    for (unsigned seed = 1; seed <= supplies && good; seed++)
        good = check_supply(seed, path, &tally);
    unlink(path);
    printf(
        "%zu supplies: %zu recommended links fitted, %zu rounds more, none for %zu fuses, %zu not solved\n",
        tally.supplies, tally.fitted, tally.refitted, tally.none, tally.unsolved);
    return good && tally.fitted > supplies / 2 && tally.unsolved == 0 ? 0 : 1;
}
