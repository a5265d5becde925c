/* Runs the simulator on a deck. */
#ifndef PREARC_TESTS_NGSPICE_SIMULATOR_H
#define PREARC_TESTS_NGSPICE_SIMULATOR_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "check_prearc.h"

/* Whether to compare: not without the simulator, which is said loudly and fails where CI is set; and not
 * under the sanitizers, where it is our own side that is watched (the plain build compares). */
static inline int simulator_wanted(const char *what)
{
    if (getenv("PREARC_SANITIZED") != NULL)
        return 0;
    if (system("command -v ngspice >/dev/null 2>&1") == 0)
        return 1;
    fprintf(stderr, "\n*** SKIPPED: ngspice is not installed; %s was NOT compared ***\n", what);
    ck_assert_msg(getenv("CI") == NULL, "ngspice must be installed where CI runs");
    return 0;
}

/* All it says of DECK, errors too; to be freed. */
static inline char *simulator_run(const struct text *deck)
{
    char name[] = P_tmpdir "/prearc-ngspice-XXXXXX", command[128], block[4096];
    int descriptor = mkstemp(name);
    struct text said = {0};
    size_t length;
    FILE *output;

    ck_assert_int_ge(descriptor, 0);
    ck_assert_int_eq(write(descriptor, deck->bytes, deck->length), (ssize_t)deck->length);
    close(descriptor);
    snprintf(command, sizeof command,
             "timeout 100 ngspice -b %s 2>&1 </dev/null | tr '\\r' '\\n' | grep -v 'Reference value'", name);
    output = popen(command, "r");
    ck_assert_ptr_nonnull(output);
    while ((length = fread(block, 1, sizeof block, output)) > 0)
        text_add_span(&said, block, length);
    pclose(output);
    unlink(name);
    text_add_char(&said, '\n');
    return said.bytes;
}

#endif
