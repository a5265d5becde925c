/* Pieces of a SARIF 2.1.0 document: strings that are always valid, messages, locations. */
#ifndef PREARC_REPORT_SARIF_PIECES_H
#define PREARC_REPORT_SARIF_PIECES_H

#include <jansson.h>

#include "base/diag.h"

/* JSON[KEY] = STRING as valid UTF-8, what would act on a terminal or turn text round spelt out; nothing if STRING is NULL. */
void sarif_set(json_t *json, const char *key, const char *string);

/* JSON[KEY] = a message object; nothing if STRING is NULL. Braces are doubled, and brackets that
 * could pass for a link escaped, as 3.11.5 and 3.11.6 of the standard
 * ask of literal ones (clauses from memory). */
void sarif_set_message(json_t *json, const char *key, const char *string);

/* "none", "note", "warning", "error": a level nothing was verified at is "none". */
const char *sarif_level(enum level level);

/* A location that is PLACE alone. */
json_t *sarif_location(const struct place *place, const char *netlist);

/* The locations array of DIAG: its place in NETLIST and the parts and nets it is about. */
json_t *sarif_locations(const struct diag *diag, const char *netlist);

#endif
