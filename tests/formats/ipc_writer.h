#ifndef PREARC_TESTS_FORMATS_IPC_WRITER_H
#define PREARC_TESTS_FORMATS_IPC_WRITER_H

#include <stdbool.h>
#include <stdio.h>

struct circuit;

/* REVISION: A, B or C. False: no such. */
bool format_write_ipc_2581(FILE *out, const struct circuit *circuit, const char *revision);

#endif
