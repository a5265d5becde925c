/* Where the program's words go, with every failure noticed. */
#ifndef PREARC_OUTPUT_H
#define PREARC_OUTPUT_H

#include <stdbool.h>
#include <stddef.h>

struct text;

/* Writes TEXT to PATH, whole or not at all: a temporary file beside it, synchronised, renamed. What
 * is not a regular file (a pipe, a device) is written directly. PATH NULL: standard output. False,
 * after a message on standard error, if it could not be written. */
bool output_write(const char *path, const struct text *text);

/* Whether PATH is the same file as one of the COUNT inputs. */
bool output_is_input(const char *path, const char *const *inputs, size_t count);

/* Whether terminal escapes belong in what goes to PATH: only on standard output (NULL), to a
 * terminal that is not dumb, and NO_COLOR not set. */
bool output_has_colour(const char *path);

/* One line "prearc: MESSAGE" on standard error, made harmless. */
void output_complain(const char *format, ...) __attribute__((format(printf, 1, 2)));

#endif
