#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

void text_free(struct text *text)
{
    free(text->bytes);
    *text = (struct text){0};
}

static void make_room(struct text *text, size_t more)
{
    size_t wanted = text->length + more + 1;

    if (wanted <= text->capacity)
        return;
    if (wanted < text->capacity * 2)
        wanted = text->capacity * 2;
    text->bytes = memory_resize(text->bytes, wanted);
    text->capacity = wanted;
}

void text_add_span(struct text *text, const char *bytes, size_t length)
{
    make_room(text, length);
    memcpy(text->bytes + text->length, bytes, length);
    text->length += length;
    text->bytes[text->length] = '\0';
}

void text_add(struct text *text, const char *string)
{
    text_add_span(text, string, strlen(string));
}

void text_add_char(struct text *text, char c)
{
    text_add_span(text, &c, 1);
}

void text_print(struct text *text, const char *format, ...)
{
    va_list args, again;
    int length;

    va_start(args, format);
    va_copy(again, args);
    length = vsnprintf(NULL, 0, format, again);
    va_end(again);
    if (length > 0) {
        make_room(text, (size_t)length);
        vsnprintf(text->bytes + text->length, (size_t)length + 1, format, args);
        text->length += (size_t)length;
    }
    va_end(args);
}

const char *text_bytes(const struct text *text)
{
    return text->bytes != NULL ? text->bytes : "";
}
