/* Writes a circuit as another program would. */
#ifndef PREARC_TESTS_FORMATS_FORMATS_H
#define PREARC_TESTS_FORMATS_FORMATS_H

#include <stdbool.h>
#include <stdio.h>

struct circuit;

/* Writes CIRCUIT to OUT in FORMAT: export-old, export-mid, export-new, export-bare (no symbols, fields and names of pins),
 * export-xml, ipc-2581-A, -B and -C, edif-netlist, edif-schematic, brackets, packages, stamped, deck. False, and nothing written: no such format. */
bool format_write(FILE *out, const char *format, const struct circuit *circuit);

#endif
