#include "report/glyph.h"

#include <string.h>

#include "base/text.h"

struct span {
    uint32_t first, last;
};

/* Control codes, and what Unicode calls bidirectional controls, zero-width and other invisible
 * characters (Unicode Standard Annex 9; general categories Cc, Cf, Zl, Zp, private use and tags;
 * ranges from memory). */
static const struct span harmful[] = {
    {0x0000, 0x001F}, {0x007F, 0x009F}, {0x00AD, 0x00AD}, {0x034F, 0x034F}, {0x0600, 0x0605},
    {0x061C, 0x061C}, {0x06DD, 0x06DD}, {0x070F, 0x070F}, {0x115F, 0x1160}, {0x17B4, 0x17B5},
    {0x180B, 0x180F}, {0x200B, 0x200F}, {0x2028, 0x202E}, {0x2060, 0x206F}, {0x3164, 0x3164},
    {0xD800, 0xF8FF}, {0xFE00, 0xFE0F}, {0xFEFF, 0xFEFF}, {0xFFA0, 0xFFA0}, {0xFFF0, 0xFFFB},
    {0xFFFE, 0xFFFF}, {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A}, {0xE0000, 0x10FFFF},
};

/* Combining marks in the blocks of that name: no columns of their own. */
static const struct span combining[] = {
    {0x0300, 0x036F}, {0x0483, 0x0489}, {0x1AB0, 0x1AFF}, {0x1DC0, 0x1DFF}, {0x20D0, 0x20FF},
    {0xFE20, 0xFE2F},
};

/* Two columns wide (Unicode Standard Annex 11, classes W and F, by block, from memory). */
static const struct span wide[] = {
    {0x1100, 0x115F}, {0x2E80, 0x303E}, {0x3041, 0xA4CF}, {0xAC00, 0xD7A3}, {0xF900, 0xFAFF},
    {0xFE30, 0xFE6F}, {0xFF00, 0xFF60}, {0xFFE0, 0xFFE6}, {0x1F300, 0x1FAFF}, {0x20000, 0x3FFFD},
};

static bool within(const struct span *spans, size_t count, uint32_t code)
{
    for (size_t i = 0; i < count; i++)
        if (code >= spans[i].first && code <= spans[i].last)
            return true;
    return false;
}

/* Bytes of the sequence that LEAD starts, its payload bits in *CODE; 0 if it starts none. */
static size_t start_sequence(unsigned char lead, uint32_t *code)
{
    if (lead >= 0xC2 && lead <= 0xDF) {
        *code = lead & 0x1F;
        return 2;
    }
    if (lead >= 0xE0 && lead <= 0xEF) {
        *code = lead & 0x0F;
        return 3;
    }
    if (lead >= 0xF0 && lead <= 0xF4) {
        *code = lead & 0x07;
        return 4;
    }
    *code = lead;
    return lead < 0x80 ? 1 : 0;
}

static bool is_scalar(uint32_t code, size_t length)
{
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};

    return code >= least[length] && code <= 0x10FFFF && (code < 0xD800 || code > 0xDFFF);
}

bool glyph_next(const char **at, const char *limit, struct glyph *glyph)
{
    const unsigned char *bytes = (const unsigned char *)*at;
    size_t length, left = (size_t)(limit - *at);
    uint32_t code;

    if (left == 0)
        return false;
    length = start_sequence(bytes[0], &code);
    for (size_t i = 1; i < length && length <= left; i++) {
        if ((bytes[i] & 0xC0) != 0x80)
            length = 0;
        else
            code = code << 6 | (bytes[i] & 0x3F);
    }
    glyph->valid = length > 0 && length <= left && is_scalar(code, length);
    glyph->bytes = *at;
    glyph->length = glyph->valid ? length : 1;
    glyph->code = glyph->valid ? code : bytes[0];
    *at += glyph->length;
    return true;
}

unsigned glyph_columns(const struct glyph *glyph)
{
    if (glyph->valid && within(combining, sizeof combining / sizeof *combining, glyph->code))
        return 0;
    return glyph->valid && within(wide, sizeof wide / sizeof *wide, glyph->code) ? 2 : 1;
}

size_t glyph_width(const char *string, size_t length)
{
    const char *at = string, *limit = string + length;
    struct glyph glyph;
    size_t columns = 0;

    while (glyph_next(&at, limit, &glyph))
        columns += glyph_columns(&glyph);
    return columns;
}

static void add_plain(struct text *out, const struct glyph *glyph)
{
    if (!glyph->valid)
        text_print(out, "<0x%02X>", (unsigned)glyph->code);
    else if (glyph->code == '\t' || glyph->code == '\n' || glyph->code == '\r')
        text_add_char(out, ' ');
    else if (within(harmful, sizeof harmful / sizeof *harmful, glyph->code))
        text_print(out, "<U+%04X>", (unsigned)glyph->code);
    else
        text_add_span(out, glyph->bytes, glyph->length);
}

void glyph_add_plain(struct text *out, const char *bytes, size_t length)
{
    const char *at = bytes, *limit = bytes + length;
    struct glyph glyph;

    while (glyph_next(&at, limit, &glyph))
        add_plain(out, &glyph);
}
