/* Many independent jobs on all processors that the process may use. */
#ifndef PREARC_BASE_CREW_H
#define PREARC_BASE_CREW_H

#include <stddef.h>

/* JOB(CONTEXT, index) for every index below COUNT, in any order and several at a time; all are done when it returns. A job
 * allocates in arenas of its own (arena_join), and writes to nothing that another one reads. Where no thread can be started the
 * caller does the work alone. */
void crew_run(size_t count, void (*job)(void *context, size_t index), void *context);

#endif
