/* Runs every unit test suite; those whose names begin as given: tests/check_prearc check_source; or all but those:
 * tests/check_prearc -check_ngspice -check_agreement */
#include "check_prearc.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/heap.h"

#define SUITE(name) Suite *name(void);
#include "suites.h"
#undef SUITE

struct row {
    const char *name;
    Suite *(*make)(void);
};

#define SUITE(name) {#name, name},
static const struct row rows[] = {
#include "suites.h"
    {NULL, NULL},
};
#undef SUITE

const char *source_path(const char *file)
{
    static char buffers[4][4096];
    static unsigned next;
    const char *top = getenv("top_srcdir");
    char *buffer = buffers[next++ % 4];

    snprintf(buffer, sizeof buffers[0], "%s/%s", top != NULL ? top : ".", file);
    return buffer;
}

int within(double got, double want, double percent)
{
    return fabs(got - want) <= fabs(want) * percent / 100;
}

static int wanted(const char *name, int argc, char **argv)
{
    int leaving_out = argc < 2 || argv[1][0] == '-';

    for (int i = 1; i < argc; i++) {
        const char *prefix = argv[i] + (argv[i][0] == '-');

        if (strncmp(name, prefix, strlen(prefix)) == 0)
            return argv[i][0] != '-';
    }
    return leaving_out;
}

int main(int argc, char **argv)
{
    SRunner *runner = srunner_create(suite_create("prearc"));
    int failed;

    heap_prepare();
    for (const struct row *row = rows; row->name != NULL; row++)
        if (wanted(row->name, argc, argv))
            srunner_add_suite(runner, row->make());
    srunner_run_all(runner, CK_NORMAL);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
