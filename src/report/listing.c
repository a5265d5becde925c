#include "report/listing.h"

#include "base/arena.h"

void listing_add(struct listing *list, const char *name)
{
    if (list->count++ >= LISTING_LONGEST)
        return;
    if (list->count > 1)
        text_add(&list->text, list->join != NULL ? list->join : ", ");
    text_add(&list->text, name);
}

const char *listing_end(struct listing *list, struct arena *arena)
{
    const char *copy = NULL;

    if (list->count > LISTING_LONGEST)
        text_print(&list->text, " and %zu more", list->count - LISTING_LONGEST);
    if (list->count > 0)
        copy = arena_copy(arena, text_bytes(&list->text));
    text_free(&list->text);
    list->count = 0;
    return copy;
}

const char *listing_plural(size_t count)
{
    return count == 1 ? "" : "s";
}
