#include "deck/deck_comment.h"

#include <stdarg.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"

enum { WIDTH = 108, LONGEST = 60 };

/* Bytes of the next line of WORDS, ROOM of them at most: up to the last blank that fits. */
static size_t line_length(const char *words, size_t room)
{
    size_t length = strlen(words), at = room;

    if (length <= room)
        return length;
    while (at > 0 && words[at] != ' ')
        at--;
    return at > 0 ? at : room;
}

/* Whatever got here is made harmless: a stray end of line would become a line of the deck. */
static void add_harmless(struct text *out, const char *words, size_t length)
{
    for (size_t i = 0; i < length; i++)
        text_add_char(out, words[i] >= ' ' && words[i] <= '~' ? words[i] : '?');
}

void deck_comment(struct text *out, const char *format, ...)
{
    struct arena *arena = arena_new();
    const char *words, *lead = "* ";
    va_list args;

    va_start(args, format);
    words = arena_vprint(arena, format, args);
    va_end(args);
    do {
        size_t length = line_length(words, WIDTH - strlen(lead));

        text_add(out, lead);
        add_harmless(out, words, length);
        text_add_char(out, '\n');
        words += length;
        words += strspn(words, " ");
        lead = "*     ";
    } while (*words != '\0');
    arena_free(arena);
}

const char *deck_words(struct arena *arena, const char *words)
{
    struct text text = {0};
    const char *safe;

    for (; *words != '\0' && text.length < LONGEST; words++)
        if (*words >= ' ' && *words <= '~')
            text_add_char(&text, *words);
        else
            text_print(&text, "\\x%02X", (unsigned char)*words);
    if (*words != '\0')
        text_add(&text, "...");
    safe = arena_copy(arena, text_bytes(&text));
    text_free(&text);
    return safe;
}
