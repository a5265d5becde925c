#include "base/heap.h"

#include <malloc.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <unistd.h>

/* Bytes: of the first stretch of the heap, of a huge page, of a piece that is still taken from the heap. */
enum { FIRST_BYTES = 8 << 20, HUGE_BYTES = 2 << 20, PIECE_BYTES = 100 << 10, KEPT_BYTES = 64 << 20 };

void heap_prepare(void)
{
    void *pieces[4]; /* more than what the heap has at the start, so that it grows by FIRST_BYTES */
    uintptr_t start, end;

    /* One heap for all threads: they ask for it in blocks, and seldom at once. */
    if (mallopt(M_TOP_PAD, FIRST_BYTES) == 0 || mallopt(M_TRIM_THRESHOLD, KEPT_BYTES) == 0 ||
        mallopt(M_ARENA_MAX, 1) == 0)
        return;
    for (int i = 0; i < 4; i++)
        pieces[i] = malloc(PIECE_BYTES);
    end = (uintptr_t)sbrk(0) / HUGE_BYTES * HUGE_BYTES;
    start = ((uintptr_t)pieces[0] + HUGE_BYTES - 1) / HUGE_BYTES * HUGE_BYTES;
    if (start < end && end - start <= FIRST_BYTES)
        (void)madvise((void *)start, end - start, MADV_HUGEPAGE);
    for (int i = 0; i < 4; i++)
        free(pieces[i]);
}
