/* What the writers of formats share. */
#ifndef PREARC_TESTS_FORMATS_WORDS_H
#define PREARC_TESTS_FORMATS_WORDS_H

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "circuit/circuit.h"

static inline const char *or_empty(const char *text)
{
    return text != NULL ? text : "";
}

/* The value stands elsewhere. */
static inline bool is_described(const struct field *field)
{
    return strcmp(field->key, "value") != 0;
}

/* TEXT in XML, in an attribute too. */
static inline void put_escaped(FILE *out, const char *text)
{
    for (; *text != '\0'; text++) {
        if (*text == '<')
            fputs("&lt;", out);
        else if (*text == '&')
            fputs("&amp;", out);
        else if (*text == '"')
            fputs("&quot;", out);
        else
            putc(*text, out);
    }
}

static inline void put_attribute(FILE *out, const char *name, const char *text)
{
    fprintf(out, " %s=\"", name);
    put_escaped(out, text);
    putc('"', out);
}

#endif
