/* How the heap is laid out. */
#ifndef PREARC_BASE_HEAP_H
#define PREARC_BASE_HEAP_H

/* To be called once, before anything large is allocated: the heap begins with a few huge pages, and what is freed is kept. A run
 * touches some thousand pages for a tenth of a second; to have each given singly cost a fifth of that on a virtual machine. Where it
 * cannot be had nothing changes but the time. */
void heap_prepare(void);

#endif
