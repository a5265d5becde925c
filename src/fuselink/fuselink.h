/* The fuse-link as IEC 60127 and UL 248-14 know it: markings, preferred ratings, gates. */
#ifndef PREARC_FUSELINK_FUSELINK_H
#define PREARC_FUSELINK_FUSELINK_H

#include <stdbool.h>
#include <stddef.h>

enum fuse_speed { SPEED_UNKNOWN, SPEED_FF, SPEED_F, SPEED_M, SPEED_T, SPEED_TT };
enum fuse_breaking { BREAKING_UNKNOWN, BREAKING_LOW, BREAKING_ENHANCED, BREAKING_HIGH };

struct marking {
    bool rated;                  /* a current rating was found */
    double amps;                 /* rated current, A */
    enum fuse_speed speed;
    enum fuse_breaking breaking;
    double volts;                /* rated voltage, V; 0 not marked */
    bool american;               /* written the UL way ("slo-blo", "3AG", a fraction): UL 248-14 may apply */
    const char *size;            /* "5x20", "6.3x32", "3AG" or NULL: a constant string */
};

/* Reads a fuse's value text in any usual spelling. True if TEXT says anything about a fuse-link at all ("Fuse" alone
 * does not); then ->rated tells whether the rating is known. A rating is never guessed: unclear means not rated. */
bool marking_parse(const char *text, struct marking *marking);

/* The marking as IEC 60127-1 clause 6 prints it: "T315mAL250V". BUFFER of at least 32 bytes; returns it. */
char *marking_print(const struct marking *marking, char *buffer, size_t size);

/* R10 and R20 values of IEC 60127 (32 mA to 10 A). True if AMPS is one within 1 %. */
bool rating_is_preferred(double amps);
/* The smallest R10 value of at least AMPS; 0 if above the largest. */
double rating_at_least(double amps);

/* One gate: at MULTIPLE times the rated current the link must hold HOLDS seconds (0: no promise) and must
 * have opened by OPENS seconds (0: no promise). */
struct gate {
    double multiple, holds, opens;
};

struct gates {
    const char *standard; /* "IEC 60127-2 sheet 3" */
    const char *source;   /* where the figures were read */
    double least_amps, largest_amps; /* ratings covered, A, inclusive */
    struct gate gates[8];            /* in order of multiple */
    size_t count;
};

/* The gates that fit MARKING; NULL if not rated. Unknown speed or breaking capacity: the gates that promise
 * least among those that could apply (the latest opening), and *ASSUMED says so in words (else NULL). */
const struct gates *gates_for(const struct marking *marking, const char **assumed);

/* The latest time, s, by which the link must have opened at AMPS RMS; INFINITY if nothing is promised. Log-log between
 * gates, adiabatic (I2t constant) beyond the last. */
double gates_opens_by(const struct gates *gates, double rated_amps, double amps);
/* The time, s, the link is sure to hold at AMPS; INFINITY at or below the rated current, 0 if no promise. */
double gates_holds(const struct gates *gates, double rated_amps, double amps);
/* The least current, A RMS, at which opening is guaranteed (2.1 times an IEC rating). */
double gates_opening_amps(const struct gates *gates, double rated_amps);
/* Breaking capacity, A at the rated voltage: L max(35, 10 In), E 150, H 1500; 0 unknown. */
double marking_breaking_amps(const struct marking *marking);
/* Nominal melting I2t, A2s, range over makers; false if no table covers it. */
bool marking_melting_i2t(const struct marking *marking, double *low, double *high);
/* The nominal melting I2t, A2s, of a pulse of SECONDS. Makers print it for pulses too short to lose heat; the least they print
 * is taken, and for longer ones it is raised as the I2t of the gates' holds rises, though no higher than to halfway, in
 * log current, between what must hold so long and what must open by then. *PRINTED: some maker's figure was known; without it
 * the result is what the gates oblige it to hold for so long, 0 if they promise nothing. */
double marking_pulse_i2t(const struct marking *marking, const struct gates *gates, double seconds,
                         bool *printed);
/* How many pulses of SHARE of that I2t the link is good for: 100,000, 10,000, 1,000 or 100, else 1; 0 if the first may open it.
 * 22 %, 29 %, 38 % and 48 %, with at least 10 s between pulses (Littelfuse, fuseology selection guide, p. 12). */
double pulse_count(double share);
/* Cold resistance, ohm, typical of the rating and speed (a value a solver can use even when the marking is unknown: 0.1 ohm). */
double marking_cold_ohms(const struct marking *marking);

const char *speed_name(enum fuse_speed speed); /* "time-lag", "quick-acting", "unknown" */

#endif
