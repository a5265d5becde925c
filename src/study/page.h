/* What the bench sheet says, block by block, before it is set as text or as HTML. Everything lives in the page's arena. */
#ifndef PREARC_STUDY_PAGE_H
#define PREARC_STUDY_PAGE_H

#include <stddef.h>

struct arena;
struct text;

enum block_kind {
    BLOCK_SECTION, /* label: its anchor; text: its title */
    BLOCK_SAY,     /* a paragraph */
    BLOCK_ALARM,   /* a paragraph that must not be missed */
    BLOCK_STEP,    /* one of numbered steps */
    BLOCK_ITEM,    /* label, text */
    BLOCK_TABLE,
    BLOCK_FIGURE   /* svg for those who see it, text for the others */
};

enum { PAGE_COLUMNS = 8 };

/* Rows of cells; the first row is the head. A cell is never NULL. */
struct page_table {
    size_t columns, rows, capacity;
    const char **cells;
};

struct block {
    enum block_kind kind;
    const char *label, *text, *svg;
    struct page_table table;
    struct block *next;
};

struct page {
    struct arena *arena;
    const char *title;
    struct block *first, **last;
};

struct page page_new(struct arena *arena, const char *title);

void page_section(struct page *page, const char *anchor, const char *title);
void page_say(struct page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));
void page_alarm(struct page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));
void page_step(struct page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));
void page_item(struct page *page, const char *label, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* A table whose head is the first COLUMNS strings of HEAD. */
struct page_table *page_table(struct page *page, const char *const *head, size_t columns);
/* Adds a row of table->columns cells; NULL becomes a dash. */
void page_row(struct page *page, struct page_table *table, const char *const *cells);
/* SVG is a whole element; ALTERNATIVE says in words what it shows, in lines that stay apart. */
void page_figure(struct page *page, const char *svg, const char *alternative);

/* The line that begins at TEXT, copied into ARENA; *NEXT gets where the one after it begins, NULL: there is none. */
const char *page_line(struct arena *arena, const char *text, const char **next);

/* The page at 100 columns. */
void page_as_text(const struct page *page, struct text *out);
/* The page as one HTML document that needs nothing else. */
void page_as_html(const struct page *page, struct text *out);

#endif
