#include "base/arena.h"
#include "circuit/circuit.h"
#include "parts/recogniser.h"
#include "parts/wording.h"

static void add_witness(const struct recogniser *recogniser, struct part_info *info,
                        const char *place, const char *text, enum part_kind vote)
{
    for (size_t i = 0; i < info->witness_count; i++)
        info->witnesses[i].decided = false;
    info->witnesses = arena_grow(recogniser->arena, info->witnesses, &info->witness_capacity,
                                 info->witness_count, sizeof *info->witnesses);
    info->witnesses[info->witness_count++] =
        (struct witness){.kind = place, .text = text, .vote = vote, .decided = true};
}

/* The feed that TEXT speaks of; NULL if it speaks of none. */
static const struct word *feed_word(const struct recogniser *recogniser, const char *text)
{
    struct wording wording;

    wording_start(&wording, text);
    return wording_first(recogniser->library, WORD_FEED, &wording);
}

const char *feed_role(const struct recogniser *recogniser, const char *text)
{
    const struct word *word = text != NULL ? feed_word(recogniser, text) : NULL;

    return word != NULL && word->first == PART_FEED ? word->role : NULL;
}

/* A connector whose value, reference or nets speak of a feed stands for that feed, unless it is told what
 * is drawn from it. */
bool feed_find(const struct recogniser *recogniser, struct part_info *info)
{
    const struct part *part = info->part;
    const struct word *word = part->value != NULL ? feed_word(recogniser, part->value) : NULL;
    const char *place = "value", *text = part->value;

    if (part_field(part, "load") != NULL)
        return false;
    if (word == NULL) {
        word = feed_word(recogniser, part->own_ref);
        place = "reference";
        text = part->own_ref;
    }
    for (size_t i = 0; word == NULL && i < part->pin_count; i++) {
        if (part->pins[i].net == NULL)
            continue;
        place = "net";
        text = part->pins[i].net->leaf;
        word = feed_word(recogniser, text);
    }
    if (word == NULL || word->first != PART_FEED)
        return false;
    info->kind = PART_FEED;
    info->role = word->role;
    add_witness(recogniser, info, place, text, PART_FEED);
    return true;
}
