#include <string.h>

#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/ballot.h"
#include "parts/wording.h"

/* A lone witness no louder than this leaves a doubt. */
enum { WEIGHT_WEAK = 2 };

/* A part with more pins than this is not of the kind, whatever its value says. */
static const struct pins_row {
    enum part_kind kind;
    size_t most;
} most_pins[] = {
    {PART_DIODE, 3}, {PART_ZENER, 3}, {PART_LED, 4}, {PART_TEST_POINT, 4},
};

static int score(const struct count *count, enum part_kind kind)
{
    int sum = 0;

    for (size_t i = 0; i < count->ballot_count; i++)
        if (count->ballots[i].kinds & KIND_BIT(kind))
            sum += count->ballots[i].weight;
    return sum;
}

static bool possible(const struct part *part, enum part_kind kind)
{
    for (size_t i = 0; i < sizeof most_pins / sizeof *most_pins; i++)
        if (most_pins[i].kind == kind && part->pin_count > most_pins[i].most)
            return false;
    return true;
}

/* The ballot whose kind has the highest sum, leaving out EXCEPT and what EXCEPT is one of; NULL if
 * no ballot names a kind. */
static const struct ballot *highest(const struct count *count, enum part_kind except)
{
    const struct ballot *best = NULL;
    int best_score = 0;

    for (size_t i = 0; i < count->ballot_count; i++) {
        const struct ballot *ballot = &count->ballots[i];
        int sum;

        if (ballot->first == PART_UNKNOWN || ballot->first == except
            || kind_is_general(ballot->first, except) || !possible(count->part, ballot->first))
            continue;
        sum = score(count, ballot->first);
        if (best == NULL || sum > best_score
            || (sum == best_score && ballot->weight > best->weight)) {
            best = ballot;
            best_score = sum;
        }
    }
    return best;
}

/* The loudest ballot for KIND; the one that names it, of equals. */
static const struct ballot *loudest(const struct count *count, enum part_kind kind)
{
    const struct ballot *best = NULL;

    for (size_t i = 0; i < count->ballot_count; i++) {
        const struct ballot *ballot = &count->ballots[i];

        if ((ballot->kinds & KIND_BIT(kind)) == 0)
            continue;
        if (best == NULL || ballot->weight > best->weight
            || (ballot->weight == best->weight && best->first != kind && ballot->first == kind))
            best = ballot;
    }
    return best;
}

static size_t voters(const struct count *count, enum part_kind kind)
{
    size_t sum = 0;

    for (size_t i = 0; i < count->ballot_count; i++)
        sum += (count->ballots[i].kinds & KIND_BIT(kind)) != 0;
    return sum;
}

static void doubt_nothing(const struct count *count, struct part_info *info)
{
    struct arena *arena = count->recogniser->arena;
    const struct part *part = count->part;

    if (count->ballot_count > 0)
        part_doubt(arena, info, "its %s \"%s\" does not tell what kind of part it is; "
                   "state its type number, or the field kind",
                   count->ballots[0].place, count->ballots[0].text);
    else if (part->letter != 0 && strchr("EFGHB", part->letter) != NULL)
        part_doubt(arena, info, "it is a controlled source; what part it stands for is not told; "
                   "state the field kind");
    else
        part_doubt(arena, info,
                   "nothing tells what kind of part it is (value \"%s\", symbol \"%s\"); "
                   "state the field kind",
                   part->value != NULL ? part->value : "",
                   part->symbol != NULL ? part->symbol : "");
}

static void doubt_contradiction(const struct count *count, struct part_info *info,
                                enum part_kind winner, enum part_kind other)
{
    const struct ballot *a = loudest(count, winner), *b = loudest(count, other);

    part_doubt(count->recogniser->arena, info,
               "its %s \"%s\" says %s but its %s \"%s\" says %s; state the field kind",
               a->place, a->text, part_kind_name(winner), b->place, b->text,
               part_kind_name(other));
}

/* The kind, by two of three witnesses; contradictory witnesses leave it open. */
static enum part_kind decide(const struct count *count, struct part_info *info)
{
    const struct ballot *best = highest(count, PART_UNKNOWN), *second;
    enum part_kind kind;
    int margin;

    if (best == NULL) {
        doubt_nothing(count, info);
        return PART_UNKNOWN;
    }
    kind = best->first;
    second = highest(count, kind);
    margin = score(count, kind) - (second != NULL ? score(count, second->first) : 0);
    if (margin > 1)
        return kind;
    doubt_contradiction(count, info, kind, second != NULL ? second->first : kind);
    return margin == 0 || voters(count, kind) == 1 ? PART_UNKNOWN : kind;
}

/* A lone weak witness is no proof. */
static void doubt_weak(const struct count *count, struct part_info *info)
{
    const struct ballot *ballot = loudest(count, info->kind);

    if (info->kind == PART_UNKNOWN || info->doubt != NULL || ballot == NULL
        || ballot->weight > WEIGHT_WEAK || voters(count, info->kind) > 1)
        return;
    part_doubt(count->recogniser->arena, info,
               "only its %s \"%s\" says that it is of kind %s; state the field kind, or its value",
               ballot->place, ballot->text, part_kind_name(info->kind));
}

static void record(const struct count *count, struct part_info *info)
{
    const struct ballot *decider = loudest(count, info->kind);

    info->witnesses = arena_array(count->recogniser->arena, count->ballot_count + 1,
                                  sizeof *info->witnesses);
    info->witness_capacity = count->ballot_count + 1;
    for (size_t i = 0; i < count->ballot_count; i++) {
        const struct ballot *ballot = &count->ballots[i];
        bool agrees = (ballot->kinds & KIND_BIT(info->kind)) != 0;

        info->witnesses[info->witness_count++] = (struct witness){
            .kind = ballot->place, .text = ballot->text,
            .vote = agrees ? info->kind : ballot->first, .decided = ballot == decider};
    }
}

/* The first type number that fits the kind; a bridge may be named by its diodes. */
static const struct type *choose_type(const struct count *count, struct part_info *info)
{
    for (size_t i = 0; i < TYPE_SOURCES; i++) {
        const struct type *type = count->types[i];

        if (type == NULL || (type->kind != info->kind
                             && !(type->kind == PART_DIODE && info->kind == PART_BRIDGE)))
            continue;
        info->type = count->type_texts[i];
        return type;
    }
    info->type = count->type_word;
    return NULL;
}

static bool is_wired(const struct part *part)
{
    for (size_t i = 0; i < part->pin_count; i++)
        if (part->pins[i].wired)
            return true;
    return false;
}

/* A connector to which the chassis deck wires the real thing stands for nothing else: its symbol says connector, or it
 * has none and something else says so. */
static bool is_mere_connector(const struct count *count, enum part_kind kind)
{
    const struct ballot *symbol = NULL, *any = NULL;

    if (!is_wired(count->part))
        return false;
    for (size_t i = 0; i < count->ballot_count; i++) {
        const struct ballot *ballot = &count->ballots[i];

        if (strcmp(ballot->place, "symbol") == 0)
            symbol = ballot;
        if ((ballot->kinds & KIND_BIT(PART_CONNECTOR)) != 0)
            any = ballot;
    }
    if (symbol != NULL)
        return (symbol->kinds & KIND_BIT(PART_CONNECTOR)) != 0;
    return any != NULL && (kind == PART_UNKNOWN || kind == PART_FEED || kind == PART_JACK);
}

static void take_as_connector(const struct recogniser *recogniser, struct part_info *info)
{
    info->kind = PART_CONNECTOR;
    info->doubt = NULL;
    for (size_t i = 0; i < info->witness_count; i++)
        info->witnesses[i].decided = false;
    info->witnesses = arena_grow(recogniser->arena, info->witnesses, &info->witness_capacity, info->witness_count,
                                 sizeof *info->witnesses);
    info->witnesses[info->witness_count++] =
        (struct witness){.kind = "wiring", .text = "the chassis deck wires it", .vote = PART_CONNECTOR, .decided = true};
}

const struct type *witness_decide(const struct recogniser *recogniser, struct part_info *info)
{
    struct count count = {.recogniser = recogniser, .part = info->part};
    const struct type *type;
    bool stated;

    ballots_collect(&count, info);
    stated = count.ballot_count > 0 && count.ballots[0].weight == WEIGHT_KIND_FIELD;
    info->kind = decide(&count, info);
    record(&count, info);
    if (!stated && is_mere_connector(&count, info->kind)) {
        take_as_connector(recogniser, info);
        return NULL;
    }
    type = choose_type(&count, info);
    if (type != NULL && type->kind == PART_INLET)
        info->role = type->role;
    if (info->kind == PART_FEED || (info->kind == PART_CONNECTOR && !stated))
        feed_find(recogniser, info);
    if (info->kind != PART_FEED)
        doubt_weak(&count, info);
    return type;
}
