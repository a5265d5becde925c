/* What the resistors alone do to a rail with the plug out and the valves cold. */
#ifndef PREARC_RULE_FACTS_DISCHARGE_H
#define PREARC_RULE_FACTS_DISCHARGE_H

#include <stddef.h>

struct facts_build;
struct rail;

/* By node of the rail: s until it is below 60 V against the rail's return (class ES1 for DC, IEC 62368-1 table 4); INFINITY: not
 * within a day; NAN: not known. */
struct discharge {
    double ohms;     /* that a meter settles to between the rail's output and its return; INFINITY: nothing conducts; NAN: not known */
    double *seconds; /* rail->node_count of them */
};

/* In BUILD's arena. Rectifiers, valves and regulators do not conduct; contacts stand as drawn; capacitors hold their mean
 * volts of normal use at first. */
struct discharge facts_discharge(const struct facts_build *build, const struct rail *rail);

#endif
