/* What the files of this stage share while one circuit is recognised. */
#ifndef PREARC_PARTS_RECOGNISER_H
#define PREARC_PARTS_RECOGNISER_H

#include "parts/library.h"
#include "parts/parts.h"

struct circuit;

struct recogniser {
    struct arena *arena;
    const struct circuit *circuit;
    const struct library *library;
    const struct parts_options *options;
    const bool *coupled; /* by part index: an inductor that a K line names */
};

/* Adds a sentence to the part's doubt. */
void part_doubt(struct arena *arena, struct part_info *info, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* witness.c: fills kind, type, role and witnesses of INFO (whose part is set); the library's type,
 * or NULL. */
const struct type *witness_decide(const struct recogniser *recogniser, struct part_info *info);

/* feed.c: a connector whose value, reference or nets speak of a feed becomes that feed; false if
 * none does. */
bool feed_find(const struct recogniser *recogniser, struct part_info *info);
/* The role of the feed that TEXT (which may be NULL) speaks of: "ht"; NULL if it speaks of none. */
const char *feed_role(const struct recogniser *recogniser, const char *text);

/* pins.c: fills pins of every kind but transformers. TYPE may be NULL. */
void pins_assign(const struct recogniser *recogniser, struct part_info *info,
                 const struct type *type);

/* valve_pins.c */
void valve_pins_assign(const struct recogniser *recogniser, struct part_info *info,
                       const struct type *type);

/* switch_pins.c */
void switch_pins_assign(const struct recogniser *recogniser, struct part_info *info);

/* windings.c: windings, sections and pins of a transformer. */
void windings_assign(const struct recogniser *recogniser, struct part_info *info);

/* windings.c: those of a transformer of which neither field nor names told, once all PARTS are recognised
 * but for that. */
void windings_find_rest(const struct recogniser *recogniser, const struct parts *parts,
                        struct part_info *info);

/* winding_names.c: windings told by pin names, for a transformer without a windings field; false: not
 * told. */
bool windings_from_names(const struct recogniser *recogniser, struct part_info *info);

/* winding_guess.c: windings from what the pins are connected to; false: nothing can be said. */
bool windings_guess(const struct recogniser *recogniser, const struct parts *parts, struct part_info *info);

/* winding_ohms.c: fills missing winding resistances where rated currents allow it. */
void windings_assume_ohms(const struct recogniser *recogniser, struct part_info *info);

/* ratings.c: figures from value, fields, model and library. */
void ratings_assign(const struct recogniser *recogniser, struct part_info *info,
                    const struct type *type);

/* ratings.c: the figures of TYPE (may be NULL) that INFO does not have yet. */
void ratings_from_type(const struct recogniser *recogniser, struct part_info *info, const struct type *type);

/* diode_figures.c: the diode equation of a diode, bridge, zener or LED. */
void diode_figures(const struct recogniser *recogniser, struct part_info *info,
                   const struct type *type);

/* transistor_figures.c: polarity and equation of a transistor, bipolar or field-effect. */
void transistor_figures(const struct recogniser *recogniser, struct part_info *info,
                        const struct type *type);

/* warm_ohms.c: the cold resistance of thermistors and lamps, the coil of a relay known by its volts. */
void warm_ohms_assume(const struct recogniser *recogniser, struct part_info *info);

/* sources.c: figures of a voltage or current source, from its value text. */
void source_figures(const struct recogniser *recogniser, struct part_info *info);
/* sources.c: what an inlet or mains feed delivers; PARTS are recognised but for that. */
void mains_figures(const struct recogniser *recogniser, struct parts *parts);

/* A figure read from the netlist. */
void part_read_figure(struct arena *arena, struct part_info *info, enum figure_id id, double value);

/* The pins of PART in natural order of their numbers ("2" before "10"); an array in ARENA. */
const struct pin **pins_in_order(struct arena *arena, const struct part *part);

/* Compares pin numbers as people count: digits by value. */
int pin_number_compare(const char *a, const char *b);

/* The name that tells what PIN is: its name, else its number if that is no plain number, else "".
 */
const char *pin_label(const struct pin *pin);

#endif
