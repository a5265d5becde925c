/* Statements held against the kinds of the parts, once these are known; the markings in the holders. */
#include "bench/amend.h"

#include <strings.h>

#include "base/arena.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "parts/parts.h"

/* What a statement's part must be; build_connector makes a load of those that DRAWN may name. */
static const struct kind_row {
    enum bench_word word;
    enum part_kind kinds[6]; /* PART_UNKNOWN ends the list */
    const char *expected;
} kind_rows[] = {
    {BENCH_FITTED, {PART_FUSE}, "a fuse"},
    {BENCH_HOLDER, {PART_FUSE}, "a fuse"},
    {BENCH_SWITCH, {PART_SWITCH, PART_STANDBY_SWITCH}, "a switch"},
    {BENCH_WINDING, {PART_TRANSFORMER, PART_OUTPUT_TRANSFORMER}, "a transformer"},
    {BENCH_DRAWN, {PART_CONNECTOR, PART_JACK}, "a connector or a jack"},
};

static const struct kind_row *row_of(enum bench_word word)
{
    for (size_t i = 0; i < sizeof kind_rows / sizeof *kind_rows; i++)
        if (kind_rows[i].word == word)
            return &kind_rows[i];
    return NULL;
}

static bool is_among(const enum part_kind *kinds, enum part_kind kind)
{
    for (; *kinds != PART_UNKNOWN; kinds++)
        if (*kinds == kind)
            return true;
    return false;
}

/* The refs of the parts of one of the row's kinds: what may have been meant. */
static const char *candidates(struct arena *arena, const struct parts *parts,
                              const struct kind_row *row)
{
    enum { NAMED_LARGEST = 12 };
    struct text text = {0};
    const char *list;
    size_t count = 0;

    for (size_t i = 0; i < parts->count; i++)
        if (is_among(row->kinds, parts->items[i].kind) && count++ < NAMED_LARGEST)
            text_print(&text, "%s%s", count == 1 ? "" : ", ", parts->items[i].part->ref);
    if (count > NAMED_LARGEST)
        text_print(&text, " and %zu more", count - NAMED_LARGEST);
    list = count > 0 ? arena_copy(arena, text_bytes(&text)) : "none";
    text_free(&text);
    return list;
}

static void add_fitted(struct bench *bench, const char *ref, const char *marking)
{
    bench->fitted = arena_grow(bench->arena, bench->fitted, &bench->fitted_capacity,
                               bench->fitted_count, sizeof *bench->fitted);
    bench->fitted[bench->fitted_count++] = (struct fitted){.ref = ref, .marking = marking};
}

static void settle(struct bench *bench, struct statement *statement, const struct parts *parts)
{
    const struct kind_row *row = row_of(statement->word);
    const struct bench_value *value = statement_value(statement, "part");
    const struct part *part;
    enum part_kind kind;

    if (statement->refused || row == NULL)
        return;
    part = circuit_find_part(parts->circuit, value->text);
    kind = part != NULL ? parts->items[part->index].kind : PART_UNKNOWN;
    if (part == NULL || !is_among(row->kinds, kind))
        amend_refuse(bench, statement, value,
                     arena_print(bench->arena, "%s; in this netlist: %s", row->expected,
                                 candidates(bench->arena, parts, row)),
                     "%s is of kind %s", value->text, part_kind_name(kind));
    else if (statement->word == BENCH_FITTED || statement->word == BENCH_HOLDER)
        add_fitted(bench, part->ref, statement_text(statement, "marking"));
}

void bench_settle(struct bench *bench, const struct parts *parts)
{
    for (size_t i = 0; i < bench->count; i++)
        settle(bench, bench->items[i], parts);
}

const char *bench_fit(struct bench *bench, const struct parts *parts, const char *ref,
                      const char *marking)
{
    const struct part *part = circuit_find_part(parts->circuit, ref);
    const char *fuses = candidates(bench->arena, parts, row_of(BENCH_FITTED));

    if (part == NULL || parts->items[part->index].kind != PART_FUSE)
        return arena_print(bench->arena, "--fitted %s=%s: %s is no fuse of this netlist; fuses: %s",
                           ref, marking, ref, fuses);
    for (size_t i = 0; i < bench->fitted_count; i++)
        if (strcasecmp(bench->fitted[i].ref, part->ref) == 0)
            return arena_print(bench->arena, "--fitted %s=%s: the bench file says that %s is fitted",
                               ref, marking, bench->fitted[i].marking);
    add_fitted(bench, part->ref, marking);
    return NULL;
}
