/* Arena: memory that lives as long as one run.
 * Ownership in prearc: whatever describes the circuit lives in the run's arena and is never freed
 * by itself; who calls x_new calls x_free. Out of memory ends the program, here and nowhere else. */
#ifndef PREARC_BASE_ARENA_H
#define PREARC_BASE_ARENA_H

#include <stdarg.h>
#include <stddef.h>

struct arena;

struct arena *arena_new(void);
void arena_free(struct arena *arena);

/* What is in OTHER lives as long as ARENA from now on; OTHER is gone. */
void arena_join(struct arena *arena, struct arena *other);

/* SIZE bytes, zeroed, aligned for any type. Never NULL. */
void *arena_alloc(struct arena *arena, size_t size);

/* COUNT items of SIZE bytes each, zeroed; an overflowing product is treated as out of memory. */
void *arena_array(struct arena *arena, size_t count, size_t size);

/* Makes room for item number COUNT (0-based) in the array ITEMS of *CAPACITY items of SIZE bytes;
 * returns the array, moved if it grew. New items are zeroed. */
void *arena_grow(struct arena *arena, void *items, size_t *capacity, size_t count, size_t size);

/* Copies of strings, NUL-terminated. */
char *arena_copy(struct arena *arena, const char *text);
char *arena_copy_span(struct arena *arena, const char *text, size_t length);
char *arena_print(struct arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
char *arena_vprint(struct arena *arena, const char *format, va_list args);

/* malloc, realloc for the few things that are freed one by one; never NULL. */
void *memory_alloc(size_t size);
void *memory_resize(void *old, size_t size);

#endif
