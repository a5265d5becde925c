#include "base/crew.h"

#include <pthread.h>
#include <sched.h>
#include <stdatomic.h>

enum { MOST_THREADS = 64 };

struct crew {
    void (*job)(void *context, size_t index);
    void *context;
    size_t count;
    atomic_size_t next;
};

static void *work(void *of)
{
    struct crew *crew = of;

    for (size_t i; (i = atomic_fetch_add(&crew->next, 1)) < crew->count;)
        crew->job(crew->context, i);
    return NULL;
}

/* Processors that the process may use, as `taskset` sets them; at least 1. */
static size_t processors(void)
{
    cpu_set_t set;

    CPU_ZERO(&set);
    if (sched_getaffinity(0, sizeof set, &set) != 0 || CPU_COUNT(&set) < 1)
        return 1;
    return CPU_COUNT(&set) < MOST_THREADS ? (size_t)CPU_COUNT(&set) : MOST_THREADS;
}

void crew_run(size_t count, void (*job)(void *context, size_t index), void *context)
{
    struct crew crew = {.job = job, .context = context, .count = count};
    size_t wanted = processors(), started = 0;
    pthread_t threads[MOST_THREADS];

    if (wanted > count)
        wanted = count;
    while (started + 1 < wanted && pthread_create(&threads[started], NULL, work, &crew) == 0)
        started++;
    work(&crew);
    for (size_t i = 0; i < started; i++)
        pthread_join(threads[i], NULL);
}
