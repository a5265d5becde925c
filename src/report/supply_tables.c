/* The fuses and the rails, a table each. */
#include "report/section.h"

#include <math.h>
#include <string.h>

#include "base/arena.h"
#include "base/map.h"
#include "report/view.h"
#include "report/listing.h"
#include "report/sheet.h"

static const char *or_dash(const char *text)
{
    return text != NULL ? text : "-";
}

static const char *place_of(struct arena *arena, const xmlNode *fuse)
{
    const char *place = view_text(arena, fuse, "place");
    const char *side = view_text(arena, fuse, "placement");

    if (place != NULL && side != NULL)
        return arena_print(arena, "%s, %s", place, side);
    return place != NULL ? place : or_dash(side);
}

static const char *unchecked_words(struct arena *arena, const xmlNode *fuse)
{
    const char *unchecked = view_text(arena, fuse, "recommended-unchecked");
    bool full = strstr(unchecked, "full-signal") != NULL, pulse = strstr(unchecked, "switch-on") != NULL;

    return full && pulse ? "full signal, switch-on" : full ? "full signal" : "switch-on";
}

/* What should be in its holder; where no single fuse does, why. */
static const char *right_marking(struct arena *arena, const xmlNode *fuse)
{
    const char *marking = view_text(arena, fuse, "recommended");
    const char *reason = view_text(arena, fuse, "no-recommendation");

    if (marking != NULL && view_text(arena, fuse, "recommended-unchecked") != NULL)
        return arena_print(arena, "%s or larger (%s not known)", marking, unchecked_words(arena, fuse));
    if (marking != NULL)
        return marking;
    return reason != NULL ? "none: see below" : "?";
}

/* RMS; where there is no output stage, or its full signal was not found, there is none to tell. */
static const char *full_signal(struct arena *arena, const xmlNode *fuse)
{
    double amps;

    return view_number(fuse, "full-amps", &amps)
               ? view_quantity(arena, fuse, "full-amps", UNIT_AMP) : "-";
}

/* As drawn; with what is in the holder, if that is known. */
static const char *marking_words(struct arena *arena, const xmlNode *fuse)
{
    const char *drawn = view_text(arena, fuse, "marking"), *fitted = view_text(arena, fuse, "fitted");

    if (fitted == NULL)
        return drawn != NULL ? drawn : "none drawn";
    return arena_print(arena, "fitted %s, drawn %s", fitted, drawn != NULL ? drawn : "none");
}

static struct table_row fuse_row(const struct section_input *input, const struct map *rails,
                                 const xmlNode *fuse)
{
    struct arena *arena = input->arena;

    return (struct table_row){{
        or_dash(view_text(arena, fuse, "ref")),
        place_of(arena, fuse),
        marking_words(arena, fuse),
        view_quantity(arena, fuse, "idle-amps", UNIT_AMP),
        full_signal(arena, fuse),
        view_quantity(arena, fuse, "opening-amps", UNIT_AMP),
        right_marking(arena, fuse),
        section_protects(input, rails, fuse),
    }};
}

/* Fuses that have no fuse element: nothing of them is known but that they are there. */
static size_t add_lost_rows(const struct section_input *input, struct table_row *rows)
{
    struct map *refs = view_map(input->arena, input->facts, "fuse", "ref");
    size_t at = 0;

    for (const xmlNode *part = view_first(input->facts, "part"); part != NULL;
         part = view_following(part))
        if (view_is_lost_fuse(part, refs))
            rows[at++] = (struct table_row){{view_text(input->arena, part, "ref"),
                                             "in no current path", "?", "?", "?", "?", "?",
                                             "not checked"}};
    map_free(refs);
    return at;
}

/* Under the table: what keeps a fuse from having a right marking, and what would help. */
static void say_why_none(const struct section_input *input)
{
    for (const xmlNode *fuse = view_first(input->facts, "fuse"); fuse != NULL; fuse = view_following(fuse)) {
        const char *reason = view_text(input->arena, fuse, "no-recommendation");

        if (reason != NULL)
            sheet_item(input->sheet, SHEET_STRONG, or_dash(view_text(input->arena, fuse, "ref")),
                       "no right marking, %s: %s", reason, or_dash(view_text(input->arena, fuse, "recommended-why")));
    }
}

/* Whether any fuse's current at full signal is known: else its column is left out. */
static bool any_full_signal(const xmlNode *facts)
{
    double amps;

    for (const xmlNode *fuse = view_first(facts, "fuse"); fuse != NULL; fuse = view_following(fuse))
        if (view_number(fuse, "full-amps", &amps))
            return true;
    return false;
}

enum { FUSE_COLUMNS = 8, FULL_SIGNAL_COLUMN = 4 };

static void leave_out_full_signal(struct table_row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++)
        memmove(&rows[i].cells[FULL_SIGNAL_COLUMN], &rows[i].cells[FULL_SIGNAL_COLUMN + 1],
                (FUSE_COLUMNS - FULL_SIGNAL_COLUMN - 1) * sizeof *rows[i].cells);
}

static const char *share_words(struct arena *arena, const xmlNode *fuse)
{
    double share;

    return view_number(fuse, "switch-on-share", &share)
               ? arena_print(arena, "%.0f %%", 100 * share)
               : "?";
}

/* "10000 switchings", at most where a load is not known and not in the pulse; what the melting I2t is not known of is good for an unknown number. */
static const char *count_words(struct arena *arena, const xmlNode *fuse)
{
    double count;

    if (!view_number(fuse, "switch-on-count", &count) ||
        (count < 1e5 && view_is(fuse, "switch-on-i2t-printed", "no")))
        return "?";
    if (count < 1)
        return "not one switching";
    return arena_print(arena, "%s%.0f switching%s", view_text(arena, fuse, "unknown-loads") != NULL ? "at most " : "", count,
                       count > 1 ? "s" : "");
}

/* What the fuses carry at switch-on; ROWS has room for all of them and a head. */
static void add_switch_on(const struct section_input *input, struct table_row *rows)
{
    struct arena *arena = input->arena;
    size_t count = 0;

    rows[count++] = (struct table_row){{"fuse", "switch", "peak", "I2t, A2s", "within", "melts at, A2s",
                                        "share", "good for"}};
    for (const xmlNode *fuse = view_first(input->facts, "fuse"); fuse != NULL;
         fuse = view_following(fuse))
        if (view_text(arena, fuse, "switch-on-i2t") != NULL)
            rows[count++] = (struct table_row){{
                or_dash(view_text(arena, fuse, "ref")),
                or_dash(view_text(arena, fuse, "switch-on-event")),
                view_quantity(arena, fuse, "switch-on-peak-amps", UNIT_AMP),
                or_dash(view_text(arena, fuse, "switch-on-i2t")),
                view_quantity(arena, fuse, "switch-on-seconds", UNIT_SECOND),
                or_dash(view_text(arena, fuse, "switch-on-stands-i2t")),
                share_words(arena, fuse),
                count_words(arena, fuse),
            }};
    if (count == 1)
        return;
    sheet_heading(input->sheet, "FUSES AT SWITCH-ON");
    sheet_table(input->sheet, rows, count, 8);
}

void section_fuses(const struct section_input *input)
{
    size_t count = view_fuse_count(input->facts), at = 0;
    struct table_row *rows = arena_array(input->arena, count + 1, sizeof *rows);
    struct map *rails;

    if (input->facts == NULL)
        return;
    sheet_heading(input->sheet, "FUSES");
    if (count == 0) {
        sheet_item(input->sheet, SHEET_STRONG, "none", "no fuse was found in this netlist");
        return;
    }
    rails = view_map(input->arena, input->facts, "rail", "id");
    rows[at++] = (struct table_row){{"fuse", "where", "marking", "idle RMS",
                                     "full signal", "sure to open at", "right marking", "protects"}};
    for (const xmlNode *fuse = view_first(input->facts, "fuse"); fuse != NULL;
         fuse = view_following(fuse))
        rows[at++] = fuse_row(input, rails, fuse);
    map_free(rails);
    at += add_lost_rows(input, rows + at);
    if (!any_full_signal(input->facts))
        leave_out_full_signal(rows, at);
    sheet_table(input->sheet, rows, at,
                any_full_signal(input->facts) ? FUSE_COLUMNS : FUSE_COLUMNS - 1);
    say_why_none(input);
    add_switch_on(input, rows);
}

static const char *cover_key(struct arena *arena, const char *rail, const char *net)
{
    return arena_print(arena, "%s\n%s", rail != NULL ? rail : "", net != NULL ? net : "");
}

/* The fuses that protect one net of one rail. */
struct shield {
    struct listing list;
    const char *fuses;
    struct shield *next;
};

static void add_shield(struct map *shields, struct shield **last, struct arena *arena,
                       const char *key, const char *fuse)
{
    struct shield *shield = map_get(shields, key);

    if (shield == NULL) {
        shield = arena_alloc(arena, sizeof *shield);
        shield->next = *last;
        *last = shield;
        map_add(shields, key, shield);
    }
    listing_add(&shield->list, fuse);
}

static const char *shield_name(struct arena *arena, const xmlNode *fuse, const xmlNode *protects)
{
    const char *ref = or_dash(view_text(arena, fuse, "ref"));

    return view_is(protects, "upstream", "yes")
               ? arena_print(arena, "%s upstream", ref) : ref;
}

/* Adds what every fuse protects from its own place, or from before the transformer (UPSTREAM). */
static void add_shields(const struct section_input *input, struct map *shields,
                        struct shield **last, bool upstream)
{
    struct arena *arena = input->arena;

    for (const xmlNode *fuse = view_first(input->facts, "fuse"); fuse != NULL;
         fuse = view_following(fuse))
        for (const xmlNode *at = view_first(fuse, "protects"); at != NULL; at = view_following(at))
            if (view_is(at, "upstream", "yes") == upstream)
                add_shield(shields, last, arena,
                           cover_key(arena, view_text(arena, at, "rail"),
                                     view_text(arena, at, "net")),
                           shield_name(arena, fuse, at));
}

/* Shields by cover_key; a rail's own fuses are named first. */
static struct map *map_shields(const struct section_input *input)
{
    struct map *shields = map_new();
    struct shield *last = NULL;

    add_shields(input, shields, &last, false);
    add_shields(input, shields, &last, true);
    for (; last != NULL; last = last->next)
        last->fuses = listing_end(&last->list, input->arena);
    return shields;
}

static const char *protection_words(const char *protection)
{
    static const char *const words[][2] = {
        {"own", "fuse of its own"},
        {"partial", "on one half-cycle only"},
        {"upstream", "none of its own"},
        {"none", "no fuse"},
    };

    for (size_t i = 0; protection != NULL && i < sizeof words / sizeof *words; i++)
        if (strcmp(protection, words[i][0]) == 0)
            return words[i][1];
    return "not known";
}

static const char *protection(const struct section_input *input, const struct map *shields,
                              const xmlNode *rail, const xmlNode *node)
{
    struct arena *arena = input->arena;
    const char *words = protection_words(view_text(arena, node, "protection"));
    const struct shield *shield = map_get(
        shields, cover_key(arena, view_text(arena, rail, "id"), view_text(arena, node, "net")));

    return shield != NULL ? arena_print(arena, "%s: %s", words, shield->fuses) : words;
}

static const char *stored(struct arena *arena, const xmlNode *node)
{
    double joules;

    return view_number(node, "joules", &joules) ? arena_print(arena, "%.3g J", joules) : "-";
}

/* What the rails' rows are made with. */
struct lookups {
    struct map *shields; /* by cover_key */
    struct map *nets;    /* net elements by name */
};

/* The volts of a node; RMS if its net's RMS is more than a tenth above the mean: then it is AC. */
static const char *node_volts(struct arena *arena, const struct map *nets, const xmlNode *node)
{
    const char *name = view_text(arena, node, "net");
    const xmlNode *net = name != NULL ? map_get(nets, name) : NULL;
    double mean, rms;

    if (view_number(net, "volts", &mean) && view_number(net, "rms-volts", &rms) &&
        rms > 1.1 * fabs(mean) && rms > 0.1)
        return arena_print(arena, "%s AC", view_quantity(arena, net, "rms-volts", UNIT_VOLT));
    return view_quantity(arena, node, "volts", UNIT_VOLT);
}

static struct table_row node_row(const struct section_input *input, const struct lookups *lookups,
                                 const xmlNode *rail, const xmlNode *node, bool first)
{
    struct arena *arena = input->arena;
    const char *name = view_text(arena, rail, "name");

    return (struct table_row){{
        first ? or_dash(name != NULL ? name : view_text(arena, rail, "id")) : NULL,
        first ? view_quantity(arena, rail, "amps", UNIT_AMP) : NULL,
        first ? view_quantity(arena, rail, "ripple-volts", UNIT_VOLT) : NULL,
        or_dash(view_text(arena, node, "net")),
        node_volts(arena, lookups->nets, node),
        stored(arena, node),
        protection(input, lookups->shields, rail, node),
    }};
}

static struct table_row bare_rail_row(const struct section_input *input, const xmlNode *rail)
{
    struct arena *arena = input->arena;
    const char *name = view_text(arena, rail, "name");

    return (struct table_row){{
        or_dash(name != NULL ? name : view_text(arena, rail, "id")),
        view_quantity(arena, rail, "amps", UNIT_AMP),
        view_quantity(arena, rail, "ripple-volts", UNIT_VOLT),
        "-", view_quantity(arena, rail, "volts", UNIT_VOLT), "-", "not known",
    }};
}

static size_t count_rows(const xmlNode *facts)
{
    size_t count = 1;

    for (const xmlNode *rail = view_first(facts, "rail"); rail != NULL; rail = view_following(rail))
        count += view_count(rail, "node") + 1;
    return count;
}

static size_t add_rail_rows(const struct section_input *input, const struct lookups *lookups,
                            const xmlNode *rail, struct table_row *rows)
{
    const xmlNode *first = view_first(rail, "node");
    size_t at = 0;

    if (first == NULL)
        rows[at++] = bare_rail_row(input, rail);
    for (const xmlNode *node = first; node != NULL; node = view_following(node))
        rows[at++] = node_row(input, lookups, rail, node, node == first);
    return at;
}

void section_rails(const struct section_input *input)
{
    struct table_row *rows = arena_array(input->arena, count_rows(input->facts), sizeof *rows);
    struct lookups lookups;
    size_t at = 0;

    if (view_count(input->facts, "rail") == 0)
        return;
    lookups = (struct lookups){.shields = map_shields(input), .nets = view_map(input->arena, input->facts, "net", "name")};
    rows[at++] = (struct table_row){{"rail", "current", "ripple", "node", "to ground", "stores",
                                     "protection"}};
    for (const xmlNode *rail = view_first(input->facts, "rail"); rail != NULL;
         rail = view_following(rail))
        at += add_rail_rows(input, &lookups, rail, rows + at);
    sheet_heading(input->sheet, "RAILS");
    sheet_table(input->sheet, rows, at, 7);
    map_free(lookups.shields);
    map_free(lookups.nets);
}
