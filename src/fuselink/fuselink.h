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
    double volts; /* rated voltage, V, alternating unless only a direct one is marked; 0 not marked */
    bool american;               /* written the UL way ("slo-blo", "3AG", a fraction): UL 248-14 may apply */
    const char *size;            /* "5x20", "6.3x32", "3AG" or NULL: a constant string */
    double dc_volts; /* rated voltage marked as direct ("400VDC"), V; 0: none, so ->volts is alternating */
};

/* Reads a fuse's value text in any usual spelling. True if TEXT says anything about a fuse-link at all
 * ("Fuse" alone does not); then ->rated tells whether the rating is known. A rating is never guessed: unclear
 * means not rated. */
bool marking_parse(const char *text, struct marking *marking);

/* The marking as IEC 60127-1 clause 6 prints it: "T315mAL250V"; a direct voltage after it, "T1AH500V/400VDC".
 * BUFFER of at least 32 bytes; returns it. */
char *marking_print(const struct marking *marking, char *buffer, size_t size);

/* R10 and R20 values of IEC 60127 (32 mA to 10 A). True if AMPS is one within 1 %. */
bool rating_is_preferred(double amps);
/* The smallest R10 value of at least AMPS; 0 if above the largest. */
double rating_at_least(double amps);

/* The list that a rating is on, within 1 %, the first of these that has it. */
enum rating_series {
    RATING_NONE,
    RATING_R10,     /* IEC 60127: 32 mA to 10 A; makers go on to 12.5, 16 and 20 A */
    RATING_R20,     /* the values of IEC 60127-1 annex A that R10 has not */
    RATING_AMERICAN /* makers' lists of links to UL 248-14 */
};
enum rating_series rating_series(double amps);
/* The ratings of series R10 (32 mA to 10 A) or of the American lists (10 mA to 35 A), rising, A; *COUNT of
 * them. */
const double *rating_list(enum rating_series series, size_t *count);

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

/* The latest time, s, by which the link must have opened at AMPS RMS; INFINITY if nothing is promised.
 * Log-log between gates, adiabatic (I2t constant) beyond the last. */
double gates_opens_by(const struct gates *gates, double rated_amps, double amps);
/* The time, s, the link is sure to hold at AMPS; INFINITY at or below the rated current, 0 if no promise. */
double gates_holds(const struct gates *gates, double rated_amps, double amps);
/* The least current, A RMS, at which opening is guaranteed (2.1 times an IEC rating). */
double gates_opening_amps(const struct gates *gates, double rated_amps);
/* What a link does at AMPS for SECONDS. */
enum gates_region {
    REGION_HOLDS, /* it must not have opened */
    REGION_MAY_OPEN,
    REGION_OPENS  /* it must have opened */
};
enum gates_region gates_region(const struct gates *gates, double rated_amps, double amps, double seconds);

/* What MARKING may carry for ever at room temperature, A RMS: an IEC 60127 link its rating; 75 % of it if it
 * is written the UL way. Source: makers' fuse selection guides (25 % derating at 25 C). NAN if not rated. */
double marking_continuous_amps(const struct marking *marking);

/* The share of the nominal melting I2t that one of PULSES pulses, 10 s or more apart, may have: 0.48 for 100,
 * 0.38 for 1000, 0.29 for 10,000, 0.22 for 100,000; between these the next more. 0 beyond: no figure seen.
 * Source: Littelfuse fuseology selection guide, p. 12. */
double fuselink_pulse_share(double pulses);

/* Breaking capacity, A RMS at the rated voltage: L max(35, 10 In) but no more than 100, E 150, H 1500; 3AG
 * links to UL 248-14 by rating and voltage; 0 unknown. Sources: see breaking.c. */
double marking_breaking_amps(const struct marking *marking);
/* The same, but where the letter is not marked the least that any standard asks of such a link; 0 only if not
 * rated. */
double marking_least_breaking_amps(const struct marking *marking);

/* Whether a link may break direct current. */
enum dc_use {
    DC_OK,              /* a direct rating that is marked covers it */
    DC_OK_BY_THUMB,     /* an alternating rating, at no more than half its volts: a rule of thumb covers it */
    DC_VOLTS_EXCEEDED,  /* above the rating, the direct one if marked */
    DC_AMPS_EXCEEDED,   /* prospective current above the breaking capacity */
    DC_AC_RATING,       /* an alternating rating: nothing seen covers direct current */
    DC_UNKNOWN          /* no voltage is marked */
};
struct dc_verdict {
    enum dc_use use;
    const char *source; /* where that is from */
};
/* VOLTS direct, PROSPECTIVE amps (NAN: not known, not judged). */
struct dc_verdict marking_dc_use(const struct marking *marking, double volts, double prospective);
/* "ok", "thumb", "volts-exceeded", "amps-exceeded", "ac-rating", "unknown" */
const char *dc_use_name(enum dc_use use);

/* Whether links of this rating, speed (F or T) and breaking capacity (L or H) are on a list that was seen for
 * VOLTS; DC: direct. *SOURCE names the list. The lists: see offers.c. */
bool fuselink_is_offered(const struct marking *marking, double volts, bool dc, const char **source);
/* The least rated voltage on those lists of at least VOLTS for links of any rating; 0: none. */
double fuselink_volts_at_least(double volts, bool dc);
/* Nominal melting I2t, A2s, range over makers; false if no table covers it. */
bool marking_melting_i2t(const struct marking *marking, double *low, double *high);
/* Cold resistance, ohm, typical of the rating and speed (a value a solver can use even when the marking is
 * unknown: 0.1 ohm). */
/* The nominal melting I2t, A2s, of a pulse of SECONDS. Makers print it for pulses too short to lose heat; the least they print
 * is taken, and for longer ones it is raised as the I2t of the gates' holds rises, though no higher than to halfway, in
 * log current, between what must hold so long and what must open by then. *PRINTED: some maker's figure was known; without it
 * the result is what the gates oblige it to hold for so long, 0 if they promise nothing. */
double marking_pulse_i2t(const struct marking *marking, const struct gates *gates, double seconds,
                         bool *printed);
/* A pulse as it passes: its I2t, A2s, up to SECONDS, s, after its start. */
struct pulse_point {
    double seconds, i2t;
};
/* The largest ratio of the I2t that has passed to marking_pulse_i2t for so long, over the points, in any order; INFINITY: the
 * link is not sure to stand anything. *STANDS (may be NULL): A2s, that I2t where the ratio is largest. */
double marking_pulse_share(const struct marking *marking, const struct gates *gates,
                           const struct pulse_point *points, size_t count, double *stands, bool *printed);
/* How many pulses of SHARE of that I2t the link is good for: 100,000, 10,000, 1,000 or 100, else 1; 0 if the first may open it.
 * 22 %, 29 %, 38 % and 48 %, with at least 10 s between pulses (Littelfuse, fuseology selection guide, p. 12). */
double pulse_count(double share);
/* Cold resistance, ohm, typical of the rating and speed (a value a solver can use even when the marking is unknown: 0.1 ohm). */
double marking_cold_ohms(const struct marking *marking);

const char *speed_name(enum fuse_speed speed); /* "time-lag", "quick-acting", "unknown" */

#endif
