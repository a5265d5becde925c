#include "base/source.h"

#include <errno.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/arena.h"
#include "base/diag.h"
#include "base/text.h"

/* The length of the UTF-8 sequence at BYTES (1 to 4), 0 if it is not valid (RFC 3629). */
static size_t sequence_length(const unsigned char *bytes, size_t left)
{
    size_t length;

    if (bytes[0] < 0x80)
        return 1;
    if (bytes[0] < 0xC2 || bytes[0] > 0xF4)
        return 0;
    length = bytes[0] < 0xE0 ? 2 : bytes[0] < 0xF0 ? 3 : 4;
    if (length > left)
        return 0;
    for (size_t i = 1; i < length; i++)
        if ((bytes[i] & 0xC0) != 0x80)
            return 0;
    if ((bytes[0] == 0xE0 && bytes[1] < 0xA0) || (bytes[0] == 0xED && bytes[1] > 0x9F) ||
        (bytes[0] == 0xF0 && bytes[1] < 0x90) || (bytes[0] == 0xF4 && bytes[1] > 0x8F))
        return 0;
    return length;
}

static bool is_utf8(const char *bytes, size_t length)
{
    for (size_t i = 0; i < length;) {
        size_t step = sequence_length((const unsigned char *)bytes + i, length - i);

        if (step == 0)
            return false;
        i += step;
    }
    return true;
}

static void add_character(struct text *text, uint32_t c)
{
    if (c < 0x80) {
        text_add_char(text, (char)c);
    } else if (c < 0x800) {
        text_add_char(text, (char)(0xC0 | c >> 6));
        text_add_char(text, (char)(0x80 | (c & 0x3F)));
    } else if (c < 0x10000) {
        text_add_char(text, (char)(0xE0 | c >> 12));
        text_add_char(text, (char)(0x80 | (c >> 6 & 0x3F)));
        text_add_char(text, (char)(0x80 | (c & 0x3F)));
    } else {
        text_add_char(text, (char)(0xF0 | c >> 18));
        text_add_char(text, (char)(0x80 | (c >> 12 & 0x3F)));
        text_add_char(text, (char)(0x80 | (c >> 6 & 0x3F)));
        text_add_char(text, (char)(0x80 | (c & 0x3F)));
    }
}

/* UTF-16 to UTF-8; LOW is the offset of the low byte in each pair. A lone surrogate becomes U+FFFD. */
static void decode_utf16(struct text *text, const unsigned char *bytes, size_t length, size_t low)
{
    for (size_t i = 0; i + 1 < length; i += 2) {
        uint32_t c = (uint32_t)(bytes[i + low] | bytes[i + 1 - low] << 8);

        if (c >= 0xD800 && c < 0xDC00 && i + 3 < length) {
            uint32_t d = (uint32_t)(bytes[i + 2 + low] | bytes[i + 3 - low] << 8);

            if (d >= 0xDC00 && d < 0xE000) {
                add_character(text, 0x10000 + ((c - 0xD800) << 10) + (d - 0xDC00));
                i += 2;
                continue;
            }
        }
        add_character(text, c >= 0xD800 && c < 0xE000 ? 0xFFFD : c);
    }
}

static void decode_latin1(struct text *text, const unsigned char *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++)
        add_character(text, bytes[i]);
}

/* Offset of the low byte if the bytes look like UTF-16 without a mark: of the first 64 pairs nearly
 * all have NUL in the same half. -1 otherwise. */
static int guess_utf16(const unsigned char *bytes, size_t length)
{
    size_t pairs = length / 2 < 64 ? length / 2 : 64, even = 0, odd = 0;

    if (pairs < 4)
        return -1;
    for (size_t i = 0; i < pairs; i++) {
        even += bytes[2 * i] == 0 && bytes[2 * i + 1] != 0;
        odd += bytes[2 * i + 1] == 0 && bytes[2 * i] != 0;
    }
    if (odd * 10 >= pairs * 8)
        return 0;
    return even * 10 >= pairs * 8 ? 1 : -1;
}

static void decode(struct source *source, struct text *text)
{
    const unsigned char *bytes = (const unsigned char *)source->raw;
    size_t length = source->raw_length;
    int low = guess_utf16(bytes, length);

    if (length >= 2 && bytes[0] == 0xFF && bytes[1] == 0xFE) {
        source->encoding = "UTF-16LE";
        decode_utf16(text, bytes + 2, length - 2, 0);
    } else if (length >= 2 && bytes[0] == 0xFE && bytes[1] == 0xFF) {
        source->encoding = "UTF-16BE";
        decode_utf16(text, bytes + 2, length - 2, 1);
    } else if (low >= 0) {
        source->encoding = low == 0 ? "UTF-16LE" : "UTF-16BE";
        decode_utf16(text, bytes, length, (size_t)low);
    } else if (!is_utf8(source->raw, length)) {
        source->encoding = "ISO-8859-1";
        decode_latin1(text, bytes, length);
    }
}

/* KEPT: the bytes live as long as the arena, and a NUL follows them, so that a text in UTF-8 is they themselves. */
static const struct source *make_source(struct arena *arena, const char *name, const char *bytes, size_t length,
                                        bool kept)
{
    struct source *source = arena_alloc(arena, sizeof *source);
    struct text text = {0};

    source->name = name;
    source->raw = bytes;
    source->raw_length = length;
    decode(source, &text);
    if (source->encoding != NULL) {
        source->length = text.length;
        source->text = arena_copy_span(arena, text_bytes(&text), text.length);
        text_free(&text);
        return source;
    }
    source->encoding = "UTF-8";
    if (length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
        bytes += 3;
        length -= 3;
    }
    source->text = kept ? bytes : arena_copy_span(arena, bytes, length);
    source->length = length;
    return source;
}

const struct source *source_from_bytes(struct arena *arena, const char *name, const char *bytes,
                                       size_t length)
{
    return make_source(arena, name, bytes, length, false);
}

/* Everything FILE holds into *TEXT; false if it is more than SOURCE_LARGEST or reading fails. */
static bool slurp(FILE *file, struct text *text)
{
    char chunk[65536];
    size_t got;

    while ((got = fread(chunk, 1, sizeof chunk, file)) > 0) {
        text_add_span(text, chunk, got);
        if (text->length > SOURCE_LARGEST) {
            errno = EFBIG;
            return false;
        }
    }
    return !ferror(file);
}

static FILE *open_input(const char *path)
{
    struct stat status;
    FILE *file;

    if (strcmp(path, "-") == 0)
        return stdin;
    file = fopen(path, "rb");
    if (file != NULL && fstat(fileno(file), &status) == 0 && S_ISDIR(status.st_mode)) {
        fclose(file);
        errno = EISDIR;
        return NULL;
    }
    return file;
}

const struct source *source_read(struct arena *arena, struct diags *diags, const char *path)
{
    struct source *nowhere = arena_alloc(arena, sizeof *nowhere);
    const char *name = strcmp(path, "-") == 0 ? "<stdin>" : arena_copy(arena, path);
    struct text text = {0};
    FILE *file = open_input(path);
    bool whole = file != NULL && slurp(file, &text);
    int error = errno;
    const char *bytes;
    size_t length;

    if (file != NULL && file != stdin)
        fclose(file);
    if (!whole) {
        nowhere->name = name;
        diag_input(diags, LEVEL_ERROR, (struct place){.source = nowhere}, NULL,
                   error == EFBIG ? "a file of at most 256 MiB" : "a file that can be read",
                   "cannot read %s: %s", name, strerror(error));
        text_free(&text);
        return NULL;
    }
    bytes = arena_copy_span(arena, text_bytes(&text), text.length);
    length = text.length;
    text_free(&text);
    return make_source(arena, name, bytes, length, true);
}

const char *source_line(const struct source *source, unsigned line, size_t *length)
{
    const char *start = source->text, *limit, *end;

    if (line == 0 || start == NULL)
        return NULL;
    limit = start + source->length;
    for (unsigned at = 1; at < line; at++) {
        start = memchr(start, '\n', (size_t)(limit - start));
        if (start == NULL)
            return NULL;
        start++;
    }
    end = memchr(start, '\n', (size_t)(limit - start));
    if (end == NULL)
        end = limit;
    if (end > start && end[-1] == '\r')
        end--;
    *length = (size_t)(end - start);
    return start;
}
