/* The page as text, at 100 columns. */
#include "study/page.h"

#include <stdbool.h>

#include "base/arena.h"
#include "base/text.h"
#include "report/sheet.h"

static void set_table(const struct page *page, const struct sheet *sheet,
                      const struct page_table *table)
{
    struct table_row *rows = arena_array(page->arena, table->rows, sizeof *rows);

    for (size_t row = 0; row < table->rows; row++)
        for (size_t column = 0; column < table->columns && column < SHEET_CELLS; column++)
            rows[row].cells[column] = table->cells[row * table->columns + column];
    sheet_table(sheet, rows, table->rows, table->columns);
}

static void set_lines(const struct page *page, const struct sheet *sheet, const char *text)
{
    while (text != NULL)
        sheet_item(sheet, SHEET_PLAIN, NULL, "%s", page_line(page->arena, text, &text));
}

static void set_block(const struct page *page, const struct sheet *sheet,
                      const struct block *block, size_t step)
{
    switch (block->kind) {
    case BLOCK_SECTION:
        sheet_heading(sheet, block->text);
        break;
    case BLOCK_SAY:
        sheet_item(sheet, SHEET_PLAIN, NULL, "%s", block->text);
        break;
    case BLOCK_ALARM:
        sheet_item(sheet, SHEET_ALARM, "caution", "%s", block->text);
        break;
    case BLOCK_STEP:
        sheet_item(sheet, SHEET_STRONG, arena_print(page->arena, "%zu", step), "%s", block->text);
        break;
    case BLOCK_ITEM:
        sheet_item(sheet, SHEET_STRONG, block->label, "%s", block->text);
        break;
    case BLOCK_TABLE:
        set_table(page, sheet, &block->table);
        break;
    case BLOCK_FIGURE:
        set_lines(page, sheet, block->text);
        break;
    }
}

void page_as_text(const struct page *page, struct text *out)
{
    struct sheet sheet = {.out = out};
    size_t step = 0;

    sheet_item(&sheet, SHEET_STRONG, "bench sheet", "%s", page->title);
    for (const struct block *block = page->first; block != NULL; block = block->next) {
        step = block->kind == BLOCK_STEP ? step + 1 : block->kind == BLOCK_SECTION ? 0 : step;
        set_block(page, &sheet, block, step);
    }
}
