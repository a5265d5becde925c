#include "base/arena.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK_BYTES = 64 * 1024, ALIGNMENT = 16 };

struct block {
    struct block *next;
    size_t used, size; /* bytes of data[] */
    _Alignas(ALIGNMENT) unsigned char data[];
};

struct arena {
    struct block *blocks; /* newest first */
};

/* The one place where out of memory is handled. */
static void out_of_memory(void)
{
    fputs("prearc: out of memory\n", stderr);
    exit(2);
}

void *memory_alloc(size_t size)
{
    void *memory = malloc(size ? size : 1);

    if (memory == NULL)
        out_of_memory();
    return memory;
}

void *memory_resize(void *old, size_t size)
{
    void *memory = realloc(old, size ? size : 1);

    if (memory == NULL)
        out_of_memory();
    return memory;
}

struct arena *arena_new(void)
{
    struct arena *arena = memory_alloc(sizeof *arena);

    arena->blocks = NULL;
    return arena;
}

void arena_free(struct arena *arena)
{
    if (arena == NULL)
        return;
    for (struct block *block = arena->blocks, *next; block != NULL; block = next) {
        next = block->next;
        free(block);
    }
    free(arena);
}

/* The newest block stays in front: it has room. */
void arena_join(struct arena *arena, struct arena *other)
{
    struct block **end = &arena->blocks;

    while (*end != NULL)
        end = &(*end)->next;
    *end = other->blocks;
    free(other);
}

static struct block *add_block(struct arena *arena, size_t size)
{
    struct block *block = memory_alloc(sizeof *block + size);

    block->next = arena->blocks;
    block->used = 0;
    block->size = size;
    arena->blocks = block;
    return block;
}

void *arena_alloc(struct arena *arena, size_t size)
{
    struct block *block = arena->blocks;
    void *memory;

    if (size > SIZE_MAX / 2)
        out_of_memory();
    size = (size + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
    if (block == NULL || block->size - block->used < size)
        block = add_block(arena, size > BLOCK_BYTES ? size : BLOCK_BYTES);
    memory = block->data + block->used;
    block->used += size;
    memset(memory, 0, size);
    return memory;
}

void *arena_array(struct arena *arena, size_t count, size_t size)
{
    if (size != 0 && count > SIZE_MAX / 2 / size)
        out_of_memory();
    return arena_alloc(arena, count * size);
}

void *arena_grow(struct arena *arena, void *items, size_t *capacity, size_t count, size_t size)
{
    size_t wanted;
    void *moved;

    if (count < *capacity)
        return items;
    wanted = *capacity < 4 ? 8 : *capacity * 2;
    if (wanted <= count)
        wanted = count + 1;
    moved = arena_array(arena, wanted, size);
    if (*capacity != 0)
        memcpy(moved, items, *capacity * size);
    *capacity = wanted;
    return moved;
}

char *arena_copy_span(struct arena *arena, const char *text, size_t length)
{
    char *copy = arena_alloc(arena, length + 1);

    memcpy(copy, text, length);
    return copy;
}

char *arena_copy(struct arena *arena, const char *text)
{
    return arena_copy_span(arena, text, strlen(text));
}

char *arena_vprint(struct arena *arena, const char *format, va_list args)
{
    va_list again;
    char *text;
    int length;

    va_copy(again, args);
    length = vsnprintf(NULL, 0, format, again);
    va_end(again);
    if (length < 0)
        out_of_memory();
    text = arena_alloc(arena, (size_t)length + 1);
    vsnprintf(text, (size_t)length + 1, format, args);
    return text;
}

char *arena_print(struct arena *arena, const char *format, ...)
{
    va_list args;
    char *text;

    va_start(args, format);
    text = arena_vprint(arena, format, args);
    va_end(args);
    return text;
}
