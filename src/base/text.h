/* A string that grows. */
#ifndef PREARC_BASE_TEXT_H
#define PREARC_BASE_TEXT_H

#include <stddef.h>

struct text {
    char *bytes; /* NUL-terminated, or NULL while nothing was added */
    size_t length, capacity;
};

/* Start from `struct text text = {0};`, end with text_free. */
void text_free(struct text *text);
void text_add(struct text *text, const char *string);
void text_add_span(struct text *text, const char *bytes, size_t length);
void text_add_char(struct text *text, char c);
void text_print(struct text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The bytes so far, "" while empty. */
const char *text_bytes(const struct text *text);

#endif
