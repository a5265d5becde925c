/* What happens when a part fails: the worst first. */
#include "study/study.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "report/listing.h"
#include "report/view.h"
#include "study/page.h"

/* s until nothing feeds it any more. A fault that comes to nothing is over at once. */
static double over_by(const xmlNode *fault)
{
    double seconds;

    if (view_is(fault, "outcome", "harmless"))
        return 0;
    if (view_number(fault, "cleared-by", &seconds))
        return seconds;
    return view_is(fault, "site", "rail") && view_number(fault, "opens-by", &seconds) ? seconds : INFINITY;
}

static double amps(const xmlNode *fault)
{
    double value;

    return view_number(fault, "amps", &value) ? value : 0;
}

/* Not solved and never cleared, then slowest. */
static int compare(const void *left, const void *right)
{
    const xmlNode *a = *(const xmlNode *const *)left, *b = *(const xmlNode *const *)right;
    double times[] = {over_by(a), over_by(b)};

    if (times[0] != times[1])
        return times[0] > times[1] ? -1 : 1;
    return (amps(a) < amps(b)) - (amps(a) > amps(b));
}

static const char *carriers(const struct study *study, const xmlNode *fault)
{
    struct listing list = {0};
    const char *before = NULL;

    for (const xmlNode *at = view_first(fault, "carrier"); at != NULL; at = view_following(at)) {
        const char *part = view_text(study->arena, at, "part");

        if (part != NULL && (before == NULL || strcmp(part, before) != 0))
            listing_add(&list, part);
        before = part;
    }
    return listing_end(&list, study->arena);
}

/* The fuses that open one after the other; NULL: none must. */
static const char *stages(const struct study *study, const xmlNode *fault)
{
    struct listing list = {0};

    if (view_first(fault, "stage") == NULL)
        return NULL;
    for (const xmlNode *at = view_first(fault, "stage"); at != NULL; at = view_following(at))
        listing_add(&list, view_text(study->arena, at, "fuse"));
    return listing_end(&list, study->arena);
}

/* Those, or the one that the graph names. */
static const char *openers(const struct study *study, const xmlNode *fault)
{
    const char *first = view_text(study->arena, fault, "opened-by");
    const char *all = view_is(fault, "outcome", "cleared") ? stages(study, fault) : NULL;

    return all != NULL ? all : first != NULL ? first : "a fuse";
}

struct worse_words {
    const char *what, *words;
    enum unit unit;
};

static const struct worse_words *words_of(const xmlNode *worse)
{
    static const struct worse_words words[] = {
        {"anode-watts", "anode", UNIT_WATT},       {"bias-volts", "bias", UNIT_VOLT},
        {"supply-volts", "output", UNIT_VOLT},     {"capacitor-volts", "volts", UNIT_VOLT},
        {"stored-volts", "undischarged, volts", UNIT_VOLT}, {"speaker-volts", "direct volts", UNIT_VOLT},
    };
    size_t i = 0;

    while (i + 1 < sizeof words / sizeof *words && !view_is(worse, "what", words[i].what))
        i++;
    return &words[i];
}

/* What else becomes worse: "V4 bias -41 V to 0 V". */
static const char *worse(const struct study *study, const xmlNode *fault)
{
    struct listing list = {0};

    for (const xmlNode *at = view_first(fault, "worse"); at != NULL; at = view_following(at)) {
        double before = 0, after = 0;
        const struct worse_words *words = words_of(at);

        view_number(at, "before", &before);
        view_number(at, "after", &after);
        listing_add(&list, arena_print(study->arena, "%s %s %s to %s", view_text(study->arena, at, "part"), words->words,
                                       study_quantity(study, before, words->unit),
                                       study_quantity(study, after, words->unit)));
    }
    return listing_end(&list, study->arena);
}

static const char *uncleared(const struct study *study, const xmlNode *fault)
{
    const char *fuse = view_text(study->arena, fault, "opened-by");

    if (fuse == NULL)
        fuse = stages(study, fault);
    if (view_is(fault, "limited-by", "dropper"))
        return "no fuse; a resistor limits it";
    if (view_is(fault, "outcome", "unknown"))
        return "not known";
    return fuse != NULL ? arena_print(study->arena, "NOT BY %s ALONE", fuse) : "NOTHING IS SURE TO OPEN";
}

static const char *cleared_by(const struct study *study, const xmlNode *fault)
{
    double seconds = over_by(fault);

    if (!view_is(fault, "solved", "yes"))
        return "not solved";
    if (view_is(fault, "kind", "open"))
        return view_is(fault, "outcome", "harmless") ? "nothing found worse" : "MAKES THINGS WORSE";
    if (view_is(fault, "outcome", "harmless"))
        return "nothing carries much more than in health";
    if (!isfinite(seconds))
        return uncleared(study, fault);
    return arena_print(study->arena, "%s within %s", openers(study, fault), study_seconds(study, seconds));
}

static const char *current(const struct study *study, const xmlNode *fault)
{
    if (view_is(fault, "kind", "open"))
        return "";
    return view_is(fault, "solved", "yes") ? study_quantity(study, amps(fault), UNIT_AMP) : "not known";
}

/* Who carries it, and what becomes worse. */
static const char *victims(const struct study *study, const xmlNode *fault)
{
    const char *others = view_first(fault, "worse") != NULL ? worse(study, fault) : NULL;
    const char *own = view_first(fault, "carrier") != NULL ? carriers(study, fault) : NULL;

    if (own == NULL)
        return others != NULL ? others : "";
    return others != NULL ? arena_print(study->arena, "%s; %s", own, others) : own;
}

static const char *what(const struct study *study, const xmlNode *fault)
{
    const char *words = view_text(study->arena, fault, "what"), *net = view_text(study->arena, fault, "net");
    const char *back = view_text(study->arena, fault, "return");

    if (words != NULL)
        return words;
    return arena_print(study->arena, "%s short to %s", net != NULL ? net : "?", back != NULL ? back : "?");
}

void study_faults(const struct study *study)
{
    static const char *const head[] = {"if this fails", "current, RMS", "cleared by", "carried meanwhile by"};
    size_t count = view_count(study->facts, "fault"), n = 0;
    const xmlNode **faults = arena_array(study->arena, count + 1, sizeof *faults);
    struct page_table *table;

    page_section(study->page, "faults", "What fails next, worst first");
    if (count == 0) {
        page_say(study->page, "No failure was worked out.");
        return;
    }
    for (const xmlNode *at = view_first(study->facts, "fault"); at != NULL; at = view_following(at))
        faults[n++] = at;
    qsort(faults, count, sizeof *faults, compare);
    table = page_table(study->page, head, 4);
    for (size_t i = 0; i < count; i++)
        page_row(study->page, table,
                 (const char *[]){what(study, faults[i]),
                                  current(study, faults[i]), cleared_by(study, faults[i]),
                                  victims(study, faults[i])});
}
