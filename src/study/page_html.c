/* The page as one HTML document: no network, no script; for a phone at the bench, a screen, A4 and Letter paper, by day and
 * by night. What differs in kind differs in shape and words, never in colour alone. */
#include "study/page.h"

#include <stdbool.h>
#include <string.h>

#include "base/text.h"
#include "study/markup.h"

static const char style[] =
    ":root{color-scheme:light dark;--paper:#fbfaf6;--ink:#1d1d1b;--faint:#5c5a54;--line:#bdb8aa;--field:#fff;"
    "--alarm:#7a1410;--alarm-paper:#fdeeea}\n"
    "@media(prefers-color-scheme:dark){:root{--paper:#191a1c;--ink:#ecebe6;--faint:#b3b0a6;--line:#55554f;--field:#232427;"
    "--alarm:#ffb9ae;--alarm-paper:#3a1a17}}\n"
    "*{box-sizing:border-box}\n"
    "body{margin:0 auto;max-width:66rem;padding:1rem;background:var(--paper);color:var(--ink);"
    "font:1rem/1.5 Charter,\"Bitstream Charter\",Georgia,serif;overflow-wrap:anywhere}\n"
    "h1{font-size:1.5rem;line-height:1.25;margin:.2rem 0 1rem}\n"
    "h2{font-size:1.15rem;margin:2rem 0 .6rem;padding-bottom:.2rem;border-bottom:2px solid var(--ink);break-after:avoid}\n"
    "p,ol,dl,table,figure{margin:.6rem 0}\n"
    ".alarm{border:3px double var(--alarm);background:var(--alarm-paper);color:var(--alarm);padding:.7rem .9rem;"
    "font-weight:bold}\n"
    "nav{font-size:.9rem}nav ul{list-style:none;margin:0;padding:0;display:flex;flex-wrap:wrap;gap:.3rem 1rem}\n"
    "a{color:inherit}\n"
    "dl{display:grid;grid-template-columns:minmax(6rem,max-content) 1fr;gap:.3rem 1rem}\n"
    "dt{font-weight:bold;max-width:12rem}dd{margin:0}\n"
    "ol{padding-left:1.6rem}li{margin:.45rem 0;break-inside:avoid}\n"
    "table{border-collapse:collapse;width:100%;font-size:.9rem}\n"
    "th,td{border:1px solid var(--line);padding:.3rem .45rem;text-align:left;vertical-align:top}\n"
    "th,td{overflow-wrap:break-word}.long{overflow-wrap:anywhere}\n"
    "thead th{background:var(--field);border-bottom:2px solid var(--ink)}\n"
    "tr{break-inside:avoid}\n"
    "td.blank{min-width:5rem;background:var(--field)}\n"
    "figure{display:inline-block;width:20.3rem;max-width:100%;margin:.4rem .8rem .4rem 0;vertical-align:top;"
    "break-inside:avoid}\n"
    "figure svg{width:100%;height:auto;display:block;color:var(--ink)}\n"
    "figcaption{font-size:.85rem;color:var(--faint)}figcaption span{display:block;padding-left:1.2em;text-indent:-1.2em}\n"
    "svg text{font-family:\"DejaVu Sans\",Verdana,sans-serif;fill:currentColor}\n"
    "@media(max-width:40rem){dl{display:block}dd{margin:0 0 .5rem}figure{width:100%;margin-right:0}\n"
    "thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}\n"
    "table,tbody,tr,th,td{display:block;width:100%}tr{border:2px solid var(--line);margin:.6rem 0}\n"
    "tbody th,td{border:0;border-bottom:1px solid var(--line);padding-left:8.5rem;position:relative;min-height:2rem}\n"
    "tbody th::before,td::before{content:attr(data-head);position:absolute;left:.45rem;width:7.6rem;font-weight:normal;"
    "color:var(--faint)}}\n"
    "@page{margin:14mm}\n"
    "@media print{:root{--paper:#fff;--ink:#000;--faint:#333;--line:#777;--field:#fff;--alarm:#000;--alarm-paper:#fff}"
    "body{max-width:none;padding:0;font-size:10.5pt}nav{display:none}a{text-decoration:none}"
    "td.blank{min-width:24mm}}\n";

static void add_element(struct text *out, const char *name, const char *text)
{
    text_print(out, "<%s>", name);
    markup_add(out, text);
    text_print(out, "</%s>\n", name);
}

/* A cell that stands for a blank to be written into. */
static bool is_blank(const char *cell)
{
    return cell[0] == '_';
}

/* A word that no column has room for; all others keep whole. */
static bool has_long_word(const char *cell)
{
    size_t run = 0, longest = 0;

    for (const char *c = cell; *c != '\0'; c++) {
        run = *c == ' ' ? 0 : run + 1;
        longest = run > longest ? run : longest;
    }
    return longest > 24;
}

static const char *class_of(const char *cell)
{
    return is_blank(cell) ? " class=\"blank\"" : has_long_word(cell) ? " class=\"long\"" : "";
}

static void add_cell(struct text *out, const struct page_table *table, size_t row, size_t column)
{
    const char *cell = table->cells[row * table->columns + column];
    const char *name = column == 0 ? "th scope=\"row\"" : "td";

    text_print(out, "<%s%s data-head=\"", name, class_of(cell));
    markup_add(out, table->cells[column]);
    text_add(out, "\">");
    markup_add(out, is_blank(cell) ? "" : cell);
    text_add(out, column == 0 ? "</th>" : "</td>");
}

static void add_table(struct text *out, const struct page_table *table)
{
    text_add(out, "<table>\n<thead><tr>");
    for (size_t column = 0; column < table->columns; column++) {
        text_add(out, "<th scope=\"col\">");
        markup_add(out, table->cells[column]);
        text_add(out, "</th>");
    }
    text_add(out, "</tr></thead>\n<tbody>\n");
    for (size_t row = 1; row < table->rows; row++) {
        text_add(out, "<tr>");
        for (size_t column = 0; column < table->columns; column++)
            add_cell(out, table, row, column);
        text_add(out, "</tr>\n");
    }
    text_add(out, "</tbody>\n</table>\n");
}

/* The element that blocks of KIND stand in together; NULL: none. */
static const char *list_of(enum block_kind kind)
{
    return kind == BLOCK_STEP ? "ol" : kind == BLOCK_ITEM ? "dl" : NULL;
}

static void add_lines(struct text *out, struct arena *arena, const char *text)
{
    while (text != NULL) {
        text_add(out, "<span>");
        markup_add(out, page_line(arena, text, &text));
        text_add(out, "</span>");
    }
}

static void add_block(const struct page *page, struct text *out, const struct block *block)
{
    switch (block->kind) {
    case BLOCK_SECTION:
        text_print(out, "</section>\n<section id=\"%s\" aria-labelledby=\"%s-title\">\n<h2 id=\"%s-title\">",
                   block->label, block->label, block->label);
        markup_add(out, block->text);
        text_add(out, "</h2>\n");
        break;
    case BLOCK_SAY:
        add_element(out, "p", block->text);
        break;
    case BLOCK_ALARM:
        text_add(out, "<p class=\"alarm\">");
        markup_add(out, block->text);
        text_add(out, "</p>\n");
        break;
    case BLOCK_STEP:
        add_element(out, "li", block->text);
        break;
    case BLOCK_ITEM:
        add_element(out, "dt", block->label);
        add_element(out, "dd", block->text);
        break;
    case BLOCK_TABLE:
        add_table(out, &block->table);
        break;
    case BLOCK_FIGURE:
        text_print(out, "<figure>%s<figcaption>", block->svg);
        add_lines(out, page->arena, block->text);
        text_add(out, "</figcaption></figure>\n");
        break;
    }
}

static void add_contents(const struct page *page, struct text *out)
{
    text_add(out, "<nav aria-label=\"On this sheet\"><ul>\n");
    for (const struct block *block = page->first; block != NULL; block = block->next)
        if (block->kind == BLOCK_SECTION) {
            text_print(out, "<li><a href=\"#%s\">", block->label);
            markup_add(out, block->text);
            text_add(out, "</a></li>\n");
        }
    text_add(out, "</ul></nav>\n");
}

static void add_head(const struct page *page, struct text *out)
{
    text_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                  "<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n"
                  "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                  "style-src 'unsafe-inline'; img-src data:\">\n"
                  "<link rel=\"icon\" href=\"data:,\">\n<title>");
    markup_add(out, page->title);
    text_print(out, "</title>\n<style>\n%s</style>\n</head>\n<body>\n<main>\n<section>\n<h1>", style);
    markup_add(out, page->title);
    text_add(out, "</h1>\n");
}

void page_as_html(const struct page *page, struct text *out)
{
    const char *list = NULL;
    bool contents = false;

    add_head(page, out);
    for (const struct block *block = page->first; block != NULL; block = block->next) {
        const char *wanted = list_of(block->kind);

        if (list != NULL && list != wanted)
            text_print(out, "</%s>\n", list);
        if (wanted != NULL && list != wanted)
            text_print(out, "<%s>\n", wanted);
        list = wanted;
        if (block->kind == BLOCK_SECTION && !contents)
            add_contents(page, out);
        contents |= block->kind == BLOCK_SECTION;
        add_block(page, out, block);
    }
    if (list != NULL)
        text_print(out, "</%s>\n", list);
    text_add(out, "</section>\n</main>\n</body>\n</html>\n");
}
