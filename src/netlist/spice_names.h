/* What names in a SPICE deck say. */
#ifndef PREARC_NETLIST_SPICE_NAMES_H
#define PREARC_NETLIST_SPICE_NAMES_H

#include <stdbool.h>

struct arena;

/* "0", "gnd", "gnd!". */
bool spice_is_ground(const char *node);

/* "NC_01", "NC-1", "NC7": numbered, so two of one name are a connection; and names that always mean
 * "not connected": "N/C", "?", "unconnected-...". */
bool spice_is_unconnected(const char *node);
bool spice_is_never_connected(const char *node);

/* Letters, then digits, then perhaps a section: "R1", "V1A", "SW2_1". */
bool spice_is_plausible_ref(const char *name);

/* NAME without a letter that an editor put in front so that a simulator takes it: "XU1" -> "U1",
 * "X\u00A7U1" -> "U1", "DLED1" -> "LED1"; NAME itself if none was. */
const char *spice_strip_letter(const char *name);

/* A subcircuit whose name says that it stands for one part: "FUSE_T", "12AX7", "TRAFO2". */
bool spice_names_a_part(const char *subcircuit);

/* The name of a fuse's subcircuit. */
bool spice_names_a_fuse(const char *subcircuit);

/* A setting that describes a part and is not handed to a subcircuit: "rating", "windings". */
bool spice_is_part_field(const char *key);

/* "DC", "SIN", "SINE(0", "PULSE": what the value of a source starts with. */
bool spice_is_source_word(const char *word);

/* The whole of TEXT reads as a number, with or without a unit. */
bool spice_is_numeric(const char *text);

#endif
