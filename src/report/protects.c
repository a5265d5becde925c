/* What a fuse protects, in words. */
#include "report/section.h"

#include "base/arena.h"
#include "base/map.h"
#include "report/listing.h"
#include "report/view.h"

static bool is_node(const xmlNode *rail, const char *net)
{
    for (const xmlNode *at = rail != NULL ? view_first(rail, "node") : NULL; at != NULL;
         at = view_following(at))
        if (view_is(at, "net", net))
            return true;
    return false;
}

/* What one fuse protects of one rail: its nodes, and nets that hang on them (anodes, screens), which are only
 * named where none of the nodes is covered. */
struct protected {
    const char *rail; /* its id, or "" */
    const xmlNode *element; /* NULL: not among the facts */
    bool upstream;    /* from before the transformer */
    size_t full, partial; /* nodes covered on both half-cycles, on one only */
    struct listing nodes, others;
    struct protected *next;
};

struct protecting {
    const struct section_input *input;
    const struct map *rails; /* elements by id */
    struct map *by_rail;     /* struct protected by side and rail */
};

/* The entry of a rail and a side; *MADE tells whether it is new. */
static struct protected *entry_for(const struct protecting *protecting, const char *rail, bool upstream,
                                   bool *made)
{
    const char *key = arena_print(protecting->input->arena, "%d%s", upstream, rail);
    struct protected *entry = map_get(protecting->by_rail, key);

    *made = entry == NULL;
    if (entry != NULL)
        return entry;
    entry = arena_alloc(protecting->input->arena, sizeof *entry);
    *entry = (struct protected){.rail = rail, .element = map_get(protecting->rails, rail),
                                .upstream = upstream};
    map_add(protecting->by_rail, key, entry);
    return entry;
}

/* Adds a net to the entry of its rail; returns the entry if it is new, else NULL. */
static struct protected *add_protected(const struct protecting *protecting, const xmlNode *protects)
{
    const struct section_input *input = protecting->input;
    const char *rail = view_text(input->arena, protects, "rail");
    const char *net = view_text(input->arena, protects, "net"), *said;
    bool partial = view_is(protects, "coverage", "partial"), made;
    struct protected *entry = entry_for(protecting, rail != NULL ? rail : "",
                                        view_is(protects, "upstream", "yes"), &made);

    net = net != NULL ? net : "-";
    said = partial ? arena_print(input->arena, "%s (one half-cycle only)", net) : net;
    if (is_node(entry->element, net)) {
        *(partial ? &entry->partial : &entry->full) += 1;
        listing_add(&entry->nodes, said);
    } else {
        listing_add(&entry->others, said);
    }
    return made ? entry : NULL;
}

/* "all of HT", "all of HT on one half-cycle only" or "of HT: a, b". */
static const char *entry_words(const struct section_input *input, struct protected *entry)
{
    const char *nodes = listing_end(&entry->nodes, input->arena);
    const char *others = listing_end(&entry->others, input->arena);
    const char *from = entry->upstream ? " from upstream" : "", *name;
    size_t count = entry->element != NULL ? view_count(entry->element, "node") : 0;

    if (entry->element == NULL)
        return nodes != NULL ? nodes : others;
    name = view_text(input->arena, entry->element, "name");
    if (name == NULL)
        name = entry->rail;
    if (count > 0 && entry->full == count)
        return arena_print(input->arena, "all of %s%s", name, from);
    if (count > 0 && entry->partial == count)
        return arena_print(input->arena, "all of %s%s, on one half-cycle only", name, from);
    return arena_print(input->arena, "of %s%s: %s", name, from, nodes != NULL ? nodes : others);
}

static const char *protected_words(const struct section_input *input, struct protected *first)
{
    struct listing rails = {.join = "; "};

    for (struct protected *at = first; at != NULL; at = at->next)
        listing_add(&rails, entry_words(input, at));
    return listing_end(&rails, input->arena);
}

const char *section_protects(const struct section_input *input, const struct map *rails, const xmlNode *fuse)
{
    struct protecting protecting = {.input = input, .rails = rails, .by_rail = map_new()};
    struct protected *first = NULL, **last = &first;
    const char *text;

    for (const xmlNode *at = view_first(fuse, "protects"); at != NULL; at = view_following(at)) {
        struct protected *made = add_protected(&protecting, at);

        if (made != NULL) {
            *last = made;
            last = &made->next;
        }
    }
    map_free(protecting.by_rail);
    text = protected_words(input, first);
    return text != NULL ? text : "nothing traced";
}
