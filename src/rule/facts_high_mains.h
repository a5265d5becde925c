/* The mains at the top of its tolerance and no load, by which capacitors and diodes are judged. */
#ifndef PREARC_RULE_FACTS_HIGH_MAINS_H
#define PREARC_RULE_FACTS_HIGH_MAINS_H

struct facts_build;
struct rectifier;
struct trace_source;

/* Highest mains over nominal, such as 1.1; NAN: SOURCE is fed by no mains. */
double facts_high_mains_share(const struct facts_build *build, const struct trace_source *source);

/* V behind RECTIFIER with no load and the mains high: winding volts without load x sqrt 2 x (1 +
 * tolerance), twice that for a doubler; NAN: not known, or a cascade. Textbook figures of capacitor-input
 * rectifiers. */
double facts_no_load_high_volts(const struct facts_build *build, const struct rectifier *rectifier);

/* V that each leg of RECTIFIER (all its diodes in series) then stands off: sqrt 2 (1 + tolerance) times
 * twice the winding (half of a tapped one) for half-wave, centre-tapped and doubler rectifiers, once the
 * winding for bridges. */
double facts_high_reverse_volts(const struct facts_build *build, const struct rectifier *rectifier);

/* They rest on the tolerance, the mains' volts and those of the winding: see facts_rests.h. */
void facts_rests_high_mains(const struct facts_build *build, const struct trace_source *source);

#endif
