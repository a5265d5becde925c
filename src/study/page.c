#include "study/page.h"

#include <stdarg.h>
#include <string.h>

#include "base/arena.h"

struct page page_new(struct arena *arena, const char *title)
{
    return (struct page){.arena = arena, .title = title};
}

static struct block *add(struct page *page, enum block_kind kind, const char *label,
                         const char *text)
{
    struct block *block = arena_alloc(page->arena, sizeof *block);

    *block = (struct block){.kind = kind, .label = label, .text = text};
    if (page->last == NULL)
        page->first = block;
    else
        *page->last = block;
    page->last = &block->next;
    return block;
}

void page_section(struct page *page, const char *anchor, const char *title)
{
    add(page, BLOCK_SECTION, anchor, title);
}

static void add_printed(struct page *page, enum block_kind kind, const char *label,
                        const char *format, va_list args)
{
    add(page, kind, label, arena_vprint(page->arena, format, args));
}

void page_say(struct page *page, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    add_printed(page, BLOCK_SAY, NULL, format, args);
    va_end(args);
}

void page_alarm(struct page *page, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    add_printed(page, BLOCK_ALARM, NULL, format, args);
    va_end(args);
}

void page_step(struct page *page, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    add_printed(page, BLOCK_STEP, NULL, format, args);
    va_end(args);
}

void page_item(struct page *page, const char *label, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    add_printed(page, BLOCK_ITEM, label, format, args);
    va_end(args);
}

struct page_table *page_table(struct page *page, const char *const *head, size_t columns)
{
    struct page_table *table = &add(page, BLOCK_TABLE, NULL, NULL)->table;

    table->columns = columns;
    page_row(page, table, head);
    return table;
}

void page_row(struct page *page, struct page_table *table, const char *const *cells)
{
    size_t at = table->rows++ * table->columns;

    for (size_t i = 0; i < table->columns; i++) {
        table->cells = arena_grow(page->arena, table->cells, &table->capacity, at + i,
                                  sizeof *table->cells);
        table->cells[at + i] = cells[i] != NULL ? cells[i] : "-";
    }
}

void page_figure(struct page *page, const char *svg, const char *alternative)
{
    add(page, BLOCK_FIGURE, NULL, alternative)->svg = svg;
}

const char *page_line(struct arena *arena, const char *text, const char **next)
{
    const char *end = strchr(text, '\n');

    *next = end != NULL ? end + 1 : NULL;
    return end != NULL ? arena_copy_span(arena, text, (size_t)(end - text)) : text;
}
